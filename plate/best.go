package plate

import (
	"fmt"
	"math"

	"slatewright/trouble"
)

// Kinds of supports among which the best are looked for.
const (
	BestLines  = "lines" // two bars over the full width, alike from both ends
	BestThree  = "3"     // three points, alike on both sides of an axis of the piece where it has no cuts
	BestFour   = "4"     // four points
	BestSix    = "6"     // six points in two rows
	bestMargin = 0.02    // no support nearer to an edge than this share of half the side
)

// Best returns the supports of a kind on which the piece sags least, peak to valley: the best that a compass search from several starts
// finds (Hooke and Jeeves, Journal of the ACM 8, 1961), not proven best. The mesh is that of 32 cells along the long side; ask [Bend] for
// the number. The error is a *trouble.Trouble.
func Best(p Piece, kind string) (Under, error) {
	families, ok := map[string][]family{BestLines: {barFamily}, BestThree: {threeFamily(false), threeFamily(true)}, BestFour: {fourFamily}, BestSix: {sixFamily(false), sixFamily(true)}}[kind]
	if !ok {
		return Under{}, trouble.Usage("bad-kind", "--best", fmt.Sprintf("%q is none of lines, 3, 4, 6", kind), "ask for the best lines, 3, 4 or 6 points")
	}
	o := p.Outline
	pl, err := New(p, math.Max(o.X, o.Y)/32*(1+1e-9))
	if err != nil {
		return Under{}, err
	}
	places := o.lattice(math.Max(o.X, o.Y) / 32)
	sag := func(u Under) float64 {
		s, err := pl.Stand(pl.mesh.supports(u), places)
		if err != nil {
			return math.Inf(1)
		}
		r, err := s.Rest(nil)
		if err != nil {
			return math.Inf(1)
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, h := range r.Observed() {
			low, high = math.Min(low, h), math.Max(high, h)
		}
		return high - low
	}
	best, least := Under{}, math.Inf(1)
	for _, f := range families {
		for _, start := range f.starts {
			if u, v := f.compass(o, start, sag); v < least {
				best, least = u, v
			}
		}
	}
	if len(o.Cuts) > 0 && len(best.Points) > 0 { // no longer alike on both sides
		free := family{lay: func(o Outline, v []float64) (u Under) {
			for k := 0; k < len(v); k += 2 {
				u.Points = append(u.Points, Support{X: v[k] * o.X / 2, Y: v[k+1] * o.Y / 2})
			}
			return u
		}}
		var start []float64
		for _, q := range best.Points {
			start = append(start, 2*q.X/o.X, 2*q.Y/o.Y)
		}
		if u, v := free.compass(o, start, sag); v < least {
			best, least = u, v
		}
	}
	if math.IsInf(least, 1) {
		return Under{}, trouble.Data("no-best", "--best", "no such supports hold this piece", "ask for more points, or look at the cuts")
	}
	return best, nil
}

// family is a kind of supports by a few numbers, shares of half the sides, with starts of the search.
type family struct {
	starts [][]float64
	lay    func(o Outline, v []float64) Under
}

// compass goes along each number both ways, by steps that are halved when none helps, from a tenth of the side to a few tenths of a mm.
func (f family) compass(o Outline, start []float64, sag func(Under) float64) (Under, float64) {
	v := append([]float64(nil), start...)
	least := sag(f.lay(o, v))
	for step := 0.1; step > 4e-4; step /= 2 {
		for better := true; better; {
			better = false
			for k := range v {
				for _, way := range []float64{-1, 1} {
					old := v[k]
					v[k] += way * step
					if v[k] < -1+bestMargin || v[k] > 1-bestMargin {
						v[k] = old
						continue
					}
					if s := sag(f.lay(o, v)); s < least*(1-1e-9) {
						least, better = s, true
					} else {
						v[k] = old
					}
				}
			}
		}
	}
	return f.lay(o, v), least
}

var barFamily = family{starts: [][]float64{{0.56}}, lay: func(o Outline, v []float64) Under { return Bars(o, (1-v[0])/2) }}

// points lays points given as shares of half the sides; turned swaps the sides.
func points(o Outline, turned bool, at ...[2]float64) (u Under) {
	for _, q := range at {
		if turned {
			q[0], q[1] = q[1], q[0]
		}
		u.Points = append(u.Points, Support{X: q[0] * o.X / 2, Y: q[1] * o.Y / 2})
	}
	return u
}

func threeFamily(turned bool) family {
	return family{starts: [][]float64{{0.6, -0.48, 0.64}, {0.6, 0.48, -0.64}}, lay: func(o Outline, v []float64) Under {
		return points(o, turned, [2]float64{v[0], v[1]}, [2]float64{-v[0], v[1]}, [2]float64{0, v[2]})
	}}
}

var fourFamily = family{starts: [][]float64{{0.56, -0.56, 0.56, 0.56}}, lay: func(o Outline, v []float64) Under {
	return points(o, false, [2]float64{v[0], v[1]}, [2]float64{-v[0], v[1]}, [2]float64{v[2], v[3]}, [2]float64{-v[2], v[3]})
}}

func sixFamily(turned bool) family {
	return family{starts: [][]float64{{0.56, 0.7, 0.56, 0}}, lay: func(o Outline, v []float64) Under {
		return points(o, turned, [2]float64{v[0], -v[1]}, [2]float64{-v[0], -v[1]}, [2]float64{v[2], v[3]}, [2]float64{-v[2], v[3]}, [2]float64{v[0], v[1]}, [2]float64{-v[0], v[1]})
	}}
}
