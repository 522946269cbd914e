package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"slatewright/chance"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/search"
)

// smallSlab is a plain rectangle with rectangular flaws, small enough for a general solver.
type smallSlab struct {
	Width  int          `json:"width"`
	Height int          `json:"height"`
	Kerf   int          `json:"kerf"`
	Flaws  [][4]int     `json:"flaws"`
	Pieces []smallPiece `json:"pieces"`
}

type smallPiece struct {
	Length int  `json:"length"`
	Width  int  `json:"width"`
	Value  int  `json:"value"`
	Most   int  `json:"most"`
	Turn   bool `json:"turn"`
}

// smallSlabs invents slabs of 11 x 7 with three flaws and three kinds of pieces; half of them have limits that bind.
func smallSlabs() (list []smallSlab) {
	s := chance.NewStream(8)
	pick := func(low, high int) int { return low + s.IntN(high-low+1) }
	for n := range 4 {
		b := smallSlab{Width: 11, Height: 7, Kerf: n % 2}
		for range 3 {
			x, y := pick(0, 9), pick(0, 6)
			b.Flaws = append(b.Flaws, [4]int{x, y, x + pick(1, 2), y + 1})
		}
		for k := range 3 {
			l, w := pick(3, 5), pick(2, 4)
			most := 40
			if n%3 > 0 {
				most = 1 + (n+k)%3
			}
			b.Pieces = append(b.Pieces, smallPiece{l, w, l*w*4 + pick(0, 12), most, k > 0})
		}
		list = append(list, b)
	}
	return list
}

// slab writes a small slab as package slab knows it.
func (b smallSlab) slab() *slab.Slab {
	w, h := float64(b.Width), float64(b.Height)
	s := &slab.Slab{Outline: []slab.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}, Kerf: float64(b.Kerf), Angles: []float64{0}}
	for _, f := range b.Flaws {
		x1, y1, x2, y2 := float64(f[0]), float64(f[1]), float64(f[2]), float64(f[3])
		s.Flaws = append(s.Flaws, slab.Flaw{Area: true, Points: []slab.Point{{X: x1, Y: y1}, {X: x2, Y: y1}, {X: x2, Y: y2}, {X: x1, Y: y2}}})
	}
	for _, p := range b.Pieces {
		s.Types = append(s.Types, slab.Type{Length: float64(p.Length), Width: float64(p.Width), Value: int64(p.Value) * slab.Unit, Most: p.Most,
			Quarters: [4]bool{true, p.Turn}})
	}
	return s
}

// cutBench promises the published instances within 0.1 s each, small slabs 20 times faster than a general solver to the same optimum, a first plan of a
// real slab within 0.2 s, and a plan with its bound in 10 s.
func cutBench(program, dir string) ([]goal, error) {
	small := smallSlabs()
	text, err := json.Marshal(small)
	if err != nil {
		return nil, err
	}
	file := filepath.Join(dir, "slabs.json")
	if err := os.WriteFile(file, text, 0o600); err != nil {
		return nil, err
	}
	solver, err := startPython("speed/cut.py", file)
	if err != nil {
		return nil, err
	}
	var sum float64
	ours := side{"package slab", func() error {
		sum = 0
		for i, b := range small {
			s := b.slab()
			p, err := search.Solve(s, search.Limits{})
			if err != nil {
				return err
			}
			if faults := check.Plan(s, p); len(faults) > 0 || !p.Proven {
				return fmt.Errorf("slab %d: proven %v, %v", i, p.Proven, faults)
			}
			sum += float64(p.Value) / slab.Unit
		}
		return nil
	}}
	theirs := side{"HiGHS in scipy", func() error {
		got, err := solver.ask()
		if err == nil && math.Abs(got-sum) > 1e-6 {
			err = fmt.Errorf("the solver finds %g, and we %g", got, sum)
		}
		return err
	}}
	goals := []goal{{"four small slabs with flaws, proven", ours, theirs, 1, faster(20)}}
	more, err := published(program)
	if err != nil {
		return nil, err
	}
	goals = append(goals, more...)
	goals = append(goals, goal{what: "a real slab's first plan", repeats: 5, keeps: within(200 * time.Millisecond), ours: side{"package slab", firstPlan}})
	for _, scale := range []float64{1.7, 1.3, 1} {
		goals = append(goals, tenSeconds(scale))
	}
	return goals, nil
}

