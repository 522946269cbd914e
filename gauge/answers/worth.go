package answers

import (
	"slatewright/gauge/worth"
	"slatewright/sheet"
)

// Worth is what each instrument lets through and stops, and what it is worth.
type Worth struct {
	File        string            `json:"file"`
	LimitMM     float64           `json:"limit_mm"`
	Confidence  float64           `json:"confidence"`
	Bad         WorthSpan         `json:"truly_beyond_limit"`
	Money       *string           `json:"money"` // its name, null without prices
	Instruments []WorthInstrument `json:"instruments"`
	Baseline    *string           `json:"baseline"` // the best one that is owned
	Best        string            `json:"best"`
	Perfect     *float64          `json:"perfect_gauge_worth_a_year"`
	Warnings    []string          `json:"warnings"`

	Question worth.Question `json:"-"` // as read
	best     int
}

// WorthSpan is a figure with its 90 % interval.
type WorthSpan struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// WorthInstrument is what one instrument does.
type WorthInstrument struct {
	Name             string      `json:"instrument"`
	UMM              float64     `json:"u_mm"`
	Guard            float64     `json:"guard_u"`
	AcceptMM         float64     `json:"accept_up_to_mm"`
	Owned            bool        `json:"owned"`
	Accepted         float64     `json:"accepted"`
	FalseAccept      float64     `json:"false_accept"` // of all pieces
	FalseReject      float64     `json:"false_reject"`
	BadAmongAccepted WorthSpan   `json:"bad_among_accepted"`
	GoodStopped      WorthSpan   `json:"good_stopped"`
	Money            *WorthMoney `json:"cost"`
}

// WorthMoney is what it costs and is worth.
type WorthMoney struct {
	PerPiece  WorthSpan  `json:"a_piece"`
	PerYear   WorthSpan  `json:"a_year"`
	Worth     *WorthSpan `json:"worth_a_year"`
	BreakEven *float64   `json:"pays_from_pieces_a_year"`
	BestGuard float64    `json:"cheapest_guard_u"`
	AtBest    float64    `json:"a_piece_at_cheapest_guard"`
}

func worthOf(in worth.Assessment) WorthInstrument {
	d := WorthInstrument{Name: in.Name, UMM: in.U, Guard: in.Guard, AcceptMM: in.Accept, Owned: in.Owned, Accepted: in.Risk.Accepted, FalseAccept: in.Risk.FalseAccept,
		FalseReject: in.Risk.FalseReject, BadAmongAccepted: WorthSpan(in.BadAmongAccepted), GoodStopped: WorthSpan(in.GoodStopped)}
	if m := in.Money; m != nil {
		d.Money = &WorthMoney{PerPiece: WorthSpan(m.PerPiece), PerYear: WorthSpan(m.PerYear), BreakEven: number(m.BreakEven), BestGuard: m.BestGuard, AtBest: m.AtBest}
		if number(m.Worth.Value) != nil {
			saved := WorthSpan(m.Worth)
			d.Money.Worth = &saved
		}
	}
	return d
}

// OfInstruments answers a list of instruments.
func OfInstruments(list *sheet.Sheet) (*Worth, error) {
	q, err := worth.Read(list)
	if err != nil {
		return nil, err
	}
	q.Seed = seed
	a, err := worth.Ask(q)
	if err != nil {
		return nil, at(list.Name, err)
	}
	r := &Worth{File: list.Name, LimitMM: q.Limit, Confidence: 0.9, Bad: WorthSpan(a.Bad), Perfect: number(a.Perfect), Warnings: append([]string{}, a.Warnings...), Question: q}
	if q.Prices != nil {
		r.Money = &q.Prices.Money
	}
	for _, in := range a.Assessments {
		r.Instruments = append(r.Instruments, worthOf(in))
	}
	r.Best = r.Instruments[a.Best].Name
	if a.Baseline >= 0 {
		r.Baseline = &r.Instruments[a.Baseline].Name
	}
	r.best = a.Best
	return r, nil
}

// BestOf is the best instrument: by money where there are prices, else by its doubt.
func (r *Worth) BestOf() WorthInstrument { return r.Instruments[r.best] }
