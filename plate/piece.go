package plate

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Piece is what is bent: an outline of stone of some thickness, and what is glued under it.
type Piece struct {
	Outline   Outline
	Thickness Field   // of the stone, mm
	Elastic   Elastic // of the stone
	Density   float64 // of the stone, kg/m³
	Layers    []Layer // under the stone, none over another
}

// Field is a length at each place of the piece, mm: a thickness, or heights.
type Field interface{ At(x, y float64) float64 }

// Even is the same everywhere.
type Even float64

// At returns it.
func (e Even) At(_, _ float64) float64 { return float64(e) }

// Surface varies smoothly: C[0] + C[1]x + C[2]y + C[3]x² + C[4]xy + C[5]y², mm.
type Surface struct{ C [6]float64 }

// At returns the value at the place.
func (s Surface) At(x, y float64) float64 {
	c := s.C
	return c[0] + x*(c[1]+c[3]*x+c[4]*y) + y*(c[2]+c[5]*y)
}

// Lattice is given at the points of a grid, X and Y ascending, T[i+len(X)·j]; between them bilinear, beyond them as at
// the nearest edge.
type Lattice struct{ X, Y, T []float64 }

// At returns the value at the place.
func (l Lattice) At(x, y float64) float64 {
	i, u := between(l.X, x)
	j, v := between(l.Y, y)
	n := len(l.X)
	i1, j1 := min(i+1, n-1), min(j+1, len(l.Y)-1)
	return (1-v)*((1-u)*l.T[i+n*j]+u*l.T[i1+n*j]) + v*((1-u)*l.T[i+n*j1]+u*l.T[i1+n*j1])
}

func between(a []float64, x float64) (int, float64) {
	i := 0
	for i+2 < len(a) && x > a[i+1] {
		i++
	}
	if len(a) < 2 {
		return 0, 0
	}
	return i, math.Min(1, math.Max(0, (x-a[i])/(a[i+1]-a[i])))
}

// Stone thickness in mm that is worked with. Above a tenth of the short side a plate is too thick for Kirchhoff's theory to hold to a percent.
const (
	thinnest = 1
	thickest = 300
)

// Check is the trouble with a piece that cannot be bent.
func (p Piece) Check() error {
	if err := p.Outline.Check(); err != nil {
		return err
	}
	if p.Thickness == nil {
		return trouble.Data("no-thickness", "thickness", "the piece has no thickness", "give it, such as 25.4mm")
	}
	x, y := p.Outline.X/2, p.Outline.Y/2
	for _, at := range [][2]float64{{0, 0}, {-x, -y}, {x, -y}, {-x, y}, {x, y}, {x, 0}, {-x, 0}, {0, y}, {0, -y}} {
		if t := p.Thickness.At(at[0], at[1]); !(t >= thinnest && t <= thickest) {
			return trouble.Data("bad-thickness", "thickness", fmt.Sprintf("a thickness of %g mm at (%g, %g)", t, at[0], at[1]),
				fmt.Sprintf("thicknesses from %d to %d mm are worked with", thinnest, thickest))
		}
	}
	if !(p.Density > 0 && p.Density <= 20000) {
		return trouble.Data("bad-density", "density", fmt.Sprintf("a density of %g kg/m3", p.Density), "give it in kg/m3; slate has 2600 to 2900")
	}
	if err := p.Elastic.check("modulus"); err != nil {
		return err
	}
	for i, l := range p.Layers {
		if err := l.Elastic.check(fmt.Sprintf("layer %d", i+1)); err != nil {
			return err
		}
		if !(l.Thickness > 0) || !(l.Density >= 0) || math.IsNaN(l.Strain[0]+l.Strain[1]) {
			return trouble.Data("bad-layer", fmt.Sprintf("layer %d", i+1), "the layer has no thickness, or a negative density", "give its thickness in mm and its density in kg/m3")
		}
	}
	return nil
}

// check is the trouble with moduli that no material has.
func (e Elastic) check(where string) error {
	good := func(v float64) bool { return v >= 1 && v <= 1e6 }
	if !good(e.Along) || !good(e.Across) || e.Shear != 0 && !good(e.Shear) || math.IsNaN(e.Grain) || math.IsInf(e.Grain, 0) {
		return trouble.Data("bad-modulus", where, fmt.Sprintf("moduli of %g and %g N/mm2", e.Along, e.Across), "give them as in 48GPa; slate has 30 to 90 GPa")
	}
	if !(e.Poisson >= 0 && e.Poisson < 0.5) || e.Poisson*e.Poisson*e.Across/e.Along >= 0.9 {
		return trouble.Data("bad-poisson", where, fmt.Sprintf("a Poisson ratio of %g", e.Poisson), "give one from 0 to 0.49; 0.2 is usual for slate")
	}
	return nil
}

// section is the piece at a place.
func (p Piece) section(x, y float64) section {
	t := p.Thickness.At(x, y)
	q := p.Elastic.stiffness()
	s := section{load: weight * p.Density * t}
	covered := false
	sum := sheets{}
	for _, l := range p.Layers {
		if l.covers(x, y) {
			if !covered {
				covered = true
				sum.add(q, -t/2, t/2, [3]float64{})
			}
			sum.add(l.Elastic.stiffness(), -t/2-l.Thickness, -t/2, l.growth())
			s.load += weight * l.Density * l.Thickness
		}
	}
	if covered {
		s.d, s.m = sum.condensed()
		return s
	}
	s.d = matrix3{}.plus(t*t*t/12, q)
	return s
}

// even tells whether the piece is the same at all places.
func (p Piece) even() bool {
	_, e := p.Thickness.(Even)
	for _, l := range p.Layers {
		e = e && l.Parts == nil
	}
	return e
}
