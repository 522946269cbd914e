package flatness

import (
	"math"
	"slices"
)

// Plane is the orthogonal least-squares plane of a face.
type Plane struct {
	Normal       [3]float64 // unit; z > 0 (y > 0 if z is 0)
	Centroid     [3]float64 // mm; on the plane
	PeakToValley float64    // mm; largest minus smallest distance from the plane: the least-squares flatness of ISO 12781-1
	Warnings     []string
}

// LeastSquares returns the plane of the least sum of squared orthogonal distances and the peak to valley about it.
// A peak to valley of up to about 4 units in the last place of the largest coordinate is rounding.
//
// At least four points, not all on a line; otherwise, or if a coordinate is not finite, the error is a *trouble.Trouble.
func LeastSquares(p Points) (Plane, error) {
	if err := p.check(4); err != nil {
		return Plane{}, err
	}
	origin := p.at(0)
	centroid, err := centroidOf(p, origin)
	if err != nil {
		return Plane{}, err
	}
	f := frame{e1: vector{1, 0, 0}, e2: vector{0, 1, 0}, n: vector{0, 0, 1}}
	// The second turn works in the frame of the first, where what has to be seen is no longer small beside the rest.
	for range 2 {
		_, axes := secondMoments(p, origin, centroid, f).eigen()
		f = f.compose(axes)
	}
	if s, err := newSample(p); err != nil || !s.beside(f) && !s.reach(f) {
		return Plane{}, onALine()
	}
	return about(p, origin, centroid, f), nil
}

// lineRounding is how many units in the last place of the largest coordinate points may lie off a line and still count
// as lying on it: the rounding of two coordinates and of the differences taken here.
const lineRounding = 8

// compose returns the frame whose axes are given in f: rising eigenvalues, so the first is the normal.
func (f frame) compose(axes [3]vector) frame {
	carry := func(a vector) vector { return f.e1.times(a[0]).plus(f.e2.times(a[1])).plus(f.n.times(a[2])).unit() }
	n, _ := carry(axes[0]).upward()
	return frame{e1: carry(axes[2]), n: n}.facing(n)
}

// centroidOf returns the mean of the points less origin.
func centroidOf(p Points, origin vector) (vector, error) {
	s := sums(p.Len(), 3, func(s []float64, lo, hi int) {
		for i := lo; i < hi; i++ {
			s[0] += p.X[i] - origin[0]
			s[1] += p.Y[i] - origin[1]
			s[2] += p.Z[i] - origin[2]
		}
	})
	n := float64(p.Len())
	c := vector{s[0] / n, s[1] / n, s[2] / n}
	if !finite(c) {
		return c, p.finite()
	}
	return c, nil
}

// secondMoments are those about origin + centroid, in the axes of f.
func secondMoments(p Points, origin, centroid vector, f frame) symmetric {
	o := origin.plus(centroid)
	e1, e2, n := f.e1, f.e2, f.n
	s := sums(p.Len(), 6, func(s []float64, lo, hi int) {
		var uu, uv, uw, vv, vw, ww float64
		for i := lo; i < hi; i++ {
			x, y, z := p.X[i]-o[0], p.Y[i]-o[1], p.Z[i]-o[2]
			u := float64(x*e1[0]) + float64(y*e1[1]) + float64(z*e1[2])
			v := float64(x*e2[0]) + float64(y*e2[1]) + float64(z*e2[2])
			w := float64(x*n[0]) + float64(y*n[1]) + float64(z*n[2])
			uu += float64(u * u)
			uv += float64(u * v)
			uw += float64(u * w)
			vv += float64(v * v)
			vw += float64(v * w)
			ww += float64(w * w)
		}
		s[0], s[1], s[2], s[3], s[4], s[5] = uu, uv, uw, vv, vw, ww
	})
	return symmetric{{s[0], s[1], s[2]}, {s[1], s[3], s[4]}, {s[2], s[4], s[5]}}
}

// about measures the distances from the plane.
func about(p Points, origin, centroid vector, f frame) Plane {
	low, high := make([]float64, blocks(p.Len())), make([]float64, blocks(p.Len()))
	share(p.Len(), func(lo, hi int) {
		for ; lo < hi; lo += block {
			least, most := math.Inf(1), math.Inf(-1)
			for i := lo; i < min(lo+block, hi); i++ {
				w := p.at(i).minus(origin).minus(centroid).dot(f.n)
				least, most = min(least, w), max(most, w)
			}
			low[lo/block], high[lo/block] = least, most
		}
	})
	return Plane{Normal: f.n, Centroid: origin.plus(centroid), PeakToValley: slices.Max(high) - slices.Min(low)}
}
