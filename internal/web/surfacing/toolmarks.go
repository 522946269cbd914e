package surfacing

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/surfacing/toolmarks"
	"slatewright/surfacing/toolmarks/answers"
)

// onMarks is the page of what the machine left in faces.
const onMarks = at + "/toolmarks"

// What the page takes; the verb takes more.
const (
	mostMarkMaps     = 24
	mostMarkReadings = 60000
)

// toolMarks asks what the machine left in faces.
func toolMarks() shell.Question {
	file := func(name string) map[string]string { return map[string]string{"maps": name} }
	return shell.Question{Path: onMarks, File: "toolmarks", Care: []caution.Topic{caution.Machines, caution.Discs, caution.Wet}, Longest: 30 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			choice := func(value, key string) shell.ListChoice { return shell.ListChoice{Value: value, Label: v.Say(key)} }
			return shell.Asking{Asks: v.Say("toolmarks.asks"), About: v.Say("toolmarks.about"), Form: shell.ListForm{
				Fields: []shell.ListField{{Name: "maps", Label: v.Say("toolmarks.maps"), Hint: v.Say("toolmarks.maps-hint")}},
				More: []shell.ListChoice{
					{Name: "feed", Label: v.Say("toolmarks.feed"), Value: "x", Choices: []shell.ListChoice{choice("x", "toolmarks.feed-x"), choice("y", "toolmarks.feed-y")}},
					{Name: "disc", Label: v.Say("toolmarks.disc"), Hint: v.Say("toolmarks.disc-hint")},
					{Name: "pitch", Label: v.Say("toolmarks.pitch"), Hint: v.Say("toolmarks.pitch-hint")},
					{Name: "turn", Label: v.Say("toolmarks.turn"), Hint: v.Say("toolmarks.turn-hint")},
					{Name: "passes", Label: v.Say("toolmarks.passes"), Choices: []shell.ListChoice{choice("", "toolmarks.passes-unknown"), choice("alternate", "toolmarks.passes-alternate"), choice("one-way", "toolmarks.passes-one-way")}},
					{Name: "limit", Label: v.Say("toolmarks.limit"), Hint: v.Say("toolmarks.limit-hint")},
				}},
				Links: []shell.Anchor{{Path: onMarks + "/since", Says: v.Say("toolmarks.since-example")}, {Path: at + "/disc", Says: v.Say("disc.asks")}}}
		},
		Examples: []shell.Example{{Files: file("toolmarks-leaning.csv"), Plain: map[string]string{"feed": "x", "disc": "400 mm", "pitch": "200 mm"}},
			{Path: onMarks + "/since", Files: file("toolmarks-since.csv"), Plain: map[string]string{"feed": "x", "disc": "400 mm", "passes": "alternate"}}},
		Answer: answerMarks}
}

func answerMarks(a shell.Asked) (shell.Reply, error) {
	q, err := askedOfMarks(a)
	if err != nil {
		return shell.Reply{}, err
	}
	list, err := a.List("maps")
	if err != nil {
		return shell.Reply{}, err
	}
	sources, err := answers.InOne(list.Name, list.Text)
	if err != nil {
		return shell.Reply{}, err
	}
	readings := 0
	for _, s := range sources {
		readings += s.Face.Len()
	}
	if len(sources) > mostMarkMaps || readings > mostMarkReadings {
		return shell.Reply{}, problem.New("too-large", "maps", a.Say("toolmarks.too-many", "maps", mostMarkMaps, "readings", mostMarkReadings), a.Say("toolmarks.too-many-next", "command", "slatewright toolmarks"))
	}
	r, err := shell.Once(a, "toolmarks", func(func() bool) (*answers.Report, error) { return answers.Of(sources, q) })
	if err != nil {
		return shell.Reply{}, err
	}
	m := marked{a.Words, r}
	out := shell.Reply{JSON: r}
	out.Tone, out.Says, out.Next = m.tone(), m.says(), m.next()
	if len(r.Finding.Profiles) > 0 {
		out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return m.draw(width) })
		out.Caption, out.Behind = m.caption(), m.behind()
	}
	out.Figures, out.Tables = m.figures(), m.tables()
	out.Notes = append(append([]string{}, r.CannotSee...), r.Warnings...)
	return out, nil
}

