package drilling

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"slatewright/bed/holes"
	"slatewright/bed/holes/answers"
	"slatewright/bed/holes/cause"
	"slatewright/bed/holes/holefile"
	"slatewright/bed/pattern"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/sheet"
)

const onHoles = at + "/holes"

// mostMeasured is how many lines of measured features a page takes.
const mostMeasured = 2000

// edgeU is the standard uncertainty of a reading of an edge where the list states none, mm, as the command line has it.
const edgeU = 0.03

// drilled asks whether a drilled bed is as drawn.
func drilled() shell.Question {
	return shell.Question{Path: onHoles, File: "holes", Care: care(), Page: "drilling/holes", Uses: []string{"drilling"}, Form: holesForm,
		Examples: []shell.Example{{Files: map[string]string{"spec": "nine-foot.yaml", "measured": "bed-31.csv"}},
			{Path: onHoles + "/edges", Files: map[string]string{"spec": "nine-foot.yaml", "measured": "bed-31.csv", "edges": "edges-31.csv"}, Plain: map[string]string{"limit": "1 mm"}}},
		Answer: answerHoles}
}

func holesForm(v *shell.Visit) shell.Asking {
	return shell.Asking{Asks: v.Say("holes.asks"), About: v.Say("holes.about"),
		Form: shell.ListForm{
			Fields: []shell.ListField{{Name: "spec", Label: v.Say("drilling.spec"), Hint: v.Say("drilling.spec-hint")},
				{Name: "measured", Label: v.Say("holes.measured"), Hint: v.Say("holes.measured-hint")},
				{Name: "edges", Label: v.Say("holes.edges"), Hint: v.Say("holes.edges-hint")}},
			More: []shell.ListChoice{{Name: "limit", Label: v.Say("holes.limit"), Hint: v.Say("holes.limit-hint")}}},
		Links: []shell.Anchor{{Path: onHoles + "/edges", Says: v.Say("holes.edges-example")}}}
}

func answerHoles(a shell.Asked) (shell.Reply, error) {
	file, p, err := patternIn(a, "spec")
	if err != nil {
		return shell.Reply{}, err
	}
	d := holes.Of(&p)
	if a.Lists.Lists["measured"].Empty() && a.Lists.Lists["edges"].Empty() {
		return entry(a, file, p, d)
	}
	list, err := measuredIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	m, warnings, err := holefile.Read(list, d)
	if err != nil {
		return shell.Reply{}, err
	}
	edges, more, err := edgesIn(a, d)
	if err != nil {
		return shell.Reply{}, err
	}
	limit, _, err := a.LengthIn("limit")
	if err != nil {
		return shell.Reply{}, err
	}
	got, err := answers.Of(list.Name, &p, d, m, limit, edges, append(warnings, more...))
	if err != nil {
		return shell.Reply{}, err
	}
	s := checked{a.Words, got, p, d, m.Datum}
	out := shell.Reply{JSON: got, CSV: []byte(a.Lists.Lists["measured"].Text)}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = s.caption(), s.features(s.Features)
	out.Figures, out.Tables, out.Notes = s.figures(), s.tables(), got.Warnings
	out.Loads = loadsOf(a.Words, p)
	return out, nil
}

// measuredIn reads the list of measured features. A line in which only the name of a feature stands was not filled in, and says nothing; it stays a line, so
// that trouble names the right one.
func measuredIn(a shell.Asked) (*sheet.Sheet, error) {
	list, err := a.List("measured")
	if err != nil {
		return nil, err
	}
	lines := strings.Split(list.Text, "\n")
	if len(lines) > mostMeasured {
		return nil, problem.New("too-large", "measured", a.Say("holes.too-many", "n", mostMeasured), a.Say("holes.too-many-next", "command", "slatewright holes"))
	}
	for i, line := range lines {
		if name := strings.TrimRight(line, ",;\t \r"); name != strings.TrimRight(line, " \r") && !strings.ContainsAny(name, ",;\t") {
			lines[i] = ""
		}
	}
	return sheet.Read(list.Name, strings.NewReader(strings.Join(lines, "\n")))
}

// edgesIn reads the list of edges, where there is one.
func edgesIn(a shell.Asked, d *holes.Drawing) (*holefile.Edges, []string, error) {
	if a.Lists.Lists["edges"].Empty() {
		return nil, nil, nil
	}
	list, err := a.Sheet("edges")
	if err != nil {
		return nil, nil, err
	}
	return holefile.ReadEdges(list, d, edgeU)
}

// nominal is a feature as it is drawn, for the list that is filled in.
type nominal struct {
	Feature  string  `json:"feature"`
	Kind     string  `json:"kind"`
	Piece    string  `json:"piece"`
	Says     string  `json:"says"` // what it is and where it lies, in the reader's words
	X        float64 `json:"x_mm"`
	Y        float64 `json:"y_mm"`
	Diameter float64 `json:"diameter_mm"`
}

