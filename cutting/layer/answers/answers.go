// Package answers is what a question about a quarry layer is answered with, for the command line and the pages alike. It plans nothing of its own, package
// layer does.
package answers

import (
	"fmt"
	"math"

	"slatewright/cutting/layer"
	"slatewright/cutting/layer/mapfile"
	"slatewright/cutting/recovery"
)

// Block is a block of the plan. The names are a contract with other programs.
type Block struct {
	Type   string  `json:"type"`
	X      float64 `json:"x_mm"` // the corner at which its run begins
	Y      float64 `json:"y_mm"`
	Angle  float64 `json:"angle_deg"` // of its run from the base line
	Along  float64 `json:"along_mm"`  // its side along the run
	Across float64 `json:"across_mm"`
	Turned bool    `json:"turned"` // it lies across the grid's own direction
	Run    int     `json:"run"`    // from 1
	Chance float64 `json:"chance"` // to be whole
}

// Cut is one cut of the saw, in order.
type Cut struct {
	X1    float64 `json:"x1"` // mm
	Y1    float64 `json:"y1"`
	X2    float64 `json:"x2"`
	Y2    float64 `json:"y2"`
	Order int     `json:"order"` // from 1
	Run   int     `json:"run"`
	Cross bool    `json:"cross"` // within its run
}

// Count is how many blocks of a size there are.
type Count struct {
	Type   string  `json:"type"`
	Blocks int     `json:"blocks"`
	Whole  float64 `json:"whole"` // of them, on average
}

// Joint is an uncertain joint.
type Joint struct {
	Name  string  `json:"joint"`
	Photo string  `json:"photo,omitempty"`
	Value float64 `json:"worth"` // of knowing it before the cross cuts are made; at least
	Share float64 `json:"share"` // of the plan's value
	Runs  int     `json:"runs"`  // that it can meet
}

// Direction is what one direction of the runs gives in the first look.
type Direction struct {
	Degrees float64  `json:"deg"`
	Runs    string   `json:"runs"`
	Value   float64  `json:"value"`
	Bound   *float64 `json:"bound"` // null: not reckoned
}

