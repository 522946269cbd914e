package seasoning

import (
	"math"
	"slices"

	"slatewright/cores"
	"slatewright/gauge/tables"
	"slatewright/seasoning/relax"
)

// Group is what the pieces of a layer have in common.
type Group struct {
	Pieces         int     // that say something of τ
	LogTau, SD     float64 // of ln τ from piece to piece; NaN where fewer than three say something
	Amplitude      float64 // the whole change of a typical piece; NaN where fewer than three are bounded
	AmplitudeSD    float64 // from piece to piece
	part           float64 // the same as a share of the first reading, where the readings are weights
	partSD         float64
	amplitudes     int
	means, squares []float64 // of each piece's ln τ, given the group; NaN for a piece that says nothing
}

const (
	fewestPieces = 3    // that make a layer
	leastSpread  = 0.05 // of ln τ: pieces of a layer never agree better than that; common practice, no source
	rounds       = 60
	wellKnown    = 1.5 // ends of the interval of τ: a piece that is known so well by itself does not borrow
)

// Together fits the pieces of one layer. A piece whose own readings leave τ open borrows from the others; the prior is empirical: mean and spread of ln τ
// that make the pieces' profile likelihoods most probable (EM: A. P. Dempster, N. M. Laird and D. B. Rubin, J. R. Stat. Soc. B 39, 1977), and the mean
// and spread of the whole change. relative says that changes go with the piece's size, as weights do.
func Together(list []Series, relative bool) ([]*Fit, Group, error) {
	fits, errs, stages := make([]*Fit, len(list)), make([]error, len(list)), make([]*stage, len(list))
	cores.Share(len(list), 4, func(from, to int) {
		var laid *relax.Lattice
		for i := from; i < to; i++ {
			if stages[i], errs[i] = list[i].stage(nil, laid); errs[i] == nil {
				fits[i], laid = stages[i].fit(list[i], nil), stages[i].Lattice
			}
		}
	})
	for _, err := range errs {
		if err != nil {
			return nil, Group{}, err
		}
	}
	g := group(list, fits)
	cores.Share(len(list), 4, func(from, to int) {
		for i := from; i < to; i++ {
			prior := g.without(i, relative)
			if prior == nil || fits[i].Model == Unsettled || fits[i].bounded && fits[i].TauHigh < wellKnown*fits[i].TauLow {
				continue
			}
			if stages[i].reaches(prior) {
				fits[i] = stages[i].fit(list[i], prior)
			} else if again, err := Of(list[i], prior); err == nil {
				fits[i] = again
			}
		}
	})
	return fits, g, nil
}

// group finds what the pieces have in common.
func group(list []Series, fits []*Fit) Group {
	g := Group{LogTau: math.NaN(), SD: math.NaN(), Amplitude: math.NaN(), AmplitudeSD: math.NaN()}
	g.means, g.squares = make([]float64, len(fits)), make([]float64, len(fits))
	mean, spread := 0.0, 1.0
	for _, f := range fits {
		if f.shape != nil {
			g.Pieces++
			mean += relax.Pace * float64(f.low+slices.Index(f.shape, slices.Min(f.shape)))
		}
	}
	if g.Pieces < fewestPieces {
		return g
	}
	mean /= float64(g.Pieces)
	for range rounds {
		sum, square := 0.0, 0.0
		for i, f := range fits {
			g.means[i], g.squares[i] = f.given(mean, spread)
			if !math.IsNaN(g.means[i]) {
				sum, square = sum+g.means[i], square+g.squares[i]
			}
		}
		n := float64(g.Pieces)
		next := sum / n
		wide := math.Sqrt(max(square/n-next*next, leastSpread*leastSpread))
		still := math.Abs(next-mean)+math.Abs(wide-spread) < 1e-4
		if mean, spread = next, wide; still {
			break
		}
	}
	g.LogTau, g.SD = mean, spread
	var whole, parts []float64
	for i, f := range fits {
		if f.bounded {
			whole = append(whole, f.Amplitude)
			parts = append(parts, f.Amplitude/math.Abs(first(list[i])))
		}
	}
	if g.amplitudes = len(whole); g.amplitudes >= fewestPieces {
		g.Amplitude, g.AmplitudeSD = moments(whole)
		g.part, g.partSD = moments(parts)
	}
	return g
}

