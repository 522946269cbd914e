// Package belief is how a machine's file learns a value from job to job, and how sure it may be.
//
// The model: the value of a job is lognormal about that of the machine, with a spread from job to job that the jobs themselves must show; what a job
// shows is its value, or one over it (bits worn for a stone, yielding for a force), with a normal error of known size. What the file believed before its first job is a
// lognormal too. Spread and value are integrated over a lattice, so that one job, however exact, leaves the doubt whether the next will be like it. A
// job that is less likely than once in a hundred by what was believed is told as far, and whoever asks decides.
//
// The package reads no files and keeps nothing. It does not ask why values differ: stone, bits, water and the mill's hands are all in the spread.
package belief

import (
	"math"

	"slatewright/chance"
	"slatewright/surfacing/machine"
)

// Shown is what one job showed.
type Shown struct {
	Value   float64
	U       float64 // standard uncertainty
	Inverse bool    // Value is one over what is learnt; it may come out at zero or below, which then says "at least"
}

// Held is what is believed.
type Held struct {
	// Next is what the next job will have: its U holds both how well the machine's value is known and how far jobs lie from it. It is what a plan must
	// reckon with, and what a file keeps.
	Next machine.Known
	// Low and High hold the next job's value in 95 of 100.
	Low, High float64
	Typical   float64 // the machine's own value: the median of its jobs
	UTypical  float64
	Spread    float64 // from job to job, as a share: one standard deviation of the logarithm
	Used      int     // jobs of the history
}

// What is taken where nothing is known. All are estimates; no source was seen.
const (
	usualDoubt  = 0.5  // of a value that comes without any: a factor of 1.65 either way
	usualSpread = 0.2  // the spread from job to job is taken from a half-normal distribution of this size
	mostSpread  = 0.7  // but of no more than this share of the first doubt, which holds both
	least       = 0.01 // no job repeats another better
	far         = 0.01 // chance below which a job is far from what was believed
)

// parted is the first doubt taken apart: that of the machine's own value, and the size of the spread from job to job. Together they make the first
// doubt, since a file says of a value what the next job will have.
func parted(k machine.Known) (own, spread float64) {
	u := doubt(k)
	spread = math.Min(usualSpread, mostSpread*u)
	return math.Sqrt(u*u - spread*spread), spread
}

// lattice of the logarithm of the machine's value and of the spread, with their weights.
type lattice struct {
	theta, tau []float64
	weight     [][]float64 // of theta by tau, 1 in all
}

// From is what is believed after these jobs, from what was believed before them.
func From(first machine.Known, jobs []Shown) Held {
	return held(first, jobs, weigh(first, jobs))
}

// doubt is the standard uncertainty of the logarithm.
func doubt(k machine.Known) float64 {
	if k.U <= 0 {
		return usualDoubt
	}
	return math.Max(k.U/k.Value, least)
}

func weigh(first machine.Known, jobs []Shown) lattice {
	const nTheta, nTau = 241, 14
	mid := math.Log(first.Value)
	u, size := parted(first)
	low, high := mid-5*u, mid+5*u
	for _, j := range jobs { // reach as far as the jobs say
		if at, ok := j.log(); ok {
			low, high = math.Min(low, math.Max(at-1, mid-6)), math.Max(high, math.Min(at+1, mid+6))
		}
	}
	l := lattice{}
	for i := range nTheta {
		l.theta = append(l.theta, low+(high-low)*float64(i)/(nTheta-1))
	}
	for k := range nTau { // evenly in the logarithm, from least to one and a half
		l.tau = append(l.tau, least*math.Pow(1.5/least, float64(k)/(nTau-1)))
	}
	logs, top := make([][]float64, nTheta), math.Inf(-1)
	for i, t := range l.theta {
		logs[i] = make([]float64, nTau)
		for k, tau := range l.tau {
			p := -(t-mid)*(t-mid)/(2*u*u) - tau*tau/(2*size*size) + math.Log(tau) // the last for the step of the lattice
			for _, j := range jobs {
				p += math.Log(j.likely(t, tau) + 1e-300)
			}
			logs[i][k] = p
			top = math.Max(top, p)
		}
	}
	sum := 0.0
	for i := range logs {
		row := make([]float64, nTau)
		for k := range row {
			row[k] = math.Exp(logs[i][k] - top)
			sum += row[k]
		}
		l.weight = append(l.weight, row)
	}
	for i := range l.weight {
		for k := range l.weight[i] {
			l.weight[i][k] /= sum
		}
	}
	return l
}

