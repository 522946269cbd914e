package bed

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestPacksOfThreeShims(t *testing.T) {
	s := Spec{Shims: []float64{0.1, 0.25}, ShimsPerPack: 2}
	want := []Pack{
		{0, nil}, {0.1, []float64{0.1}}, {0.2, []float64{0.1, 0.1}}, {0.25, []float64{0.25}},
		{0.35, []float64{0.25, 0.1}}, {0.5, []float64{0.25, 0.25}},
	}
	got := s.Packs()
	if !slices.EqualFunc(got, want, func(a, b Pack) bool { return a.Height == b.Height && slices.Equal(a.Shims, b.Shims) }) {
		t.Errorf("packs %v, want %v", got, want)
	}
}

func TestPackIsTheFewestShims(t *testing.T) {
	packs := NineFoot().Packs() // 0.3 is one shim, and 0.1 + 0.2, and 3 · 0.1
	if p := packs.Nearest(0.3); len(p.Shims) != 1 || p.Height != 0.3 {
		t.Errorf("0.3 mm is packed as %v", p)
	}
	if p := packs.Nearest(-0.2); p.Height != 0 || len(p.Shims) != 0 {
		t.Errorf("-0.2 mm is packed as %v", p)
	}
	if p := (Spec{ShimsPerPack: 3}).Packs().Nearest(1); p.Height != 0 {
		t.Errorf("without shims 1 mm is packed as %v", p)
	}
	if p := packs.Nearest(0.025); p.Height != 0 {
		t.Errorf("half-way between nothing and 0.05 lies %v, not the lower", p)
	}
}

// Against brute force: every multiset of at most n shims, added in whole nanometres.
func TestPacksAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		microns := rapid.SliceOfNDistinct(rapid.IntRange(1, 3000), 1, 5, rapid.ID[int]).Draw(t, "shims")
		slices.Sort(microns)
		s := Spec{ShimsPerPack: rapid.IntRange(1, mostPerPack).Draw(t, "per pack")}
		for _, m := range microns {
			s.Shims = append(s.Shims, float64(m)/1000)
		}
		fewest := map[int]int{} // height in µm to the fewest shims that reach it
		var build func(from, left, height, used int)
		build = func(from, left, height, used int) {
			if old, ok := fewest[height]; !ok || used < old {
				fewest[height] = used
			}
			for i := from; left > 0 && i < len(microns); i++ {
				build(i, left-1, height+microns[i], used+1)
			}
		}
		build(0, s.ShimsPerPack, 0, 0)

		packs := s.Packs()
		if len(packs) != len(fewest) {
			t.Fatalf("%d packs, enumeration has %d", len(packs), len(fewest))
		}
		for i, p := range packs {
			if i > 0 && p.Height <= packs[i-1].Height {
				t.Fatalf("%v follows %v", p, packs[i-1])
			}
			sum := 0.0
			for _, shim := range p.Shims {
				sum += shim
			}
			if n, ok := fewest[int(math.Round(p.Height*1000))]; !ok || n != len(p.Shims) || math.Abs(sum-p.Height) > 1e-9 {
				t.Fatalf("pack %v: fewest %d, sum %v", p, n, sum)
			}
		}
		h := rapid.Float64Range(-1, 13).Draw(t, "height")
		near := packs.Nearest(h)
		for _, p := range packs {
			if math.Abs(p.Height-h) < math.Abs(near.Height-h) {
				t.Fatalf("%v mm: got %v, %v is nearer", h, near, p)
			}
		}
	})
}

// A box as full as a specification may name: its packs are built once, and a support takes one of them without more work.
func TestNearestBuildsNothing(t *testing.T) {
	s := Spec{ShimsPerPack: mostPerPack}
	for i := range mostShims {
		s.Shims = append(s.Shims, float64(int(1)<<(i%20))*0.001+float64(i)*0.7)
	}
	slices.Sort(s.Shims)
	packs := s.Packs()
	if len(packs) < 20_000 {
		t.Fatalf("only %d packs", len(packs))
	}
	if n := testing.AllocsPerRun(100, func() { packs.Nearest(12.34) }); n != 0 {
		t.Errorf("the nearest pack took %v allocations", n)
	}
}
