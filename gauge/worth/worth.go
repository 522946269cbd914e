// Package worth asks what a better gauge is worth: how many bad pieces pass and how many good ones are stopped with each instrument, given
// how flat the mill's pieces truly are, and what that costs where the mill gave its prices.
//
// It invents no prices, decides about no single piece (package judge does) and takes the reading as the truth plus a normal error that is the
// same for every piece.
package worth

import (
	"fmt"
	"math"
	"strings"

	"slatewright/trouble"
)

// Shape is the form in which the true values are spread.
type Shape string

// The shapes.
const (
	Lognormal Shape = "lognormal" // never below 0, with a tail to the bad side, as flatness is
	Normal    Shape = "normal"
	AsRead    Shape = "as read" // the sample itself, drawn together so far that what its own reading added to the spread is gone
)

// Truth is how the true values of the mill's pieces are spread, mm: as mean and standard deviation, or as a sample.
type Truth struct {
	Shape    Shape
	Mean, SD float64
	N        int       // pieces behind mean and standard deviation; 0: taken as exact
	Sample   []float64 // values as measured; takes the place of Mean, SD and N
	SampleU  float64   // standard uncertainty of each of them
}

// Instrument is one that the mill owns or could buy.
type Instrument struct {
	Name    string
	U       float64 // standard uncertainty of what it says of one piece, mm
	DoF     float64 // degrees of freedom of U; 0: known
	Guard   float64 // guard band in standard uncertainties: accepted is up to limit − Guard·U
	Owned   bool
	Reading float64 // cost of measuring one piece
	Price   float64 // of the instrument; 0 for what is owned
	Years   float64 // over which the price is spread
}

// Prices are the mill's own. Nothing is said about money unless all are given.
type Prices struct {
	FalseAccept, FalseReject float64 // what one costs
	Pieces                   float64 // measured in a year
	Money                    string  // its name, as the mill writes it
}

// Question is all of it.
type Question struct {
	Limit       float64 // largest true value that conforms, mm
	Truth       Truth
	Instruments []Instrument
	Prices      *Prices // nil: the mill did not give them
	Seed        uint64
	Warnings    []string // from reading the file
}

// Check refuses a question that has no answer.
func (q Question) Check() error {
	bad := func(where, what, next string) error { return trouble.Data("bad-question", where, what, next) }
	if !(q.Limit > 0) {
		return bad("limit", "the limit must be more than 0", "give '# limit: 0.25 mm'")
	}
	if len(q.Instruments) == 0 {
		return bad("instruments", "no instrument is listed", "give one a line with its standard uncertainty")
	}
	for _, in := range q.Instruments {
		switch {
		case !(in.U > 0):
			return bad(in.Name, "a standard uncertainty is more than 0", "work it out with 'slatewright gauge budget'")
		case in.DoF != 0 && !(in.DoF >= 1):
			return bad(in.Name, "there is at least 1 degree of freedom", "give the number of readings less one")
		case in.Price > 0 && !(in.Years > 0):
			return bad(in.Name, "a price without the years that the instrument lasts", "give the column years")
		}
	}
	t := q.Truth
	switch {
	case t.Shape != Lognormal && t.Shape != Normal && t.Shape != AsRead:
		return bad("shape", fmt.Sprintf("%q is no shape", t.Shape), "say lognormal, normal or as read")
	case t.Shape == AsRead && len(t.Sample) == 0:
		return bad("shape", "there is no sample to take as it was read", "give '# sample:' lines, or another shape")
	case len(t.Sample) > 0 && len(t.Sample) < 5:
		return bad("sample", fmt.Sprintf("%d pieces say nothing of a spread", len(t.Sample)), "give at least five; fifty tell something")
	case len(t.Sample) == 0 && (!(t.SD > 0) || t.N < 0 || t.N == 1):
		return bad("truth", "how the true values are spread is not given", "give '# truth: 0.20 mm sd 0.04 mm n 120' or '# sample:' lines")
	case t.Shape == Lognormal && !(t.mean() > 0):
		return bad("truth", "a lognormal spread has a mean above 0", "take the shape normal")
	}
	return nil
}

func (t Truth) mean() float64 {
	if len(t.Sample) == 0 {
		return t.Mean
	}
	m, _ := moments(t.Sample)
	return m
}

func moments(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(x)-1))
}

// spread fits the truth. inflated tells that the sample varies less than its own reading error would make it.
func (t Truth) spread() (s spread, inflated bool) {
	mean, sd := t.Mean, t.SD
	if len(t.Sample) > 0 {
		mean, sd = moments(t.Sample)
		variance := sd*sd - t.SampleU*t.SampleU
		if inflated = variance < 0.01*sd*sd; inflated {
			variance = 0.01 * sd * sd
		}
		if t.Shape == AsRead {
			pull := 0.0
			if sd > 0 {
				pull = math.Sqrt(variance) / sd
			}
			values := make([]float64, len(t.Sample))
			for i, v := range t.Sample {
				values[i] = mean + (v-mean)*pull
			}
			return spread{values: values}, inflated
		}
		sd = math.Sqrt(variance)
	}
	if t.Shape == Lognormal && mean > 0 {
		sigma := math.Sqrt(math.Log1p(sd * sd / (mean * mean)))
		return spread{log: true, middle: math.Log(mean) - sigma*sigma/2, sigma: sigma}, inflated
	}
	return spread{middle: mean, sigma: sd}, inflated
}

// yes tells what a cell for yes or no says; ok is false where it says neither.
func yes(text string) (v, ok bool) {
	switch strings.ToLower(text) {
	case "yes", "y", "1", "owned":
		return true, true
	case "no", "n", "0", "":
		return false, true
	}
	return false, false
}
