package surfacing

import (
	"html/template"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/surfacing/disc"
	"slatewright/surfacing/disc/answers"
)

// weighIn is what is chosen where all bits are placed anew.
const weighIn = "arrange"

// discs asks whether a disc is balanced and what must change places.
func discs() shell.Question {
	file := func(name string) map[string]string { return map[string]string{"list": name} }
	return shell.Question{Path: at + "/disc", File: "disc", Care: []caution.Topic{caution.Lifting, caution.Machines, caution.Discs}, Longest: 20 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("disc.asks"), About: v.Say("disc.about"),
				Form: shell.ListForm{
					Fields: []shell.ListField{{Name: "list", Label: v.Say("disc.list"), Hint: v.Say("disc.columns")}},
					More: []shell.ListChoice{
						{Name: "speed", Label: v.Say("disc.speed"), Hint: v.Say("disc.speed-hint")},
						{Name: "grade", Label: v.Say("disc.grade"), Hint: v.Say("disc.grade-hint")},
						{Name: "rotor", Label: v.Say("disc.rotor"), Hint: v.Say("disc.rotor-hint")},
						{Name: "way", Label: v.Say("disc.way"), Value: "fewest", Choices: []shell.ListChoice{{Value: "fewest", Label: v.Say("disc.fewest")}, {Value: weighIn, Label: v.Say("disc.weigh-in")}}},
					}},
				Links: []shell.Anchor{{Path: at + "/disc/proud", Says: v.Say("disc.proud-example")}, {Path: at + "/disc/new", Says: v.Say("disc.new-example")}, {Path: at + "/wear", Says: v.Say("wear.asks")}}}
		},
		Examples: []shell.Example{{Files: file("disc.csv")}, {Path: at + "/disc/proud", Files: file("disc-proud.csv")}, {Path: at + "/disc/new", Files: file("disc-new.csv"), Plain: map[string]string{"way": weighIn}}},
		Answer:   answerDisc}
}

func answerDisc(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	l, err := disc.Read(table)
	if err != nil {
		return shell.Reply{}, err
	}
	q, err := askedOfDisc(a)
	if err != nil {
		return shell.Reply{}, err
	}
	b, err := answers.OfDisc(table.Name, l, q)
	if err != nil {
		return shell.Reply{}, err
	}
	s := balanced{a.Words, b}
	out := shell.Reply{JSON: b}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), a.Say("disc.next", "what", b.Next)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = s.caption(), s.behind()
	out.Figures, out.Tables, out.Notes = s.figures(), s.tables(), b.Warnings
	return out, nil
}

// askedOfDisc reads the plain fields: speed in revolutions a minute, the grade, the rotor's mass in kg or lb.
func askedOfDisc(a shell.Asked) (q answers.Question, err error) {
	q.Arrange = a.Typed("way") == weighIn
	mass := "kg"
	if a.Units() == tongue.Inch {
		mass = "lb"
	}
	for _, k := range []struct {
		field, unit string
		read        func(string) (float64, error)
		into        **float64
		wrong, next string
	}{{"speed", "rpm", disc.ParseSpeed, &q.Speed, "disc.no-speed", "disc.no-speed-next"}, {"grade", "", disc.ParseGrade, &q.Grade, "disc.no-grade", "disc.no-grade-next"},
		{"rotor", mass, disc.ParseMass, &q.Rotor, "disc.no-rotor", "disc.no-rotor-next"}} {
		typed := a.Typed(k.field)
		if typed == "" {
			continue
		}
		if _, err := strconv.ParseFloat(typed, 64); err == nil {
			typed += k.unit
		}
		x, err := k.read(typed)
		if err != nil {
			return q, problem.New("bad-value", k.field, a.Say(k.wrong, "typed", a.Plain.Get(k.field)), a.Say(k.next))
		}
		*k.into = &x
	}
	return q, nil
}

// balanced is an answered disc on its way to a page.
type balanced struct {
	tongue.Words
	*answers.Balance
}

func (b balanced) tone() string {
	switch disc.State(b.State) {
	case disc.Meets:
		if !b.Heights.Finishing {
			return "doubt"
		}
		return "good"
	case disc.MeetsNot:
		return "bad"
	}
	return "doubt"
}

// state says how an unbalance stands to its limit.
func (b balanced) state(s string) string {
	switch disc.State(s) {
	case disc.Meets:
		return b.Say("disc.meets")
	case disc.MeetsNot:
		return b.Say("disc.meets-not")
	}
	return b.Say("wear.not-told")
}

// gmm writes an unbalance, whole where it is large.
func (b balanced) gmm(v float64) string {
	decimals := 0
	if v < 10 {
		decimals = 2
	}
	return b.Number(v, decimals) + unbroken + "g·mm"
}

// unbroken is a blank that holds a number and its unit on one line.
const unbroken = "\u00a0"

// says is the answer in one sentence, heights first.
func (b balanced) says() string {
	var text string
	switch state := disc.State(b.State); {
	case state == disc.Meets && len(b.Swaps) == 0:
		text = b.Say("disc.balanced")
	case state == disc.Meets && b.Arranged:
		text = b.Say("disc.balanced-new", "left", b.gmm(b.After), "permissible", b.gmm(b.Permissible))
	case state == disc.Meets && b.Fewest:
		text = b.Say("disc.balanced-after", "n", len(b.Swaps))
	case state == disc.Meets:
		text = b.Say("disc.balanced-perhaps", "n", len(b.Swaps))
	case state == disc.CannotTell:
		text = b.Say("disc.cannot-tell", "after", b.gmm(b.After), "guard", b.gmm(b.Guard), "permissible", b.gmm(b.Permissible))
	case b.Dressed != nil:
		text = b.Say("disc.dress", "n", *b.Dressed)
	default:
		text = b.Say("disc.never", "after", b.gmm(b.After), "permissible", b.gmm(b.Permissible))
	}
	if n := len(b.Heights.Proud); n > 0 {
		var most float64
		for _, o := range b.Heights.Proud {
			most = max(most, o.By)
		}
		text = b.Say("disc.proud-first", "n", n, "mm", most) + " " + text
	}
	return text
}

