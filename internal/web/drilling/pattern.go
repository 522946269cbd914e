package drilling

import (
	"bytes"
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/rules"
	"slatewright/bed/rules/answers"
	"slatewright/internal/picture/beddrawing"
	"slatewright/internal/picture/chart"
	"slatewright/internal/picture/drafting"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

const onPattern = at + "/pattern"

// mostPieces is how many pieces can be chosen one by one; a mill that has more asks the command line.
const mostPieces = 6

// drawn asks what a pattern file draws.
func drawn() shell.Question {
	spec := func(name string) map[string]string { return map[string]string{"spec": name} }
	return shell.Question{Path: onPattern, File: "pattern", Care: care(), Page: "drilling/pattern", Form: patternForm,
		Examples: []shell.Example{{Files: spec("nine-foot.yaml")},
			{Path: onPattern + "/below", Files: spec("nine-foot.yaml"), Plain: map[string]string{"piece": "1", "face": "bottom"}},
			{Path: onPattern + "/five", Files: spec("snooker-twelve-foot.yaml")}},
		Answer: answerPattern}
}

func patternForm(v *shell.Visit) shell.Asking {
	pieces := shell.ListChoice{Name: "piece", Label: v.Say("pattern.shown"), Value: "bed", Choices: []shell.ListChoice{{Value: "bed", Label: v.Say("pattern.whole")}}}
	for i := range mostPieces {
		pieces.Choices = append(pieces.Choices, shell.ListChoice{Value: strconv.Itoa(i + 1), Label: v.Say("pattern.one", "n", i+1)})
	}
	faces := shell.ListChoice{Name: "face", Label: v.Say("pattern.seen"), Value: pattern.Top.String(),
		Choices: []shell.ListChoice{{Value: pattern.Top.String(), Label: v.Say("pattern.above")}, {Value: pattern.Bottom.String(), Label: v.Say("pattern.below")}}}
	return shell.Asking{Asks: v.Say("pattern.asks"), About: v.Say("pattern.about"),
		Form:  shell.ListForm{Fields: []shell.ListField{{Name: "spec", Label: v.Say("drilling.spec"), Hint: v.Say("drilling.spec-hint")}}, More: []shell.ListChoice{pieces, faces}},
		Links: []shell.Anchor{{Path: onPattern + "/below", Says: v.Say("pattern.below-example")}, {Path: onPattern + "/five", Says: v.Say("pattern.five-example")}}}
}

func answerPattern(a shell.Asked) (shell.Reply, error) {
	file, p, err := patternIn(a, "spec")
	if err != nil {
		return shell.Reply{}, err
	}
	view, err := viewIn(a, p)
	if err != nil {
		return shell.Reply{}, err
	}
	s := spread{a.Words, answers.Checked(file, p), p, view, a.Demo}
	var list bytes.Buffer
	if err := drawing.CSV(&list, p, view.Piece); err != nil {
		return shell.Reply{}, err
	}
	out := shell.Reply{JSON: s.Check, CSV: list.Bytes(), Loads: loadsOf(a.Words, p)}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = s.caption(), s.holes()
	out.Figures, out.Tables, out.Notes = s.figures(), s.tables(), s.Warnings
	out.Files, err = s.files(a.Plain.Get("as"))
	return out, err
}

// viewIn is what is to be shown: the whole bed or a piece, from above or from below.
func viewIn(a shell.Asked, p pattern.Pattern) (v drawing.View, err error) {
	v.Piece = drawing.Whole
	if typed := a.Typed("piece"); typed != "" && typed != "bed" {
		n, err := strconv.Atoi(typed)
		if err != nil || n < 1 || n > len(p.Pieces) {
			return v, problem.New("bad-value", "piece", a.Say("pattern.no-piece", "n", len(p.Pieces)), a.Say("pattern.no-piece-next"))
		}
		v.Piece = n - 1
	}
	if a.Typed("face") == pattern.Bottom.String() {
		v.Face = pattern.Bottom
	}
	return v, nil
}

// spread is a pattern on its way to a page.
type spread struct {
	tongue.Words
	*answers.Check
	p        pattern.Pattern
	view     drawing.View
	invented bool // the mill is, and its drawings say so
}

func (s spread) tone() string {
	if len(s.Problems) > 0 {
		return "bad"
	}
	return "good"
}

func (s spread) says() string {
	if n := len(s.Problems); n > 0 {
		return s.Say("pattern.problems", "n", n)
	}
	return s.Say("pattern.keeps", "n", len(rules.Rules()))
}

func (s spread) next() string {
	return s.Say("pattern.has", "name", s.Pattern, "revision", s.Revision, "pieces", len(s.p.Pieces), "pockets", len(s.p.Pockets), "holes", len(s.p.Holes))
}

func (s spread) caption() string {
	what := s.Say("pattern.whole")
	if s.view.Piece >= 0 {
		what = s.Say("pattern.piece-named", "name", pieceName(s.Words, s.p.Pieces[s.view.Piece].Name))
	}
	text := what + ", " + s.Say("pattern.from-above")
	if s.view.Face == pattern.Bottom {
		text = what + ", " + s.Say("pattern.from-below")
	}
	if len(s.Problems) > 0 {
		text += " " + s.Say("pattern.numbers")
	}
	return text
}

func (s spread) figures() (list []shell.Figure) {
	for _, piece := range s.Stone {
		list = append(list, shell.Figure{Name: s.Say("pattern.piece-named", "name", pieceName(s.Words, piece.Piece)), Value: s.Mass(piece.Mass),
			Small: s.Say("pattern.stone", "length_size", piece.Length, "width_size", s.p.SizeY, "thick_size", s.Least)})
	}
	return append(list, shell.Figure{Name: s.Say("pattern.lifting"), Value: s.Say("pattern.weigh"), Small: s.Say("pattern.lifting-small")})
}

// tables are what is wrong, and which holes are alike.
func (s spread) tables() (list []shell.Table) {
	if len(s.Problems) > 0 {
		t := shell.Table{Title: s.Say("pattern.wrong"), Caption: s.Say("pattern.wrong-about"), Heads: words(s.Say("pattern.number"), s.Say("pattern.line"), s.Say("pattern.where"), s.Say("pattern.what"))}
		for i, p := range s.Problems {
			line := "–"
			if p.Line > 0 {
				line = strconv.Itoa(p.Line)
			}
			where := shell.Cell{Text: p.Where}
			if n := len(p.Features); n > 1 {
				where.Small = s.Say("pattern.places", "n", n)
			}
			t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: strconv.Itoa(i + 1)}, {Text: line}, where, {Text: s.InWords(p.Message), Small: ruleName(s.Words, p.Rule)}}})
		}
		list = append(list, t)
	}
	t := shell.Table{Title: s.Say("pattern.holes"), Caption: s.Say("pattern.holes-about"), Heads: words(s.Say("pattern.mark"), s.Say("pattern.count"), s.Say("pattern.made"))}
	for _, g := range drawing.Groups(s.p) {
		n := 0
		for _, i := range g.Holes {
			if s.view.Shows(s.p.Holes[i].Piece) {
				n++
			}
		}
		if n > 0 {
			t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: g.Letter}, {Text: strconv.Itoa(n)}, {Text: s.made(g.Like), Small: s.held(g.Like)}}})
		}
	}
	if len(t.Rows) > 0 {
		list = append(list, t)
	}
	return list
}

