package drilling

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/internal/cli/verb"
	"slatewright/internal/picture/beddrawing"
	"slatewright/internal/picture/drafting"
	"slatewright/trouble"
)

// Draw writes the drawings of a bed.
type Draw struct {
	Spec     string `arg:"" help:"The pattern file, YAML; - is standard input."`
	Out      string `required:"" placeholder:"FOLDER" help:"Where the files go; none of them may be there yet."`
	Piece    string `placeholder:"PIECE" help:"Only this piece: its name or its number from the head."`
	View     string `enum:"top,bottom,both" default:"both" help:"Seen from above (top), from below (bottom), or both."`
	Paper    string `enum:"A3,A4" default:"A3" help:"Size of the sheets."`
	Template bool   `help:"Write templates in true size instead, of each piece, from above where --view says nothing."`
	Invented bool   `help:"Mark every sheet: the data are invented."`
}

// About is the help of the verb.
func (Draw) About() verb.About {
	return verb.About{
		Text: `Draws the whole bed and each piece, from above and from below, with sections and the list of holes: drawings.pdf with all sheets, each sheet as
			SVG and DXF, and holes.csv. Seen from below, the stone is mirrored, and the sheet says and shows so. Each sheet has the largest of the
			usual scales at which it fits, running dimensions from the middle lines, and a bar to measure.

			With --template: each piece in true size as SVG, DXF, and PDF in tiles of the paper, to be printed at 100 % and laid together. DXF is in mm at the
			size of the stone, on layers by kind. Nothing here says whether the bed is well designed: bed check does.`,
		Examples: []verb.Example{
			{"slatewright bed draw nine-foot.yaml --out drawings", "all sheets on A3"},
			{"slatewright bed draw nine-foot.yaml --out drawings --piece head --view bottom --paper A4", "one piece as the driller sees it from below"},
			{"slatewright bed draw nine-foot.yaml --out templates --template --paper A4", "1:1, in tiles"},
		},
	}
}

// drawnFile is a file that was written.
type drawnFile struct {
	Path  string `json:"path"`
	Kind  string `json:"kind"`
	Shows string `json:"shows"`
	Scale string `json:"scale,omitempty"`
	Pages int    `json:"pages,omitempty"`
}

// drawnPiece is what a piece is as it is cut.
type drawnPiece struct {
	Name  string  `json:"name"`
	Area  float64 `json:"area_m2"`
	Mass  float64 `json:"mass_kg"`
	Holes int     `json:"holes"`
}

// drawReport is the answer.
type drawReport struct {
	Pattern  string       `json:"pattern"`
	Revision string       `json:"revision"`
	Paper    string       `json:"paper"`
	Files    []drawnFile  `json:"files"`
	Pieces   []drawnPiece `json:"pieces"`
	Warnings []string     `json:"warnings"`
	out      []verb.NewFile
}

// Run draws.
func (v Draw) Run(s *verb.Session) (verb.Report, error) {
	p, err := readPattern(s, v.Spec)
	if err != nil {
		return nil, err
	}
	piece, err := v.piece(p)
	if err != nil {
		return nil, err
	}
	o := beddrawing.Options{Paper: beddrawing.Paper(v.Paper), Invented: v.Invented}
	r := &drawReport{Pattern: p.Name, Revision: p.Revision, Paper: v.Paper, Files: []drawnFile{}, Warnings: []string{}}
	if p.Approved.By == "" {
		r.Warnings = append(r.Warnings, "The file does not say who approved this revision; the sheets say so.")
	}
	for i, one := range p.Pieces {
		if piece < 0 || piece == i {
			s, n := drawing.StoneOf(p, i), 0
			for _, h := range p.Holes {
				if h.Piece == i {
					n++
				}
			}
			r.Pieces = append(r.Pieces, drawnPiece{one.Name, s.Area * 1e-6, s.Mass, n})
		}
	}
	if v.Template {
		err = v.templates(r, p, o, piece)
	} else {
		err = v.sheets(r, p, o, piece)
	}
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(v.Out, 0o755); err != nil {
		return nil, verb.Unwritable(v.Out, err)
	}
	return r, verb.WriteNew(r.out...)
}

// piece finds the piece that is asked for; −1 is all.
func (v Draw) piece(p pattern.Pattern) (int, error) {
	if v.Piece == "" {
		return drawing.Whole, nil
	}
	var names []string
	for i, one := range p.Pieces {
		if one.Name == v.Piece || strconv.Itoa(i+1) == v.Piece {
			return i, nil
		}
		names = append(names, one.Name)
	}
	return 0, trouble.Usage("no-piece", v.Piece, "the pattern has no piece of this name or number", "its pieces are "+strings.Join(names, ", "))
}

