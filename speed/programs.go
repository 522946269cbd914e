package main

import (
	"fmt"
	"math"
	"os"
	"time"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/program"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/machinefile"
	"slatewright/bed/program/replay"
	"slatewright/bed/program/setup"
)

// programBench promises all programs of a nine-foot bed, written and replayed, within 0.3 s. Beside it stands a replay on squares of half a millimetre, which
// must find the same area gone.
func programBench(_, _ string) ([]goal, error) {
	p, err := patternfile.ReadFile("docs/examples/bed/nine-foot.yaml")
	if err != nil {
		return nil, err
	}
	text, err := os.ReadFile("docs/examples/program/machine.yaml")
	if err != nil {
		return nil, err
	}
	m, err := machinefile.Parse("machine.yaml", text)
	if err != nil {
		return nil, err
	}
	var exact, squares float64
	return []goal{{what: "programs of a whole bed, written and replayed", repeats: 5, keeps: within(300 * time.Millisecond),
		ours: side{name: "packages program and replay", do: func() (err error) {
			exact, err = everyProgram(p, &m, func(c *gcode.Course, s *setup.Setup) (float64, error) {
				r := replay.Of(c, s, &m)
				if len(r.Faults) > 0 {
					return 0, fmt.Errorf("%+v", r.Faults)
				}
				area := 0.0
				for i, made := range r.Made {
					if t := &s.Targets[i]; t.Kind != setup.Cone && !t.Floored() {
						area += made.Area
					}
				}
				return area, nil
			})
			return err
		}},
		against: side{name: "squares of 0.5 mm", do: func() (err error) {
			squares, err = everyProgram(p, &m, func(c *gcode.Course, s *setup.Setup) (float64, error) { return gone(c, s, &m), nil })
			if err == nil && math.Abs(squares-exact) > 0.005*exact {
				err = fmt.Errorf("%.0f mm2 go through, on squares %.0f", exact, squares)
			}
			return err
		}}}}, nil
}

// everyProgram writes the programs of a bed and adds up what a look at each gives.
func everyProgram(p pattern.Pattern, m *machine.Machine, look func(*gcode.Course, *setup.Setup) (float64, error)) (sum float64, err error) {
	jobs, err := setup.From(p, "", 0)
	if err != nil {
		return 0, err
	}
	for _, j := range jobs {
		all, err := setup.Of(j, m)
		if err != nil {
			return 0, err
		}
		for _, s := range all {
			w, err := program.Write(s, m)
			if err != nil {
				return 0, err
			}
			read, err := gcode.Parse("piece.nc", w.Text, m.Control)
			if err != nil {
				return 0, err
			}
			c, err := gcode.Follow(read)
			if err != nil {
				return 0, err
			}
			area, err := look(c, s)
			if err != nil {
				return 0, err
			}
			sum += area
		}
	}
	return sum, nil
}

// gone is the area of stone that is not held by the piece any more after a program: squares cut through, and those that they part from its middle.
func gone(c *gcode.Course, s *setup.Setup, m *machine.Machine) float64 {
	const square = 0.5
	low, high := s.Stone.Bounds()
	nx, ny := int((high.X-low.X)/square), int((high.Y-low.Y)/square)
	cut := make([]bool, nx*ny)
	for _, move := range c.Moves {
		tool := m.Tool(move.Tool)
		if move.Rapid || tool == nil || tool.Kind == machine.Sink || s.Top-math.Min(move.From.Z, move.To.Z) < s.Thickness {
			continue
		}
		steps := math.Ceil(move.Way.Length()/square) + 1
		for k := 0.0; k <= steps; k++ {
			if t := k / steps; s.Top-(move.From.Z+t*(move.To.Z-move.From.Z)) >= s.Thickness-1e-9 {
				at := move.Way.Along(t)
				stamp(cut, nx, ny, (at.X-low.X)/square, (at.Y-low.Y)/square, tool.Radius()/square)
			}
		}
	}
	held := make([]bool, nx*ny)
	count, stack := 0, []int{}
	see := func(i int) {
		if !cut[i] && !held[i] {
			held[i] = true
			count++
			stack = append(stack, i)
		}
	}
	see(nx/2 + 10 + nx*(ny/2+10))
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if x := i % nx; x > 0 {
			see(i - 1)
		}
		if x := i % nx; x+1 < nx {
			see(i + 1)
		}
		if i >= nx {
			see(i - nx)
		}
		if i+nx < nx*ny {
			see(i + nx)
		}
	}
	return s.Stone.Area() * (1 - float64(count)/float64(nx*ny))
}

// stamp marks the squares whose middles lie under a round tool.
func stamp(cut []bool, nx, ny int, x, y, r float64) {
	for j := max(0, int(y-r)); j <= min(ny-1, int(y+r)); j++ {
		dy := float64(j) + 0.5 - y
		if r*r < dy*dy {
			continue
		}
		half := math.Sqrt(r*r - dy*dy)
		for i := max(0, int(math.Ceil(x-half-0.5))); i <= min(nx-1, int(math.Floor(x+half-0.5))); i++ {
			cut[j*nx+i] = true
		}
	}
}
