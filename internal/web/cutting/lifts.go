package cutting

import (
	"html/template"
	"math"

	"slatewright/cutting/recovery/answers"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/sheet"
)

// pound is a pound in kg.
const pound = 0.45359237

// tenth is how far a typed mass may be off, as package recovery has it.
const tenth = 0.10

// answerLifts answers for a list of bodies to lift.
func answerLifts(a shell.Asked, list *sheet.Sheet) (shell.Reply, error) {
	bodies, err := answers.ReadLift(list)
	if err != nil {
		return shell.Reply{}, err
	}
	got, err := answers.OfLifts(bodies)
	if err != nil {
		return shell.Reply{}, err
	}
	s := lifted{a.Words, got}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = a.Say("recovery.lifts-caption"), s.behind()
	out.Figures, out.Notes = s.figures(), got.Warnings
	h := s.heaviest()
	out.Loads = []caution.Load{{Name: h.Name, Kg: h.Rounded}}
	return out, nil
}

// lifted is a list of masses on its way to a page.
type lifted struct {
	tongue.Words
	*answers.Lifts
}

// off are the bodies whose typed mass cannot be.
func (s lifted) off() (names []string) {
	for _, l := range s.Lifts.Lifts {
		if l.Agrees != nil && !*l.Agrees {
			names = append(names, l.Name)
		}
	}
	return names
}

// heaviest is the body for which the most is to be lifted.
func (s lifted) heaviest() (most answers.Lift) {
	for _, l := range s.Lifts.Lifts {
		if l.Rounded > most.Rounded {
			most = l
		}
	}
	return most
}

func (s lifted) tone() string {
	if !s.Agree {
		return "bad"
	}
	return "good"
}

func (s lifted) says() string {
	if off := s.off(); len(off) > 0 {
		const most = 4
		return s.Say("recovery.mass-off", "n", len(off), "names", s.List(off[:min(most, len(off))]...))
	}
	h := s.heaviest()
	return s.Say("recovery.masses", "n", len(s.Lifts.Lifts), "name", h.Name, "mass", s.Mass(h.Rounded))
}

func (s lifted) next() string {
	if !s.Agree {
		return s.Say("recovery.measure-again")
	}
	return ""
}

func (s lifted) figures() []shell.Figure {
	h := s.heaviest()
	return []shell.Figure{{Name: s.Say("recovery.heaviest-lift"), Value: s.Mass(h.Rounded), Small: h.Name},
		{Name: s.Say("recovery.wet-density"), Value: s.Number(s.Density, 0) + unbroken + "kg/m³"}}
}

func (s lifted) behind() shell.Table {
	t := shell.Table{Heads: shell.Heads(s.Say("recovery.body"), s.Say("recovery.volume"), s.Say("recovery.reckoned"), s.Say("recovery.typed"), s.Say("recovery.lift-for"))}
	for _, l := range s.Lifts.Lifts {
		typed := "–"
		if l.Typed != nil {
			typed = s.Mass(*l.Typed)
		}
		t.Rows = append(t.Rows, shell.RowOf(l.Name, s.Number(l.Volume, 3)+unbroken+"m³", s.Mass(l.Kg), typed, s.Mass(l.Rounded)))
	}
	return t
}

// mostBodies is how many bodies are drawn; the table has all.
const mostBodies = 20

// draw shows for each body the mass for lifting as a bar, what was typed as a mark, and the band of a tenth in which that must lie.
func (s lifted) draw(width float64) template.HTML {
	const top, row, bottom = 12.0, 40.0, 36.0
	list := s.Lifts.Lifts[:min(mostBodies, len(s.Lifts.Lifts))]
	most := 0.0
	for _, l := range list {
		most = math.Max(most, math.Max(l.Rounded, l.Kg*(1+tenth)))
	}
	high := top + row*float64(len(list)) + bottom
	g := chart.Plot{Pen: chart.New(width, high, s.Say("recovery.lifts-picture", "n", len(list))), X: chart.Axis{Low: 0, High: most * 1.02, From: 10, To: width - 12}, Y: chart.Axis{Low: 0, High: 1, From: high - bottom, To: top}}
	unit, name := 1.0, "kg"
	if s.Units() == tongue.Inch {
		unit, name = pound, "lb"
	}
	g.Across(s.Words, unit, name)
	for i, l := range list {
		y := top + row*float64(i)
		class := "t1"
		if l.Agrees != nil && !*l.Agrees {
			class = "passed"
		}
		g.Text("name", "start", 10, y+12, chart.Short(l.Name, int(width/9)))
		g.Rect(class, g.X.From, y+18, g.X.At(l.Rounded)-g.X.From, 12)
		if l.Typed != nil {
			g.Rect("band", g.X.At(l.Kg*(1-tenth)), y+14, g.X.At(l.Kg*(1+tenth))-g.X.At(l.Kg*(1-tenth)), 20)
			g.Mark(2, g.X.Clip(*l.Typed), y+24, 6)
		}
	}
	return g.End()
}