// faces are those asked for; none stands for both.
func (v Draw) faces() []pattern.Face {
	switch v.View {
	case "top":
		return []pattern.Face{pattern.Top}
	case "bottom":
		return []pattern.Face{pattern.Bottom}
	}
	return nil
}

// file adds a file to those to be written.
func (r *drawReport) file(folder, name, shows, scale string, pages int, write func(io.Writer) error) error {
	var text bytes.Buffer
	if err := write(&text); err != nil {
		return err
	}
	path := filepath.Join(folder, name)
	r.out = append(r.out, verb.NewFile{Path: path, Text: text.Bytes(), Mode: 0o644})
	r.Files = append(r.Files, drawnFile{path, strings.TrimPrefix(filepath.Ext(name), "."), shows, scale, pages})
	return nil
}

// sheets draws the sheets.
func (v Draw) sheets(r *drawReport, p pattern.Pattern, o beddrawing.Options, piece int) error {
	list, err := beddrawing.Sheets(p, o, beddrawing.Views(p, piece, v.faces()...), piece < 0)
	if err != nil {
		return err
	}
	title := p.Name + ", revision " + p.Revision
	if err := r.file(v.Out, "drawings.pdf", "all sheets", "", len(list), func(w io.Writer) error { return beddrawing.PDF(w, title, o, list) }); err != nil {
		return err
	}
	for _, d := range list {
		if err := r.drawn(v.Out, d); err != nil {
			return err
		}
	}
	return r.file(v.Out, "holes.csv", "list of holes", "", 0, func(w io.Writer) error { return drawing.CSV(w, p, piece) })
}

// drawn adds a drawing as SVG and, unless it is a list, as DXF.
func (r *drawReport) drawn(folder string, d *drafting.Drawing) error {
	scale := fmt.Sprintf("1:%g", d.Scale)
	list := strings.HasPrefix(d.Name, "holes")
	if list || strings.HasPrefix(d.Name, "details") { // has several, or none
		scale = ""
	}
	if err := r.file(folder, d.Name+".svg", d.Title, scale, 0, d.SVG); err != nil {
		return err
	}
	if list {
		return nil
	}
	return r.file(folder, d.Name+".dxf", d.Title, scale, 0, d.DXF)
}

// templates draws the pieces in true size.
func (v Draw) templates(r *drawReport, p pattern.Pattern, o beddrawing.Options, piece int) error {
	faces := v.faces()
	if faces == nil {
		faces = []pattern.Face{pattern.Top}
	}
	for _, view := range beddrawing.Views(p, piece, faces...) {
		if view.Piece < 0 {
			continue
		}
		d := beddrawing.Template(p, o, view)
		if err := r.drawn(v.Out, d); err != nil {
			return err
		}
		across, down, _ := beddrawing.Tiles(d, o)
		if err := r.file(v.Out, d.Name+".pdf", d.Title, "1:1", across*down, func(w io.Writer) error { return beddrawing.TilePDF(w, d, o) }); err != nil {
			return err
		}
	}
	r.Warnings = append(r.Warnings, "Print at 100 %, without fitting to the page, and measure the bars along and across on every print: paper stretches.")
	if slices.Contains(faces, pattern.Bottom) {
		r.Warnings = append(r.Warnings, "A template from below is mirrored: lay it on the underside only.")
	}
	return nil
}

// Outcome is Done.
func (r *drawReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the answer for people.
func (r *drawReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s, revision %s, on %s\n\n", r.Pattern, r.Revision, r.Paper)
	rows := [][]string{{"piece", "face m2", "stone kg", "holes"}}
	for _, p := range r.Pieces {
		rows = append(rows, []string{p.Name, strconv.FormatFloat(p.Area, 'f', 3, 64), strconv.FormatFloat(p.Mass, 'f', 1, 64), strconv.Itoa(p.Holes)})
	}
	verb.Table(w, 1, rows...)
	fmt.Fprintln(w)
	for _, f := range r.Files {
		more := f.Scale
		if f.Pages > 0 {
			more = strings.TrimSpace(more + " " + trouble.Count(f.Pages, "page", "pages"))
		}
		fmt.Fprintln(w, strings.TrimSpace("Written: "+f.Path+" "+more))
	}
	verb.PrintWarnings(w, r.Warnings)
}