// first is the earliest reading.
func first(s Series) float64 {
	list, _ := s.sorted()
	return list[0].Value
}

// moments are the mean and the standard deviation, the latter at least a twentieth of the former.
func moments(list []float64) (mean, sd float64) {
	for _, x := range list {
		mean += x / float64(len(list))
	}
	for _, x := range list {
		sd += (x - mean) * (x - mean) / float64(len(list)-1)
	}
	return mean, max(math.Sqrt(sd), math.Abs(mean)/20)
}

// given are the mean and the mean square of a piece's ln τ, by its profile and a normal prior.
func (f *Fit) given(mean, spread float64) (first, second float64) {
	if f.shape == nil {
		return math.NaN(), math.NaN()
	}
	whole := 0.0
	for i, rise := range f.shape {
		u := relax.Pace * float64(f.low+i)
		z := (u - mean) / spread
		if rise+z*z > 60 {
			continue
		}
		w := math.Exp(-(rise + z*z) / 2)
		whole, first, second = whole+w, first+w*u, second+w*u*u
	}
	if whole == 0 { // far from the group: its own best
		u := relax.Pace * float64(f.low+slices.Index(f.shape, slices.Min(f.shape)))
		return u, u * u
	}
	return first / whole, second / whole
}

// without is what the other pieces say of one: the spread is widened for the doubt of the mean and for how few pieces it comes from. nil where they
// are too few.
func (g Group) without(i int, relative bool) *Prior {
	sum, square, n := 0.0, 0.0, 0.0
	for j := range g.means {
		if j != i && !math.IsNaN(g.means[j]) {
			sum, square, n = sum+g.means[j], square+g.squares[j], n+1
		}
	}
	if math.IsNaN(g.SD) || n < fewestPieces {
		return nil
	}
	mean := sum / n
	p := &Prior{LogTau: mean, Pieces: int(n), Relative: relative}
	p.SD = math.Sqrt(max(square/n-mean*mean, leastSpread*leastSpread)*n/(n-1)) * few(n)
	if g.amplitudes > fewestPieces {
		p.Amplitude, p.AmplitudeSD = g.Amplitude, g.AmplitudeSD
		if relative {
			p.Amplitude, p.AmplitudeSD = g.part, g.partSD
		}
		p.AmplitudeSD *= few(float64(g.amplitudes - 1))
	}
	return p
}

// few widens a spread that comes from n pieces, so that 95 % stay 95 % (Student's t against the normal factor).
func few(n float64) float64 {
	return math.Sqrt(1+1/n) * tables.StudentPoint(confidence, n-1) / math.Sqrt(usual)
}

// Ready is the day after entering on which no more than share is still to come in a piece of this group that has not been read: expected for a
// typical one, sure for one that dries slower and changes more than 95 of 100. NaN where the group is too small.
func (g Group) Ready(share float64) (expected, sure float64) {
	day := func(amplitude, tau float64) float64 {
		if share <= 0 {
			return math.NaN()
		}
		return math.Ceil(max(0, tau*math.Log(math.Abs(amplitude)/share)))
	}
	if math.IsNaN(g.SD) || math.IsNaN(g.Amplitude) {
		return math.NaN(), math.NaN()
	}
	z := math.Sqrt(usual)
	slow := math.Exp(g.LogTau + z*g.SD*few(float64(g.Pieces)))
	return day(g.Amplitude, math.Exp(g.LogTau)), day(math.Abs(g.Amplitude)+z*g.AmplitudeSD*few(float64(g.amplitudes)), slow)
}
