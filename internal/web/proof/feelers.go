package proof

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/traverse/answers"
	"slatewright/traverse/feelers"
)

// answerFeelers says between which bounds the zone lies that a straightedge read.
func answerFeelers(a shell.Asked) (shell.Reply, error) {
	list, err := a.List("list")
	if err != nil {
		return shell.Reply{}, err
	}
	limit, err := limitOf(a)
	if err != nil {
		return shell.Reply{}, err
	}
	s, err := feelers.Read(list.Name, list.Reader())
	if err != nil {
		return shell.Reply{}, err
	}
	s.Stop = a.Stop
	got, err := answers.OfFeelers(s, limit)
	if err != nil {
		return shell.Reply{}, tooLong(a, list, err)
	}
	e := edged{a, got}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says = e.says()
	out.Next = e.next()
	out.Wide, out.Narrow = chart.Both(e.picture)
	out.Caption = e.Say("proof.feelers-caption")
	out.Behind, out.Figures, out.Notes = e.readings(), e.figures(), got.Warnings
	if len(got.Contradictions) > 0 {
		out.Tables = append(out.Tables, e.contradictions())
	}
	return out, nil
}

// edged is an answered sheet on its way to a page.
type edged struct {
	shell.Asked
	*answers.Feelers
}

// The bounds are rounded outwards to what is shown.
func down(mm float64) float64 { return math.Floor(mm*1e3+1e-3) / 1e3 }
func up(mm float64) float64   { return math.Ceil(mm*1e3-1e-3) / 1e3 }

// says is the answer in a sentence.
func (e edged) says() (tone, says string) {
	switch {
	case len(e.Contradictions) > 0:
		return "bad", e.Say("proof.feelers-contradict", "rows", rows(e.Words, e.Contradictions[0].Rows))
	case e.HighMM == nil && e.LimitMM != nil && e.Says == judge.DoesNotConform:
		return "bad", e.Say("proof.feelers-fails-open", "low_mm", down(*e.LowMM), "limit_mm", *e.LimitMM)
	case e.HighMM == nil:
		return "doubt", e.Say("proof.feelers-no-bound", "low_mm", down(*e.LowMM))
	}
	both := []any{"many", e.Stations, "low_mm", down(*e.LowMM), "high_mm", up(*e.HighMM)}
	if e.LimitMM == nil {
		return "", e.Say("proof.feelers-bounds", both...)
	}
	both = append(both, "limit_mm", *e.LimitMM)
	switch e.Says {
	case judge.Conforms:
		return "good", e.Say("proof.feelers-conforms", both...)
	case judge.DoesNotConform:
		return "bad", e.Say("proof.feelers-fails", both...)
	}
	return "doubt", e.Say("proof.feelers-open", both...)
}

// next is what to do next.
func (e edged) next() string {
	switch {
	case len(e.Contradictions) > 0:
		return e.Say("proof.feelers-again")
	case len(e.Loose) > 0:
		return e.Say("proof.feelers-tie", "lines", strings.Join(e.Loose, ", "))
	case len(e.OpenRows) > 0:
		return e.Say("proof.feelers-thicker", "row", e.OpenRows[0])
	case e.Strip != nil:
		return e.Say("proof.feelers-strip", "line", *e.Next.Line, "x_size", *e.Next.X, "y_size", *e.Next.Y, "strip_mm", *e.Next.StripMM,
			"passes_mm", *e.Next.Passes, "stops_mm", *e.Next.Stops)
	}
	return ""
}

// gap writes what a reading says of the gap: thickest that passes to thinnest that stops.
func (e edged) gap(g feelers.Reading) string {
	low, high := "0", "∞"
	if !math.IsNaN(g.Passes) {
		low = e.figure(g.Passes)
	}
	if !math.IsNaN(g.Stops) {
		high = e.figure(g.Stops)
	}
	return low + "–" + high
}

// figure writes the thickness of a strip without its unit.
func (e edged) figure(mm float64) string {
	if shell.SmallUnit(e.Words) == "thou" {
		return e.Number(mm/0.0254, 1)
	}
	return e.Number(mm, 2)
}

// read tells whether a reading has a strip.
func read(g feelers.Reading) bool { return !math.IsNaN(g.Passes) || !math.IsNaN(g.Stops) }

// picture draws the lines from above: blocks, the gap at each station, what contradicts, and where to try next.
func (e edged) picture(width float64) template.HTML {
	s := e.Set
	p := planOf(e.Words, width, barRoom, s.At, e.Say("proof.feelers-picture", "many", e.Stations, "lines", len(s.Lines)))
	for i, l := range s.Lines {
		e.edge(p, i, slices.Contains(e.Loose, l.Mark))
	}
	wrong := map[int]bool{}
	for _, c := range e.Bounds.Contradictions {
		for _, k := range c.Readings {
			wrong[k] = true
		}
	}
	for k, g := range s.Readings {
		x, y := p.place(s.At[g.Place])
		switch {
		case wrong[k]:
			p.Cross("cross", x, y, 7)
			p.Block(x, y, 5)
			p.Label("wrong-word", x, y, e.Say("proof.line-of-file", "row", g.Row), true)
			continue
		case g.Block && !s.Laid:
			p.Rect("base", x-5, y-5, 10, 10)
		default:
			p.Disc("spot", x, y, 3.2)
		}
		p.Block(x, y, 5)
	}
	e.tryNext(p)
	for _, g := range s.Readings {
		if x, y := p.place(s.At[g.Place]); read(g) {
			p.Label("", x, y, e.gap(g), false)
		}
	}
	for i, l := range s.Lines {
		e.name(p, i, l.Mark)
	}
	p.axes()
	low, high := math.NaN(), math.NaN()
	if e.LowMM != nil {
		low, high = *e.LowMM, math.Inf(1)
	}
	if e.HighMM != nil {
		high = *e.HighMM
	}
	p.bar(low, math.NaN(), high, e.LimitMM)
	return p.End()
}

