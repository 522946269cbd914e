package gauging

import (
	"html/template"
	"math"
	"slices"
	"strings"

	"slatewright/gauge/answers"
	"slatewright/gauge/study"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// answerStudy answers a study: of readings, or of verdicts where the list has a column for them.
func answerStudy(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	tolerance, _, err := a.LengthIn("tolerance")
	if err != nil {
		return shell.Reply{}, err
	}
	if _, verdicts := table.Has("verdict"); verdicts {
		return answerVerdicts(a, table)
	}
	s, err := answers.OfReadings(table, tolerance)
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	out := shell.Reply{JSON: s, Question: at + "/study"}
	out.Says, out.Next = studySays(w, s)
	c := cellsOf(s.List)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawStudy(w, s, c, width) })
	out.Caption = w.Say("gauging.study-caption")
	if c.left > 0 {
		out.Caption += " " + w.Say("gauging.study-left", "n", c.left)
	}
	out.Behind = behindStudy(w, s, c)
	out.Figures = studyFigures(w, s)
	out.Tables = []shell.Table{componentsTable(w, s), anovaTable(w, s)}
	if s.Ranges != nil {
		out.Tables = append(out.Tables, rangesTable(w, s))
	}
	out.Notes = append(out.Notes, s.Warnings...)
	if s.Pooling != "" {
		out.Notes = append(out.Notes, s.Pooling)
	}
	return out, nil
}

// gaugeOf is the component that the question is about: the gauge, or repeatability where there is one person.
func gaugeOf(s *answers.Study) answers.StudyComponent {
	for _, name := range []string{study.Gauge, study.Repeatability} {
		for _, c := range s.Components {
			if c.Name == name {
				return c
			}
		}
	}
	return answers.StudyComponent{}
}

// six is how many standard deviations hold nearly all readings of one true value.
const six = 6

func studySays(w say, s *answers.Study) (says, next string) {
	g := gaugeOf(s)
	classes := w.Say("gauging.study-classes", "n", s.Categories)
	if s.Tolerance == nil {
		return w.Say("gauging.study-of-study", "share", w.share(g.OfStudy), "within", w.shares(g.StudyWithin[0], g.StudyWithin[1])), classes
	}
	return w.Say("gauging.study-of-tolerance", "share", w.share(*g.OfTolerance), "within", w.shares(g.ToleranceIn[0], g.ToleranceIn[1]),
		"width", w.amount(six*g.SD, s.Unit), "tolerance", w.amount(*s.Tolerance, s.Unit)), classes
}

// cells are the readings by part and person, as many as a picture can show.
type cells struct {
	parts, people []string
	at            map[[2]int][]float64
	left          int // parts that are not shown
}

// mostCells is how many cells a picture shows; of more parts every so many is shown.
const mostCells = 360

func cellsOf(list []study.Reading) cells {
	c := cells{at: map[[2]int][]float64{}}
	part, person := map[string]int{}, map[string]int{}
	place := func(of map[string]int, names *[]string, name string) int {
		i, ok := of[name]
		if !ok {
			i = len(*names)
			of[name] = i
			*names = append(*names, name)
		}
		return i
	}
	for _, r := range list {
		k := [2]int{place(part, &c.parts, r.Part), place(person, &c.people, r.Person)}
		c.at[k] = append(c.at[k], r.Value)
	}
	shown := max(1, mostCells/max(1, min(len(c.people), mostCells)))
	if len(c.parts) <= shown {
		return c
	}
	thin := cells{people: c.people, at: map[[2]int][]float64{}, left: len(c.parts) - shown}
	for n := range shown {
		i := n * len(c.parts) / shown
		thin.parts = append(thin.parts, c.parts[i])
		for j := range c.people {
			if v, ok := c.at[[2]int{i, j}]; ok {
				thin.at[[2]int{n, j}] = v
			}
		}
	}
	return thin
}

// reach is the lowest and the highest reading.
func (c cells) reach() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, values := range c.at {
		low, high = min(low, slices.Min(values)), max(high, slices.Max(values))
	}
	return low, high
}

// mostNamed is how many people a legend names.
const mostNamed = 5

