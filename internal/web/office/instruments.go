package office

import (
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

// gear is one instrument or bench in a list.
type gear struct {
	Ref     book.Ref
	Sort    string
	U       string
	Due     string
	State   string // past, soon, good, none
	Stands  string
	DueTime time.Time
}

// soonDays is how long before its end a calibration is marked: common practice, no source.
const soonDays = 30

func showInstruments(v *shell.Visit) error {
	var list []gear
	for _, kind := range []book.Kind{book.KindInstrument, book.KindBench} {
		page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: kind}, "", 500)
		if err != nil {
			return err
		}
		for _, t := range page.Items {
			g, err := gearOf(v, t)
			if err != nil {
				return err
			}
			list = append(list, g)
		}
	}
	order := map[string]int{"past": 0, "soon": 1, "good": 2, "none": 3}
	slices.SortStableFunc(list, func(a, b gear) int {
		if d := order[a.State] - order[b.State]; d != 0 {
			return d
		}
		return a.DueTime.Compare(b.DueTime)
	})
	return v.Show(shell.Page{Name: "office/instruments", Title: v.Say("shell.instruments"), Here: "instruments", Data: list})
}

func gearOf(v *shell.Visit, t book.Thing) (gear, error) {
	state, err := book.StateOf(t)
	if err != nil {
		return gear{}, err
	}
	s := state.(*book.InstrumentState)
	g := gear{Ref: t.Ref, Sort: v.Word("sort", s.Sort), Stands: v.Word("station", string(t.Station)), State: "none", Due: "–", U: "–"}
	if s.UMM > 0 {
		g.U = v.Length(s.UMM)
	}
	if n := len(s.Calibrations); n > 0 && s.IntervalDays > 0 {
		last := s.Calibrations[n-1]
		g.DueTime = time.UnixMilli(last.DueMS).In(v.Now.Location())
		g.Due = v.Day(g.DueTime)
		switch left := g.DueTime.Sub(v.Now); {
		case left < 0 || !last.Good:
			g.State = "past"
		case left < soonDays*24*time.Hour:
			g.State = "soon"
		default:
			g.State = "good"
		}
	}
	return g, nil
}

// gearPage is the page of one instrument.
type gearPage struct {
	gear
	Gear         gear
	Calibrations []calibration
	Count        book.Count
	Interval     int
	Studies      []studied
}

// studied is a study of how well the instrument repeats, which the book keeps.
type studied struct{ Day, Entry string }

type calibration struct {
	Day, Due string
	Good     bool
}

func showInstrument(v *shell.Visit) error {
	t, state, err := v.Thing(book.KindInstrument, v.R.PathValue("number"))
	if err != nil {
		if t, state, err = v.Thing(book.KindBench, v.R.PathValue("number")); err != nil {
			return err
		}
	}
	s := state.(*book.InstrumentState)
	p := gearPage{Interval: s.IntervalDays}
	if p.Gear, err = gearOf(v, t); err != nil {
		return err
	}
	for _, c := range slices.Backward(s.Calibrations) {
		p.Calibrations = append(p.Calibrations, calibration{v.Day(time.UnixMilli(c.AtMS)), v.Day(time.UnixMilli(c.DueMS)), c.Good})
	}
	for _, c := range slices.Backward(s.Studies) {
		p.Studies = append(p.Studies, studied{v.Day(time.UnixMilli(c.AtMS).In(v.Now.Location())), c.Entry})
	}
	if p.Count, err = v.Ledger.AffectedCount(v.R.Context(), t.Ref); err != nil {
		return err
	}
	return v.Show(shell.Page{Name: "office/instrument", Title: t.ID, Here: "instruments", Data: p})
}
