package seasoning

import "math"

// form is the course of a relaxation with one τ: share of the change that is still to come as a function of day/τ. A piece seldom follows one
// exponential from the first day: its skin dries faster. How much faster depends on the stone and on the air, between a piece that its surface holds
// back (one exponential) and one that its inside holds back (a slab). A skin too small to be seen in the readings still moves the forecast, so all
// forms count that the readings do not rule out.
type form int

// The forms: one exponential, six with a faster part, and the slab. The faster part has a share of 0.2 or 0.35 of the whole change, and a τ
// that is 3.0, 4.1 or 6.0 times shorter, whole steps of the lattice.
const (
	plain form = iota
	slab  form = 7
	forms      = 8
)

var (
	skinShare = [2]float64{0.2, 0.35}
	skinSteps = [3]int{11, 14, 18}
	skinTimes = [3]float64{math.Exp(11 * pace), math.Exp(14 * pace), math.Exp(18 * pace)}
)

// skin is the faster part of a form: its share and how many steps of the lattice it lies below.
func (f form) skin() (share float64, steps int) {
	if f == plain || f == slab {
		return 0, 0
	}
	return skinShare[(f-1)/3], skinSteps[(f-1)%3]
}

// deepest is how many steps below a τ a form reaches.
const deepest = 18

// at returns the share still to come at x = day/τ, 1 at x = 0, and its change with ln τ.
func (f form) at(x float64) (share, change float64) {
	return f.from(x, math.Exp(-x), math.Exp(-f.faster()*x))
}

// from is the same by e = exp(−x) and fast, that of the faster part.
func (f form) from(x, e, fast float64) (share, change float64) {
	if f == slab {
		return slabFrom(x, e)
	}
	part, _ := f.skin()
	if part == 0 {
		return e, x * e
	}
	return (1-part)*e + part*fast, (1-part)*x*e + part*f.faster()*x*fast
}

// faster is how many times shorter the τ of the faster part is.
func (f form) faster() float64 {
	if _, steps := f.skin(); steps > 0 {
		return skinTimes[(f-1)%3]
	}
	return 1
}

// rate returns how fast that share changes with the day, and its change with ln τ for the plain form.
func (f form) rate(day, tau float64) (rate, change float64) {
	x := day / tau
	if f == plain {
		e := math.Exp(-x)
		return -e / tau, -(x - 1) * e / tau
	}
	const least = 1e-9
	x = max(x, least)
	_, c := f.at(x)
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
