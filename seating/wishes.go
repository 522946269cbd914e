package seating

import (
	"math"

	"slatewright/lowlp"
	"slatewright/trouble"
)

// wished is what one arrangement reaches, wish after wish.
type wished struct {
	system   *system
	feasible bool
	zone     float64 // allowed for the whole bed
	step     [2]float64
	first    lowlp.Solution // of the first wish, with its problem, to be proven when the race is over
	problem  lowlp.Problem
	moves    []float64 // nine, own frames
	warm     []int     // rows that mattered to the last wish: the next one begins with them
	warnings []string
}

// solve answers the system's present wish, or, without one, finds any moves that keep it.
func (w *wished) solve() (lowlp.Solution, lowlp.Problem, error) {
	s := w.system
	cost := make([]float64, s.Dim())
	start := make([]float64, s.Dim())
	cost[len(cost)-1] = 1
	for k, p := range s.pieces {
		copy(start[3*k:], p.start[:])
	}
	if w.moves != nil {
		copy(start, w.moves[:9])
	}
	rows := *s // the problem keeps its own: the next wish changes what is limited
	problem := lowlp.Problem{Cost: cost, Rows: &rows, Start: start, Warm: s.limited(w.warm)}
	sol, err := lowlp.Solve(problem)
	if err == nil && sol.Status == lowlp.Optimal {
		w.moves = sol.V[:9:9]
		w.warm = sol.Working
	}
	return sol, problem, err
}

// warmReadings are the rows of readings among those that mattered.
func (w *wished) warmReadings() []int {
	var out []int
	for _, row := range w.warm {
		if row < 2*w.system.points() {
			out = append(out, row)
		}
	}
	return out
}

func unbounded(sol lowlp.Solution) error {
	if sol.Status == lowlp.Unbounded {
		return trouble.Own("seating-unbounded", "seating", "the smallest zone or step has no bound", "report this with the readings")
	}
	return nil
}

// flattest asks for the smallest zone with every step at most limit; +Inf leaves the steps free.
func (w *wished) flattest(limit [2]float64) error {
	s := w.system
	s.half, s.halfWish = 0, true
	s.limit, s.wish = limit, [2]bool{}
	sol, problem, err := w.solve()
	if err != nil {
		return err
	}
	w.feasible = sol.Status == lowlp.Optimal
	w.first, w.problem = sol, problem
	w.zone = 2 * sol.Value
	w.step = limit
	return unbounded(sol)
}

// smoothest asks for the smallest larger step with a zone of at most limit; +Inf leaves the zone free.
func (w *wished) smoothest(limit float64) error {
	s := w.system
	s.half, s.halfWish = limit/2, false
	s.wish = [2]bool{true, true}
	sol, problem, err := w.solve()
	if err != nil {
		return err
	}
	w.feasible = sol.Status == lowlp.Optimal
	w.first, w.problem = sol, problem
	w.zone = limit
	w.step = [2]float64{sol.Value, sol.Value}
	return unbounded(sol)
}

// thenStep asks, after the zone, for the smallest larger step.
func (w *wished) thenStep() error {
	s := w.system
	s.half, s.halfWish = float64(w.zone/2)+Hold/2, false
	s.wish = [2]bool{true, true}
	sol, _, err := w.solve()
	if err == nil && sol.Status == lowlp.Optimal {
		w.step = [2]float64{sol.Value, sol.Value}
	}
	return w.kept(sol, err)
}

// thenZone asks, after the larger step, for the smallest zone.
func (w *wished) thenZone() error {
	s := w.system
	s.limit = [2]float64{w.step[0] + Hold, w.step[1] + Hold}
	s.wish = [2]bool{}
	s.half, s.halfWish = 0, true
	sol, _, err := w.solve()
	if err == nil && sol.Status == lowlp.Optimal {
		w.zone = 2 * sol.Value
	}
	return w.kept(sol, err)
}

// thenSmaller asks for the smaller of the two steps: the better of two programs, since either joint may be the better one.
func (w *wished) thenSmaller() error {
	s := w.system
	larger := w.step[0]
	s.half, s.halfWish = float64(w.zone/2)+Hold/2, false
	best, moves := math.Inf(1), w.moves
	at := w.moves
	for j := range 2 {
		s.wish = [2]bool{}
		s.wish[j] = true
		s.limit = [2]float64{larger + Hold, larger + Hold}
		w.moves = at
		sol, _, err := w.solve()
		if err := w.kept(sol, err); err != nil {
			return err
		}
		if sol.Status == lowlp.Optimal && sol.Value < best-Hold {
			best, moves = sol.Value, w.moves
			w.step[j], w.step[1-j] = sol.Value, larger
		}
	}
	w.moves = moves
	return nil
}

// thenLeast asks for the least sum of squared corner moves.
func (w *wished) thenLeast() error {
	s := w.system
	s.wish, s.halfWish = [2]bool{}, false
	s.half = float64(w.zone/2) + Hold/2
	s.limit = [2]float64{w.step[0] + Hold, w.step[1] + Hold}
	g := s.corners()
	sol, err := lowlp.Nearest(lowlp.Least{G: g, H: make([]float64, len(g)/9), Rows: s, Warm: s.limited(w.warm)})
	if err != nil || sol.Status != lowlp.Optimal || !(sol.Violation <= Hold) {
		w.warnings = append(w.warnings, "the moves are an optimum, but not the one with the least corner moves: rounding left no room to look for it")
		return nil
	}
	w.moves = sol.V
	return nil
}

// kept turns a later wish that failed into a warning: the earlier ones still stand.
func (w *wished) kept(sol lowlp.Solution, err error) error {
	if err != nil {
		return err
	}
	if sol.Status != lowlp.Optimal {
		w.warnings = append(w.warnings, "a later wish found no room within 1e-9 mm of the earlier ones; the moves keep the earlier ones")
	}
	return nil
}

// larger is the larger step reached, smaller the other.
func (w *wished) larger() float64  { return max(w.step[0], w.step[1]) }
func (w *wished) smaller() float64 { return min(w.step[0], w.step[1]) }