func askedOfMarks(a shell.Asked) (q answers.Question, err error) {
	q.Feed = a.Typed("feed")
	for _, f := range []struct {
		name string
		to   *float64
	}{{"disc", &q.Facts.Diameter}, {"pitch", &q.Facts.Pitch}, {"turn", &q.Facts.Turn}, {"limit", &q.Limit}} {
		mm, given, err := a.LengthIn(f.name)
		if err != nil {
			return q, err
		}
		if given && !(mm > 0) {
			return q, problem.New("bad-value", f.name, a.Say("toolmarks.not-positive"), a.Say("toolmarks.not-positive-next"))
		}
		*f.to = mm
	}
	q.Facts.Order, err = answers.OrderOf(a.Typed("passes"))
	return q, err
}

// marked is an answer about tool marks on its way to a page.
type marked struct {
	tongue.Words
	*answers.Report
}

func (m marked) tone() string {
	switch m.State {
	case answers.Marked:
		return "bad"
	case answers.CannotTell:
		return "doubt"
	}
	return "good"
}

func (m marked) says() string {
	switch {
	case m.State == answers.NoMarks && len(m.Marks) == 0:
		return m.Say("toolmarks.none")
	case m.State == answers.NoMarks:
		return m.Say("toolmarks.below", "limit", m.um(m.LimitUM))
	case m.State == answers.CannotTell && len(m.Marks) == 0 && m.HiddenUM == nil:
		return m.Say("toolmarks.blind")
	case m.State == answers.CannotTell:
		return m.Say("toolmarks.perhaps", "limit", m.um(m.LimitUM))
	}
	return m.sentence(m.Marks[0].Says)
}

// next is what to correct first, or what to measure.
func (m marked) next() string {
	switch {
	case m.State == answers.Marked:
		return m.sentence(m.Marks[0].Correct)
	case len(m.CannotSee) > 0 && m.State == answers.CannotTell && len(m.Marks) == 0:
		if m.HiddenUM != nil {
			return m.sentence(m.CannotSee[len(m.CannotSee)-1])
		}
		return m.sentence(m.CannotSee[0])
	case len(m.Marks) > 0:
		return m.sentence(m.Marks[0].First[0])
	}
	return ""
}

// sentence is a text of the reckoning in the reader's language, as a sentence.
func (m marked) sentence(text string) string {
	said := m.InWords(text)
	for i, r := range said {
		if i == 0 {
			said = strings.ToUpper(string(r)) + said[len(string(r)):]
		}
	}
	stop := "."
	if strings.HasSuffix(said, ".") || strings.HasSuffix(said, "。") {
		stop = ""
	} else if m.Language() == tongue.Chinese {
		stop = "。"
	}
	return said + stop
}

// um writes micrometres.
func (m marked) um(v float64) string {
	decimals := 0
	if v < 10 {
		decimals = 1
	}
	return m.Number(v, decimals) + unbroken + "µm"
}

// cause is a cause's name.
func (m marked) cause(c string) string { return m.Say("toolmarks.cause-" + c) }

func (m marked) percent(p float64) string {
	if p > 0.995 {
		return "> " + m.Percent(99)
	}
	return m.Percent(float64(int(100*p + 0.5)))
}

func (m marked) figures() (list []shell.Figure) {
	if m.Pitch != nil {
		list = append(list, shell.Figure{Name: m.Say("toolmarks.found-pitch"), Value: m.Say("toolmarks.span", "value", m.Size(math.Round(m.Pitch.Value)), "low", m.Size(math.Round(m.Pitch.From)), "high", m.Size(math.Round(m.Pitch.To)))})
	}
	for _, t := range m.Trends {
		list = append(list, shell.Figure{Name: m.Say("toolmarks.since", "cause", m.cause(t.Cause)), Value: m.since(t)})
	}
	return list
}

