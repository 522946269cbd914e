package beddrawing

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/revision"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/drafting"
	"slatewright/trouble"
)

// drawn invents a bed: any number of pieces, of any lengths, with holes of any kind anywhere, dowels, strips and odd names.
func drawn(t *rapid.T) pattern.Pattern {
	mm := func(what string, low, high int) float64 {
		return float64(rapid.IntRange(low*4, high*4).Draw(t, what)) / 4
	}
	p := pattern.Pattern{Name: rapid.SampledFrom([]string{"a", "pool-9", "a pattern with a name that is longer than any field of a sheet"}).Draw(t, "name"), Revision: "A"}
	p.Approved = pattern.Approval{By: rapid.SampledFrom([]string{"", "Quern Hollow", "somebody of the drawing office with a very long name"}).Draw(t, "by"), On: "2026-11-26"}
	p.Thickness = mm("thickness", 20, 50)
	n := rapid.IntRange(1, 8).Draw(t, "pieces")
	x := 0.0
	for i := range n {
		l := mm("length", 250, 1200)
		p.Pieces = append(p.Pieces, pattern.Piece{Name: fmt.Sprint("piece-", i+1), From: x, To: x + l})
		x += l
	}
	p.SizeX, p.SizeY = x, mm("width", 500, 2100)
	for i := range p.Pieces {
		q := &p.Pieces[i]
		q.From, q.To = q.From-x/2, q.To-x/2
		q.Middle.X = (q.From + q.To) / 2
		q.Outline = shape.Rectangle(shape.Point{X: q.From, Y: -p.SizeY / 2}, shape.Point{X: q.To, Y: p.SizeY / 2})
		if i > 0 {
			j := pattern.Joint{Name: string(rune('a' + i - 1)), X: q.From, Before: i - 1, TopChamfer: 0.3, BottomChamfer: 3, Chip: 1}
			for k := range rapid.IntRange(0, 3).Draw(t, "dowels") {
				j.Dowels = append(j.Dowels, pattern.Dowel{Name: fmt.Sprint("d", i, k), Y: mm("dowel", -200, 200), Below: 12, Diameter: 8, Depth: 25})
			}
			p.Joints = append(p.Joints, j)
		}
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "pockets") {
		k := pattern.Pocket{Name: fmt.Sprint("k", i), Side: rapid.Bool().Draw(t, "side"), Radius: mm("radius", 30, 80), Edge: mm("edge", 0, 6), Mouth: mm("mouth", 0, 120), HasShelf: true}
		k.X, k.Y, k.Out = mm("px", -int(x/2), int(x/2)), mm("py", 0, int(p.SizeY/2)), mm("out", -3, 3)
		k.Outline = shape.Circle(shape.Point{X: k.X, Y: k.Y}, k.Radius)
		if rapid.Bool().Draw(t, "free") {
			k.Radius = 0
		}
		p.Pockets = append(p.Pockets, k)
	}
	p.FieldX, p.FieldY = p.SizeX-200, p.SizeY-200
	for g := range rapid.IntRange(0, 4).Draw(t, "groups") {
		h := pattern.Hole{Kind: rapid.SampledFrom([]pattern.Kind{pattern.RailBolt, pattern.BedScrew, pattern.Accessory}).Draw(t, "kind"), Diameter: mm("diameter", 3, 30), From: pattern.Face(rapid.IntRange(0, 1).Draw(t, "from")),
			Tolerance: pattern.Tolerance{Position: mm("position", 0, 3), Diameter: mm("off", 0, 1)}, Bolt: mm("bolt", 0, 3)}
		if rapid.Bool().Draw(t, "blind") {
			h.Depth = mm("depth", 2, 15)
		} else if rapid.Bool().Draw(t, "counter") {
			h.Counter = &pattern.Counter{Diameter: h.Diameter + mm("wider", 2, 20), Depth: mm("deep", 2, 12), From: pattern.Face(rapid.IntRange(0, 1).Draw(t, "counter from"))}
			if rapid.Bool().Draw(t, "cone") {
				h.Counter.Angle = math.Pi / 2
			}
		}
		for k := range rapid.IntRange(1, 10).Draw(t, "holes") {
			h.X, h.Y = mm("x", -int(x/2)+20, int(x/2)-20), mm("y", -int(p.SizeY/2)+20, int(p.SizeY/2)-20)
			h.Name, h.Piece = fmt.Sprintf("g%d-%d", g, k), p.PieceAt(h.X)
			p.Holes = append(p.Holes, h)
		}
	}
	return p
}

// However crowded a bed is, no word lies over a word or a line on any of its sheets, templates and comparisons; what does not fit is refused.
func TestNothingClashesHoweverCrowded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawn(t)
		o := Options{Paper: rapid.SampledFrom([]Paper{A3, A4}).Draw(t, "paper"), Invented: rapid.Bool().Draw(t, "invented")}
		views := []drawing.View{{Piece: drawing.Whole, Face: pattern.Face(rapid.IntRange(0, 1).Draw(t, "face"))},
			{Piece: rapid.IntRange(0, len(p.Pieces)-1).Draw(t, "piece"), Face: pattern.Face(rapid.IntRange(0, 1).Draw(t, "its face"))}}
		list, err := Sheets(p, o, views, true)
		if err != nil {
			var told *trouble.Trouble
			if !errors.As(err, &told) || told.Code != "too-large" {
				t.Fatal(err)
			}
		}
		list = append(list, Template(p, o, drawing.View{Piece: 0, Face: pattern.Bottom}))
		next := p
		next.Holes = append([]pattern.Hole(nil), p.Holes...)
		for i := range next.Holes {
			next.Holes[i].X += float64(i%3) * 10
		}
		if d, err := Overlay(p, next, revision.Compare(p, next), nil, o); err == nil {
			list = append(list, d)
		}
		for _, d := range list {
			if c := d.Clashes(); len(c) > 0 {
				t.Fatalf("%s: %v", d.Name, c)
			}
			for _, words := range d.Texts {
				if words.Height < drafting.Least {
					t.Fatalf("%q is %v mm high", words.Words, words.Height)
				}
			}
		}
	})
}
