// Package seasoning follows the weight or the shape of pieces over time and tells how much of their movement is still to come.
//
// A piece relaxes towards a final value: value = final + amplitude·exp(−day/τ), or the sum of two such terms where the readings ask for it. For a
// given τ that is a linear fit, so everything is reckoned along a fine grid of τ (variable projection: G. H. Golub and V. Pereyra, SIAM J. Numer.
// Anal. 10, 1973), and the 95 % limit of what remains is the largest remainder that the profile likelihood allows, over every τ, over the choice of
// the model, and over which reading is wrong. Where the readings do not bound τ there is no limit: it cannot tell.
//
// It does not know why stone moves, does not see what has not begun yet (a piece that is wetted later moves again), knows no calendar beyond
// the days it is given, and decides nothing: Release says which rules are kept. It uses exp and log, so nothing sealed may rest on it.
package seasoning

import (
	"math"
	"slices"

	"slatewright/seasoning/relax"
	"slatewright/trouble"
)

// Reading is one weighing, or one reading of the shape.
type Reading struct {
	Day   float64 // since the piece entered the room
	Value float64 // in the unit of the series
	SD    float64 // its known standard deviation; 0 in every reading of a series: not known, the scatter tells it
}

// Series is what was read of one piece, in any order.
type Series struct {
	Name     string
	Readings []Reading
	Moved    []float64 // days from which on the instrument had another zero
	Start    *float64  // the value at day 0 where it is known without doubt, as the zero of a change
}

// Prior is what the other pieces of a layer say of a piece before it is read.
type Prior struct {
	LogTau, SD float64 // natural logarithm of τ in days; SD 0: nothing is said
	Pieces     int     // that it rests on
	// Amplitude is the value at day 0 less the final value, as a share of the first reading where Relative, with its standard deviation.
	Amplitude, AmplitudeSD float64
	Relative               bool
}

// Model names the form that the readings ask for.
type Model string

// The models.
const (
	Exponential Model = "exponential"
	TwoTerm     Model = "two-term"
	Slab        Model = "slab"      // the course of a slab whose inside holds the water back
	Unsettled   Model = "unsettled" // readings jump as if the instrument had been moved or the piece wetted: nothing is said
	None        Model = "none"      // too few readings
)

// Fit is what one series says.
type Fit struct {
	Name      string
	Model     Model
	Readings  int
	Last      float64 // day of the last reading
	Tau       float64 // days; of the slower term. NaN where nothing is fitted
	TauSD     float64 // by the linear approximation at the best fit
	TauLow    float64 // 90 % interval by profile likelihood; TauHigh is infinite where τ is not bounded
	TauHigh   float64
	TauFast   float64 // of the faster term, NaN with one term
	Amplitude float64 // the whole change: the value at day 0 less Final
	Final     float64 // in the zero that the instrument has now
	FinalSD   float64
	Noise     float64 // standard deviation of a reading: as given, or from the scatter
	Chi       float64 // residual sum of squares, each over the reading's variance (plain where the noise is not known)
	Freedom   int     // readings that count less the numbers fitted
	Wrong     []int   // places in Readings, in the order given, of readings that were left out
	Jump      float64 // day before which everything seems shifted; NaN
	Borrowed  bool    // the prior was used
	Warnings  []string

	points  []point // what the profile allows
	q       float64 // how far the profile may rise
	bounded bool
	shape   []float64 // rise of the profile over the lattice of τ from latticeLow on, for the layer
	low     int
	terms   [2]term
	form    relax.Form
	zero    bool    // the start is known
	begin   float64 // then the value
	unit    float64 // variance of a weighted reading
}

// term is one relaxing part: amplitude·exp(−day/τ).
type term struct{ amplitude, tau float64 }

const (
	fewest      = 3    // readings that are fitted at all without a layer
	fewestLoose = 5    // the same where the noise must come from the scatter
	mostRead    = 5000 // readings of one series
)

