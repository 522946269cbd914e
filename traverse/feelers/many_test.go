package feelers

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// face is an invented face, mm.
func face(x, y float64) float64 {
	return 0.08*(1-x*x/490000) + 0.05*(1-y*y/122500) + 0.03*math.Sin(x/97+y/61) + 0.01*math.Cos(12.9*x+7.7*y)
}

// grid is a sheet of n lines along and n across a face of 1400 by 700 with more stations between the crossings, and its diagonals, on blocks,
// strips 0.05 mm apart.
func grid(n, more int, diagonals bool) string {
	var b strings.Builder
	b.WriteString("# edge: blocks 2.00 mm\nline,x,y,passes_mm,stops_mm\n")
	line := func(mark string, x0, y0, x1, y1 float64) {
		last := (n - 1) * (more + 1)
		for k := range last + 1 {
			t := float64(k) / float64(last)
			x, y := x0+(x1-x0)*t, y0+(y1-y0)*t
			fmt.Fprintf(&b, "%s,%.1f,%.1f,", mark, x, y)
			if k == 0 || k == last {
				b.WriteString(",\n")
				continue
			}
			passes := math.Floor((2+face(x0, y0)*(1-t)+face(x1, y1)*t-face(x, y))/0.05) * 0.05
			fmt.Fprintf(&b, "%.2f,%.2f\n", passes, passes+0.05)
		}
	}
	for k := range n {
		at := float64(k)/float64(n-1)*2 - 1
		line(fmt.Sprint("A", k), -700, 350*at, 700, 350*at)
		line(fmt.Sprint("B", k), 700*at, -350, 700*at, 350)
	}
	if diagonals {
		line("D", -700, -350, 700, 350)
		line("E", -700, 350, 700, -350)
	}
	return b.String()
}

func readGrid(t *testing.T, text string) (*Set, *Bounds) {
	t.Helper()
	s, err := Read("grid", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	b, err := Bound(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, b
}

// With many stations only the boxes that hold the zone are worked out; the bound is that of all of them, and the true zone lies below it.
func TestTheBoundOfManyStationsIsThatOfAllBoxes(t *testing.T) {
	for _, c := range [][2]int{{5, 1}, {4, 4}} {
		s, b := readGrid(t, grid(c[0], c[1], true))
		p := b.problem
		if len(p.stations) <= mostCorners || b.HighIsExact {
			t.Fatalf("%d stations", len(p.stations))
		}
		all, held := newBoxes(len(p.stations)), 0
		truth := newBoxes(len(p.stations))
		for i, place := range p.stations {
			if _, err := p.box(all, i); err != nil {
				t.Fatal(err)
			}
			if b.high.boxes.exact[i] {
				held++
			}
			truth.lo[i] = face(s.At[place][0], s.At[place][1])
			truth.hi[i] = truth.lo[i]
		}
		want, _, err := p.boxZone(all.lo, all.hi)
		if err != nil || math.Abs(want-b.High) > 1e-7 || held == len(p.stations) {
			t.Errorf("high %.9g, of all boxes %.9g; %d of %d worked out; %v", b.High, want, held, len(p.stations), err)
		}
		if zone, _, err := p.boxZone(truth.lo, truth.hi); err != nil || zone < b.Low || zone > b.High {
			t.Errorf("the true zone is %g, bounds %g to %g; %v", zone, b.Low, b.High, err)
		}
	}
}

// What the next reading is said to bring with many stations is proven: read it either way, and the bounds are no farther apart.
func TestNextOfManyStationsIsKept(t *testing.T) {
	s, b := readGrid(t, grid(5, 1, true))
	n, err := b.Next()
	if err != nil || n == nil || !n.Proven || n.After() > n.Width+1e-6 || n.Passes+n.Stops > 2*n.Width-worth {
		t.Fatalf("%+v, %v", n, err)
	}
	for _, passes := range []bool{true, false} {
		after := *s
		after.Readings = append([]Reading(nil), s.Readings...)
		promised := n.Stops
		if r := &after.Readings[n.Reading]; passes {
			r.Passes, promised = n.Strip, n.Passes
		} else {
			r.Stops = n.Strip
		}
		got, err := Bound(&after)
		if err != nil || len(got.Contradictions) > 0 {
			t.Fatal(err)
		}
		if width := got.High - got.Low; width > promised+1e-6 {
			t.Errorf("passes %v: the bounds are %.6f apart, promised %.6f", passes, width, promised)
		}
	}
}

// The most that a sheet may hold is answered with bounded work: each question whether to stop is one step of the simplex method.
func TestWorkIsBounded(t *testing.T) {
	text := grid(8, 6, true)
	s, err := Read("grid", strings.NewReader(text))
	if err != nil || len(s.Lines) != 18 || len(s.Readings) != 900 {
		t.Fatalf("%d readings, %v", len(s.Readings), err)
	}
	steps := 0
	s.Stop = func() bool { steps++; return false }
	b, err := Bound(s)
	if err != nil {
		t.Fatal(err)
	}
	bound := steps
	n, err := b.Next()
	t.Logf("%d steps for the bounds, %d for the next reading", bound, steps-bound)
	if err != nil || n == nil || steps > 150000 {
		t.Errorf("%d steps, %+v, %v", steps, n, err)
	}
}

// Lines in two directions leave a twist open; one diagonal closes it.
func TestATwistOfTheFaceIsSaid(t *testing.T) {
	_, b := readGrid(t, grid(9, 0, false))
	if !b.Twist || !math.IsInf(b.High, 1) || len(b.Loose) > 0 || !strings.Contains(strings.Join(b.Warnings, "\n"), "twist") {
		t.Errorf("%+v", b)
	}
	if _, b = readGrid(t, grid(4, 0, true)); b.Twist || math.IsInf(b.High, 1) {
		t.Errorf("with diagonals: %+v", b)
	}
	_, b = readGrid(t, "# edge: blocks 2 mm\nline,x,y,passes_mm,stops_mm\nA,0,0,,\nA,100,0,2,2.1\nA,200,0,,\nB,0,50,,\nB,100,50,2,2.1\nB,200,50,,\n")
	if b.Twist || len(b.Loose) == 0 {
		t.Errorf("two lines that share nothing: %+v", b)
	}
}
