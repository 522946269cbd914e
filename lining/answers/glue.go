// Package answers has what questions about linings are answered with, for the command line and the pages alike: may a batch be glued today,
// and what does a coupon tell. It reads the lists that people write, asks packages lining and coupon, and gives their figures names with
// units, which are a contract with other programs.
//
// It reckons nothing itself, shows nothing, and knows no book.
package answers

import (
	"math"

	"slatewright/lining"
	"slatewright/lining/casefile"
	"slatewright/sheet"
)

// Span is a value with its limits.
type Span struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

func span(s lining.Span) Span { return Span(s) }

// Glue is the answer to: may this batch be glued today?
type Glue struct {
	File     string   `json:"file"`
	Verdict  string   `json:"verdict"` // may be glued, not today, or cannot tell
	Why      []Said   `json:"why"`
	Next     []Said   `json:"next"`
	LimitMM  float64  `json:"limit_mm"`
	Movement string   `json:"movement_from"` // EN 318, own coupon, or wood equation
	State    Span     `json:"state_percent_rh"`
	Days     float64  `json:"days"`
	Sample   *Sample  `json:"sample"` // null where no board was weighed
	Months   []Month  `json:"months"` // of the layout that is meant
	Layouts  []Layout `json:"layouts"`
	Best     *string  `json:"best_layout"` // the first that holds the limit for certain
	Room     *Room    `json:"certificate_room"`
	Causes   []Cause  `json:"causes"`
	Notes    []Said   `json:"notes"`
	Warnings []string `json:"warnings"`

	Outcome lining.Verdict `json:"-"`
}

// Said is a remark: a key that does not change, and its sentence.
type Said struct {
	Key  string `json:"key"`
	Text string `json:"text"`

	Remark lining.Remark `json:"-"`
}

// Sample is the weighed board.
type Sample struct {
	Readings  int     `json:"weighings"`
	Told      bool    `json:"told"`
	Remaining *Span   `json:"remaining_percent_of_mass"` // null where it is not told
	Days      *Span   `json:"tau_days"`
	Rate      float64 `json:"rate_percent_a_day"`
	Misfit    float64 `json:"misfit"`
}

// Month is a month at the destination.
type Month struct {
	Month    int    `json:"month"`
	Humidity Span   `json:"humidity_percent"`
	Bow      Span   `json:"bow_mm"` // peak to valley, + for crown
	Along    Span   `json:"bow_along_mm"`
	Across   Span   `json:"bow_across_mm"`
	Face     string `json:"playing_face"` // of the value: crowned, dished, flat
}

// Layout is one way of cutting the lining.
type Layout struct {
	Layout  string  `json:"layout"`
	Cover   float64 `json:"cover"` // share of the piece
	Worst   Span    `json:"largest_bow_mm"`
	PerUnit Span    `json:"bow_mm_per_percent_rh"` // + crowns when the air dries
	Holds   string  `json:"holds"`                 // yes, no, cannot tell

	Cut lining.Layout `json:"-"`
}

// Room is what the certificate may promise.
type Room struct {
	Low  float64 `json:"low_percent_rh"`
	High float64 `json:"high_percent_rh"`
	Text string  `json:"text"`
}

// Cause is one thing that is not known.
type Cause struct {
	Cause   string  `json:"cause"`
	WorstMM float64 `json:"largest_bow_if_known_mm"`
}

// OfBatch answers a list.
func OfBatch(list *sheet.Sheet) (*Glue, error) {
	name := list.Name
	c, warnings, err := casefile.Read(list)
	if err != nil {
		return nil, err
	}
	a, err := lining.Ask(c)
	if err != nil {
		return nil, at(name, err)
	}
	g := &Glue{File: name, Verdict: a.Verdict.String(), Outcome: a.Verdict, Why: said(a.Why), Next: said(a.Next), LimitMM: c.Limit, Movement: c.Board.Source.String(),
		State: span(a.State), Days: a.Days, Notes: said(a.Remarks), Warnings: append([]string{}, warnings...)}
	for i, m := range a.Plans[0].Months {
		g.Months = append(g.Months, Month{i + 1, span(m.Humidity), span(m.Bow), span(m.Along), span(m.Across), lining.Side(m.Bow.Value)})
	}
	for i, p := range a.Plans {
		l := Layout{p.Layout.String(), p.Cover, span(p.Worst), span(p.PerUnit), holds[p.Holds], p.Layout}
		g.Layouts = append(g.Layouts, l)
		if i == a.Best {
			g.Best = &l.Layout
		}
	}
	if s := a.Sample; s != nil {
		g.Sample = sample(s)
	}
	if b := a.Room; b != nil {
		g.Room = &Room{b.Low, b.High, b.Say(c.Limit)}
	}
	for _, x := range a.Causes {
		g.Causes = append(g.Causes, Cause{string(x.Name), x.Worst})
	}
	return g, nil
}

var holds = map[lining.Verdict]string{lining.Glue: "yes", lining.DoNotGlue: "no", lining.CannotTell: "cannot tell"}

func said(list []lining.Remark) []Said {
	out := []Said{}
	for _, r := range list {
		out = append(out, Said{r.Key, r.String(), r})
	}
	return out
}

func sample(s *lining.Sample) *Sample {
	out := &Sample{Readings: s.Readings, Told: !s.Open, Rate: s.Rate, Misfit: s.Misfit}
	if math.IsNaN(out.Rate) {
		out.Rate = 0
	}
	if !s.Open {
		left, days := span(s.Remaining), span(s.Days)
		out.Remaining, out.Days = &left, &days
	}
	return out
}
