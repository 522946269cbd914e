package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"

	"slatewright/bed"
	"slatewright/internal/rehearsal/stock"
	"slatewright/sets"
	"slatewright/sets/beds"
	"slatewright/sets/threes"
)

// setsArgument asks for what is promised of matching alone.
const setsArgument = "sets"

// matchBench promises a plan of 300 pieces with full maps with a gap under 1 % within 10 s on two cores, the best plan of 30 pieces within 0.3 s, and
// the best plan of 40 pieces of any place ten times faster than a general solver to the same optimum.
func matchBench(program, dir string) ([]goal, error) {
	goals := []goal{
		matching("30 pieces of any place matched, proven", stock.New(1, 30), 0, 5, 300*time.Millisecond),
		matching("30 pieces with pockets matched, proven", stock.Cut(1, 30), 0, 5, 300*time.Millisecond),
		matching("300 pieces of any place matched, gap 1 %", stock.New(1, 300), 0.01, 1, 10*time.Second),
		matching("300 pieces with pockets matched, gap 1 %", stock.Cut(1, 300), 0.01, 1, 10*time.Second),
	}
	list, err := racks(filepath.Join(dir, "racks"), stock.New(1, 300))
	if err != nil {
		return nil, err
	}
	goals = append(goals, byProgram(program, list))
	solver, err := besideSolver(dir, 40)
	if err != nil {
		return nil, err
	}
	return append(goals, solver...), nil
}

// asked is a question about a stock as the mill asks it that has set nothing.
func asked(pieces []stock.Piece) sets.Question {
	spec := bed.NineFoot()
	q := sets.Question{Spec: spec, Classes: []sets.Class{{Name: spec.Pattern, Limits: spec.Limits}}, Weights: sets.DefaultWeights()}
	for _, p := range pieces {
		q.Pieces = append(q.Pieces, sets.Piece{ID: p.ID, Ways: waysOf(p.Place), Face: p.Face, Thickness: p.Thickness, Layer: p.Layer, Batch: p.Batch, Lab: &p.Lab})
	}
	return q
}

func waysOf(place string) beds.Ways {
	for _, p := range bed.Places() {
		if p.String() == place {
			return beds.CutAs(p)
		}
	}
	return beds.AnyWay()
}

// matching promises a plan of a stock with a gap of at most gap and its number of sets proven, within a time; longer than twice the time it does not search.
func matching(what string, pieces []stock.Piece, gap float64, repeats int, limit time.Duration) goal {
	q := asked(pieces)
	q.Gap = gap
	var plan sets.Plan
	limit = limit * 2 / time.Duration(min(2, runtime.GOMAXPROCS(0))) // promised of two cores
	return goal{what: what, repeats: repeats,
		keeps: func(ours, against time.Duration) (string, bool) {
			verdict, kept := within(limit)(ours, against)
			return fmt.Sprintf("%s; %d sets, gap %.2f %%, %d of %d threes priced", verdict, len(plan.Sets), 100*plan.Gap, plan.Priced, plan.Triples),
				kept && plan.Gap <= gap && plan.SetsProven
		},
		ours: side{"package sets", func() (err error) {
			end := time.Now().Add(2 * limit)
			q.Stop = func() bool { return time.Now().After(end) }
			plan, err = sets.Match(q)
			if err == nil && len(plan.Sets) == 0 {
				err = fmt.Errorf("%s: no sets", what)
			}
			return err
		}}}
}

// byProgram promises the same of the program from its start on: faces read from their files, sets laid as stone that bends, and what one piece more would free.
func byProgram(program, list string) goal {
	var got struct {
		Sets []struct{ Head, Centre, Foot string }
		Gap  float64
	}
	return goal{what: "300 pieces matched, with the program's start", repeats: 1,
		keeps: func(ours, against time.Duration) (string, bool) {
			verdict, kept := within(10*time.Second)(ours, against)
			return fmt.Sprintf("%s; %d sets, gap %.2f %%", verdict, len(got.Sets), 100*got.Gap), kept && got.Gap <= 0.01
		},
		ours: side{"slatewright match", func() error {
			out, err := exec.Command(program, "match", list, "--gap", "1%", "--time", "20s", "--json").Output()
			if err == nil {
				err = json.Unmarshal(out, &got)
			}
			if err == nil && len(got.Sets) == 0 {
				err = fmt.Errorf("no sets of %s", list)
			}
			return err
		}}}
}

// racks writes a stock as a mill hands it in: a list, and beside it a file for each face.
func racks(dir string, pieces []stock.Piece) (list string, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", err
	}
	rows := [][]string{{"id", "place", "thickness_mm", "layer", "L", "a", "b", "batch", "file"}}
	for _, p := range pieces {
		var text bytes.Buffer
		if err := p.Face.WriteCSV(&text); err != nil {
			return "", err
		}
		if err := os.WriteFile(filepath.Join(dir, p.ID+".csv"), text.Bytes(), 0o600); err != nil {
			return "", err
		}
		rows = append(rows, []string{p.ID, p.Place, fmt.Sprint(p.Thickness), p.Layer, fmt.Sprint(p.Lab[0]), fmt.Sprint(p.Lab[1]), fmt.Sprint(p.Lab[2]), p.Batch, p.ID + ".csv"})
	}
	var text bytes.Buffer
	if err := csv.NewWriter(&text).WriteAll(rows); err != nil {
		return "", err
	}
	list = filepath.Join(dir, "stock.csv")
	return list, os.WriteFile(list, text.Bytes(), 0o600)
}

