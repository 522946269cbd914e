package recovery_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/cutting/recovery"
)

// The chain worked by hand: good ground 0.50, joints 0.64, cracks 0.90, layer 0.64, mill 0.94, trim 0.93 leave 16 % of the rock.
func TestChainOfYields(t *testing.T) {
	var stages []recovery.Stage
	in, product := 1000.0, 1.0
	for _, y := range []float64{0.50, 0.64, 0.90, 0.64, 0.94, 0.93} {
		stages = append(stages, recovery.Stage{Name: "s", In: recovery.Mass{T: in}, Out: recovery.Mass{T: in * y}, Losses: []recovery.Loss{{Cause: "c", Mass: recovery.Mass{T: in - in*y}}}})
		in *= y
		product *= y
	}
	a, err := recovery.Follow(stages)
	if err != nil || !a.Closes || math.Abs(a.Over.Value-product) > 1e-12 || math.Abs(a.Over.Value-0.16) > 0.005 || a.Over != a.Below {
		t.Errorf("%+v, %v", a, err)
	}
}

// What goes in is what comes out, the losses and what is missing; whatever the numbers.
func TestBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mass := func(name string) recovery.Mass {
			return recovery.Mass{T: rapid.Float64Range(0, 1e6).Draw(t, name), U: rapid.Float64Range(0, 1e3).Draw(t, name+" doubt")}
		}
		var stages []recovery.Stage
		for range rapid.IntRange(1, 4).Draw(t, "stages") {
			s := recovery.Stage{Name: "s", In: mass("in"), Out: mass("out")}
			s.In.T += 1
			for range rapid.IntRange(0, 3).Draw(t, "losses") {
				s.Losses = append(s.Losses, recovery.Loss{Cause: "c", Mass: mass("loss"), Overburden: rapid.Bool().Draw(t, "over")})
			}
			stages = append(stages, s)
		}
		a, err := recovery.Follow(stages)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range a.Stages {
			if d := b.In.T - b.Out.T - b.Lost.T - b.Missing.T; math.Abs(d) > 1e-6 {
				t.Fatalf("%v t vanish", d)
			}
			if b.Closes != (math.Abs(b.Missing.T) <= 2*b.Missing.U+1e-9*b.In.T) {
				t.Fatal("closes or not", b)
			}
		}
		if a.Over.Low > a.Over.High || a.Over.Low < 0 || a.Over.High > 1 {
			t.Fatal(a.Over)
		}
	})
}

// The interval of a share against drawn masses.
func TestShareAgainstDraws(t *testing.T) {
	s := recovery.Stage{Name: "s", In: recovery.Mass{T: 1000, U: 30}, Out: recovery.Mass{T: 200, U: 4}}
	a, err := recovery.Follow([]recovery.Stage{s})
	if err != nil {
		t.Fatal(err)
	}
	stream := chance.NewStream(3)
	const n = 200000
	var sum, squares float64
	for range n {
		x := (200 + 4*stream.Normal()) / (1000 + 30*stream.Normal())
		sum, squares = sum+x, squares+x*x
	}
	sd := math.Sqrt(squares/n - sum*sum/n/n)
	if u := (a.Over.High - a.Over.Low) / 4; math.Abs(u-sd) > 0.02*sd {
		t.Errorf("u %v, drawn %v", u, sd)
	}
}

func TestMissingIsSeen(t *testing.T) {
	s := recovery.Stage{Name: "saw", In: recovery.Mass{T: 100, U: 1}, Out: recovery.Mass{T: 60, U: 1}, Losses: []recovery.Loss{{Cause: "kerf", Mass: recovery.Mass{T: 30, U: 1}}}}
	a, _ := recovery.Follow([]recovery.Stage{s})
	if a.Closes || a.Stages[0].Missing.T != 10 || math.Abs(a.Stages[0].Missing.U-math.Sqrt(3)) > 1e-12 {
		t.Errorf("%+v", a)
	}
	next := recovery.Stage{Name: "next", In: recovery.Mass{T: 40}, Out: recovery.Mass{T: 40}}
	s.Losses[0].Mass.T = 40
	if a, _ = recovery.Follow([]recovery.Stage{s, next}); a.Closes || !a.Stages[1].Gap || a.Stages[1].Between.T != 20 {
		t.Errorf("%+v", a)
	}
}

