package levels

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatewright/chance"
	"slatewright/trouble"
)

// Level is the chance that the tests as a whole name a step in a walk without blunders, and Power the chance with which a blunder of
// the detectable size is found. Baarda's customary 0.001 a step is near this for a walk of ten steps.
const (
	Level = 0.01
	Power = 0.80
)

// mostSuspects is how many blunders are looked for, one after the other.
const mostSuspects = 3

// Fit holds the readings against their stated uncertainties as a whole.
type Fit struct {
	Spare  int        // redundancy
	Ratio  float64    // uncertainty that the closures show, over the stated one (over 1 mm if none is stated); NaN without loops
	Within [2]float64 // its 95 % interval
	Chance float64    // that closures as large come about by the stated uncertainties; NaN if none are stated
}

// Suspect is a step that cannot be right.
type Suspect struct {
	Step   int     // number of the step in the walk
	Error  float64 // how much too high the reading seems, mm
	U      float64 // standard uncertainty of that
	Chance float64 // that the largest residual of a walk without blunders is so large
	Others []int   // steps that could be the wrong one as well
}

// test is the chi-square test of the whole.
func (h *Heights) test() Fit {
	f := Fit{Spare: h.Spare, Ratio: math.NaN(), Within: [2]float64{math.NaN(), math.NaN()}, Chance: math.NaN()}
	if h.Spare == 0 {
		return f
	}
	sum := h.squares()
	f.Ratio = math.Sqrt(sum / float64(h.Spare))
	f.Within = [2]float64{math.Sqrt(sum / chiQuantile(0.975, h.Spare)), math.Sqrt(sum / chiQuantile(0.025, h.Spare))}
	if h.known {
		f.Chance = 1 - chiSquare(sum, h.Spare)
	}
	return f
}

// squares is the sum of squared residuals in units of u.
func (h *Heights) squares() float64 {
	sum := 0.0
	for k, c := range h.Checks {
		if c.Control > 0 {
			sum += (c.Residual / h.u(k)) * (c.Residual / h.u(k))
		}
	}
	return sum
}

// snoop looks for blunders, one after the other, and says what size each step would have shown. Where uncertainties are stated, scores
// are held against them, and that stands if what is left fits them in the end. If it does not, or none are stated, each residual is held
// against the others instead.
func (h *Heights) snoop() {
	h.detectable()
	if h.known {
		if list, left := h.chain((*Heights).byStated); left == nil || left.Spare == 0 || left.Fit.Chance >= Level {
			h.Suspects = list
			return
		}
	}
	h.Suspects, _ = h.chain((*Heights).byOthers)
}

// chain names the worst step, sets it aside and fits again, until a test finds nothing; left is the last fit.
func (h *Heights) chain(chanceOf func(*Heights, int) float64) (list []Suspect, left *Heights) {
	var out []int
	for left = h; len(list) < mostSuspects; {
		k := left.worst()
		if k < 0 {
			break
		}
		p := chanceOf(left, k)
		if !(p < Level) {
			break
		}
		list, out = append(list, left.suspect(k, p)), append(out, k)
		next, err := fit(h.Walk, out)
		if err != nil {
			break
		}
		left = next
	}
	return list, left
}

// rounding is the size of residuals, mm, below which nothing is said of a step: readings written to a tenth of a nanometre.
const rounding = 1e-7

// worst is the step with the largest score, the first in the file of equal ones, −1 if nothing controls any or all fit to the last digit.
func (h *Heights) worst() int {
	k := -1
	for i, c := range h.Checks {
		if c.Control > 0 && math.Abs(c.Residual) > rounding && (k < 0 || math.Abs(c.Score) > (1+1e-9)*math.Abs(h.Checks[k].Score)) {
			k = i
		}
	}
	return k
}

// byStated is the chance of so large a score by the stated uncertainties, each of the controlled steps having its share (Bonferroni).
func (h *Heights) byStated(k int) float64 {
	return 2 * float64(h.controlled()) * chance.Cumulative(-math.Abs(h.Checks[k].Score))
}

// byOthers is the chance of so large a residual among the others (externally studentised: R. D. Cook and S. Weisberg, "Residuals and
// influence in regression", 1982, 2.2), with the same share; +Inf where there are no others.
func (h *Heights) byOthers(k int) float64 {
	if h.Spare < 2 {
		return math.Inf(1)
	}
	return float64(h.controlled()) * studentTail(math.Abs(h.Checks[k].Score)/math.Sqrt(h.without(k)), h.Spare-1)
}

