package answers

import (
	"fmt"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/plate"
	"slatewright/surfacing/passes"
	"slatewright/surfacing/worked/removal"
	"slatewright/trouble"
)

// beside is how far apart two places of one caliper pair may lie, mm, and slope what a thickness may change over a distance, mm per mm: a saw leaves 1 mm over
// 1 m. Both common practice.
const (
	beside = 15.0
	slope  = 1e-3
)

// pairsOf finds thicknesses before and after at one place each; what has no other is named.
func pairsOf(before, after *face.Face, u float64) (pairs []removal.Pair, left []string) {
	used := make([]bool, len(after.Thickness))
	var onlyBefore, onlyAfter []face.Thickness
	for _, b := range before.Thickness {
		best, near := -1, beside
		for i, a := range after.Thickness {
			if d := math.Hypot(a.X-b.X, a.Y-b.Y); !used[i] && d <= near {
				best, near = i, d
			}
		}
		if best < 0 {
			onlyBefore = append(onlyBefore, b)
			continue
		}
		used[best] = true
		a := after.Thickness[best]
		pairs = append(pairs, removal.Pair{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2, Taken: b.T - a.T, U: math.Hypot(u*math.Sqrt2, slope*near)})
	}
	for i, a := range after.Thickness {
		if !used[i] {
			onlyAfter = append(onlyAfter, a)
		}
	}
	alone := func(in, other string, list []face.Thickness) {
		if len(list) > 0 {
			left = append(left, fmt.Sprintf("%s: %s no partner within %g mm in %s: at (%g, %g)", in, trouble.Count(len(list), "thickness has", "thicknesses have"), beside, other, list[0].X, list[0].Y))
		}
	}
	alone(before.Name, after.Name, onlyBefore)
	alone(after.Name, before.Name, onlyAfter)
	return pairs, left
}

// tie says what ties the heights of the maps.
func (q Question) tie(w *Work, r *removal.Question) {
	w.Tie.LeftOut = [][2]float64{}
	w.Tie.Pairs = len(r.Pairs)
	off := removal.OffLine(r.Pairs, r.SizeX, r.SizeY)
	if q.List != nil && q.List.Kept > 0 {
		r.Zero = removal.Zero{Kept: true, U: q.List.Kept}
	}
	switch {
	case off && r.Zero.Kept:
		w.Tie.By = "both"
	case off:
		w.Tie.By = "thickness"
	case r.Zero.Kept:
		w.Tie.By = "zero kept"
	default:
		w.Tie.By = "nothing"
		w.warn("each map has a height and tilts of its own, and nothing ties them: the shape of what came off is known, how much is not. Measure thicknesses by caliper before and after the work at the same three places or more, not on one line, best eight near corners and edges, and write each as '# thickness: x y t' in both maps; or read both without moving piece or zero, and write '# zero kept: 0.005 mm' in the list of passes")
	}
}

// gravity takes off both maps what gravity did to them, or sees to it that they may be compared without.
func (q Question) gravity(w *Work, before, after *face.Face, r *removal.Question) error {
	b, a := before.Support, after.Support
	bench := func(s face.Support) bool { return s.Kind == face.SupportBench }
	known := func(s face.Support) bool { return s.Kind == face.SupportLines || s.Kind == face.SupportPoints }
	differ := func(why, next string) error {
		return trouble.Data("two-states", after.Name, "the maps were read in two states that cannot be compared: "+why, next)
	}
	switch {
	case bench(b) && bench(a):
		w.State = "laid"
		return nil
	case bench(b) != bench(a):
		return differ("one on a bench, which presses the piece flat, and the other not", "read both on the same supports; '# support:' in both files says on which")
	case !known(b) && !known(a):
		w.State = "as read"
		if b.Text != a.Text {
			return differ(fmt.Sprintf("on %q and on %q, which name no places", b.Text, a.Text), "write where the supports lay, such as '# support: lines 0.22'")
		}
		w.warn("neither map says on what the piece lay: gravity is in both, and a thinner piece sags more. Write '# support:' in both files")
		return nil
	case known(b) != known(a):
		return differ("one file says on what the piece lay, and the other does not", "write '# support:' in both files")
	}
	tb, ta := meanThickness(before), meanThickness(after)
	if tb == 0 || ta == 0 {
		w.State = "as read"
		if !slices.Equal(b.Lines, a.Lines) || !slices.Equal(b.Points, a.Points) || b.Fraction != a.Fraction {
			return differ("on other supports, and how thick the piece is is not said, so that gravity cannot be computed", "write thicknesses ('# thickness: x y t') in both files")
		}
		w.warn("how thick the piece is is not said: gravity is in both maps, and a thinner piece sags more. Write thicknesses ('# thickness: x y t') in both files")
		return nil
	}
	w.State = "free"
	r.USag = math.Hypot(q.UModulus, 2*uSection/ta)
	sagA, err := q.sag(after, ta)
	if err != nil {
		return in(after.Name, err)
	}
	sagB := sagA
	scale := ta * ta / (tb * tb) // on hard supports under a flat bottom gravity goes with 1/t²
	if !slices.Equal(b.Lines, a.Lines) || !slices.Equal(b.Points, a.Points) || b.Fraction != a.Fraction {
		if sagB, err = q.sag(before, tb); err != nil {
			return in(before.Name, err)
		}
		scale = 1
	}
	r.After.Sag = sagA
	r.Before.Sag = func(x, y float64) float64 { return scale * sagB(x, y) }
	return nil
}

// uSection is the standard uncertainty of the thickness for bending, mm: that of a piece whose faces are not true.
const uSection = 0.1

func meanThickness(f *face.Face) (mean float64) {
	for _, t := range f.Thickness {
		mean += t.T / float64(len(f.Thickness))
	}
	return mean
}

// sag is what gravity does to the heights of a face on its supports, mm.
func (q Question) sag(f *face.Face, thickness float64) (func(x, y float64) float64, error) {
	var u plate.Under
	for _, l := range f.Support.Lines {
		u.Lines = append(u.Lines, plate.Line{Axis: l.Axis, At: l.At})
	}
	for _, p := range f.Support.Points {
		u.Points = append(u.Points, plate.Support{X: p[0], Y: p[1]})
	}
	e := plate.Elastic{Along: q.Stone.Along, Across: q.Stone.Across, Poisson: q.Stone.Poisson, Grain: math.Pi / 2}
	p := plate.Piece{Outline: plate.Rectangle(f.SizeX, f.SizeY), Thickness: plate.Even(thickness), Elastic: e, Density: q.Stone.Density}
	b, err := plate.Bend(p, u, 0)
	if err != nil {
		return nil, err
	}
	return func(x, y float64) float64 { return b.Height(plate.Point{X: x, Y: y}) }, nil
}

// bend is what the piece may have bent as stress in its skin was cut away: that of a skin of 1 mm, or as deep as was set. The twist is that of the mean of both sides.
func (q Question) bend(before, after *face.Face) [3]float64 {
	stress, deep, t := passes.UsualStress().U, 1.0, meanThickness(after)
	if q.List != nil {
		if q.List.Stress >= 0 {
			stress = q.List.Stress
		}
		set := 0.0
		for _, p := range q.List.Passes {
			set += p.Depth
		}
		deep = math.Min(deep, set)
	}
	if t == 0 {
		t = 25.4
	}
	e := (q.Stone.Along + q.Stone.Across) / 2
	along, across := passes.Skin(stress, deep, e, t, after.SizeX), passes.Skin(stress, deep, e, t, after.SizeY)
	return [3]float64{along, across, math.Sqrt(along*across) / 2}
}
