package measured

import (
	"math"

	"slatewright/internal/measured/ground"
	"slatewright/judge"
	"slatewright/trouble"
)

// plane gathers places with values for a plane of least squares.
type plane struct{ n, x, y, xx, xy, yy, v, xv, yv float64 }

func (p *plane) add(x, y, v float64) {
	p.n, p.x, p.y, p.v = p.n+1, p.x+x, p.y+y, p.v+v
	p.xx, p.xy, p.yy, p.xv, p.yv = p.xx+x*x, p.xy+x*y, p.yy+y*y, p.xv+x*v, p.yv+y*v
}

// coefficients are a plane: the value in the middle of the piece, and its slopes.
type coefficients struct{ middle, alongX, alongY float64 }

func (c coefficients) at(x, y float64) float64 { return c.middle + c.alongX*x + c.alongY*y }

// solve finds the plane, and its standard uncertainty at the worst corner of b when each value is a caliper reading. ok is false when
// the places lie on one line.
func (p plane) solve(b ground.Box) (c coefficients, corner float64, ok bool) {
	mx, my, mv := p.x/p.n, p.y/p.n, p.v/p.n
	sxx, sxy, syy := p.xx-p.n*mx*mx, p.xy-p.n*mx*my, p.yy-p.n*my*my
	sxv, syv := p.xv-p.n*mx*mv, p.yv-p.n*my*mv
	det := sxx*syy - sxy*sxy
	if det <= 1e-6*sxx*syy {
		return c, 0, false
	}
	c.alongX, c.alongY = (sxv*syy-syv*sxy)/det, (syv*sxx-sxv*sxy)/det
	c.middle = mv - c.alongX*mx - c.alongY*my
	for _, x := range [2]float64{b.MinX, b.MaxX} {
		for _, y := range [2]float64{b.MinY, b.MaxY} {
			dx, dy := x-mx, y-my
			lever := 1/p.n + (dx*dx*syy-2*dx*dy*sxy+dy*dy*sxx)/det
			corner = math.Max(corner, judge.CaliperU*math.Sqrt(lever))
		}
	}
	return c, corner, true
}

// scatter is the standard deviation of what the plane leaves, 0 when no reading is left to tell.
func (p plane) scatter(places []Gauged, values []float64, c coefficients) float64 {
	if p.n <= 3 {
		return 0
	}
	sum := 0.0
	for i, g := range places {
		if d := values[i] - c.at(g.X, g.Y); !math.IsNaN(d) {
			sum += d * d
		}
	}
	return math.Sqrt(sum / (p.n - 3))
}

// refusal is why there is no map, as trouble.
func (t Thickness) refusal() error {
	return trouble.Data("untied", t.Piece, t.Why, "gauge the thickness at eight places all around, and read both faces on the bench")
}
