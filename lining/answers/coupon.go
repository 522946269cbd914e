package answers

import (
	"errors"

	"slatewright/lining"
	"slatewright/lining/coupon"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Coupon is what a coupon test tells.
type Coupon struct {
	File     string   `json:"file"`
	Told     bool     `json:"told"`
	Readings int      `json:"readings"`
	LengthMM float64  `json:"length_mm"`
	Slope    Span     `json:"bow_mm_per_percent_rh"` // + crowns when the air dries
	Fitted   Span     `json:"fitted_mm_per_percent_rh"`
	Days     Span     `json:"tau_days"`
	Drying   Span     `json:"drying_mm_per_percent_rh"`
	Wetting  Span     `json:"wetting_mm_per_percent_rh"`
	Differ   bool     `json:"drying_and_wetting_differ"`
	Drift    Span     `json:"drift_mm_a_week"`
	Scatter  float64  `json:"scatter_mm"`
	From     float64  `json:"from_percent_rh"`
	To       float64  `json:"to_percent_rh"`
	Line     *string  `json:"line"` // for the file of a batch; null where the slope is not told
	Warnings []string `json:"warnings"`

	Points []coupon.Point `json:"-"`
}

// OfCoupon answers a coupon's log.
func OfCoupon(list *sheet.Sheet) (*Coupon, error) {
	l, warnings, err := coupon.Read(list)
	if err != nil {
		return nil, err
	}
	f, err := coupon.Evaluate(l)
	if err != nil {
		return nil, at(list.Name, err)
	}
	c := &Coupon{File: list.Name, Told: f.Told, Readings: f.Readings, LengthMM: l.Length, Slope: span(f.Slope), Fitted: span(f.Fitted), Days: span(f.Days), Drying: span(f.Drying),
		Wetting: span(f.Wetting), Differ: f.Differ, Drift: span(f.Drift), Scatter: f.Scatter, Points: f.Points, From: f.From, To: f.To, Warnings: append(append([]string{}, warnings...), f.Warnings...)}
	if f.Told && f.Slope.Low > 0 {
		line := lining.Coupon{PerHumidity: f.Slope, Length: l.Length}.String()
		c.Line = &line
	}
	return c, nil
}

// at puts the file's name where a trouble has a place within it.
func at(file string, err error) error {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		told := *t
		told.Where = file + ": " + t.Where
		return &told
	}
	return err
}