// Blind is what cutting without a survey gives.
type Blind struct {
	Type string  `json:"type"`
	Mean float64 `json:"value"` // over where the grid begins
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Answer is the plan of a layer.
type Answer struct {
	File       string      `json:"file"`
	Value      float64     `json:"value"` // mean
	SD         float64     `json:"value_sd"`
	Low        float64     `json:"value_p5"`
	High       float64     `json:"value_p95"`
	Draws      int         `json:"draws"` // 1: nothing is uncertain
	Bound      float64     `json:"bound"`
	Proven     bool        `json:"bound_by_runs"` // false: by the area alone
	Area       float64     `json:"area_bound"`
	Gap        float64     `json:"gap"`
	Blind      Blind       `json:"blind"`
	Degrees    float64     `json:"direction_deg"`
	Runs       string      `json:"runs"`
	Lifts      int         `json:"lifts"`
	Used       float64     `json:"used_share"`
	Counts     []Count     `json:"types"`
	Blocks     []Block     `json:"blocks"`
	Cuts       []Cut       `json:"cuts"`
	Metres     float64     `json:"sawing_m"`
	BlockKg    *float64    `json:"heaviest_block_kg"` // wet, as deep as the layer, rounded up; null without a block
	Survey     []Joint     `json:"survey"`            // the one that is worth most first
	Directions []Direction `json:"directions"`
	Stopped    bool        `json:"stopped"`
	Warnings   []string    `json:"warnings"`

	Map  *mapfile.Map `json:"-"` // for who draws it
	Plan *layer.Plan  `json:"-"`
}

// way names the way of the runs.
func way(across bool) string {
	if across {
		return string(layer.Across)
	}
	return string(layer.Along)
}

// Of plans a layer. Errors are *trouble.Trouble.
func Of(m *mapfile.Map) (*Answer, error) {
	p, err := layer.Lay(&m.Question)
	if err != nil {
		return nil, err
	}
	a := &Answer{File: m.File, Value: p.Value, SD: p.SD, Low: p.Low, High: p.High, Draws: p.Draws, Bound: max(p.Bound, p.Value), Proven: p.Proven, Area: p.Area, Degrees: p.Degrees, Runs: way(p.Across),
		Lifts: p.Lifts, Used: p.Used, Stopped: p.Stopped, Blind: Blind{m.Sizes[p.Blind.Size].Name, p.Blind.Mean, p.Blind.Low, p.Blind.High},
		Blocks: []Block{}, Cuts: []Cut{}, Survey: []Joint{}, Warnings: append([]string{}, m.Warnings...), Map: m, Plan: p}
	if a.Bound > 0 {
		a.Gap = 1 - a.Value/a.Bound
	}
	a.lay(m, p)
	a.warn(m, p)
	return a, a.weigh(m, p)
}

// weigh gives the mass of the heaviest block for lifting.
func (a *Answer) weigh(m *mapfile.Map, p *layer.Plan) error {
	for i, n := range p.Counts {
		if n == 0 || m.Depth == 0 {
			continue
		}
		z := m.Sizes[i]
		l, err := recovery.Weigh(recovery.Body{Name: z.Name, Length: z.Length, Width: z.Width, Thickness: []float64{m.Depth}}, m.Density)
		if err != nil {
			return err
		}
		if a.BlockKg == nil || l.Rounded > *a.BlockKg {
			a.BlockKg = &l.Rounded
		}
	}
	return nil
}

func (a *Answer) lay(m *mapfile.Map, p *layer.Plan) {
	for _, z := range m.Sizes {
		a.Counts = append(a.Counts, Count{Type: z.Name})
	}
	turn := p.Degrees
	if p.Across {
		turn += 90
	}
	for _, b := range p.Blocks {
		a.Blocks = append(a.Blocks, Block{m.Sizes[b.Size].Name, b.Corners[0].X, b.Corners[0].Y, turn, b.Length, b.Width, b.Turned, b.Run + 1, b.Chance})
		a.Counts[b.Size].Blocks++
		a.Counts[b.Size].Whole += b.Chance
	}
	for i, c := range p.Cuts {
		a.Cuts = append(a.Cuts, Cut{c.From.X, c.From.Y, c.To.X, c.To.Y, i + 1, c.Run + 1, c.Cross})
		a.Metres += math.Hypot(c.To.X-c.From.X, c.To.Y-c.From.Y) / 1000
	}
	for _, k := range p.Knowing {
		j := Joint{Name: m.Joints[k.Joint].Name, Photo: m.Photos[k.Joint], Value: k.Value, Runs: k.Runs}
		if a.Value > 0 {
			j.Share = k.Value / a.Value
		}
		a.Survey = append(a.Survey, j)
	}
	for _, d := range p.Directions {
		one := Direction{Degrees: d.Degrees, Runs: way(d.Across), Value: d.Value}
		if !math.IsNaN(d.Bound) {
			one.Bound = &d.Bound
		}
		a.Directions = append(a.Directions, one)
	}
}

func (a *Answer) warn(m *mapfile.Map, p *layer.Plan) {
	say := func(format string, args ...any) { a.Warnings = append(a.Warnings, fmt.Sprintf(format, args...)) }
	if len(p.Blocks) == 0 {
		say("no block fits into this layer")
	}
	if len(m.Joints) == 0 {
		say("the survey names no crack: no ground is without any, so the plan promises too much")
	}
	if p.Lifts > 1 {
		say("the disc reaches %.0f mm and the layer is %.0f mm deep: it must be taken in %d lifts, or broken off below the cut", m.Saw.Reach, m.Depth, p.Lifts)
	}
	if p.Stopped {
		say("it was stopped before all was tried: the plan can be sawn, a better one may have been found")
	}
	if p.Draws > 1 {
		say("the worth of a crack is at least what is told: the runs stay where they are")
	}
	if !p.Proven {
		say("the bound is that of the area alone")
	}
}
