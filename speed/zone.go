package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"

	"slatewright/chance"
	"slatewright/flatness"
)

// scan makes n readings at random places of a random shape: bow, twist and roughness, 914 by 1473 mm.
func scan(n int, seed uint64) flatness.Points {
	s := chance.NewStream(seed)
	a, b, c, d := s.Normal()*0.1, s.Normal()*0.1, s.Normal()*0.1, s.Normal()*0.5
	p := flatness.Points{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n)}
	for i := range n {
		u, v := 2*s.Float64()-1, 2*s.Float64()-1
		p.X[i], p.Y[i] = 457*u, 736.5*v
		p.Z[i] = a*u*u + b*v*v + c*u*v + d*u*u*v + 0.01*s.Normal()
	}
	return p
}

// zoneBench compares the minimum zone with one pass over the coordinates.
func zoneBench(n int) bench {
	return func(string, string) ([]goal, error) {
		p := scan(n, 1)
		var zone, extent float64
		ours := side{"minimum zone", func() error {
			z, err := flatness.MinimumZone(p)
			zone = z.Value
			return err
		}}
		pass := side{"min and max pass", func() error {
			extent = spread(p.X) + spread(p.Y) + spread(p.Z)
			if !(zone > 0 && zone < extent) {
				return fmt.Errorf("a zone of %g in an extent of %g", zone, extent)
			}
			return nil
		}}
		repeats := 15
		if n > 1e6 {
			repeats = 5
		}
		return []goal{{fmt.Sprintf("minimum zone of %.0e points", float64(n)), ours, pass, repeats, atMost(3)}}, nil
	}
}

// spread is max − min, found by all cores.
func spread(v []float64) float64 {
	cores := runtime.GOMAXPROCS(0)
	lows, highs := make([]float64, cores), make([]float64, cores)
	var wait sync.WaitGroup
	for k := range cores {
		part := v[len(v)*k/cores : len(v)*(k+1)/cores]
		wait.Go(func() {
			lo, hi := part[0], part[0]
			for _, x := range part {
				if x < lo {
					lo = x
				}
				if x > hi {
					hi = x
				}
			}
			lows[k], highs[k] = lo, hi
		})
	}
	wait.Wait()
	lo, hi := lows[0], highs[0]
	for k := range cores {
		lo, hi = min(lo, lows[k]), max(hi, highs[k])
	}
	return hi - lo
}

// hullBench compares the minimum zone with what a user would write in Python: a convex hull, then a search with its corners.
func hullBench(_, dir string) ([]goal, error) {
	p := scan(1e6, 2)
	file := filepath.Join(dir, "points.f64")
	if err := writeColumns(file, p); err != nil {
		return nil, err
	}
	python, err := startPython("speed/hull.py", file)
	if err != nil {
		return nil, err
	}
	var zone float64
	ours := side{"minimum zone", func() error {
		z, err := flatness.MinimumZone(p)
		zone = z.Value
		return err
	}}
	theirs := side{"scipy hull and search", func() error {
		width, err := python.ask()
		// A search by small steps ends close above the minimum.
		if err == nil && (width < zone*(1-1e-9) || width > zone*(1+1e-4)) {
			err = fmt.Errorf("scipy finds a zone of %g, and we %g", width, zone)
		}
		return err
	}}
	return []goal{{"minimum zone of 1e+06 points", ours, theirs, 3, faster(50)}}, nil
}

// python is a running script that answers each line with a number.
type python struct {
	in  io.Writer
	out *bufio.Reader
}

// startPython starts the script and waits until it has loaded its input, so that only the search is measured.
func startPython(script, file string) (*python, error) {
	cmd := exec.Command("/usr/bin/python3", script, file)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	p := &python{in: in, out: bufio.NewReader(out)}
	if err := cmd.Start(); err != nil {
		return nil, err
	}
	if line, err := p.out.ReadString('\n'); err != nil || line != "ready\n" {
		return nil, fmt.Errorf("%s did not start: %q %v", script, line, err)
	}
	return p, nil // it ends with this program, when its input does
}

func (p *python) ask() (float64, error) {
	if _, err := io.WriteString(p.in, "go\n"); err != nil {
		return 0, err
	}
	line, err := p.out.ReadString('\n')
	if err != nil {
		return 0, err
	}
	return strconv.ParseFloat(strings.TrimSpace(line), 64)
}