// without is the mean square that is left without step k, in units of u².
func (h *Heights) without(k int) float64 {
	return max(0, h.squares()-h.Checks[k].Score*h.Checks[k].Score) / float64(h.Spare-1)
}

// suspect tells what is known of step k as a blunder.
func (h *Heights) suspect(k int, p float64) Suspect {
	c := h.Checks[k]
	s := Suspect{Step: k, Error: c.Residual / c.Control, U: h.u(k) / math.Sqrt(c.Control), Chance: p}
	if !h.known {
		s.U *= math.Sqrt(h.without(k))
	}
	s.Others = h.alike(k)
	return s
}

// controlled is how many steps have a loop through them.
func (h *Heights) controlled() (n int) {
	for _, c := range h.Checks {
		if c.Control > 0 {
			n++
		}
	}
	return n
}

// alike lists the steps that explain the readings nearly as well as step k: the sum of squares is not larger by more than a chi-square
// draw with 1 degree of freedom exceeds one time in a hundred.
func (h *Heights) alike(k int) (list []int) {
	scale := 1.0
	if !h.known {
		scale = h.without(k)
	}
	z := chance.Quantile(1 - Level/2)
	least := h.Checks[k].Score*h.Checks[k].Score*(1-1e-9) - z*z*scale
	for i, c := range h.Checks {
		if i != k && c.Control > 0 && c.Score*c.Score >= least {
			list = append(list, i)
		}
	}
	return list
}

// detectable sets the sizes of blunders that the test finds.
func (h *Heights) detectable() {
	many := float64(h.controlled())
	for k := range h.Checks {
		c := &h.Checks[k]
		if c.Control > 0 && h.known {
			c.Detectable = (chance.Quantile(1-Level/(2*many)) + chance.Quantile(Power)) * h.Walk.Steps[k].U / math.Sqrt(c.Control)
		}
	}
}

// scale makes the uncertainties larger when the closures say so, and takes them from the closures when none are stated.
func (h *Heights) scale() {
	switch {
	case !h.known:
		h.factU = h.Fit.Ratio
	case h.Fit.Chance < Level:
		h.factU = h.Fit.Ratio
	}
	for i := range h.U {
		h.U[i] *= h.factU
	}
}

func (h *Heights) warn() {
	say := func(format string, args ...any) { h.Warnings = append(h.Warnings, fmt.Sprintf(format, args...)) }
	var blind []string
	for k, c := range h.Checks {
		if c.Control == 0 {
			blind = append(blind, strconv.Itoa(h.Walk.Steps[k].Row))
		}
	}
	if n := len(blind); n > 0 {
		say("no loop goes through %s (line %s of the file): a slip there would not show", trouble.Count(n, "step", "steps"), brief(blind))
	}
	switch f := h.Fit; {
	case h.Spare == 0 && !h.known:
		say("nothing tells how good the readings are: no loop closes and no '# u:' is stated, so the heights come without their doubt")
	case !h.known:
		say("no '# u:' is stated: the doubt is taken from the closures, %s to spare", trouble.Count(h.Spare, "reading", "readings"))
	case f.Chance < Level:
		say("the closures are larger than the stated u allows, by a factor of %.1f (95 %%: %.1f to %.1f); the doubts shown are larger by that factor",
			f.Ratio, f.Within[0], f.Within[1])
	case f.Chance > 0.999:
		say("the closures are smaller than the stated u lets expect, a factor of %.2f (95 %%: %.2f to %.2f): the stated u stands", f.Ratio, f.Within[0], f.Within[1])
	}
	if len(h.Suspects) > 0 {
		say("a suspect step is named, not left out: the heights hold all readings. Read it again before the heights are used")
	}
	if len(h.Suspects) > 1 {
		say("more than one step is suspect: two slips can hide each other or point at a third step, so read the whole loop again")
	}
	if len(h.Frame.Basis) < 3 {
		say("all stations lie on one line: the zone is the straightness of that line, not a flatness")
	}
}

// brief lists the first few.
func brief(list []string) string {
	if len(list) > 6 {
		return strings.Join(list[:6], ", ") + ", …"
	}
	return strings.Join(list, ", ")
}
