package feelers_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/flatness"
)

// Two edges on blocks that cross: the gaps under them may be anything within the readings, each for itself, and give the heights (two
// corners of A and a plane held at 0, the corners of B follow from both gaps where the edges cross). A zone is a convex function of
// heights, so the largest is at a corner of the box of gaps; all corners are tried, with package flatness. The smallest is not at a
// corner, but no corner and no draw may be below it.
func TestLargestZoneIsAtACornerOfTheGaps(t *testing.T) {
	stream := chance.NewStream(31)
	for n := range 40 {
		a := []float64{0, 0.05 + 0.3*stream.Float64(), 0.5, 0.55 + 0.3*stream.Float64(), 1}
		b := []float64{0, 0.1 + 0.35*stream.Float64(), 0.5, 0.6 + 0.3*stream.Float64(), 1}
		place := func(line int, t float64) [2]float64 {
			if line == 0 {
				return [2]float64{-400 + 800*t, -600 + 1200*t}
			}
			return [2]float64{400 - 800*t, -600 + 1200*t}
		}
		var text strings.Builder
		text.WriteString("# edge: blocks 2 mm\nline,x,y,passes_mm,stops_mm\n")
		var gaps [6][2]float64
		for line, ts := range [][]float64{a, b} {
			for k, at := range ts {
				p, cells := place(line, at), ","
				if k > 0 && k < 4 {
					g := &gaps[3*line+k-1]
					g[0] = math.Round(200*(1.9+0.2*stream.Float64())) / 200
					g[1] = g[0] + math.Round(20*stream.Float64())/200
					cells = fmt.Sprintf("%.17g,%.17g", g[0], g[1])
				}
				fmt.Fprintf(&text, "%c,%.17g,%.17g,%s\n", 'A'+line, p[0], p[1], cells)
			}
		}
		zone := func(at func(k int) float64) float64 {
			var p flatness.Points
			add := func(q [2]float64, z float64) { p.X, p.Y, p.Z = append(p.X, q[0]), append(p.Y, q[1]), append(p.Z, z) }
			var g [6]float64
			for k := range g {
				g[k] = gaps[k][0] + at(k)*(gaps[k][1]-gaps[k][0]) - 2
			}
			corner := g[4] - g[1] // of B, so that both edges agree about the middle
			for k, s := range a {
				if k == 0 || k == 4 {
					add(place(0, s), 0)
				} else {
					add(place(0, s), -g[k-1])
				}
			}
			for k, s := range b {
				switch k {
				case 0, 4:
					add(place(1, s), corner)
				case 1, 3:
					add(place(1, s), corner-g[2+k])
				}
			}
			z, err := flatness.MinimumZone(p)
			if err != nil {
				t.Fatal(err)
			}
			return z.Value
		}
		high, low := 0.0, math.Inf(1)
		for mask := range 64 {
			v := zone(func(k int) float64 { return float64(mask >> k & 1) })
			high, low = max(high, v), min(low, v)
		}
		for range 20 {
			low = min(low, zone(func(int) float64 { return stream.Float64() }))
		}
		_, got := bound(t, text.String())
		if !got.HighIsExact || math.Abs(got.High-high) > 1e-6 || got.Low > low+1e-9 {
			t.Errorf("case %d: [%.7f, %.7f], corners give %.7f and nothing below %.7f\n%s", n, got.Low, got.High, high, low, text.String())
		}
	}
	_, b := bound(t, "# edge: blocks 2 mm\nline,x,y,passes_mm,stops_mm\nA,0,0,,\nA,250,0,2.0,2.1\nA,1000,0,,\n")
	near(t, "a quarter", b.High, 0.1)
}

// With more stations than all shapes of which can be tried, the upper bound is one about boxes: proven, and said to be not exact.
func TestManyStationsGetABound(t *testing.T) {
	var text strings.Builder
	text.WriteString("# edge: blocks 2 mm\nline,x,y,passes_mm,stops_mm\n")
	row := func(mark string, i, j int, end bool) {
		cells := "1.98,2.02"
		if end {
			cells = ","
		}
		fmt.Fprintf(&text, "%s,%d,%d,%s\n", mark, 100*i, 100*j, cells)
	}
	for i := range 8 {
		for j := range 9 {
			row(fmt.Sprint("x", i), i, j, j == 0 || j == 8)
		}
	}
	for j := range 9 {
		for i := range 8 {
			row(fmt.Sprint("y", j), i, j, i == 0 || i == 7)
		}
	}
	for k := range 8 {
		row("d", k, k, k == 0 || k == 7)
	}
	_, b := bound(t, text.String())
	if b.Stations != 72 || b.HighIsExact || b.Low > 1e-6 || b.High < 0.04 || b.High > 0.3 || !strings.Contains(strings.Join(b.Warnings, "\n"), "perhaps not reached") {
		t.Errorf("%+v", b)
	}
	if _, err := b.Next(); err != nil {
		t.Error(err)
	}
}