func (b balanced) caption() string {
	text := b.Say("disc.caption")
	if len(b.Swaps) > 0 {
		text += " " + b.Say("disc.caption-moved")
	}
	return text + " " + b.Say("disc.caption-vector")
}

func (b balanced) figures() []shell.Figure {
	list := []shell.Figure{
		{Name: b.Say("disc.before"), Value: b.gmm(b.Before), Small: b.Say("disc.heavy-at", "deg", b.Number(b.BeforeAngle, 0), "says", b.state(b.StateBefore))},
		{Name: b.Say("disc.after"), Value: b.gmm(b.After), Small: b.state(b.State)},
		{Name: b.Say("disc.permissible"), Value: b.gmm(b.Permissible), Small: b.Say("disc.duty", "grade", b.Number(b.Grade, 1), "speed", b.Number(b.Speed, 0), "kg", b.Rotor)},
		{Name: b.Say("disc.doubt"), Value: b.gmm(b.U), Small: b.Say("disc.guard", "guard", b.gmm(b.Guard))},
		{Name: b.Say("disc.heights"), Value: b.Say("disc.from-to", "low", b.Length(b.Heights.Lowest), "high", b.Length(b.Heights.Highest)), Small: b.Say("disc.band", "band_mm", b.Heights.Band)},
		{Name: b.Say("disc.couple"), Value: b.Number(b.Couple.After, 0) + unbroken + "g·mm²", Small: b.couple()},
		{Name: b.Say("disc.rim"), Value: b.Number(b.Rim, 1) + unbroken + "m/s", Small: b.Say("disc.rim-small")},
	}
	if !b.Arranged {
		weighed := shell.Figure{Name: b.Say("disc.weighed-in"), Value: b.gmm(b.WeighedIn)}
		if b.BestProven {
			weighed.Small = b.Say("disc.best")
		}
		list = append(list, weighed)
	}
	return list
}

func (b balanced) couple() string {
	if b.Couple.Matters {
		return b.Say("disc.couple-matters", "each", b.gmm(*b.Couple.Each), "size", *b.Couple.Bearings)
	}
	if b.Couple.Each != nil {
		return b.Say("disc.couple-at", "each", b.gmm(*b.Couple.Each), "size", *b.Couple.Bearings)
	}
	return b.Say("disc.couple-tenth", "size", b.Couple.Distance)
}

// few is the largest number of changes that are told and drawn one by one.
const few = 12

// tables are what a hand takes to the machine: the bits that stand proud, and the changes in their order, or which bit goes where.
func (b balanced) tables() (list []shell.Table) {
	if len(b.Heights.Proud) > 0 {
		t := shell.Table{Title: b.Say("disc.proud-title"), Heads: shell.Heads(b.Say("disc.place"), b.Say("disc.over"), b.Say("disc.new"))}
		for _, o := range b.Heights.Proud {
			t.Rows = append(t.Rows, shell.RowOf(o.Position, b.Length(o.By), b.yes(o.New)))
		}
		list = append(list, t)
	}
	if len(b.Swaps) == 0 {
		return list
	}
	at := map[string]answers.Seat{}
	for _, s := range b.Arrangement {
		at[s.Position] = s
	}
	if len(b.Swaps) <= few && !b.Arranged {
		t := shell.Table{Title: b.Say("disc.changes"), Heads: shell.Heads(b.Say("disc.number"), b.Say("disc.bits-of"), b.Say("disc.and"), "")}
		for i, s := range b.Swaps {
			note := ""
			if at[s[0]].Radius == 0 || at[s[1]].Radius == 0 {
				note = b.Say("disc.spare-in")
			}
			t.Rows = append(t.Rows, shell.RowOf(strconv.Itoa(i+1), s[0], s[1], note))
		}
		return append(list, t)
	}
	t := shell.Table{Title: b.Say("disc.put-in"), Caption: b.Say("disc.others-stay"), Heads: shell.Heads(b.Say("disc.place"), b.Say("disc.bit-of"), b.Say("disc.mark"), "g", b.Say("disc.height"))}
	for _, s := range b.Arrangement {
		if s.Radius > 0 && s.From != s.Position {
			t.Rows = append(t.Rows, shell.RowOf(s.Position, s.From, s.Bit, b.Number(s.Mass, 2), b.Length(s.Height)))
		}
	}
	return append(list, t)
}

func (b balanced) yes(is bool) string {
	if is {
		return b.Say("disc.yes")
	}
	return ""
}

// behind is the picture as a table: every place as it will be.
func (b balanced) behind() shell.Table {
	t := shell.Table{Caption: b.Say("disc.behind"), Heads: shell.Heads(b.Say("disc.place"), b.Say("disc.angle"), b.Say("disc.radius"), b.Say("disc.bit-of"), "g", b.Say("disc.height"))}
	for _, s := range b.Arrangement {
		angle, radius := b.Number(s.Angle, 1), b.Length(s.Radius)
		if s.Radius == 0 {
			angle, radius = b.Say("disc.spare"), ""
		}
		row := shell.RowOf(s.Position, angle, radius, s.From, b.Number(s.Mass, 2), b.Length(s.Height))
		row.Chosen = s.From != s.Position
		t.Rows = append(t.Rows, row)
	}
	return t
}

// short is a name as it fits beside a mark.
func short(name string) string { return chart.Short(strings.TrimSpace(name), 6) }
