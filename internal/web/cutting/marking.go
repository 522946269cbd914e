package cutting

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"slatewright/cutting/marking"
	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/answers"
	"slatewright/cutting/slab/search"
	"slatewright/cutting/slab/slabfile"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/picture/cutplan"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
)

const onMarking = at + "/marking-out"

// sawCare is what can hurt where stone is sawn.
func sawCare() []caution.Topic {
	return []caution.Topic{caution.Lifting, caution.Dust, caution.Machines, caution.Wet}
}

// patience is how long a page looks for a better plan; the first is the usual one.
var patience = []struct {
	value string
	long  time.Duration
	says  string
}{{"0", 150 * time.Millisecond, "marking.at-once"}, {"5", 5 * time.Second, "marking.five-seconds"}, {"20", 20 * time.Second, "marking.twenty-seconds"}}

// wanted is what stands in the empty list of pieces: finished sizes of the usual beds, each piece worth its area until somebody says what it is worth.
const wanted = `type,place,length_mm,width_mm,allowance_mm,value,most,plays,cut_away
9 ft,,1473,914,10,135,,either,
8 ft,,1321,813,10,107,,either,
7 ft,,1168,711,10,83,,either,
`

// markingOut asks for a slab's outline and flaws, and places the pieces.
func markingOut(print Printer) shell.Question {
	csv := map[string]string{"slab": "slab.csv", "pieces": "pieces.csv"}
	return shell.Question{Path: onMarking, File: "marking-out", Care: sawCare(), Longest: 60 * time.Second, Page: "cutting/marking", Uses: []string{"marking"},
		Form: markingForm,
		Examples: []shell.Example{{Files: csv, Plain: map[string]string{"thickness": "35 mm"}},
			{Path: onMarking + "/photo", Files: map[string]string{"slab": "photo-slab.csv", "pieces": "pieces.csv", "photo": "photo-points.csv"}, Plain: map[string]string{"thickness": "32 mm"}},
			{Path: onMarking + "/tape", Files: map[string]string{"slab": "tape.csv", "pieces": "pieces.csv"}}},
		Answer: func(a shell.Asked) (shell.Reply, error) { return answerMarking(a, print) }}
}

func markingForm(v *shell.Visit) shell.Asking {
	times := shell.ListChoice{Name: "time", Label: v.Say("marking.time"), Hint: v.Say("marking.time-hint"), Value: patience[0].value}
	for _, p := range patience {
		times.Choices = append(times.Choices, shell.ListChoice{Value: p.value, Label: v.Say(p.says)})
	}
	return shell.Asking{Asks: v.Say("marking.asks"), About: v.Say("marking.about"),
		Form: shell.ListForm{
			Fields: []shell.ListField{{Name: "slab", Label: v.Say("marking.slab"), Hint: v.Say("marking.slab-hint")},
				{Name: "pieces", Label: v.Say("marking.pieces"), Hint: v.Say("marking.pieces-hint"), Text: wanted},
				{Name: "photo", Label: v.Say("marking.photo"), Hint: v.Say("marking.photo-hint")}},
			More: []shell.ListChoice{{Name: "name", Label: v.Say("marking.name"), Hint: v.Say("marking.name-hint")}, {Name: "kerf", Label: v.Say("marking.kerf"), Hint: v.Say("marking.kerf-hint")}, {Name: "angles", Label: v.Say("marking.angles"), Hint: v.Say("marking.angles-hint")},
				{Name: "thickness", Label: v.Say("marking.thickness"), Hint: v.Say("marking.thickness-hint")}, {Name: "density", Label: v.Say("marking.density"), Hint: v.Say("marking.density-hint")},
				{Name: "weighed", Label: v.Say("marking.weighed"), Hint: v.Say("marking.weighed-hint")}, times}},
		Links: []shell.Anchor{{Path: onMarking + "/photo", Says: v.Say("marking.photo-example")}, {Path: onMarking + "/tape", Says: v.Say("marking.tape-example")}}}
}