// words are the heads of a table of words.
func words(names ...string) (cells []shell.Cell) {
	for _, n := range names {
		cells = append(cells, shell.Cell{Text: n})
	}
	return cells
}

// ruleNames are the rules with their words.
var ruleNames = map[string]string{rules.HoleEdge: "pattern.hole-edge", rules.HoleJoint: "pattern.hole-joint", rules.HolePocket: "pattern.hole-pocket", rules.HoleHole: "pattern.hole-hole",
	rules.Web: "pattern.web", rules.JointPocket: "pattern.joint-pocket", rules.Dowels: "pattern.dowels", rules.Supports: "pattern.supports", rules.Strips: "pattern.strips",
	rules.NotAlike: "pattern.symmetry", rules.BoltFloat: "pattern.bolt-float", rules.Tournament: "pattern.tournament"}

func ruleName(w tongue.Words, rule string) string {
	if key, ok := ruleNames[rule]; ok {
		return w.Say(key)
	}
	return rule
}

// made says how a hole is made.
func (s spread) made(h pattern.Hole) string {
	parts := []string{"⌀ " + s.Size(h.Diameter)}
	side := func(f pattern.Face) string {
		if f == pattern.Bottom {
			return s.Say("pattern.of-below")
		}
		return s.Say("pattern.of-above")
	}
	switch {
	case !h.Through():
		parts = append(parts, s.Say("pattern.deep", "depth_size", h.Depth, "side", side(h.From)))
	default:
		parts = append(parts, s.Say("pattern.through", "side", side(h.From)))
	}
	if c := h.Counter; c != nil && c.Angle > 0 {
		parts = append(parts, s.Say("pattern.countersink", "diameter_size", c.Diameter, "angle", degrees(s.Words, c.Angle), "side", side(c.From)))
	} else if c != nil {
		parts = append(parts, s.Say("pattern.counterbore", "diameter_size", c.Diameter, "depth_size", c.Depth, "side", side(c.From)))
	}
	if h.Chamfer > 0 {
		parts = append(parts, s.Say("pattern.chamfer", "leg_size", h.Chamfer))
	}
	return strings.Join(parts, ", ")
}

