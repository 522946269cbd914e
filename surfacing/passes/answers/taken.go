package answers

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/measure"
	cleaned "slatewright/surfacing/cleanup/answers"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/passes"
	"slatewright/trouble"
)

// Cleanup is what a clean-up says of a slab, as far as a plan asks.
type Cleanup struct {
	Take                                  [2]passes.Stock
	Thickness, U, Missing, Least, Reserve float64
}

// longest is far above any clean-up's answer, bytes.
const longest = 4 << 20

// ReadCleanup reads the JSON of the verb cleanup for one slab. The error is a *trouble.Trouble.
func ReadCleanup(name string, from io.Reader) (Cleanup, error) {
	bad := func(what string) error {
		return trouble.Data("bad-cleanup", name, what, "give what 'slatewright cleanup TOP BOTTOM --json' prints for one slab")
	}
	text, err := io.ReadAll(io.LimitReader(from, longest+1))
	if err != nil {
		return Cleanup{}, trouble.IO("cannot-read", name, "the clean-up cannot be read", "").Because(err)
	}
	var s struct {
		Thickness *float64    `json:"thickness_mm"`
		Interval  *[2]float64 `json:"thickness_interval_mm"`
		CutTo     *float64    `json:"cut_to_mm"`
		Missing   *float64    `json:"missing_mm"`
		Top       *Off        `json:"off_top_mm"`
		Bottom    *Off        `json:"off_bottom_mm"`
		Allowed   struct {
			Least   *float64 `json:"least_mm"`
			Reserve float64  `json:"reserve_mm"`
		} `json:"allowances"`
	}
	switch err := json.Unmarshal(text, &s); {
	case len(text) > longest:
		return Cleanup{}, bad("it is longer than 4 MiB")
	case err != nil:
		return Cleanup{}, bad("this is no JSON of a clean-up")
	case s.Top == nil || s.Bottom == nil:
		return Cleanup{}, bad("off_top_mm or off_bottom_mm is missing")
	}
	c := Cleanup{Reserve: s.Allowed.Reserve}
	if s.Allowed.Least != nil {
		c.Least = *s.Allowed.Least
	}
	if s.Missing != nil {
		c.Missing = *s.Missing
	}
	if c.Thickness = or(s.CutTo, or(s.Thickness, 0)); s.Interval != nil {
		c.U = (s.Interval[1] - s.Interval[0]) / 4
	}
	for f, o := range []*Off{s.Top, s.Bottom} {
		low := math.Min(0, o.Min) // stone that is missing at a place is said by Missing
		if c.Take[f], err = passes.Between(o.Min-low, o.Mean-low, o.Max-low); err != nil {
			return Cleanup{}, bad("what it takes off the " + passes.Face(f).String() + " is no stock: " + what(err))
		}
	}
	return c, nil
}

func or(v *float64, other float64) float64 {
	if v == nil {
		return other
	}
	return *v
}

func what(err error) string {
	if t, ok := err.(*trouble.Trouble); ok {
		return t.What
	}
	return err.Error()
}

// OfSlab takes a clean-up of maps, with the depth to come off at every reading. The error is a *trouble.Trouble.
func OfSlab(s *cleaned.Slab) (c Cleanup, err error) {
	c = Cleanup{Thickness: s.CutToMM, U: (s.IntervalMM[1] - s.IntervalMM[0]) / 4, Missing: or(s.MissingMM, 0), Least: or(s.Allowances.Least, 0), Reserve: s.Allowances.Reserve}
	body, _, _ := s.Body()
	planes, plan := s.Planes(), s.Plan()
	for f, p := range []struct{ X, Y, Z []float64 }{body.Top, body.Bottom} {
		depth := make([]float64, len(p.Z))
		least := 0.0
		for i, z := range p.Z {
			top, bottom := plan.At(planes, p.X[i], p.Y[i], z, z+body.Lift.At(p.X[i], p.Y[i]))
			depth[i] = top
			if passes.Face(f) == passes.Bottom {
				depth[i] = bottom
			}
			least = math.Min(least, depth[i])
		}
		for i := range depth {
			depth[i] -= least
		}
		if c.Take[f], err = passes.OfMap(depth); err != nil {
			return c, err
		}
	}
	return c, nil
}

// Into puts a clean-up into a question; a least thickness and a reserve that the question has already stay.
func (c Cleanup) Into(q *passes.Question) {
	q.Take, q.Thickness, q.ThicknessU, q.Missing = c.Take, c.Thickness, c.U, c.Missing
	if q.Least == 0 {
		q.Least, q.Reserve = c.Least, math.Max(q.Reserve, c.Reserve)
	}
}

// ReadOff reads what is to come off a face: least, mean and most, as "0.3, 0.62, 1.1 mm", or one length for an even face. where names it in the
// *trouble.Trouble.
func ReadOff(where, text string) (passes.Stock, error) {
	bad := func(what string) error {
		return trouble.Data("bad-stock", where, what, "write least, mean and most, such as '0.3, 0.62, 1.1 mm', or one length for an even face")
	}
	sep := ","
	if strings.Contains(text, ";") { // where a comma parts the decimals
		sep = ";"
	}
	parts := strings.Split(text, sep)
	last, unit, err := measure.ParseLengthUnit(strings.TrimSpace(parts[len(parts)-1]))
	if err != nil {
		return passes.Stock{}, bad(fmt.Sprintf("%q: %s", text, what(err)))
	}
	v := []float64{last, last, last}
	switch len(parts) {
	case 1:
	case 3:
		for i, p := range parts[:2] {
			if v[i], err = measure.ParseLength(strings.TrimSpace(p)); err != nil {
				if v[i], err = unit.ToMM(strings.TrimSpace(p)); err != nil {
					return passes.Stock{}, bad(fmt.Sprintf("%q: %s", text, what(err)))
				}
			}
		}
	default:
		return passes.Stock{}, bad(fmt.Sprintf("%q is neither one length nor three", text))
	}
	return passes.Between(v[0], v[1], v[2])
}

// ReadStress reads the stress in the skins, MPa, as "1.5 ± 0.5". The error is a *trouble.Trouble.
func ReadStress(text string) (k machine.Known, err error) {
	value, doubt, sure := strings.Cut(strings.NewReplacer("+-", "±", "MPa", "", "mpa", "").Replace(text), "±")
	if k.Value, err = measure.ParseNumber(strings.TrimSpace(value)); err == nil && sure {
		k.U, err = measure.ParseNumber(strings.TrimSpace(doubt))
	}
	if err != nil || k.U < 0 {
		return k, trouble.Data("bad-stress", "stress", fmt.Sprintf("%q is no stress with its standard uncertainty", text), "write it in MPa, such as '1 ± 0.5'")
	}
	return k, nil
}

// FindStage is a stage's number by its name, counted from 1. The error is a *trouble.Trouble.
func FindStage(m *machine.Machine, name string) (int, error) {
	var known []string
	for i, s := range m.Stages {
		if s.Name == name {
			return i + 1, nil
		}
		known = append(known, s.Name)
	}
	return 0, trouble.Data("no-stage", "bottom-stage", fmt.Sprintf("the machine has no stage %q", name), "its stages are "+strings.Join(known, ", "))
}