// slabIn reads the slab, the pieces and the plain fields about the saw.
func slabIn(a shell.Asked) (*slab.Slab, error) {
	list, err := a.List("slab")
	if err != nil {
		return nil, err
	}
	var pieces []slab.Type
	if !a.Lists.Lists["pieces"].Empty() && a.Lists.Lists["pieces"].Text != wanted || !namesPieces(list.Text) {
		table, err := a.Sheet("pieces")
		if err != nil {
			return nil, err
		}
		if pieces, err = slabfile.Pieces(table); err != nil {
			return nil, err
		}
	}
	q, err := slabfile.Read(list.Name, list.Reader(), pieces)
	if err != nil {
		return nil, err
	}
	if len(q.Orders) > 0 {
		return nil, problem.New("bad-value", "slab", a.Say("marking.one-slab"), a.Say("marking.one-slab-next", "command", "slatewright slab FILE"))
	}
	s := q.Slabs[0]
	s.Name = cmp.Or(strings.TrimSpace(a.Plain.Get("name")), s.Name)
	if kerf, given, err := a.LengthIn("kerf"); err != nil {
		return nil, err
	} else if given {
		s.Kerf = kerf
	}
	if typed := strings.TrimSpace(a.Plain.Get("angles")); typed != "" {
		s.Angles = nil
		for _, part := range strings.FieldsFunc(typed, func(r rune) bool { return strings.ContainsRune(" ;°", r) }) {
			angle, err := measure.ParseNumber(strings.TrimSuffix(part, ","))
			if err != nil {
				return nil, problem.New("bad-value", "angles", a.Say("marking.no-angle", "typed", part), a.Say("marking.no-angle-next"))
			}
			s.Angles = append(s.Angles, angle)
		}
	}
	return s, s.Check()
}

// namesPieces tells whether a slab is given in a form that has its pieces in it: JSON, or GeoJSON.
func namesPieces(text string) bool {
	return strings.HasPrefix(strings.TrimSpace(text), "{") && strings.Contains(text, `"pieces"`)
}

// limitsIn are how long to look. What is taken away after an answer is the plan that was shown: found in as many steps.
func limitsIn(a shell.Asked, stop func() bool) search.Limits {
	if work, err := strconv.ParseInt(a.Plain.Get("work"), 10, 64); err == nil && work > 0 && a.Plain.Get("as") != "" {
		return search.Limits{Work: work, Stop: stop}
	}
	long := patience[0].long
	for _, p := range patience {
		if p.value == a.Plain.Get("time") {
			long = p.long
		}
	}
	begun := time.Now()
	return search.Limits{Stop: func() bool { return stop() || time.Since(begun) > long }}
}

func answerMarking(a shell.Asked, print Printer) (shell.Reply, error) {
	s, err := slabIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	photo, err := photoIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	weights, err := scaleIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	m := marked{Words: a.Words, photo: photo}
	if a.Plain.Get("as") == "" && a.Plain.Get("time") != patience[0].value {
		if m.alone, err = eachAlone(a, s); err != nil {
			return shell.Reply{}, err
		}
	}
	m.Plan, err = shell.Once(a, "marking", func(stop func() bool) (*answers.Plan, error) {
		return answers.Of(a.Lists.Lists["slab"].Name, s, limitsIn(a, stop))
	})
	if err != nil {
		return shell.Reply{}, err
	}
	if m.order, err = sawing.Of(s, m.Found); err != nil {
		return shell.Reply{}, err
	}
	m.sheet = sawing.Sheet{Name: m.Slab, Slab: s, Plan: m.Found, Order: m.order, Invented: a.Demo || isExample(a)}
	if m.disagree, err = m.sheet.Weigh(weights.thick, weights.density, weights.weighed); err != nil {
		return shell.Reply{}, err
	}
	return m.reply(print, a.Plain.Get("as"))
}

