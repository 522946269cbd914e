package wholeface

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/trouble"
)

// MostPrior is how large a file of a prior may be, in bytes.
const MostPrior = 1 << 20

// ParsePrior reads a prior from JSON and checks it whole. Errors are *trouble.Trouble that name the file.
func ParsePrior(name string, text []byte) (*Prior, error) {
	bad := func(what string) error {
		return trouble.Data("bad-prior", name, what, "make it anew with 'slatewright judge --learn'")
	}
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	p := &Prior{}
	if err := d.Decode(p); err != nil {
		return nil, bad("it is not a prior: " + strings.TrimPrefix(err.Error(), "json: "))
	}
	if d.More() {
		return nil, bad("something follows the prior")
	}
	if p.Format != PriorFormat {
		return nil, bad(fmt.Sprintf("its format is %q, and this program reads %q", p.Format, PriorFormat))
	}
	if what := p.fault(); what != "" {
		return nil, bad(what)
	}
	return p, nil
}

// Text is the prior as a file: JSON, indented, the same bytes each time.
func (p *Prior) Text() ([]byte, error) {
	text, err := json.MarshalIndent(p, "", " ")
	if err != nil {
		return nil, trouble.Own("unwritable-prior", "wholeface", "the prior cannot be written: "+err.Error(), "").Because(err)
	}
	return append(text, '\n'), nil
}

// fault says what is wrong with a prior, or "".
func (p *Prior) fault() string {
	n := len(p.Lengths) * len(p.Sigmas) * len(p.Taus)
	sum := 0.0
	for _, w := range p.Weights {
		if !(w >= 0) {
			return "a weight is negative"
		}
		sum += w
	}
	switch {
	case n == 0 || n > 5000 || len(p.Weights) != n:
		return "there must be a weight for each length, sigma and short part"
	case math.Abs(sum-1) > 1e-6:
		return "the weights must sum to 1"
	case !within(p.Lengths, 10, 10_000) || !within(p.Sigmas, 1e-6, 10) || !within(p.Taus, 0, 10):
		return "a parameter is out of range"
	case !within([]float64{p.SizeX, p.SizeY}, 50, 10_000) || !within([]float64{p.BandMM}, 0, 1000) || !within([]float64{p.CutoffMM}, 5, 200):
		return "size, band or cutoff is out of range"
	case len(p.Correction) > 20:
		return "there are too many corrections"
	}
	for _, b := range p.Trend {
		if !within([]float64{b.Mean}, -100, 100) || !within([]float64{b.SD}, 1e-6, 100) {
			return "the trend is out of range"
		}
	}
	for _, k := range p.Correction {
		if what := k.fault(); what != "" {
			return what
		}
	}
	return ""
}

func (k Look) fault() string {
	m := len(FeatureNames)
	switch {
	case !slices.Equal(k.Features, FeatureNames):
		return "its corrections are for other features than this program's"
	case len(k.Mean) != m || len(k.SD) != m || len(k.Centre) != m+1 || len(k.Spread) != m+1:
		return "a correction lacks coefficients"
	case k.Readings < LeastReading || len(k.Quantiles) < 20 || len(k.Quantiles) > 10_000 || !slices.IsSorted(k.Quantiles):
		return "the quantiles of a correction must rise, and be 20 or more"
	case !within(k.SD, 1e-6, 1e3) || !within(k.Mean, -100, 100) || !within(k.Centre, -20, 20) || !within(k.Spread, -20, 20) ||
		!within(k.Quantiles, -1e3, 1e3):
		return "a number of a correction is out of range"
	case k.Quantiles[len(k.Quantiles)-1] <= k.Quantiles[0]:
		return "the quantiles of a correction are all alike"
	}
	return ""
}

// within tells whether all of v lie from low to high; not a number does not.
func within(v []float64, low, high float64) bool {
	return !slices.ContainsFunc(v, func(x float64) bool { return !(x >= low && x <= high) })
}