// check refuses what no fit can take, and returns whether the noise is known.
func (s Series) check() (known bool, err error) {
	bad := func(what, next string) error { return trouble.Data("bad-series", s.Name, what, next) }
	if len(s.Readings) == 0 {
		return false, bad("there is no reading", "give one a line: day, value")
	}
	if len(s.Readings) > mostRead {
		return false, bad("more than 5000 readings of one piece", "give one a day")
	}
	for i, r := range s.Readings {
		if !finite(r.Day) || !finite(r.Value) || !finite(r.SD) || r.SD < 0 || math.Abs(r.Day) > 1e6 || math.Abs(r.Value) > 1e12 {
			return false, bad("a reading is not a number in reach", "look at its day, value and noise")
		}
		if (r.SD > 0) != (s.Readings[0].SD > 0) {
			return false, bad("the noise of some readings is known and that of others is not", "give it for all or for none")
		}
		if i > 0 && len(s.Moved) > 3 {
			return false, bad("the instrument was moved more than three times", "begin a new list after the last time")
		}
	}
	return s.Readings[0].SD > 0, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// Remaining returns the movement that is still to come after a day: the final value less the value that day, so − for a piece that still loses.
// limit is the one-sided 95 % limit of its size; ok is false where that cannot be told.
func (f *Fit) Remaining(day float64) (expected, limit float64, ok bool) {
	return f.ahead(func(of relax.Form, tau float64) (float64, float64) {
		share, change := of.At(day / tau)
		return -share, -change
	})
}

// Rate returns how fast the value changes on a day, per week, with the one-sided 95 % limit of its size.
func (f *Fit) Rate(day float64) (expected, limit float64, ok bool) {
	return f.ahead(func(of relax.Form, tau float64) (float64, float64) {
		rate, change := of.Rate(day, tau)
		return 7 * rate, 7 * change
	})
}

// At returns the value that is expected on a day and its two-sided 90 % band, in the instrument's zero of now; ok is false where nothing is fitted.
func (f *Fit) At(day float64) (expected, low, high float64, ok bool) {
	if f.Model == None || f.Model == Unsettled {
		return math.NaN(), math.NaN(), math.NaN(), false
	}
	expected = f.Final
	for _, t := range f.terms {
		if t.amplitude != 0 {
			share, _ := f.form.At(day / t.tau)
			expected += t.amplitude * share
		}
	}
	low, high = f.band(day, expected)
	return expected, low, high, true
}

// Ready returns the first whole day, from the given one on, after which no more than share is still to come: expected for the best estimate, sure for
// its 95 % limit. NaN where that cannot be told or lies more than ten years ahead.
func (f *Fit) Ready(from, share float64) (expected, sure float64) {
	value := func(day float64) float64 {
		x, _, _ := f.Remaining(day)
		return math.Abs(x)
	}
	limit := func(day float64) float64 {
		_, x, ok := f.Remaining(day)
		if !ok {
			return math.Inf(1)
		}
		return x
	}
	return firstBelow(value, from, share), firstBelow(limit, from, share)
}

// ahead is how far a forecast goes, days.
const ahead = 3653

// firstBelow finds the first whole day from which on f stays at or below a level: two terms of different signs may rise once before they fall.
func firstBelow(f func(day float64) float64, from, level float64) float64 {
	end := from + ahead
	if !(f(end) <= level) {
		return math.NaN()
	}
	low, high := from, end // f(high) ≤ level
	const looks = 64
	for i := looks - 1; i >= 0; i-- {
		day := from + ahead*math.Pow(float64(i)/looks, 3)
		if !(f(day) <= level) {
			low = day
			break
		}
		high = day
	}
	if high == from {
		return math.Ceil(from)
	}
	for high-low > 1e-6 {
		if mid := (low + high) / 2; f(mid) <= level {
			high = mid
		} else {
			low = mid
		}
	}
	return math.Ceil(high - 1e-6)
}

// sorted returns the readings by day, and where each stood.
func (s Series) sorted() (list []Reading, from []int) {
	from = make([]int, len(s.Readings))
	for i := range from {
		from[i] = i
	}
	slices.SortStableFunc(from, func(a, b int) int {
		switch x, y := s.Readings[a].Day, s.Readings[b].Day; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	for _, i := range from {
		list = append(list, s.Readings[i])
	}
	return list, from
}

// DryingTau returns τ in days of a slab, for planning: 4l²/(π²D), with l half the thickness where both faces dry and the whole where one is sealed; D is
// the diffusivity in m²/s. It grows with the square of the thickness.
func DryingTau(thicknessMM float64, sealed bool, diffusivity float64) float64 {
	l := thicknessMM / 1000 / 2
	if sealed {
		l *= 2
	}
	return 4 * l * l / (math.Pi * math.Pi * diffusivity) / 86400
}

// Scaled returns the τ of a thickness from that of another one.
func Scaled(tau, fromMM, toMM float64) float64 { return tau * (toMM / fromMM) * (toMM / fromMM) }