// entry answers a drawing without a list: the names of its features stand in the list, so that people only type numbers.
func entry(a shell.Asked, file string, p pattern.Pattern, d *holes.Drawing) (shell.Reply, error) {
	if len(d.Features) == 0 {
		return shell.Reply{}, problem.New("bad-value", "spec", a.Say("holes.nothing-drawn"), a.Say("holes.nothing-drawn-next"))
	}
	text := "# method: tape\nfeature,x,y,diameter\n"
	drawn := []nominal{}
	t := shell.Table{Heads: shell.Heads(a.Say("holes.feature"), a.Say("drilling.kind"), a.Say("drilling.piece"), "x", "y", a.Say("drilling.diameter"))}
	for _, f := range d.Features {
		text += quoted(f.Name) + ",,,\n"
		drawn = append(drawn, nominal{f.Name, f.Kind, d.Pieces[f.Piece].Name, lies(a.Words, f, d.Pieces[f.Piece].Name), f.At.X, f.At.Y, f.Diameter})
		t.Rows = append(t.Rows, shell.RowOf(f.Name, kindName(a.Words, f.Kind), pieceName(a.Words, d.Pieces[f.Piece].Name), place(a.Words, f.At.X), place(a.Words, f.At.Y), a.Size(f.Diameter)))
	}
	a.Lists.Lists["measured"] = shell.List{Name: a.Lists.Lists["measured"].Name, Text: text}
	joints := []float64{}
	for _, j := range p.Joints {
		joints = append(joints, j.X)
	}
	out := shell.Reply{JSON: struct {
		File     string     `json:"file"`
		Pattern  string     `json:"pattern"`
		Revision string     `json:"revision"`
		Size     [2]float64 `json:"size_mm"`
		Joints   []float64  `json:"joints_mm"`
		Features []nominal  `json:"features"`
		List     string     `json:"list"` // to be filled in
	}{file, p.Name, p.Revision, [2]float64{p.SizeX, p.SizeY}, joints, drawn, text}, CSV: []byte(text), Loads: loadsOf(a.Words, p)}
	out.Says, out.Next = a.Say("holes.entry", "n", len(drawn)), a.Say("holes.entry-next")
	s := checked{a.Words, &answers.Answer{}, p, d, holes.DatumUnknown}
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = a.Say("holes.entry-caption"), t
	return out, nil
}

// lies says what a feature is and where it lies, for somebody who stands before the stone.
func lies(w tongue.Words, f holes.Feature, piece string) string {
	along, across := "holes.to-foot", "holes.to-right"
	if f.At.X < 0 {
		along = "holes.to-head"
	}
	if f.At.Y < 0 {
		across = "holes.to-left"
	}
	return w.Say("holes.lies", "kind", kindName(w, f.Kind), "piece", pieceName(w, piece), "along", w.Say(along, "by", place(w, math.Abs(f.At.X))), "across", w.Say(across, "by", place(w, math.Abs(f.At.Y))))
}

// quoted writes a name for a list.
func quoted(name string) string {
	if strings.ContainsAny(name, "\",;\n") {
		return `"` + strings.ReplaceAll(name, `"`, `""`) + `"`
	}
	return name
}

// checked is an answered bed on its way to a page.
type checked struct {
	tongue.Words
	*answers.Answer
	p     pattern.Pattern
	d     *holes.Drawing
	datum holes.Datum
}

func (s checked) tone() string {
	switch {
	case s.Outcome() == judge.DoesNotConform || s.Fits != nil && !*s.Fits:
		return "bad"
	case s.Outcome() == judge.Conforms && (s.Function == nil || s.Fits != nil):
		return "good"
	}
	return "doubt"
}

// says is the verdict and whether the bolts pass.
func (s checked) says() string {
	first := s.Say("holes.cannot-tell")
	switch s.Outcome() {
	case judge.Conforms:
		first = s.Say("holes.conforms")
	case judge.DoesNotConform:
		first = s.Say("holes.does-not-conform")
		if n := len(s.of(judge.DoesNotConform)); n > 0 {
			first = s.Say("holes.features-off", "n", n)
		}
	}
	switch {
	case s.Function == nil:
		return first + s.gap() + s.Say("holes.no-bolts")
	case s.Fits == nil:
		return first + s.gap() + s.Say("holes.bolts-untold")
	case *s.Fits:
		return first + s.gap() + s.Say("holes.bolts-pass")
	}
	return first + s.gap() + s.Say("holes.bolts-fight")
}

// gap stands between two sentences.
func (s checked) gap() string {
	if s.Language() == tongue.Chinese {
		return ""
	}
	return " "
}

// of are the features of a verdict.
func (s checked) of(v judge.Verdict) (list []answers.Feature) {
	for _, f := range s.Features {
		if f.Verdict == v.String() {
			list = append(list, f)
		}
	}
	return list
}

// next is the cause, with what undoes it.
func (s checked) next() string {
	var lines []string
	for i, c := range s.Causes {
		line := s.cause(c)
		if line == "" {
			continue
		}
		if s.datum == holes.DatumUnknown && (c.Name == string(cause.Shift) || c.Name == string(cause.Turn) || c.Name == string(cause.ShiftAndTurn)) {
			line += s.gap() + s.Say("holes.freely")
		}
		if len(s.Pieces) > 0 {
			line = pieceName(s.Words, s.Pieces[i].Piece) + ": " + line
		}
		if !c.Sure {
			var rivals []string
			for _, r := range c.Rivals {
				rivals = append(rivals, causeName(s.Words, r))
			}
			line += s.gap() + s.Say("holes.rivals", "list", rivals)
		}
		if !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	switch {
	case len(lines) > 0:
		return strings.Join(lines, s.gap())
	case len(s.Causes) == 0:
		return s.Say("holes.cause-untold")
	}
	return s.Say("holes.cause-none", "scatter_mm", s.Causes[0].Scatter)
}

func (s checked) caption() string {
	m := s.magnified()
	if m == 0 {
		return s.Say("holes.caption-no-arrows")
	}
	return s.Say("holes.caption", "times", s.Number(m, decimalsOf(m)))
}

// decimalsOf is how many decimals a magnification needs.
func decimalsOf(x float64) int {
	if x >= 1 {
		return 0
	}
	return min(4, len(fmt.Sprintf("%g", x))-2)
}
