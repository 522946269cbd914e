package raster_test

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/surfacing/toolmarks/raster"
)

// Readings on lines are found on their lines, however they were taken: a grid with a hair of play, a scan in even steps, fine steps along two lines.
func TestLines(t *testing.T) {
	d := chance.NewStream(2)
	for _, c := range []struct {
		name         string
		rows, cols   int
		stepS, stepT float64
		play         float64
	}{{"dial lines", 5, 120, 200, 10, 0.3}, {"scan", 120, 190, 7.5, 7.5, 0}, {"fine steps along the feed", 400, 2, 0.5, 300, 0}, {"fine steps across it", 3, 900, 250, 1, 0}} {
		var s, x, z []float64
		for i := range c.rows {
			for j := range c.cols {
				s = append(s, float64(i)*c.stepS+c.play*(d.Float64()-0.5))
				x = append(x, float64(j)*c.stepT+c.play*(d.Float64()-0.5))
				z = append(z, 0.01)
			}
		}
		r := raster.Of(s, x, z)
		if len(r.S) != c.rows || len(r.T) != c.cols {
			t.Errorf("%s: %d by %d lines, want %d by %d", c.name, len(r.S), len(r.T), c.rows, c.cols)
		}
	}
}

// Scattered readings are gathered in cells, and most cells hold one.
func TestScattered(t *testing.T) {
	d := chance.NewStream(5)
	var s, x, z []float64
	for range 4000 {
		s, x, z = append(s, 900*d.Float64()), append(x, 1400*d.Float64()), append(z, d.Normal())
	}
	r := raster.Of(s, x, z)
	if n := len(r.S) * len(r.T); n < 3000 || n > 5500 {
		t.Errorf("%d cells for 4000 readings", n)
	}
}

// Bow, twist and plane go, whatever chips there are; a profile across stays, and a chip does not pull at it.
func TestProfileWithoutBowAndChips(t *testing.T) {
	d := chance.NewStream(9)
	wave := func(x float64) float64 { return 0.01 * math.Sin(2*math.Pi*x/150) }
	var s, x, z []float64
	for i := range 60 {
		for j := range 140 {
			a, b := float64(i)*15-450, float64(j)*10-700
			h := 0.3 - 2e-4*a + 1e-4*b + 3e-7*a*a - 2e-7*b*b + 1e-7*a*b + wave(b) + 0.002*d.Normal()
			if math.Hypot(a-100, b+200) < 60 {
				h -= 0.2
			}
			s, x, z = append(s, a), append(x, b), append(z, h)
		}
	}
	r := raster.Of(s, x, z)
	places, mean, rise := r.Across(r.Flatten())
	if len(places) != 140 {
		t.Fatalf("%d places", len(places))
	}
	for i, p := range places {
		if math.Abs(mean[i]-wave(p)) > 0.0025 || math.Abs(rise[i]) > 0.006 {
			t.Errorf("at %g: %.4f, want %.4f; rise %.4f", p, mean[i], wave(p), rise[i])
		}
	}
}