func (m marked) since(t answers.Trend) string {
	switch {
	case t.Date != nil:
		return m.Say("toolmarks.began-"+t.State, "date", m.day(*t.Date), "from", m.day(*t.From), "to", m.day(*t.To), "before", m.um(*t.BeforeUM), "after", m.um(*t.AfterUM))
	case t.BeforeUM != nil:
		return m.Say("toolmarks.steady", "n", t.Values, "height", m.um(*t.BeforeUM))
	}
	return m.Say("toolmarks.not-told", "n", t.Values)
}

func (m marked) day(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return date
	}
	return m.Day(t)
}

// tables are the marks, and for each what to try first and what looks alike.
func (m marked) tables() (list []shell.Table) {
	if len(m.Marks) == 0 {
		return nil
	}
	all := shell.Table{Title: m.Say("toolmarks.marks"), Heads: shell.Heads(m.Say("toolmarks.cause"), m.Say("toolmarks.strength"), m.Say("toolmarks.sure"), m.Say("toolmarks.above"))}
	for _, k := range m.Marks {
		name := m.cause(k.Cause)
		if !k.Found {
			name = m.Say("toolmarks.suspected", "cause", name)
		}
		above := map[string]string{"yes": "toolmarks.yes", "no": "toolmarks.no", "cannot tell": "toolmarks.open"}[k.Above]
		row := shell.RowOf(name).With(m.um(k.Strength.Value), m.Say("toolmarks.between", "low", m.um(k.Strength.From), "high", m.um(k.Strength.To)))
		row = row.With(m.percent(k.Probability), m.Say("toolmarks.named", "percent", m.percent(k.CauseProbability)))
		all.Rows = append(all.Rows, row.With(m.Say(above), ""))
	}
	list = append(list, all)
	for _, k := range m.Marks {
		if !k.Found {
			continue
		}
		t := shell.Table{Heads: []shell.Cell{{Text: m.Say("toolmarks.cause")}, {Text: m.cause(k.Cause)}}}
		add := func(key string, texts ...string) {
			for i, text := range texts {
				label := ""
				if i == 0 {
					label = m.Say(key)
				}
				t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: label}, {Text: m.sentence(text)}}})
			}
		}
		add("toolmarks.correct", k.Correct)
		add("toolmarks.exact", k.Exact)
		add("toolmarks.first", k.First...)
		add("toolmarks.alike", k.Alike...)
		if k.Formula != "" {
			add("toolmarks.formula", k.Formula)
		}
		list = append(list, t)
	}
	return list
}

// shown is the profile that the picture shows: that of the last map.
func (m marked) shown() toolmarks.Profile {
	return m.Finding.Profiles[len(m.Finding.Profiles)-1]
}

func (m marked) caption() string {
	p := m.shown()
	if p.Machine == nil {
		return m.Say("toolmarks.caption", "map", p.Name)
	}
	return m.Say("toolmarks.caption", "map", p.Name) + " " + m.Say("toolmarks.caption-machine")
}

// behind is the table behind the picture: at most forty of its places.
func (m marked) behind() shell.Table {
	p := m.shown()
	t := shell.Table{Title: m.Say("toolmarks.profile"), Heads: shell.Heads(m.Say("toolmarks.place"), m.Say("toolmarks.read"))}
	if p.Machine != nil {
		t.Heads = shell.Heads(m.Say("toolmarks.place"), m.Say("toolmarks.read"), m.Say("toolmarks.machine"))
	}
	step := (len(p.T) + 39) / 40
	for i := 0; i < len(p.T); i += step {
		cells := []string{m.Size(math.Round(p.T[i])), m.Number(1000*p.Z[i], 1) + unbroken + "µm"}
		if p.Machine != nil {
			cells = append(cells, fmt.Sprintf("%s%sµm", m.Number(1000*p.Machine[i], 1), unbroken))
		}
		t.Rows = append(t.Rows, shell.RowOf(cells...))
	}
	return t
}
