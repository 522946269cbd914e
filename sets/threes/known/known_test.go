package known_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes/cuts"
	"slatewright/sets/threes/known"
	"slatewright/trouble"
)

// drawn are threes with drawn costs, low floors, and different answers to what they serve; it counts nothing and can be asked from any core.
type drawn struct {
	n           int
	cost, floor []float64
	serves      []uint32
}

func newDrawn(n int, draw *chance.Stream) *drawn {
	d := &drawn{n: n}
	for range n * n * n {
		cost := draw.Normal()
		d.cost, d.floor, d.serves = append(d.cost, cost), append(d.floor, cost-float64(draw.IntN(3))/10), append(d.serves, uint32(draw.IntN(8)))
		if draw.IntN(9) == 0 {
			d.floor[len(d.floor)-1] = math.Inf(1)
		}
	}
	return d
}

func (d *drawn) at(i, j, k int) int { return (i*d.n+j)*d.n + k }

// Floors is for Triples.
func (d *drawn) Floors(i, j int, floors []float64) {
	for r := range floors {
		floors[r] = d.floor[d.at(i, j, j+1+r)]
	}
}

// Price is for Triples.
func (d *drawn) Price(i, j, k int) (float64, uint32) {
	return d.cost[d.at(i, j, k)], d.serves[d.at(i, j, k)]
}

// all lists every three.
func all(n int) (list []known.Three) {
	for i := range n {
		for j := i + 1; j < n; j++ {
			for k := j + 1; k < n; k++ {
				list = append(list, known.Three{int32(i), int32(j), int32(k)})
			}
		}
	}
	return list
}

// some prices some of all threes, those whose floor is finite.
func (d *drawn) some(t *testing.T, table *known.Table, mask uint32, draw *chance.Stream) (priced []known.Three) {
	t.Helper()
	for _, c := range all(d.n) {
		if draw.IntN(3) == 0 && !math.IsInf(d.floor[d.at(int(c[0]), int(c[1]), int(c[2]))], 1) {
			priced = append(priced, c)
		}
	}
	if err := table.Price(priced, mask); err != nil {
		t.Fatal(err)
	}
	return priced
}

func TestTableKeepsWhatItWasTold(t *testing.T) {
	draw := chance.NewStream(1)
	for n := range 14 {
		d := newDrawn(n, draw)
		table, err := known.New(n, d)
		if err != nil {
			t.Fatal(err)
		}
		const mask = 3
		priced := d.some(t, table, mask, draw)
		possible := 0
		for a, c := range all(n) {
			i, j, k := int(c[0]), int(c[1]), int(c[2])
			at := d.at(i, j, k)
			place, want, serves := table.Place(c), d.floor[at], known.Everything
			if !math.IsInf(want, 1) {
				possible++
			}
			known := slices.Contains(priced, c)
			if known {
				if want, serves = d.cost[at], d.serves[at]&mask; serves == 0 {
					want = math.Inf(1)
				}
			}
			if place != int32(a) || place != table.At(i, j, k) || table.IsKnown(place) != known || table.Low(place) != want || table.Serves(place) != serves {
				t.Errorf("%v of %d: place %d, known %v, %v, serves %b; want %d, %v, %v, %b", c, n, place, table.IsKnown(place), table.Low(place), table.Serves(place), a, known, want, serves)
			}
			if table.Row(i, j)[k-j-1] != want || table.RowLow(i, j) > want || table.Least > want {
				t.Errorf("%v of %d: its row does not know it", c, n)
			}
		}
		if table.Priced != len(priced) || table.Possible != possible || table.Size() != len(all(n)) {
			t.Errorf("%d priced, %d possible of %d; want %d, %d of %d", table.Priced, table.Possible, table.Size(), len(priced), possible, len(all(n)))
		}
		if err := table.Price(priced, mask); err != nil || table.Priced != len(priced) {
			t.Errorf("priced again: %d for %d, %v", table.Priced, len(priced), err)
		}
	}
}

func TestRefusesNoNumbers(t *testing.T) {
	d := newDrawn(5, chance.NewStream(2))
	d.cost[d.at(0, 1, 2)], d.serves[d.at(0, 1, 2)] = math.NaN(), 1
	table, err := known.New(5, d)
	if err != nil {
		t.Fatal(err)
	}
	var told *trouble.Trouble
	if err := table.Price([]known.Three{{0, 1, 2}}, 1); !errors.As(err, &told) || told.Code != "no-number" {
		t.Errorf("a cost that is no number: %v", err)
	}
	d.floor[d.at(1, 2, 3)] = math.Inf(-1)
	if _, err := known.New(5, d); !errors.As(err, &told) || told.Code != "no-number" {
		t.Errorf("a floor of −Inf: %v", err)
	}
}