func drawStudy(w say, s *answers.Study, c cells, width float64) template.HTML {
	left, right, top, height := 46.0, 150.0, 34.0, 400.0
	if width < chart.Wide {
		left, right, height = 36, 96, 380
	}
	g := gaugeOf(s)
	low, high := c.reach()
	band := six * g.SD
	if s.Tolerance != nil {
		band = max(band, min(*s.Tolerance, 6*(high-low)+band))
	}
	y := chart.Around(min(low, s.Mean-band/2), max(high, s.Mean+band/2), height-38, top)
	p := chart.New(width, height, w.Say("gauging.study-picture", "parts", len(c.parts), "people", len(c.people)))
	plot := chart.Axis{Low: 0, High: float64(len(c.parts)), From: left, To: width - right}
	unit := w.scaleOf(s.Unit, max(math.Abs(y.Low), math.Abs(y.High)))
	ticks, decimals := y.Ticks(unit.unit, 6)
	for _, v := range ticks {
		p.Line("grid", left, y.At(v), width-right, y.At(v))
		p.Text("tick", "end", left-6, y.At(v)+4, w.Number(v/unit.unit, decimals))
	}
	p.Text("tick", "start", 2, top-18, unit.name)
	people(p, c.people, left+16, top-18, width)
	every := max(1, int(math.Ceil(float64(len(c.parts))*38/(width-left-right))))
	for i, name := range c.parts {
		if i > 0 && len(c.parts) <= 60 {
			p.Line("grid", plot.At(float64(i)), top, plot.At(float64(i)), height-38)
		}
		if i%every == 0 {
			p.Text("tick", "middle", plot.At(float64(i)+0.5), height-22, chart.Short(name, 6))
		}
	}
	p.Text("tick", "middle", (left+width-right)/2, height-5, w.Say("gauging.parts"))
	r := min(4.2, max(1.6, (width-left-right)/float64(len(c.parts)*max(len(c.people), 1))/2.2))
	for i := range c.parts {
		for j := range c.people {
			x := plot.At(float64(i) + 0.5 + 0.62*(float64(j)+0.5-float64(len(c.people))/2)/float64(len(c.people)))
			values := c.at[[2]int{i, j}]
			if len(values) > 1 {
				p.Line("tie", x, y.At(slices.Min(values)), x, y.At(slices.Max(values)))
			}
			for _, v := range some(values) {
				p.Mark(j, x, y.At(v), r)
			}
		}
	}
	studyBars(p, w, s, g, y, width-right)
	return p.End()
}

// mostMarks is how many readings of one cell are marked.
const mostMarks = 12

func some(values []float64) []float64 { return values[:min(len(values), mostMarks)] }

// people is the legend.
func people(p *chart.Pen, names []string, x, y, width float64) {
	most := 12
	if width < chart.Wide {
		most = 9
	}
	for j, name := range names {
		if j == mostNamed || x > width-70 {
			p.Text("tick", "start", x, y, "…")
			return
		}
		p.Mark(j, x+5, y-4, 4.2)
		name = chart.Short(name, most)
		p.Text("label", "start", x+13, y, name)
		x += 30 + 7*float64(len([]rune(name)))
	}
}

// studyBars draws the tolerance and six standard deviations of the gauge beside the readings, about their mean.
func studyBars(p *chart.Pen, w say, s *answers.Study, g answers.StudyComponent, y chart.Axis, x float64) {
	room := p.Width - x
	bar := func(class string, centre, half float64, thick float64) {
		p.Rect(class, centre-thick/2, y.Clip(s.Mean+half), thick, y.Clip(s.Mean-half)-y.Clip(s.Mean+half))
	}
	at := x + room*0.5
	if s.Tolerance != nil {
		at = x + room*0.3
		bar("allowed", at, *s.Tolerance/2, 16)
		p.Text("label", "middle", at, y.Clip(s.Mean+*s.Tolerance/2)-6, w.amount(*s.Tolerance, s.Unit))
		p.Text("tick", "middle", at, p.Height-22, w.Say("gauging.tolerance"))
		at = x + room*0.74
	}
	bar("doubt", at, six/2*g.SD, 16)
	p.Rise("whisker", at, y.Clip(s.Mean+six/2*g.Within[1]), y.Clip(s.Mean-six/2*g.Within[1]), 5)
	p.Text("label", "middle", at, y.Clip(s.Mean+six/2*g.Within[1])-6, w.amount(six*g.SD, s.Unit))
	p.Text("tick", "end", p.Width-2, p.Height-5, w.Say("gauging.gauge"))
}

func behindStudy(w say, s *answers.Study, c cells) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.study-behind"), Heads: shell.Heads(append([]string{w.Say("gauging.part")}, c.people...)...)}
	for i, name := range c.parts {
		row := []string{name}
		for j := range c.people {
			var values []string
			for _, v := range some(c.at[[2]int{i, j}]) {
				values = append(values, w.amount(v, s.Unit))
			}
			row = append(row, strings.Join(values, " · "))
		}
		t.Rows = append(t.Rows, shell.RowOf(row...))
	}
	return t
}