// priced are the costs of all threes of a stock, in a table.
type priced struct {
	n    int
	cost map[[3]int]float64
}

// Floors is that of sets/threes: here the costs themselves.
func (p priced) Floors(i, j int, floors []float64) {
	for m := range floors {
		floors[m] = math.Inf(1)
		if c, ok := p.cost[[3]int{i, j, j + 1 + m}]; ok {
			floors[m] = c
		}
	}
}

// Price is that of sets/threes.
func (p priced) Price(i, j, k int) (float64, uint32) {
	c, ok := p.cost[[3]int{i, j, k}]
	if !ok {
		return 0, 0
	}
	return c, 1
}

// tabled are the costs of all threes of a stock: of its beds, where there are to be beds, its changes of layer, and its spread of thickness.
func tabled(pieces []stock.Piece, laid bool) (priced, error) {
	spec, w := bed.NineFoot(), sets.DefaultWeights()
	list := make([]beds.Piece, len(pieces))
	for i, p := range pieces {
		list[i] = beds.Piece{Ways: waysOf(p.Place)}
		if laid {
			list[i].Face = p.Face
		}
	}
	limits := beds.Limits{MaxStep: spec.Limits.Step, Zone: spec.Limits.Zone, Lengthwise: spec.Limits.Lengthwise, Across: spec.Limits.Across}
	racks, err := beds.New(list, spec, []beds.Limits{limits}, beds.Weights{Step: w.Step / spec.Limits.Step, Zone: w.Zone / spec.Limits.Zone, Joint: func(a, b int) float64 {
		if pieces[a].Layer == pieces[b].Layer {
			return 0
		}
		return w.Layer
	}})
	if err != nil {
		return priced{}, err
	}
	p := priced{len(pieces), map[[3]int]float64{}}
	for i := range pieces {
		for j := i + 1; j < len(pieces); j++ {
			for k := j + 1; k < len(pieces); k++ {
				if b := racks.Price(i, j, k); b.Serves != 0 {
					a, b, c, seated := pieces[i].Thickness, pieces[j].Thickness, pieces[k].Thickness, b.Cost
					p.cost[[3]int{i, j, k}] = seated + w.Spread*(max(a, b, c)-min(a, b, c))/0.25
				}
			}
		}
	}
	return p, nil
}

// file writes the table for the solver: how many things, how many sets, and a line for each three with its cost.
func (p priced) file(path string, number int) error {
	type row struct {
		Three [3]int  `json:"three"`
		Cost  float64 `json:"cost"`
	}
	var rows []row
	for i := range p.n {
		for j := i + 1; j < p.n; j++ {
			for k := j + 1; k < p.n; k++ {
				if c, ok := p.cost[[3]int{i, j, k}]; ok {
					rows = append(rows, row{[3]int{i, j, k}, c})
				}
			}
		}
	}
	text, err := json.Marshal(map[string]any{"things": p.n, "sets": number, "rows": rows})
	if err != nil {
		return err
	}
	return os.WriteFile(path, text, 0o600)
}

// besideSolver promises the best plan of n pieces of any place ten times faster than a general solver, on tables of costs that both are given: what beds
// cost with everything else, and thickness and layers alone.
func besideSolver(dir string, n int) (goals []goal, err error) {
	for _, laid := range []bool{true, false} {
		what, pieces := "faces, thickness, layers", stock.New(2, n)
		if !laid {
			what = "thickness and layers alone"
		}
		table, err := tabled(pieces, laid)
		if err != nil {
			return nil, err
		}
		var plan threes.Plan
		ours := side{"package threes", func() (err error) {
			plan, err = threes.Choose(threes.Ask{N: n, Triples: table})
			if err == nil && (plan.Bound != plan.Cost || plan.Numbers[0] != plan.NumbersBound[0]) {
				err = fmt.Errorf("not proven: %d of %d sets, %g of %g", plan.Numbers[0], plan.NumbersBound[0], plan.Cost, plan.Bound)
			}
			return err
		}}
		if err := ours.do(); err != nil { // the solver is told the number
			return nil, err
		}
		file := filepath.Join(dir, fmt.Sprintf("threes-%v.json", laid))
		if err := table.file(file, plan.Numbers[0]); err != nil {
			return nil, err
		}
		solver, err := startPython("speed/sets.py", file)
		if err != nil {
			return nil, err
		}
		theirs := side{"HiGHS in scipy", func() error {
			got, err := solver.ask()
			if err == nil && math.Abs(got-plan.Cost) > 1e-6 {
				err = fmt.Errorf("the solver finds %.9f, and we %.9f", got, plan.Cost)
			}
			return err
		}}
		goals = append(goals, goal{fmt.Sprintf("%d pieces, %s, proven", n, what), ours, theirs, 3, faster(10)})
	}
	return goals, nil
}

// runSets measures only what is promised of matching.
func runSets(program, dir string) (missed int, err error) {
	goals, err := matchBench(program, dir)
	if err != nil {
		return 0, err
	}
	missed, err = measureAll(goals)
	fmt.Printf("%d kept, %d missed\n", len(goals)-missed, missed)
	return missed, err
}
