package levelling

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/plate"
)

// Stress is the largest pull in the faces of a piece that its weight and supports make, N/mm², and where.
type Stress struct {
	Pull float64
	X, Y float64 // frame of the piece as it lies, mm
	Top  bool    // in the playing face
}

// bent looks into the stone: the stress on the packs, and the test load.
func (j *job) bent() error {
	for k, s := range j.stands {
		if s == nil {
			continue
		}
		under := j.packs(k)
		r, err := s.Rest(under)
		if err != nil {
			return err
		}
		j.result.Stress[k] = j.stress(k, r)
		if t := j.q.Test; t != nil && k == 1 {
			loaded, err := s.Rest(under, *t)
			if err != nil {
				return err
			}
			at := plate.Point{X: t.X, Y: t.Y}
			j.result.TestSag = r.Height(at) - loaded.Height(at)
		}
	}
	return nil
}

// packs are the tops of the packs under a piece, each less the free height of the stone over it.
func (j *job) packs(k int) []float64 {
	out := make([]float64, len(j.pieces[k].feet))
	for i, f := range j.result.Feet[k] {
		out[i] = f.Pack.Height + j.frame(k, i) - j.pieces[k].under[i]
	}
	return out
}

// stress looks at all places that are looked at anyway, further than the thickness from a support: nearer, a support is no point.
func (j *job) stress(k int, r *plate.Rest) (worst Stress) {
	p := j.pieces[k]
	t := j.q.Plates[k].Piece().Thickness
	for _, at := range p.at {
		thick := t.At(at[0], at[1])
		near := math.Inf(1)
		for _, f := range p.feet {
			near = min(near, math.Hypot(f[0]-at[0], f[1]-at[1]))
		}
		if near < thick {
			continue
		}
		mx, my, mxy := r.Moments(plate.Point{X: at[0], Y: at[1]})
		mean, half := (mx+my)/2, math.Hypot((mx-my)/2, mxy)
		for _, m := range [2]float64{mean + half, mean - half} {
			if s := 6 * math.Abs(m) / (thick * thick); s > worst.Pull {
				worst = Stress{s, at[0], at[1], m < 0}
			}
		}
	}
	return worst
}

// forced says which screws must hold a piece down, and where the stone is asked for more than it should bear.
func (j *job) forced() {
	for k, feet := range j.result.Feet {
		name := bed.Place(k).String()
		for _, f := range feet {
			if f.Force < 0 {
				j.result.Warnings = append(j.result.Warnings, fmt.Sprintf("the %s piece must be forced: the screw at x %.0f, y %.0f mm holds it down with %.0f N", name, f.X, f.Y, -f.Force))
			}
		}
		if s := j.result.Stress[k]; j.q.Strength > 0 && s.Pull*j.q.Factor > j.q.Strength {
			j.result.Warnings = append(j.result.Warnings, fmt.Sprintf("the %s piece is bent too hard: %.1f N/mm² at x %.0f, y %.0f mm, more than the stone's %.3g N/mm² over a factor of %.3g; change its supports",
				name, s.Pull, s.X, s.Y, j.q.Strength, j.q.Factor))
		}
	}
}