func studyFigures(w say, s *answers.Study) (list []shell.Figure) {
	for _, c := range s.Components {
		switch c.Name {
		case study.Repeatability, study.Reproducibility, study.Gauge, study.Part:
			list = append(list, shell.Figure{Name: w.cause(c.Name), Value: w.amount(c.SD, s.Unit), Small: w.between(w.amount(c.Within[0], s.Unit), w.amount(c.Within[1], s.Unit))})
		}
	}
	return append(list, shell.Figure{Name: w.Say("gauging.classes"), Value: w.Number(float64(s.Categories), 0), Small: w.between(w.digits(s.CategoriesWithin[0], 2), w.digits(s.CategoriesWithin[1], 2))})
}

// slug is a name of the reckoning as it stands in keys.
func slug(name string) string { return strings.ReplaceAll(name, " ", "-") }

func (w say) cause(name string) string { return w.named("gauging.cause-", name) }

// named says a name of the reckoning; one that the catalogue does not have stays as it is.
func (w say) named(group, name string) string {
	if key := group + slug(name); w.Has(key) {
		return w.Say(key)
	}
	return name
}

func componentsTable(w say, s *answers.Study) shell.Table {
	t := shell.Table{Title: w.Say("gauging.components"), Caption: w.Say("gauging.intervals-95"), Heads: shell.Heads(w.Say("gauging.cause"), w.Say("gauging.sd"), w.Say("gauging.of-study"))}
	if s.Tolerance != nil {
		t.Heads = append(t.Heads, shell.Cell{Text: w.Say("gauging.of-tolerance"), Figure: true})
	}
	for _, c := range s.Components {
		r := shell.RowOf(w.cause(c.Name)).With(w.amount(c.SD, s.Unit), w.between(w.amount(c.Within[0], s.Unit), w.amount(c.Within[1], s.Unit))).With(w.share(c.OfStudy), w.shares(c.StudyWithin[0], c.StudyWithin[1]))
		if c.OfTolerance != nil {
			r = r.With(w.share(*c.OfTolerance), w.shares(c.ToleranceIn[0], c.ToleranceIn[1]))
		}
		r.Chosen = c.Name == study.Gauge
		t.Rows = append(t.Rows, r)
	}
	return t
}

func anovaTable(w say, s *answers.Study) shell.Table {
	t := shell.Table{Title: w.Say("gauging.anova"), Heads: shell.Heads(w.Say("gauging.source"), w.Say("gauging.sum-of-squares"), w.Say("gauging.degrees"), w.Say("gauging.mean-square"), "F", "p")}
	for _, r := range s.Sources {
		t.Rows = append(t.Rows, shell.RowOf(w.named("gauging.source-", r.Name), w.digits(r.SS, 5), w.Number(r.DoF, 0), w.digits(r.MS, 4), w.optional(r.F, func(x float64) string { return w.digits(x, 4) }), w.optional(r.P, w.chance)))
	}
	return t
}

func rangesTable(w say, s *answers.Study) shell.Table {
	g := s.Ranges
	t := shell.Table{Title: w.Say("gauging.ranges"), Heads: shell.Heads(w.Say("gauging.cause"), w.Say("gauging.sd"))}
	for _, r := range []struct {
		name string
		sd   float64
	}{{study.Repeatability, g.Repeatability}, {study.Persons, g.Persons}, {study.Gauge, g.Gauge}, {study.Part, g.Part}, {study.Total, g.Total}} {
		t.Rows = append(t.Rows, shell.RowOf(w.cause(r.name), w.amount(r.sd, s.Unit)))
	}
	t.Rows = append(t.Rows, shell.RowOf(w.Say("gauging.gauge-of-study"), w.share(g.OfStudy)))
	if g.OfTolerance != nil {
		t.Rows = append(t.Rows, shell.RowOf(w.Say("gauging.gauge-of-tolerance"), w.share(*g.OfTolerance)))
	}
	t.Rows = append(t.Rows, shell.RowOf(w.Say("gauging.classes"), w.Number(float64(g.Categories), 0)))
	return t
}

// notFor is trouble with a field that does not go with the list.
func notFor(a shell.Asked, field, what string) error {
	return problem.New("bad-value", field, a.Say(what), a.Say("gauging.leave-empty"))
}
