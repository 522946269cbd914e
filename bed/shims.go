package bed

import (
	"cmp"
	"math"
	"slices"
)

// Pack is what is laid at one support: shims that exist, thickest first, and their total height in mm.
type Pack struct {
	Height float64
	Shims  []float64
}

// Packs are all packs that can be laid, one for each height, ascending; the first is the empty pack (height 0).
type Packs []Pack

// Packs builds every height that the shims that exist can make, each of the fewest shims. Heights are exact to 1e-6 mm.
//
// A shim may be used more than once: a mill buys them by the box. A full box makes tens of thousands of packs: build them
// once and ask for the nearest of each support.
func (s Spec) Packs() Packs {
	packs := Packs{{}}
	seen := map[int64]bool{0: true} // looked up, never walked: the order comes from packs
	for start, n := 0, 0; n < s.ShimsPerPack; n++ {
		end := len(packs) // the packs of n shims stand at start..end
		for _, p := range packs[start:end] {
			for _, shim := range s.Shims {
				h := nanometres(p.Height) + nanometres(shim)
				if seen[h] {
					continue
				}
				seen[h] = true
				shims := append(slices.Clone(p.Shims), shim)
				slices.SortFunc(shims, func(a, b float64) int { return cmp.Compare(b, a) })
				packs = append(packs, Pack{Height: float64(h) / 1e6, Shims: shims})
			}
		}
		start = end
	}
	slices.SortFunc(packs, func(a, b Pack) int { return cmp.Compare(a.Height, b.Height) })
	return packs
}

// Nearest returns the pack whose height is nearest to height, the lower of two that are equally near. Negative heights get
// the empty pack: nothing can be taken away under a piece.
func (p Packs) Nearest(height float64) Pack {
	above, _ := slices.BinarySearchFunc(p, height, func(a Pack, h float64) int { return cmp.Compare(a.Height, h) })
	switch {
	case above == 0:
		return p[0]
	case above == len(p), height-p[above-1].Height <= p[above].Height-height:
		return p[above-1]
	}
	return p[above]
}

func nanometres(mm float64) int64 { return int64(math.Round(mm * 1e6)) }