// A piece of 1473 × 914 × 25.4 mm weighs 4 kg a millimetre at 2970; the largest reading counts, and up is up.
func TestWeigh(t *testing.T) {
	typed := func(kg float64) *float64 { return &kg }
	for _, c := range []struct {
		b        recovery.Body
		density  float64
		kg, lift float64
		disagree bool
	}{
		{recovery.Body{Name: "a", Length: 1000, Width: 1000, Thickness: []float64{98, 100, 99}}, 2800, 280, 280, false},
		{recovery.Body{Name: "a", Length: 1000, Width: 1000, Thickness: []float64{100}, Typed: typed(253)}, 2800, 280, 280, false}, // 9.6 % off
		{recovery.Body{Name: "a", Length: 1000, Width: 1000, Thickness: []float64{100}, Typed: typed(251)}, 2800, 280, 280, true},  // 10.4 %
		{recovery.Body{Name: "a", Length: 1000, Width: 1000, Thickness: []float64{100}, Typed: typed(309)}, 2800, 280, 310, true},
		{recovery.Body{Name: "a", Length: 1000, Width: 1000, Thickness: []float64{100.1}}, 2800, 280.28, 285, false},
		{recovery.Body{Name: "a", Length: 2000, Width: 1000, Thickness: []float64{201}}, 2800, 1125.6, 1140, false},
	} {
		l, err := recovery.Weigh(c.b, c.density)
		if err != nil || math.Abs(l.Kg-c.kg) > 1e-9 || l.Rounded != c.lift || l.Disagree != c.disagree {
			t.Errorf("%+v: %+v, %v", c, l, err)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		b := recovery.Body{Name: "a", Length: rapid.Float64Range(1, 9000).Draw(t, "l"), Width: rapid.Float64Range(1, 9000).Draw(t, "w"), Thickness: []float64{rapid.Float64Range(1, 900).Draw(t, "t")}}
		l, err := recovery.Weigh(b, 2850)
		if err != nil || l.Rounded < l.Kg-1e-6 || l.Rounded > l.Kg+20 {
			t.Fatal(l, err)
		}
	})
}

func TestRefused(t *testing.T) {
	nan := math.NaN()
	for i, stages := range [][]recovery.Stage{nil, {{Name: "s"}}, {{Name: "s", In: recovery.Mass{T: nan}}}, {{Name: "s", In: recovery.Mass{T: 1}, Out: recovery.Mass{T: -1}}},
		{{Name: "s", In: recovery.Mass{T: 1}, PiecesIn: -2}}} {
		if a, err := recovery.Follow(stages); err == nil {
			t.Errorf("%d: %+v", i, a)
		}
	}
	for i, b := range []recovery.Body{{}, {Length: 1, Width: 1}, {Length: 1, Width: 1, Thickness: []float64{1, 0}}, {Length: nan, Width: 1, Thickness: []float64{1}}, {Length: 1, Width: 1, Thickness: []float64{1}, Typed: &nan}} {
		if l, err := recovery.Weigh(b, 2800); err == nil {
			t.Errorf("%d: %+v", i, l)
		}
	}
	if l, err := recovery.Weigh(recovery.Body{Length: 1, Width: 1, Thickness: []float64{1}}, 2.8); err == nil {
		t.Errorf("%+v", l)
	}
}

// A share that no doubt explains cannot be told; leaves of a block are counted anew.
func TestWhatCannotBe(t *testing.T) {
	for out, told := range map[float64]bool{99: true, 101.9: true, 102.1: false} {
		a, err := recovery.Follow([]recovery.Stage{{Name: "s", In: recovery.Mass{T: 100, U: 0}, Out: recovery.Mass{T: out, U: 1}}})
		if err != nil || math.IsNaN(a.Over.Value) == told || a.Over.Low < 0 || a.Over.High > 1 {
			t.Errorf("%v t out of 100: %+v, %v", out, a.Over, err)
		}
	}
	stage := func(in, out float64) recovery.Stage {
		return recovery.Stage{Name: "s", In: recovery.Mass{T: 10, U: 1}, Out: recovery.Mass{T: 10, U: 1}, PiecesIn: in, PiecesO: out}
	}
	for i, c := range []struct {
		stages []recovery.Stage
		yield  float64
	}{
		{[]recovery.Stage{stage(10, 8), stage(8, 6)}, 0.6}, {[]recovery.Stage{stage(10, 40), stage(40, 30)}, 0.75}, {[]recovery.Stage{stage(40, 30), stage(10, 40)}, 0},
		{[]recovery.Stage{stage(0, 0), stage(40, 30)}, 0.75}, {[]recovery.Stage{stage(40, 30), stage(0, 0)}, 0}, {[]recovery.Stage{stage(10, 5), stage(5, 20), stage(20, 10)}, 0.5},
	} {
		a, err := recovery.Follow(c.stages)
		if err != nil || a.PieceYield != c.yield {
			t.Errorf("%d: %v, want %v, %v", i, a.PieceYield, c.yield, err)
		}
	}
}
