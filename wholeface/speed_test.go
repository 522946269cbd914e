package wholeface

import (
	"math"
	"testing"

	"slatewright/chance"
)

// rehearsed is a question about an invented face: crown, twist and a wave, read on a 6 by 9 grid.
func rehearsed(seed uint64) Question {
	s := chance.NewStream(seed)
	q := Question{SizeX: 914, SizeY: 1473, Band: 20, Cutoff: 25, State: "as read", U: 0.012, Seed: 1}
	for i := range 6 {
		for j := range 9 {
			x, y := -437+float64(i)*174.8, -716.5+float64(j)*179.125
			u, v := x/457, y/736.5
			z := 0.05*(1-u*u) - 0.08*(1-v*v) + 0.02*u*v + 0.01*math.Sin(x/90)*math.Cos(y/110) + 3 + 0.001*x
			q.Readings = append(q.Readings, Reading{x, y, z + q.U*s.Normal()})
		}
	}
	return q
}

func BenchmarkCold(b *testing.B) {
	q := rehearsed(1)
	for b.Loop() {
		if _, err := Of(q, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkKept(b *testing.B) {
	q := rehearsed(1)
	q.Fields = NewFields(q.SizeX, q.SizeY, q.Band, 1)
	for b.Loop() {
		if _, err := Of(q, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAdd(b *testing.B) {
	q := rehearsed(1)
	for b.Loop() {
		b.StopTimer()
		a, err := Start(q, nil)
		if err != nil {
			b.Fatal(err)
		}
		b.StartTimer()
		if err := a.Add(Reading{33, 44, 3.1}); err != nil {
			b.Fatal(err)
		}
	}
}
