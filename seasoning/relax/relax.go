// Package relax holds the courses by which a piece relaxes: one exponential, a skin that is faster than the rest, and a slab; and the lattice of τ on which
// pieces that were read on the same days share them.
//
// It fits nothing and knows no readings, only the days on which they were taken.
package relax

import "math"

// Pace is the step of ln τ on the lattice, whose points all series share: τ = exp(u), u a whole multiple of it.
const Pace = 0.1

// Form is the course of a relaxation with one τ: share of the change that is still to come as a function of day/τ. A piece seldom follows one
// exponential from the first day: its skin dries faster. How much faster depends on the stone and on the air, between a piece that its surface holds
// back (one exponential) and one that its inside holds back (a slab). A skin too small to be seen in the readings still moves the forecast, so all
// forms count that the readings do not rule out.
type Form int

// The forms: one exponential, six with a faster part, and the slab. The faster part has a share of 0.2 or 0.35 of the whole change, and a τ
// that is 3.0, 4.1 or 6.0 times shorter, whole steps of the lattice.
const (
	Plain Form = iota
	Slab  Form = 7
	Forms      = 8
)

var (
	skinShare = [2]float64{0.2, 0.35}
	skinSteps = [3]int{11, 14, 18}
	skinTimes = [3]float64{math.Exp(11 * Pace), math.Exp(14 * Pace), math.Exp(18 * Pace)}
)

// Skin is the faster part of a form: its share and how many steps of the lattice it lies below.
func (f Form) Skin() (share float64, steps int) {
	if f == Plain || f == Slab {
		return 0, 0
	}
	return skinShare[(f-1)/3], skinSteps[(f-1)%3]
}

// Steps are the depths of the skins, in steps of the lattice.
func Steps() [3]int { return skinSteps }

// deepest is how many steps below a τ a form reaches.
const deepest = 18

// At returns the share still to come at x = day/τ, 1 at x = 0, and its change with ln τ.
func (f Form) At(x float64) (share, change float64) {
	return f.from(x, math.Exp(-x), math.Exp(-f.faster()*x))
}

// from is the same by e = exp(−x) and fast, that of the faster part.
func (f Form) from(x, e, fast float64) (share, change float64) {
	if f == Slab {
		return slabFrom(x, e)
	}
	part, _ := f.Skin()
	if part == 0 {
		return e, x * e
	}
	return (1-part)*e + part*fast, (1-part)*x*e + part*f.faster()*x*fast
}

// Course fills in the share and its change on days, ascending, for a τ in days; room is as long, and written over.
func (f Form) Course(tau float64, days, share, change, room []float64) {
	decay(share, days, 1/tau)
	if f.faster() > 1 {
		decay(room, days, f.faster()/tau)
	}
	for i, d := range days {
		share[i], change[i] = f.from(d/tau, share[i], room[i])
	}
}

// faster is how many times shorter the τ of the faster part is.
func (f Form) faster() float64 {
	if _, steps := f.Skin(); steps > 0 {
		return skinTimes[(f-1)%3]
	}
	return 1
}

// Rate returns how fast that share changes with the day, and its change with ln τ for the plain form.
func (f Form) Rate(day, tau float64) (rate, change float64) {
	x := day / tau
	if f == Plain {
		e := math.Exp(-x)
		return -e / tau, -(x - 1) * e / tau
	}
	const least = 1e-9
	x = max(x, least)
	_, c := f.At(x)
	return -c / (x * tau), 0
}

// slabFrom is the share of the water that is still in a slab whose faces dry at once (J. Crank, The Mathematics of Diffusion, 1975, 4.18 and 4.20):
// 8/π² Σ exp(−(2k+1)²x)/(2k+1)² with x = day/τ, τ = 4l²/(π²D); for small x 1 − 4√x/π^1.5, which is off by less than 1e-11 below x = 0.1.
func slabFrom(x, e float64) (share, change float64) {
	if x <= 0 {
		return 1, 0
	}
	if x < 0.1 {
		root := math.Sqrt(x/math.Pi) / math.Pi
		return 1 - 4*root, 2 * root
	}
	eight := e * e
	eight *= eight
	eight *= eight
	step := eight
	for odd := 1.0; odd*odd*x < 45; odd += 2 { // e = exp(−odd²·x)
		share, change = share+e/(odd*odd), change+x*e
		e, step = e*step, step*eight
	}
	const first = 8 / (math.Pi * math.Pi)
	return first * share, first * change
}
