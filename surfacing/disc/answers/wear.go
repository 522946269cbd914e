package answers

import (
	"math"
	"time"

	"slatewright/measure"
	"slatewright/surfacing/disc/wear"
)

// Wear is the answer about a log of heights. Its names are a contract with other programs; null is what cannot be told.
type Wear struct {
	File     string       `json:"file"`
	State    string       `json:"state"` // lasts, change, cannot tell
	Unit     string       `json:"unit"`  // of the amounts below: m2, or day where the log has no area
	Days     int          `json:"days_used"`
	Worked   float64      `json:"worked"`              // since the first day
	Rate     Span         `json:"wear_um_per_unit"`    // of the typical bit
	Now      Span         `json:"height_mm"`           // of the typical bit on the last day
	Left     Span         `json:"left"`                // until the typical bit is used up
	First    Span         `json:"first_bit_left"`      // until the lowest is
	Pace     *float64     `json:"m2_per_day"`          // over the whole log
	Change   *string      `json:"change_day"`          // on which the lowest bit is used up at that pace
	Earliest *string      `json:"change_day_earliest"` // 95 %
	Latest   *string      `json:"change_day_latest"`
	Whole    *bool        `json:"whole_ring"`       // null: nobody said the height band
	Proud    *float64     `json:"new_bit_proud_mm"` // how far a new bit would stand out of the ring
	Life     Span         `json:"ring_gives"`       // from new to usable
	PerM2    Span         `json:"price_per_m2"`
	PerSet   Span         `json:"price_per_set"`
	Bits     []WearOfBit  `json:"bits"`
	LeftOut  []string     `json:"left_out_days"`
	Next     string       `json:"next"`
	Warnings []string     `json:"warnings"`
	Log      *wear.Log    `json:"-"`
	Answer   *wear.Answer `json:"-"`
}

// Span is an expected value and its 95 % interval; to is null where the readings do not bound it.
type Span struct {
	Expected *float64 `json:"expected"`
	From     *float64 `json:"from"`
	To       *float64 `json:"to"`
}

// WearOfBit is one bit beside the typical one.
type WearOfBit struct {
	Position string   `json:"position"`
	Height   float64  `json:"height_mm"`
	Off      float64  `json:"off_mm"`
	Pace     *float64 `json:"pace"` // 1: as the ring
	Odd      bool     `json:"odd"`
}

func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	x = round(x)
	return &x
}

func spanOf(s wear.Span, factor float64) Span {
	if math.IsNaN(s.Expected) {
		return Span{}
	}
	return Span{number(s.Expected * factor), number(s.From * factor), number(s.To * factor)}
}

func dayOf(d time.Time) *string {
	if d.IsZero() {
		return nil
	}
	text := d.Format(time.DateOnly)
	return &text
}

// OfWear answers about a log. band is the height band, mm; nil: the log's own.
func OfWear(file string, l *wear.Log, band *float64) (*Wear, error) {
	if band != nil {
		l.Band = *band
	}
	a, err := wear.Ask(l)
	if err != nil {
		return nil, err
	}
	const micro = 1000
	w := &Wear{File: file, State: string(a.State), Unit: "day", Days: a.Days, Worked: round(a.Worn), Rate: spanOf(a.Rate, micro), Now: spanOf(a.Now, 1), Left: spanOf(a.Left, 1), First: spanOf(a.First, 1),
		Pace: number(a.Pace), Change: dayOf(a.End[0]), Earliest: dayOf(a.End[1]), Latest: dayOf(a.End[2]), Proud: number(a.Proud), Life: spanOf(a.Life, 1), PerM2: spanOf(a.PerM2, 1), PerSet: spanOf(a.PerSet, 1),
		Bits: []WearOfBit{}, LeftOut: []string{}, Warnings: append([]string{}, a.Warnings...), Log: l, Answer: a}
	if a.ByArea {
		w.Unit = "m2"
	}
	if w.Proud != nil && !math.IsNaN(l.Band) {
		w.Whole = &a.Whole
	}
	for _, b := range a.Each {
		w.Bits = append(w.Bits, WearOfBit{b.Name, round(b.Height), round(b.Off), number(b.Pace), b.Odd})
	}
	for _, d := range a.LeftOut {
		w.LeftOut = append(w.LeftOut, d.Format(time.DateOnly))
	}
	w.Next = w.next()
	return w, nil
}

// next is what to do, in one sentence.
func (w *Wear) next() string {
	switch wear.State(w.State) {
	case wear.CannotTell:
		return "Read the heights of the same bits again after more work"
	case wear.Change:
		if w.Whole != nil && !*w.Whole {
			return "Change the lowest bits now: new ones stand within the height band"
		}
		return "Change the whole ring now, weigh the new bits in, and dress them in before a finishing pass"
	}
	if w.Whole != nil && !*w.Whole {
		return "Single bits can still be changed: a new one stands within the height band"
	}
	if w.Proud != nil && w.Whole != nil {
		return "Plan the change of the whole ring: a single new bit would stand proud by " + measure.Decimal(*w.Proud, 2) + " mm and score the stone"
	}
	return "Plan the change of the ring, and have the next one weighed before that day"
}