// ends are the outermost places of a line.
func (e edged) ends(line int) (from, to [2]float64) {
	var at [][2]float64
	for _, g := range e.Set.Readings {
		if g.Line == line {
			at = append(at, e.Set.At[g.Place])
		}
	}
	x0, x1, y0, y1 := extent(at)
	from, to = at[0], at[0]
	far := func(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }
	for _, q := range at {
		if far(q, [2]float64{(x0 + x1) / 2, (y0 + y1) / 2})+far(q, at[0]) > far(to, [2]float64{(x0 + x1) / 2, (y0 + y1) / 2})+far(to, at[0]) {
			to = q
		}
	}
	for _, q := range at {
		if far(q, to) > far(from, to) {
			from = q
		}
	}
	return from, to
}

func (e edged) edge(p *plan, line int, loose bool) {
	from, to := e.ends(line)
	x0, y0 := p.place(from)
	x1, y1 := p.place(to)
	class := "step"
	if loose {
		class = "loose"
	}
	p.Line(class, x0, y0, x1, y1)
}

// name writes the mark of a line at its first end that has room.
func (e edged) name(p *plan, line int, mark string) {
	from, to := e.ends(line)
	for _, at := range [][2]float64{from, to} {
		x, y := p.place(at)
		if p.Label("strong", x, y, mark, false) {
			return
		}
	}
}

// tryNext marks where to try the next strip: a ring about the station, and the strip in words.
func (e edged) tryNext(p *plan) {
	if e.Strip == nil {
		return
	}
	x, y := p.place([2]float64{*e.Next.X, *e.Next.Y})
	p.Disc("ring", x, y, 9)
	p.Block(x, y, 10)
	p.Label("next-word", x+3, y, e.Say("proof.next-strip", "strip_mm", *e.Next.StripMM), true)
}

// readings are the sheet as a table.
func (e edged) readings() shell.Table {
	unit := shell.SmallUnit(e.Words)
	t := shell.Table{Caption: e.Say("proof.feelers-readings"), Heads: shell.Heads(e.Say("proof.row"), e.Say("proof.line"), "x", "y",
		e.Say("proof.passes", "unit", unit), e.Say("proof.stops", "unit", unit))}
	for i, g := range e.Set.Readings {
		if i == mostRows {
			t.Caption = e.Say("proof.first-rows", "many", mostRows, "of", len(e.Set.Readings))
			break
		}
		t.Rows = append(t.Rows, e.reading(g))
	}
	return t
}

func (e edged) reading(g feelers.Reading) shell.Row {
	at := e.Set.At[g.Place]
	passes, stops := "–", "–"
	if g.Block && !e.Set.Laid && !read(g) {
		passes, stops = e.Say("proof.block"), e.Say("proof.block")
	}
	if !math.IsNaN(g.Passes) {
		passes = e.figure(g.Passes)
	}
	if !math.IsNaN(g.Stops) {
		stops = e.figure(g.Stops)
	}
	return shell.RowOf(fmt.Sprint(g.Row), e.Set.Lines[g.Line].Mark, e.Size(at[0]), e.Size(at[1]), passes, stops)
}

func (e edged) contradictions() shell.Table {
	t := e.readings()
	t.Title, t.Caption, t.Rows = e.Say("proof.contradictions"), e.Say("proof.contradictions-text"), nil
	for n, c := range e.Bounds.Contradictions {
		for _, k := range c.Readings {
			row := e.reading(e.Set.Readings[k])
			row.Chosen = n%2 == 1
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

func (e edged) figures() []shell.Figure {
	var list []shell.Figure
	if e.LowMM != nil {
		list = append(list, shell.Figure{Name: e.Say("proof.at-least"), Value: e.Both(down(*e.LowMM)), Small: e.Say("proof.at-least-small")})
		most := shell.Figure{Name: e.Say("proof.at-most"), Value: e.Say("proof.no-bound")}
		switch {
		case e.HighMM != nil && e.HighIsExact:
			most.Value, most.Small = e.Both(up(*e.HighMM)), e.Say("proof.at-most-exact")
		case e.HighMM != nil:
			most.Value, most.Small = e.Both(up(*e.HighMM)), e.Say("proof.at-most-proven")
		}
		list = append(list, most)
	}
	how := e.Say("proof.on-blocks", "block_mm", e.Set.Block)
	if e.Set.Laid {
		how = e.Say("proof.laid")
	}
	return append(list, shell.Figure{Name: e.Say("proof.stations"), Value: e.Number(float64(e.Stations), 0)}, shell.Figure{Name: e.Say("proof.edge"), Value: how})
}