// marked is an answered slab on its way to a page.
type marked struct {
	tongue.Words
	*answers.Plan
	order    *sawing.Order
	photo    *marking.Photo // nil: none
	alone    []answers.Plan // of each kind of piece alone; nil: not looked at
	sheet    sawing.Sheet   // what is printed, without words
	disagree bool           // what the slab weighed is more than a tenth off
}

func (m marked) reply(print Printer, as string) (out shell.Reply, err error) {
	out.JSON = m.Plan
	out.Tone, out.Says, out.Next = m.tone(), m.says(), m.next()
	out.Wide, out.Narrow = chart.Both(m.draw)
	out.Caption, out.Behind, out.Figures, out.Tables = m.Say("marking.caption"), m.behind(), m.figures(), m.tables()
	out.Notes = m.notes()
	out.Loads = []caution.Load{{Name: m.name(), Kg: m.sheet.SlabKg}}
	work := m.Found.Work
	if m.Proven || m.State == answers.Nothing {
		work++ // it ended by itself: nothing may stop it in its last step
	}
	out.Again = []shell.ListChoice{{Name: "work", Value: strconv.FormatInt(max(work, 1), 10)}}
	out.Files, err = m.files(print, as)
	return out, err
}

// files are the sheet for the saw, and drawings; only the one that is asked for is made.
func (m marked) files(print Printer, asked string) (list []shell.ReplyFile, err error) {
	if len(m.Pieces) == 0 {
		return nil, nil
	}
	add := func(as, says, name, kind string, make func(*bytes.Buffer) error) {
		var text bytes.Buffer
		if as == asked {
			err = make(&text)
		}
		list = append(list, shell.ReplyFile{ListFile: shell.ListFile{As: as, Label: m.Say(says)}, Name: name, Kind: kind, Content: text.Bytes()})
	}
	if print != nil {
		add("pdf", "marking.pdf", "sawing-order.pdf", "application/pdf", func(b *bytes.Buffer) error {
			text, err := print(m.sheetIn, m.Words)
			b.Write(text)
			return err
		})
	}
	add("cuts", "marking.cuts", "cuts.csv", "text/csv; charset=utf-8", func(b *bytes.Buffer) error { return cutplan.CSV(b, m.Found) })
	add("svg", "marking.svg", "plan.svg", "image/svg+xml", func(b *bytes.Buffer) error { return cutplan.SVG(b, m.Asked, m.Found, m.name()) })
	add("dxf", "marking.dxf", "plan.dxf", "application/dxf", func(b *bytes.Buffer) error { return cutplan.DXF(b, m.Asked, m.Found) })
	return list, err
}

// sheetIn is what is printed, in some words.
func (m marked) sheetIn(w tongue.Words) sawing.Sheet {
	m.Words = w
	sheet := m.sheet
	sheet.Worth = m.says()
	for _, note := range m.notes() {
		sheet.Warnings = append(sheet.Warnings, m.InWords(note))
	}
	return sheet
}

// notes are what is to be borne in mind: warnings of the reckoning, in English, and what the page knows besides.
func (m marked) notes() []string {
	list := slices.Concat(m.Warnings, m.photoNotes())
	if m.disagree {
		list = append(list, m.Say("marking.mass-disagrees"))
	}
	if m.Kerf == 0 && len(m.Pieces) > 0 {
		list = append(list, m.Say("marking.no-kerf"))
	}
	return list
}

func (m marked) name() string { return cmp.Or(m.Slab, m.Say("marking.this-slab")) }

func (m marked) tone() string {
	switch m.State {
	case answers.Nothing:
		return "bad"
	case answers.Bounded:
		return "doubt"
	}
	return "good"
}