// tenSeconds promises an answer after ten seconds: the plan of a real slab, with pieces larger by a scale, and its bound; what it is worth is told.
func tenSeconds(scale float64) goal {
	var plan *slab.Plan
	return goal{what: fmt.Sprintf("a real slab in 10 s, pieces larger by %g", scale), repeats: 1,
		keeps: func(ours, against time.Duration) (string, bool) {
			verdict, kept := within(11*time.Second)(ours, against)
			return fmt.Sprintf("%s; %d pieces, value %d of at most %d, gap %.1f %%", verdict, len(plan.Pieces), plan.Value/slab.Unit, plan.Bound/slab.Unit, 100*plan.Gap()), kept
		},
		ours: side{"package slab", func() (err error) {
			s := realSlab()
			for k := range s.Types {
				t := &s.Types[k]
				t.Length, t.Width = math.Round(scale*t.Length), math.Round(scale*t.Width)
				t.Value = int64(scale * scale * float64(t.Value))
			}
			start := time.Now()
			if plan, err = search.Solve(s, search.Limits{Stop: func() bool { return time.Since(start) > 10*time.Second }}); err != nil {
				return err
			}
			if faults := check.Plan(s, plan); len(faults) > 0 {
				return fmt.Errorf("%v", faults)
			}
			return nil
		}}}
}

// published lets the program solve the published instances, its start included, and holds it to the optima.
func published(program string) (goals []goal, err error) {
	const instances, results = "internal/truth/cutting_instances.csv", "internal/truth/cutting_results.csv"
	text, err := os.Open(results)
	if err != nil {
		return nil, err
	}
	defer text.Close()
	rows, err := csv.NewReader(text).ReadAll()
	if err != nil || len(rows) < 2 {
		return nil, fmt.Errorf("%s: %d rows, %w", results, len(rows), err)
	}
	for _, r := range rows[1:] {
		do := func() error {
			out, err := exec.Command(program, "slab", "--instance", instances, "--name", r[0], "--json").Output()
			var got struct {
				Value  float64
				Proven bool
			}
			if err == nil {
				err = json.Unmarshal(out, &got)
			}
			if err == nil && (!got.Proven || fmt.Sprint(got.Value) != r[2]) {
				err = fmt.Errorf("%g, proven %v; published %s", got.Value, got.Proven, r[2])
			}
			return err
		}
		goals = append(goals, goal{what: r[0] + ", proven, with the program's start", repeats: 5, keeps: within(100 * time.Millisecond), ours: side{"slatewright slab", do}})
	}
	return goals, nil
}

// realSlab is a slab of 3.1 x 1.8 m with ten flaws, six kinds of pieces and six angles of the frame.
func realSlab() *slab.Slab {
	s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 20}, {X: 1500, Y: 0}, {X: 3050, Y: 60}, {X: 3100, Y: 900}, {X: 3000, Y: 1780}, {X: 1400, Y: 1820}, {X: 60, Y: 1750}, {X: -20, Y: 800}},
		Kerf: 5, Angles: []float64{0, 1, 2, -1, -2, 3}}
	for i := range 10 {
		x, y := 200+float64(i*277%2700), 150+float64(i*613%1500)
		f := slab.Flaw{Points: []slab.Point{{X: x, Y: y}, {X: x + 120, Y: y + 60}, {X: x + 200, Y: y + 20}}, Clearance: 15}
		if i%3 == 1 {
			f = slab.Flaw{Area: true, Points: []slab.Point{{X: x, Y: y}, {X: x + 60, Y: y + 10}, {X: x + 50, Y: y + 70}, {X: x - 10, Y: y + 40}}, Playing: true, Face: slab.Top}
		}
		s.Flaws = append(s.Flaws, f)
	}
	for i, d := range [][2]float64{{600, 400}, {450, 300}, {900, 500}, {350, 350}, {500, 250}, {700, 600}} {
		s.Types = append(s.Types, slab.Type{Length: d[0], Width: d[1], Allowance: 5, Value: int64(d[0]*d[1]/1000*(1+0.05*float64(i%3))) * slab.Unit, Most: -1,
			Quarters: [4]bool{true, true, true, true}, Shown: slab.PlaysEither})
	}
	return s
}

// firstPlan plans until there is a plan.
func firstPlan() error {
	found := false
	p, err := search.Solve(realSlab(), search.Limits{Seen: func(value, _ int64) { found = found || value > 0 }, Stop: func() bool { return found }})
	if err == nil && p.Value == 0 {
		err = fmt.Errorf("no plan")
	}
	return err
}

// runCuts measures only what is promised of cutting a slab.
func runCuts(program, dir string) (missed int, err error) {
	goals, err := cutBench(program, dir)
	if err != nil {
		return 0, err
	}
	more, err := layerBench(program, dir)
	if err != nil {
		return 0, err
	}
	goals = append(goals, more...)
	missed, err = measureAll(goals)
	fmt.Printf("%d kept, %d missed\n", len(goals)-missed, missed)
	return missed, err
}
