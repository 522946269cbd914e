package answers

import (
	"encoding/json"
	"math"

	"slatewright/seasoning"
	"slatewright/trouble"
)

// Piece is the answer for one piece; null where it cannot be told. The names are a contract with other programs.
type Piece struct {
	Name      string    `json:"piece,omitempty"`
	State     string    `json:"state"`
	Why       []string  `json:"why"`
	Model     string    `json:"model"`
	TauDays   *float64  `json:"tau_days"`
	TauFrom   *float64  `json:"tau_from"` // 90 % interval
	TauTo     *float64  `json:"tau_to"`
	TauFast   *float64  `json:"tau_fast_days"`
	Final     *float64  `json:"final"`
	FinalSD   *float64  `json:"final_sd"`
	Change    *float64  `json:"change"`
	Day       float64   `json:"day"`
	Remaining *float64  `json:"remaining"`
	Limit     *float64  `json:"remaining_95"`
	Unit      string    `json:"unit"`
	Share     *float64  `json:"share"`
	ReadyDay  *float64  `json:"ready_day"`
	Expected  *float64  `json:"ready_day_expected"`
	ReadyDate *string   `json:"ready_date,omitempty"`
	Noise     *float64  `json:"noise"`
	Readings  int       `json:"readings"`
	LeftOut   []float64 `json:"left_out_days"`
	FromLayer bool      `json:"borrows"`
	Warnings  []string  `json:"warnings"`
}

// Sentinel is the answer for one shape.
type Sentinel struct {
	Name    string   `json:"piece"`
	State   string   `json:"state"`
	PerWeek *float64 `json:"per_week"`
	Limit   *float64 `json:"per_week_95"`
	Unit    string   `json:"unit"`
}

// Together is what the pieces have in common.
type Together struct {
	Pieces   int      `json:"pieces"`
	TauDays  *float64 `json:"tau_days"`
	Spread   *float64 `json:"tau_spread"` // factor from piece to piece, one standard deviation
	Change   *float64 `json:"change"`
	Expected *float64 `json:"ready_day_expected"` // of a piece that has not been read
	ReadyDay *float64 `json:"ready_day"`
}

// Leaving is the answer for a list: of one piece, or of a layer.
type Leaving struct {
	File      string     `json:"file"`
	Layer     string     `json:"layer,omitempty"`
	Unit      string     `json:"unit"`
	Pieces    []Piece    `json:"pieces,omitempty"`
	Sentinels []Sentinel `json:"sentinels,omitempty"`
	Group     *Together  `json:"together,omitempty"`
	Scaled    *float64   `json:"scaled_tau_days,omitempty"`
	Warnings  []string   `json:"warnings"`

	// What it was made of, for who draws it.
	One      bool                `json:"-"` // a list of one piece
	Values   seasoning.Values    `json:"-"` // as they were read, the reference taken off
	Rule     seasoning.Rule      `json:"-"`
	Verdicts []seasoning.Verdict `json:"-"` // in the order of Pieces

	watched []seasoning.Sentinel
}

// flat is the answer for a list of one piece: its numbers stand beside the file.
type flat struct {
	File string `json:"file"`
	Piece
	Scaled *float64 `json:"scaled_tau_days,omitempty"`
}

// number is x for JSON: null where there is none.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func pieceOf(d seasoning.Verdict, values seasoning.Values, list *seasoning.List, i int) Piece {
	p := Piece{Name: d.Name, State: string(d.State), Why: append([]string{}, d.Why...), Model: string(d.Model), TauDays: number(d.Tau), TauFrom: number(d.TauLow), TauTo: number(d.TauHigh),
		TauFast: number(d.TauFast), Final: number(d.Final), FinalSD: number(d.FinalSD), Change: number(d.Amplitude), Day: d.Day, Remaining: number(d.Remaining), Limit: number(d.Limit),
		Unit: values.Unit, Share: number(d.Share), ReadyDay: number(d.Ready), Expected: number(d.Expected), ReadyDate: date(list, d.Name, d.Ready), Noise: number(d.Noise),
		Readings: d.Readings, LeftOut: []float64{}, FromLayer: d.Borrowed, Warnings: append([]string{}, d.Warnings...)}
	if p.Limit == nil { // a number that the readings do not bound would only mislead
		p.TauDays, p.Final, p.FinalSD, p.Change, p.Remaining, p.TauFast = nil, nil, nil, nil, nil, nil
	}
	for _, k := range d.Wrong {
		p.LeftOut = append(p.LeftOut, values.Series[i].Readings[k].Day)
	}
	return p
}

func sentinelOf(s seasoning.Sentinel, unit string) Sentinel {
	words := map[seasoning.State]string{seasoning.May: "still", seasoning.Stays: "moves", seasoning.Unsure: "cannot tell"}
	return Sentinel{s.Name, words[s.State], number(s.Rate), number(s.Limit), unit}
}

func (r *Leaving) group(g seasoning.Group) {
	rule, share := r.Rule, r.Rule.Share
	if rule.Relative {
		share *= math.Abs(g.Amplitude)
	}
	expected, sure := g.Ready(share)
	r.Group = &Together{Pieces: g.Pieces, TauDays: number(math.Exp(g.LogTau)), Spread: number(math.Exp(g.SD)), Change: number(g.Amplitude), Expected: number(max(expected, math.Ceil(rule.MinDays))),
		ReadyDay: number(max(sure, math.Ceil(rule.MinDays)))}
}

// scale turns the time constant to another thickness.
func (r *Leaving) scale(from, to float64, g seasoning.Group) error {
	if from <= 0 || to <= 0 {
		return trouble.Usage("no-thickness", "slatewright season", "--thickness needs the thickness of what was read", "add a header line such as '# thickness: 25.4 mm'")
	}
	tau := math.Exp(g.LogTau)
	if r.One && r.Pieces[0].TauDays != nil {
		tau = *r.Pieces[0].TauDays
	}
	r.Scaled = number(seasoning.Scaled(tau, from, to))
	return nil
}

// MarshalJSON writes the answer for one piece flat.
func (r *Leaving) MarshalJSON() ([]byte, error) {
	if !r.One {
		type list Leaving
		return json.Marshal((*list)(r))
	}
	f := flat{File: r.File, Piece: r.Pieces[0], Scaled: r.Scaled}
	f.Warnings = append(append([]string{}, r.Warnings...), f.Warnings...)
	return json.Marshal(f)
}

// State is the answer for the whole list: a piece that stays, or else one that cannot be told, keeps it from being that all may leave.
func (r *Leaving) State() seasoning.State {
	worst := seasoning.May
	for _, v := range r.Verdicts {
		switch v.State {
		case seasoning.Stays:
			return seasoning.Stays
		case seasoning.Unsure:
			worst = seasoning.Unsure
		}
	}
	return worst
}