// amount writes a value with the decimals that it needs, at most two.
func (m marked) amount(x float64) string {
	decimals := 0
	if s := strconv.FormatFloat(x, 'f', -1, 64); strings.Contains(s, ".") {
		decimals = min(2, len(s)-strings.Index(s, ".")-1)
	}
	return m.Number(x, decimals)
}

func (m marked) says() string {
	switch {
	case m.State == answers.Nothing:
		return m.Say("marking.nothing")
	case m.State == answers.Proven:
		return m.Say("marking.proven", "value", m.amount(m.Value), "n", len(m.Pieces))
	case len(m.Pieces) == 0:
		return m.Say("marking.none-yet", "bound", m.amount(m.Bound))
	}
	return m.Say("marking.bounded", "value", m.amount(m.Value), "bound", m.amount(m.Bound), "n", len(m.Pieces), "gap_percent", 100*m.Gap)
}

// next says what the slab becomes.
func (m marked) next() string {
	var what []string
	for _, c := range m.Types {
		if c.Count > 0 {
			what = append(what, fmt.Sprintf("%d × %s", c.Count, c.Type))
		}
	}
	if len(what) == 0 {
		return m.Say("marking.nothing-next")
	}
	return m.Say("marking.becomes", "what", what)
}

func (m marked) figures() []shell.Figure {
	if len(m.Pieces) == 0 {
		return nil
	}
	worth := shell.Figure{Name: m.Say("marking.worth"), Value: m.amount(m.Value), Small: m.Say("marking.no-more")}
	if !m.Proven {
		worth.Small = m.Say("marking.at-most", "bound", m.amount(m.Bound), "gap_percent", 100*m.Gap)
	}
	list := []shell.Figure{worth,
		{Name: m.Say("marking.used"), Value: m.Percent(100 * m.Used)},
		{Name: m.Say("sawing.angle"), Value: cutplan.Degrees(m.Words, m.Angle) + "°", Small: m.Say("marking.angle-small")},
		{Name: m.Say("sawing.sawn"), Value: m.metres(m.order.Length), Small: m.Say("marking.cuts-of", "n", len(m.Cuts))}}
	if f, told := m.photoFigure(); told {
		list = append(list, f)
	}
	return append(list, m.massFigure())
}

// metres writes a long length.
func (m marked) metres(mm float64) string {
	if m.Units() == tongue.Inch {
		return m.Number(mm/304.8, 1) + "\u00a0ft"
	}
	return m.Number(mm/1000, 1) + "\u00a0m"
}

// eachAlone asks what the slab would be worth if only one kind of piece were cut from it: which size of bed it is for.
func eachAlone(a shell.Asked, s *slab.Slab) (list []answers.Plan, err error) {
	if len(s.Types) < 2 || len(s.Types) > mostAlone {
		return nil, nil
	}
	for i := range s.Types {
		one := *s
		one.Types = s.Types[i : i+1]
		begun := time.Now()
		p, err := answers.Of(s.Name, &one, search.Limits{Stop: func() bool { return a.Stop() || time.Since(begun) > alone }})
		if err != nil {
			return nil, err
		}
		list = append(list, *p)
	}
	return list, nil
}

// How many kinds are looked at alone, and for how long each.
const (
	mostAlone = 6
	alone     = 300 * time.Millisecond
)

func (m marked) oneKind() shell.Table {
	t := shell.Table{Title: m.Say("marking.alone"), Caption: m.Say("marking.alone-about"), Heads: shell.Heads(m.Say("sawing.type"), m.Say("sawing.pieces"), m.Say("marking.worth"), m.Say("marking.bound"))}
	for _, p := range m.alone {
		t.Rows = append(t.Rows, shell.RowOf(p.Types[0].Type, m.Number(float64(len(p.Pieces)), 0), m.amount(p.Value), m.amount(p.Bound)))
	}
	return t
}

