package seating_test

import (
	"math/rand/v2"
	"testing"

	"slatewright/face"
	"slatewright/seating"
)

// scanned is three pieces of n points each.
func scanned(n int) seating.Question {
	var f [3]*face.Face
	for k := range f {
		r := rand.New(rand.NewPCG(uint64(k), 9))
		f[k] = &face.Face{Header: face.Header{Name: "scan", SizeX: sizeX, SizeY: sizeY, Side: face.Top}}
		a, b := 0.1*r.NormFloat64(), 0.1*r.NormFloat64()
		for range n {
			x, y := sizeX*(r.Float64()-0.5), sizeY*(r.Float64()-0.5)
			u, v := 2*x/sizeX, 2*y/sizeY
			f[k].X, f[k].Y = append(f[k].X, x), append(f[k].Y, y)
			f[k].Z = append(f[k].Z, a*(1-u*u)+b*(1-v*v)+0.01*r.NormFloat64())
		}
	}
	return question(f[0], f[1], f[2], 0.127)
}

func BenchmarkSeatGrids(b *testing.B) {
	q := random(1, 6, 9)
	q.MaxStep = 0.127
	for b.Loop() {
		if _, err := seating.Seat(q); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSeatScans(b *testing.B) {
	q := scanned(300_000)
	for b.Loop() {
		if _, err := seating.Seat(q); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkResample(b *testing.B) {
	q := random(1, 6, 9)
	q.MaxStep = 0.127
	r, err := seating.Seat(q)
	if err != nil {
		b.Fatal(err)
	}
	s, err := seating.NewResampler(q, r)
	if err != nil {
		b.Fatal(err)
	}
	var dz [3][]float64
	for k, n := range s.Readings() {
		dz[k] = make([]float64, n)
	}
	for b.Loop() {
		if _, _, err := s.Resample(dz); err != nil {
			b.Fatal(err)
		}
	}
}
