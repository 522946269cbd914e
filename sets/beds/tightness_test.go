package beds_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"syscall"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/sets/beds"
)

func cpu() time.Duration {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u)
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func TestMeasure(t *testing.T) {
	if os.Getenv("MEASURE") == "" {
		t.Skip()
	}
	list := milled(1, 300)
	at := cpu()
	s, err := beds.New(list, bed.NineFoot(), usual(), weights())
	if err != nil {
		t.Fatal(err)
	}
	t.Log("new", cpu()-at, s.Trace())
	type three struct {
		i, j, k int
		f       float64
	}
	var all []three
	buf := make([]float64, 300)
	at = cpu()
	for i := range 300 {
		for j := i + 1; j < 300; j++ {
			s.Floors(i, j, buf[:299-j])
		}
	}
	t.Log("floors", cpu()-at)
	inf := 0
	for i := range 300 {
		for j := i + 1; j < 300; j++ {
			s.Floors(i, j, buf[:299-j])
			for k := j + 1; k < 300; k++ {
				if f := buf[k-j-1]; math.IsInf(f, 1) {
					inf++
				} else {
					all = append(all, three{i, j, k, f})
				}
			}
		}
	}
	t.Log(len(all), "finite", inf, "not")
	slices.SortFunc(all, func(a, b three) int { return cmp.Compare(a.f, b.f) })
	for _, n := range []int{0, 1000, 10000, 100000, 1000000} {
		if n+1000 > len(all) {
			break
		}
		var ratio []float64
		serve, tight := 0, 0
		at = cpu()
		cost := 0.0
		for _, x := range all[n : n+1000] {
			b := s.Price(x.i, x.j, x.k)
			if b.Serves != 0 {
				ratio = append(ratio, b.Cost/x.f)
				if b.Cost < x.f*1.001 {
					tight++
				}
				serve++
				cost += b.Cost
			}
		}
		used := cpu() - at
		slices.Sort(ratio)
		q := func(p float64) float64 { return ratio[int(p*float64(len(ratio)-1))] }
		t.Log(n, fmt.Sprintf("floor %.3f mean cost %.3f; ratio least %.6f median %.4f 90%% %.4f 99%% %.4f most %.4f; tight %d serve %d; %v each", all[n].f, cost/float64(serve), q(0), q(.5), q(.9), q(.99), q(1), tight, serve, used/1000))
	}
}

func TestMeasureScans(t *testing.T) {
	if os.Getenv("MEASURE") == "" {
		t.Skip()
	}
	r := rand.New(rand.NewPCG(1, 1))
	for _, n := range []int{5000, 20000, 100000} {
		var list []beds.Piece
		for range 20 {
			list = append(list, beds.Piece{Face: drawn(r, kind{scan: n}), Ways: beds.AnyWay()})
		}
		at := cpu()
		s, err := beds.New(list, bed.NineFoot(), usual(), weights())
		if err != nil {
			t.Fatal(err)
		}
		t.Log(n, "new", cpu()-at, s.Trace())
		at = cpu()
		priced := 0
		for i := range 20 {
			for j := i + 1; j < 20; j++ {
				for k := j + 1; k < 20; k++ {
					if s.Price(i, j, k).Serves != 0 {
						priced++
					}
				}
			}
		}
		t.Log(priced, (cpu()-at)/1140)
	}
}