// tables are the pieces, the cuts in their order, and what is left over.
func (m marked) tables() []shell.Table {
	if len(m.Pieces) == 0 {
		return nil
	}
	unit := "mm"
	if m.Units() == tongue.Inch {
		unit = "in"
	}
	heads := cutplan.Columns(m.Words)
	cuts := shell.Table{Title: m.Say("sawing.cuts"), Caption: m.Say("sawing.note", "unit", unit)}
	heads[5] += " · " + heads[6]
	cuts.Heads = words(slices.Delete(heads[:], 6, 7)...)
	for _, l := range cutplan.Lines(m.Words, m.Asked, m.Found, m.order) {
		turn := l.Turn
		if l.Air {
			turn = m.Say("sawing.need-not")
		}
		cuts.Rows = append(cuts.Rows, shell.Row{Cells: []shell.Cell{{Text: l.Number}, {Text: l.Part}, {Text: l.Way, Small: turn}, {Text: l.Fence, Small: l.From}, {Text: l.Setting},
			{Text: l.In, Small: l.Out}, {Text: l.Falls[0], Small: l.Falls[1]}}})
	}
	list := []shell.Table{m.pieces(), cuts}
	if len(m.order.Offcuts) > 0 {
		left := shell.Table{Title: m.Say("marking.left"), Caption: m.Say("marking.left-about"), Heads: shell.Heads(m.Say("marking.sides"), m.Say("marking.area"))}
		for _, o := range m.order.Offcuts[:min(len(m.order.Offcuts), mostLeft)] {
			left.Rows = append(left.Rows, shell.RowOf(cutplan.Sides(m.Words, o.X2-o.X1, o.Y2-o.Y1), m.area(o.Stone)))
		}
		list = append(list, left)
	}
	if m.alone != nil {
		list = append(list, m.oneKind())
	}
	return list
}

// mostLeft is how many offcuts are listed, the largest first.
const mostLeft = 8

func (m marked) area(mm2 float64) string {
	if m.Units() == tongue.Inch {
		return m.Number(mm2/(304.8*304.8), 2) + "\u00a0ft²"
	}
	return m.Number(mm2/1e6, 3) + "\u00a0m²"
}

func (m marked) pieces() shell.Table {
	t := shell.Table{Title: m.Say("sawing.pieces"), Heads: words(m.Say("sawing.number"), m.Say("sawing.type"), m.Say("sawing.size"), m.Say("sawing.lies"), m.Say("sawing.plays"), m.Say("sawing.mass"))}
	for i, q := range m.Found.Pieces {
		kind := m.Asked.Types[q.Kind]
		name := kind.Name
		if kind.Place != "" {
			name += ", " + m.Word("place", kind.Place)
		}
		plays := m.Say("sawing.plays-top")
		if q.Over {
			plays = m.Say("sawing.plays-bottom")
		}
		if kind.Shown == slab.PlaysNone {
			plays = m.Say("sawing.plays-none")
		}
		t.Rows = append(t.Rows, shell.Row{Cells: words(m.order.Pieces[i].Name, name, cutplan.Sides(m.Words, q.Along, q.Across), m.Say("sawing.lies-turned", "angle", 90*q.Quarter), plays, m.pieceMass(i))})
	}
	return t
}

// words are cells that stand to the left and may be broken.
func words(texts ...string) (cells []shell.Cell) {
	for _, t := range texts {
		cells = append(cells, shell.Cell{Text: t})
	}
	return cells
}

// behind is the picture as a table: where each piece lies on the slab.
func (m marked) behind() shell.Table {
	t := shell.Table{Caption: m.Say("marking.behind"), Heads: shell.Heads(m.Say("sawing.type"), "x", "y", m.Say("sawing.size"))}
	for i, q := range m.Found.Pieces {
		t.Rows = append(t.Rows, shell.RowOf(m.order.Pieces[i].Name+" · "+m.Asked.Types[q.Kind].Name, m.Size(q.At.X), m.Size(q.At.Y), cutplan.Sides(m.Words, q.Along, q.Across)))
	}
	return t
}
