// Package beddrawing draws a bed by drafting custom: the whole bed and each piece from above and from below, sections of what
// is drilled, the list of holes, a template in true size, and two revisions laid over one another.
//
// It makes sheets of package drafting, which SVG, PDF and DXF are written from alike. Lines are those of ISO 128-2, dimensions
// those of ISO 129-1 with running dimensions from the middle lines, letters at least 2.5 mm high (ISO 3098-1), scales those of
// ISO 5455; the layout is our own. What the drawing says of holes and stone comes from bed/drawing.
//
// The package does not know whether the bed is good (bed/rules does), and nothing in it assumes three pieces.
package beddrawing

import (
	"fmt"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/internal/picture/drafting"
	"slatewright/internal/tongue"
	"slatewright/trouble"
)

// Paper is a size of paper, A4 or A3.
type Paper string

// The papers.
const (
	A4 Paper = "A4"
	A3 Paper = "A3"
)

// size is the paper's, its long side first.
func (p Paper) size() (long, short float64) {
	if p == A3 {
		return 420, 297
	}
	return 297, 210
}

// pen is the width of wide lines: line group 0.5 on A3, 0.35 on A4 (ISO 128-2).
func (p Paper) pen() float64 {
	if p == A3 {
		return 0.5
	}
	return 0.35
}

// Options say how a bed is drawn.
type Options struct {
	Paper    Paper
	Invented bool // the sheets say that the data are invented
	// Reader has the words of the sheets; the zero value is English. Lengths are in mm for every reader.
	Reader tongue.Words
}

// scales are how many mm of stone a mm of the sheet is, the largest drawing first (ISO 5455).
var scales = []float64{1, 2, 5, 10, 20, 50, 100}

// The layers, which are those of the DXF.
const (
	layerOutline drafting.Layer = "OUTLINE"
	layerPocket  drafting.Layer = "POCKETS"
	layerSink    drafting.Layer = "COUNTERBORES"
	layerDowel   drafting.Layer = "DOWELS"
	layerStrip   drafting.Layer = "STRIPS"
	layerField   drafting.Layer = "FIELD"
	layerCentre  drafting.Layer = "CENTRES"
	layerMark    drafting.Layer = "MARKS"
	layerNote    drafting.Layer = "NOTES"
	layerSheet   drafting.Layer = "SHEET"
	layerDatum   drafting.Layer = "DATUMS"
	layerHatch   drafting.Layer = "HATCH"
)

// layerHole is the layer of a kind of holes.
func layerHole(k pattern.Kind) drafting.Layer {
	name := []byte("HOLES-")
	for _, c := range []byte(k) {
		switch {
		case c >= 'a' && c <= 'z':
			name = append(name, c-'a'+'A')
		case c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-':
			name = append(name, c)
		}
	}
	return drafting.Layer(name[:min(len(name), 24)])
}

// Views lists the views of a bed: of the whole and of each piece, or of one piece, from one side or from both.
func Views(p pattern.Pattern, piece int, faces ...pattern.Face) (list []drawing.View) {
	if len(faces) == 0 {
		faces = []pattern.Face{pattern.Top, pattern.Bottom}
	}
	for i := drawing.Whole; i < len(p.Pieces); i++ {
		for _, f := range faces {
			if piece < 0 || piece == i {
				list = append(list, drawing.View{Piece: i, Face: f})
			}
		}
	}
	return list
}

// Sheets draws views, and with details the sections and the list of holes. An error is a *trouble.Trouble of code "too-large":
// a view that fits the paper at no scale.
func Sheets(p pattern.Pattern, o Options, views []drawing.View, details bool) ([]*drafting.Drawing, error) {
	b := newBed(p, o)
	var sheets []*sheet
	for _, v := range views {
		s, err := b.planSheet(v, 0)
		if err != nil {
			return nil, err
		}
		sheets = append(sheets, s)
	}
	if err := b.alike(views, sheets); err != nil {
		return nil, err
	}
	if details {
		sheets = append(sheets, b.detailSheets()...)
		sheets = append(sheets, b.listSheets()...)
	}
	var list []*drafting.Drawing
	for i, s := range sheets {
		b.finish(s, i+1, len(sheets))
		list = append(list, s.Drawing)
	}
	return list, nil
}

// alike draws all single pieces to one scale, the smallest that any of them needs.
func (b *bed) alike(views []drawing.View, sheets []*sheet) (err error) {
	least := 0.0
	for i, v := range views {
		if v.Piece >= 0 {
			least = max(least, sheets[i].Scale)
		}
	}
	for i, v := range views {
		if v.Piece >= 0 && sheets[i].Scale < least {
			if sheets[i], err = b.planSheet(v, least); err != nil {
				return err
			}
		}
	}
	return nil
}

// bed is a pattern with what all its sheets need.
type bed struct {
	pattern.Pattern
	Options
	groups []drawing.Group
	marks  map[int]string
}

func newBed(p pattern.Pattern, o Options) *bed {
	if o.Paper == "" {
		o.Paper = A4
	}
	groups := drawing.Groups(p)
	return &bed{p, o, groups, drawing.Marks(groups)}
}

// tooLarge is the trouble of a view that no scale brings onto the paper.
func (b *bed) tooLarge(what string) error {
	return trouble.Data("too-large", b.Name, fmt.Sprintf("the %s does not fit on %s with its dimensions", what, b.Paper), "draw it on A3, or draw its pieces one by one")
}

// stoneOf is the least box around the stone of a view, in the view's frame.
func (b *bed) stoneOf(v drawing.View) (u0, w0, u1, w1 float64) {
	if v.Piece < 0 {
		return -b.SizeX / 2, -b.SizeY / 2, b.SizeX / 2, b.SizeY / 2
	}
	low, high := v.Contour(b.Pattern, b.Pieces[v.Piece].Outline).Bounds()
	return low.X, low.Y, high.X, high.Y
}
