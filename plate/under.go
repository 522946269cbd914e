package plate

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Line is a bar under the piece, straight along x or along y, which pushes wherever the piece touches it.
type Line struct {
	Axis     byte    // 'y': all places with y = At; 'x': all with x = At
	At       float64 // mm
	From, To float64 // stretch along the bar, mm; both 0: as far as the piece reaches
	Height   float64 // over z = 0, mm
	Give     float64 // how much a strip yields, mm for 1 N on each mm of it: 0 is hard
	Pull     float64 // how hard each mm of it can pull down, N: 0 only pushes, +Inf holds
}

// Under is what the piece lies on: points and bars, or a bench. Nothing rubs.
type Under struct {
	Points []Support
	Lines  []Line
	Bench  Field // heights of a bench that carries everywhere; nil: no bench
}

// knots are the break lines along x and y that bars want: the shear jumps there.
func (u Under) knots(o Outline) (xs, ys []knot) {
	for _, l := range u.Lines {
		if l.Axis == 'x' {
			xs = append(xs, inside(o.X, 1, l.At)...)
		} else {
			ys = append(ys, inside(o.Y, 1, l.At)...)
		}
	}
	return xs, ys
}

// supports returns the points, and the bars as points as dense as heights that the splines can hold.
func (m *mesh) supports(u Under) []Support {
	s := append([]Support(nil), u.Points...)
	for _, l := range u.Lines {
		along, half := m.x.greville(), m.piece.Outline.X/2
		if l.Axis == 'x' {
			along, half = m.y.greville(), m.piece.Outline.Y/2
		}
		from, to := l.From, l.To
		if from == 0 && to == 0 {
			from, to = -half, half
		}
		along = stretch(along, from, to)
		for i, t := range along {
			at := Point{t, l.At}
			if l.Axis == 'x' {
				at = Point{l.At, t}
			}
			if !m.piece.Outline.Has(at) {
				continue
			}
			lo, hi := from, to // the stretch that the point stands for
			if i > 0 {
				lo = (along[i-1] + t) / 2
			}
			if i+1 < len(along) {
				hi = (along[i+1] + t) / 2
			}
			q := Support{X: at.X, Y: at.Y, Height: l.Height, Pull: l.Pull}
			if hi > lo {
				q.Give = l.Give / (hi - lo)
				if l.Pull > 0 && !math.IsInf(l.Pull, 1) {
					q.Pull = l.Pull * (hi - lo)
				}
			}
			s = append(s, q)
		}
	}
	return s
}

// stretch keeps those of ascending places that lie in a stretch, with its ends.
func stretch(a []float64, from, to float64) []float64 {
	kept := []float64{from}
	near := (to - from) / 1000
	for _, v := range a {
		if v > from+near && v < to-near {
			kept = append(kept, v)
		}
	}
	if to > from {
		kept = append(kept, to)
	}
	return kept
}

// Check is the trouble with supports that cannot be.
func (u Under) Check() error {
	if u.Bench != nil && (len(u.Points) > 0 || len(u.Lines) > 0) {
		return trouble.Usage("two-supports", "supports", "a bench and other supports at once", "give the one or the other")
	}
	if u.Bench == nil && len(u.Points) == 0 && len(u.Lines) == 0 {
		return trouble.Usage("no-supports", "supports", "the piece lies on nothing", "give lines, points or a bench")
	}
	if len(u.Points) > mostPoints {
		return trouble.Usage("many-supports", "supports", fmt.Sprintf("%d points", len(u.Points)), fmt.Sprintf("at most %d are worked with", mostPoints))
	}
	for i, l := range u.Lines {
		if (l.Axis != 'x' && l.Axis != 'y') || l.From > l.To || !(l.Give >= 0) || !(l.Pull >= 0) || math.IsNaN(l.At+l.Height) {
			return trouble.Usage("bad-line", fmt.Sprintf("line %d", i+1), "a bar that lies along neither side, or runs backward", "give its axis, place and stretch")
		}
	}
	return nil
}

// mostPoints is the largest number of point supports: many more than any frame has.
const mostPoints = 400