// held says what a hole is for, its tolerances, and what passes through it.
func (s spread) held(h pattern.Hole) string {
	parts := []string{kindName(s.Words, string(h.Kind))}
	if h.Position > 0 {
		parts = append(parts, s.Say("pattern.zone", "zone_mm", h.Position))
	}
	if h.Tolerance.Diameter > 0 {
		parts = append(parts, s.Say("pattern.within", "within_mm", h.Tolerance.Diameter))
	}
	if h.Bolt > 0 {
		parts = append(parts, s.Say("pattern.bolt", "bolt_size", h.Bolt))
	}
	return strings.Join(parts, "; ")
}

// holes is every hole in the view, by its mark.
func (s spread) holes() shell.Table {
	t := shell.Table{Caption: s.Say("pattern.places-about"), Heads: shell.Heads(s.Say("pattern.mark"), s.Say("pattern.name"), s.Say("drilling.piece"), "x", "y", s.Say("drilling.diameter"))}
	t.Heads[1].Figure, t.Heads[2].Figure = false, false
	for _, g := range drawing.Groups(s.p) {
		for n, i := range g.Holes {
			h := s.p.Holes[i]
			if !s.view.Shows(h.Piece) {
				continue
			}
			piece := "–"
			if h.Piece >= 0 {
				piece = pieceName(s.Words, s.p.Pieces[h.Piece].Name)
			}
			t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: fmt.Sprint(g.Letter, n+1)}, {Text: h.Name}, {Text: piece}}}.With(place(s.Words, h.X), "").With(place(s.Words, h.Y), "").With(s.Size(h.Diameter), ""))
		}
	}
	return t
}

// place writes a coordinate.
func place(w tongue.Words, mm float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(mm/25.4, 3) + "\u00a0in"
	}
	return w.Number(mm, 2) + "\u00a0mm"
}

// files are the drawings; only the one that is asked for is made.
func (s spread) files(asked string) (list []shell.ReplyFile, err error) {
	add := func(as, says, name, kind string, write func(*bytes.Buffer) error) {
		var text bytes.Buffer
		if as == asked && err == nil {
			err = write(&text)
		}
		list = append(list, shell.ReplyFile{ListFile: shell.ListFile{As: as, Label: s.Say(says)}, Name: name, Kind: kind, Content: text.Bytes()})
	}
	o := beddrawing.Options{Paper: beddrawing.A3, Invented: s.invented, Reader: lettered(s.Words)}
	title := o.Reader.Say("drawing.document", "name", s.Pattern, "revision", s.Revision)
	add("pdf", "pattern.pdf", "drawings.pdf", "application/pdf", func(b *bytes.Buffer) error {
		list, err := beddrawing.Sheets(s.p, o, beddrawing.Views(s.p, s.view.Piece), s.view.Piece < 0)
		if err != nil {
			return err
		}
		return beddrawing.PDF(b, title, o, list)
	})
	one := func(o beddrawing.Options, write func(*bytes.Buffer, *drafting.Drawing) error) func(*bytes.Buffer) error {
		return func(b *bytes.Buffer) error {
			list, err := beddrawing.Sheets(s.p, o, []drawing.View{s.view}, false)
			if err != nil {
				return err
			}
			return write(b, list[0])
		}
	}
	name := s.view.Name(s.p)
	seen := o // on a screen, which has the letters of every language
	seen.Reader = s.Words
	add("svg", "pattern.svg", name+".svg", "image/svg+xml", one(seen, func(b *bytes.Buffer, d *drafting.Drawing) error { return d.SVG(b) }))
	add("dxf", "pattern.dxf", name+".dxf", "application/dxf", one(o, func(b *bytes.Buffer, d *drafting.Drawing) error { return d.DXF(b) }))
	if s.view.Piece >= 0 {
		a4 := beddrawing.Options{Paper: beddrawing.A4, Invented: s.invented, Reader: o.Reader}
		add("template", "pattern.template", "template-"+name+".pdf", "application/pdf", func(b *bytes.Buffer) error {
			return beddrawing.TilePDF(b, beddrawing.Template(s.p, a4, s.view), a4)
		})
	}
	return list, err
}

// lettered are the words of what is printed and of what drawing programs read. The fonts of neither have Chinese characters: those who read
// Chinese have the sheets in English.
func lettered(w tongue.Words) tongue.Words {
	if w.Language() == tongue.Chinese {
		return tongue.In(tongue.English, w.Units())
	}
	return w
}

// degrees writes an angle.
func degrees(w tongue.Words, rad float64) string { return w.Number(rad*180/math.Pi, 0) + "°" }