// asked is one drawn question of prices.
type asked struct {
	scale     known.Scale
	things    []float64
	groups    []known.Group
	cuts      []cuts.Cut
	cutPrices []float64
}

func drawnPrices(n int, draw *chance.Stream) asked {
	a := asked{scale: known.Scale{By: 1, Top: math.Inf(1), Shift: draw.Normal()}}
	if draw.IntN(3) == 0 {
		a.scale = known.Scale{By: 0.5, Top: 1, Shift: -1}
	}
	for range n {
		a.things = append(a.things, -draw.Float64())
	}
	for g := range 1 + draw.IntN(2) {
		a.groups = append(a.groups, known.Group{Mask: 1 << g, Price: draw.Normal()})
	}
	for range draw.IntN(4) {
		c := cuts.Cut{In: make([]bool, n), By: [4]float64{0, float64(-draw.IntN(2)), float64(draw.IntN(3) - 1), float64(draw.IntN(4) - 1)}}
		for i := range n {
			if c.In[i] = draw.IntN(2) == 0; c.In[i] {
				c.List = append(c.List, int32(i))
			}
		}
		a.cuts, a.cutPrices = append(a.cuts, c), append(a.cutPrices, -float64(draw.IntN(3))*draw.Float64())
	}
	return a
}

// reduced is the reduced cost of a three, worked out from what it stands in.
func (a asked) reduced(table *known.Table, c known.Three) float64 {
	place := table.Place(c)
	low, worth := table.Low(place), math.Inf(-1)
	if math.IsInf(low, 1) {
		return low
	}
	for _, g := range a.groups {
		if table.Serves(place)&g.Mask != 0 {
			worth = max(worth, g.Price)
		}
	}
	d := a.scale.Of(low) - worth
	for _, i := range c {
		d -= a.things[i]
	}
	for k := range a.cuts {
		d -= a.cutPrices[k] * a.cuts[k].With(c)
	}
	return d
}

// TestScanAgainstEachThree: a pass finds what working out every three by itself finds.
func TestScanAgainstEachThree(t *testing.T) {
	found, spared := 0, 0
	for round := range 200 {
		draw := chance.NewStream(uint64(round))
		n := 3 + draw.IntN(8)
		d := newDrawn(n, draw)
		table, err := known.New(n, d)
		if err != nil {
			t.Fatal(err)
		}
		a := drawnPrices(n, draw)
		mask := uint32(0)
		for _, g := range a.groups {
			mask |= g.Mask
		}
		d.some(t, table, mask, draw)
		q := known.NewPrices(a.scale, a.things, a.groups, a.cuts, a.cutPrices)
		most, keep, save := draw.Normal(), 1+draw.IntN(3), draw.Normal()
		list, least := q.Scan(table, most, keep)
		rows, wantLeast, costly := map[[2]int32][]known.Candidate{}, math.Inf(1), 0
		for _, c := range all(n) {
			want := a.reduced(table, c)
			if got := q.Of(table, c); got != want && math.Abs(got-want) > 1e-12 {
				t.Errorf("round %d, %v: %v, want %v", round, c, got, want)
			}
			if !table.IsKnown(table.Place(c)) && want >= save && !math.IsInf(want, 1) {
				costly++
			}
			if wantLeast = min(wantLeast, want); want < most {
				row := [2]int32{c[0], c[1]}
				rows[row] = append(rows[row], known.Candidate{Three: c, D: want})
			}
		}
		var want []known.Candidate
		for _, r := range rows {
			slices.SortFunc(r, known.ByReduced)
			want = append(want, r[:min(len(r), keep)]...)
		}
		slices.SortFunc(want, known.ByReduced)
		slices.SortFunc(list, known.ByReduced)
		if !slices.EqualFunc(list, want, func(a, b known.Candidate) bool { return a.Three == b.Three && math.Abs(a.D-b.D) < 1e-12 }) {
			t.Errorf("round %d: %v below %v, at most %d of a row; want %v", round, list, most, keep, want)
		}
		if least != wantLeast && math.Abs(least-wantLeast) > 1e-12 {
			t.Errorf("round %d: least %v, want %v", round, least, wantLeast)
		}
		if got := q.Costly(table, save); got != costly {
			t.Errorf("round %d: %d are costly, want %d", round, got, costly)
		}
		found, spared = found+len(want), spared+costly
	}
	if found == 0 || spared == 0 {
		t.Errorf("%d found, %d spared", found, spared)
	}
}