// log is the logarithm of the value that a job shows, where it shows one.
func (j Shown) log() (float64, bool) {
	if !(j.Value > 0) {
		return 0, false
	}
	if j.Inverse {
		return -math.Log(j.Value), true
	}
	return math.Log(j.Value), true
}

// of is what a job shows whose value's logarithm is this.
func (j Shown) of(log float64) float64 {
	if j.Inverse {
		return math.Exp(-log)
	}
	return math.Exp(log)
}

// nodes and weights of Gauss and Hermite's rule with nine points for a standard normal distribution (M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions,
// 1964, table 25.10, scaled by √2 and 1/√π).
var nodes = [9][2]float64{{-4.512745863399783, 2.234584400774658e-05}, {-3.205429002856470, 2.789141321231769e-03}, {-2.076847978677830, 4.991640676521787e-02}, {-1.023255663789133, 2.440975028949394e-01},
	{0, 4.063492063492063e-01}, {1.023255663789133, 2.440975028949394e-01}, {2.076847978677830, 4.991640676521787e-02}, {3.205429002856470, 2.789141321231769e-03}, {4.512745863399783, 2.234584400774658e-05}}

// likely is the density of what a job shows for a machine's value and a spread. A job that shows its value well is normal in the logarithm; one that shows it badly,
// or nothing above zero, is integrated over what its own value may be.
func (j Shown) likely(theta, tau float64) (p float64) {
	if at, ok := j.log(); ok && j.U < 0.1*j.Value {
		v := tau*tau + j.U*j.U/(j.Value*j.Value)
		return math.Exp(-(at-theta)*(at-theta)/(2*v)) / math.Sqrt(v)
	}
	scale := math.Max(math.Abs(j.Value), j.U) // so that both ways to reckon have one measure
	for _, n := range nodes {
		d := (j.Value - j.of(theta+tau*n[0])) / j.U
		p += n[1] * math.Exp(-d*d/2) / (j.U / scale)
	}
	return p
}

func held(first machine.Known, jobs []Shown, l lattice) Held {
	var mean, square, spread, spread2 float64
	for i, t := range l.theta {
		for k, tau := range l.tau {
			w := l.weight[i][k]
			mean, square, spread, spread2 = mean+w*t, square+w*t*t, spread+w*tau, spread2+w*tau*tau
		}
	}
	v := math.Max(square-mean*mean, 0)
	h := Held{Typical: math.Exp(mean), Spread: spread, Used: len(jobs)}
	h.UTypical = h.Typical * math.Sqrt(v)
	// a value is never told as less sure than nine tenths of itself: it is above zero
	h.Next = machine.Known{Value: h.Typical, U: h.Typical * math.Min(math.Sqrt(v+spread2), 0.9), Seen: first.Seen + len(jobs)}
	h.Low, h.High = math.Exp(l.point(0.025)), math.Exp(l.point(0.975))
	return h
}

// below is the chance that the logarithm of the next job's value is less.
func (l lattice) below(at float64) (p float64) {
	for i, t := range l.theta {
		for k, tau := range l.tau {
			if w := l.weight[i][k]; w > 1e-12 {
				p += w * chance.Cumulative((at-t)/tau)
			}
		}
	}
	return p
}

// point is where below reaches p.
func (l lattice) point(p float64) float64 {
	low, high := l.theta[0]-8, l.theta[len(l.theta)-1]+8
	for range 60 {
		if mid := (low + high) / 2; l.below(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// Far tells whether a job is less likely than once in a hundred by what the jobs before it made believe, with the chance of one as far or farther, and on which
// side it lies: + when its value is more than was believed.
func Far(first machine.Known, before []Shown, job Shown) (is bool, p float64, side int) {
	l := weigh(first, before)
	var less float64 // chance that such a job shows less than this one does
	for i, t := range l.theta {
		for k, tau := range l.tau {
			w := l.weight[i][k]
			if w < 1e-9 {
				continue
			}
			for _, n := range nodes {
				less += w * n[1] * chance.Cumulative((job.Value-job.of(t+tau*n[0]))/job.U)
			}
		}
	}
	p = 2 * math.Min(less, 1-less)
	side = 1
	if (less < 0.5) != job.Inverse {
		side = -1
	}
	return p < far, p, side
}
