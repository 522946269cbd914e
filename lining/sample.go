package lining

import (
	"math"

	"slatewright/gauge/tables"
)

// Sample says how far a weighed board is from balance with its air.
type Sample struct {
	Readings  int
	Remaining Span    // % of its mass that it will still take up (+) or give off (−); 95 % limits. Not told where Open
	Open      bool    // the weights do not show where they will end
	Days      Span    // time constant: 63 % of what remains is gone after so many days
	Rate      float64 // % of its mass a day, at the last weighing
	Misfit    float64 // how much wider the weights lie about the curve than the scale allows; above 2 something else moved them
}

// fewestWeighings let a curve with three unknowns be held against something.
const fewestWeighings = 4

// weigh fits the way to balance, m(t) = m∞ + a·g(t/τ), in two shapes: one exponential, and the uptake of a sheet from both faces, whose
// terms are exponentials with τ/(2k+1)² and weights 1/(2k+1)² (J. Crank, The Mathematics of Diffusion, 2nd ed., 1975, eq. 4.18). Every shape and τ
// that the weights allow (likelihood ratio, 95 %) adds its limits of what remains; where slow ones are among them without end, nothing is told. A
// τ above slowest days (where > 0) is left out.
func weigh(list []Reading, scale, slowest float64) *Sample {
	s := &Sample{Readings: len(list)}
	if len(list) < fewestWeighings || list[len(list)-1].Day <= list[0].Day {
		s.Open = true
		return s
	}
	end := list[len(list)-1]
	length := end.Day - list[0].Day
	top := 20 * length
	if slowest > 0 {
		top = slowest
	}
	tries, best := ways(list, math.Min(length/20, top/2), top, scale/math.Sqrt(3))
	s.gather(tries, best, slowest > 0)
	s.Rate = 100 * slope(list) / end.Mass
	percent := 100 / end.Mass
	s.Remaining = Span{s.Remaining.Value * percent, s.Remaining.Low * percent, s.Remaining.High * percent}
	return s
}

// ways tries time constants from bottom to top in both shapes, coarsely, and finely where the weights fit nearly as well as anywhere.
func ways(list []Reading, bottom, top, u float64) (tries []approach, best approach) {
	const coarse, fine, near = 120, 20, 100
	best.chi = math.Inf(1)
	try := func(i, j int, shape func(float64) float64) float64 {
		a := approachOf(list, bottom*math.Pow(top/bottom, (float64(i)+float64(j)/fine)/coarse), u, shape)
		a.last = i == coarse
		tries = append(tries, a)
		if a.chi < best.chi {
			best = a
		}
		return a.chi
	}
	for _, shape := range []func(float64) float64{decay, uptake} {
		var chi [coarse + 1]float64
		least := math.Inf(1)
		for i := range chi {
			chi[i] = try(i, 0, shape)
			least = math.Min(least, chi[i])
		}
		for i := range coarse {
			if math.Min(chi[i], chi[i+1]) <= 3*least+near {
				for j := 1; j < fine; j++ {
					try(i, j, shape)
				}
			}
		}
	}
	return tries, best
}

// gather takes all ways that the weights allow.
func (s *Sample) gather(tries []approach, best approach, bounded bool) {
	dof := float64(max(s.Readings-4, 1))
	noise := math.Max(1, best.chi/dof)
	s.Misfit = math.Sqrt(best.chi / dof)
	allowed := tables.ChiSquaredPoint(0.95, 1) * noise
	if noise > 1 {
		t := tables.StudentPoint(0.975, dof)
		allowed = t * t * noise
	}
	s.Remaining, s.Days = Exactly(best.left), Exactly(best.tau)
	for _, a := range tries {
		room := allowed - (a.chi - best.chi)
		if room < 0 {
			continue
		}
		half := math.Sqrt(room) * a.u
		s.Remaining = s.Remaining.with(a.left - half).with(a.left + half)
		s.Days = s.Days.with(a.tau)
		if a.last && !bounded {
			s.Open = true
		}
	}
}

// approach is the best curve of one shape and time constant.
type approach struct {
	tau, chi float64
	left, u  float64 // what remains at the end, g, and its standard uncertainty
	last     bool    // the slowest that was tried
}

func decay(x float64) float64 { return math.Exp(-x) }

// uptake is what remains to be taken up by a sheet, from 1 to 0.
func uptake(x float64) (s float64) {
	for k := range 30 {
		n := float64(2*k + 1)
		if n*n*x > 40 {
			break // below the last digit of the first term
		}
		s += math.Exp(-n*n*x) / (n * n)
	}
	return s * 8 / (math.Pi * math.Pi)
}

// approachOf fits end value and size for a time constant by least squares.
func approachOf(list []Reading, tau, u float64, shape func(float64) float64) approach {
	n := float64(len(list))
	first := list[0].Day
	var sg, sm float64
	left := make([]float64, len(list)) // still to go, by reading
	for i, q := range list {
		left[i] = shape((q.Day - first) / tau)
		sg += left[i]
		sm += q.Mass
	}
	mg, mm := sg/n, sm/n
	var gg, gm float64
	for i, q := range list {
		g := left[i] - mg
		gg += g * g
		gm += g * (q.Mass - mm)
	}
	a := gm / gg
	chi := 0.0
	for i, q := range list {
		r := q.Mass - mm - a*(left[i]-mg)
		chi += r * r / (u * u)
	}
	g := left[len(left)-1]
	return approach{tau: tau, chi: chi, left: -a * g, u: u * g / math.Sqrt(gg)}
}

// slope is the straight line through the last three weighings, g a day.
func slope(list []Reading) float64 {
	list = list[len(list)-3:]
	var st, sm float64
	for _, q := range list {
		st, sm = st+q.Day/3, sm+q.Mass/3
	}
	var tt, tm float64
	for _, q := range list {
		tt += (q.Day - st) * (q.Day - st)
		tm += (q.Day - st) * (q.Mass - sm)
	}
	return tm / tt
}
