package chance

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func TestGeneratorGivesTheReferenceSequence(t *testing.T) {
	// First outputs of the authors' reference program xoshiro256starstar.c from the state 1, 2, 3, 4; the same list stands in the
	// tests of many implementations in other languages.
	want := []uint64{11520, 0, 1509978240, 1215971899390074240, 1216172134540287360, 607988272756665600, 16172922978634559625,
		8476171486693032832, 10595114339597558777, 2904607092377533576}
	s := &Stream{state: [4]uint64{1, 2, 3, 4}}
	for i, w := range want {
		if got := s.Uint64(); got != w {
			t.Fatalf("output %d: got %d, want %d", i, got, w)
		}
	}
}

func TestSeedIsSpreadBySplitMix(t *testing.T) {
	// First outputs of Vigna's reference program splitmix64.c; the list for 1234567 is published at rosettacode.org
	// ("Pseudo-random numbers/Splitmix64"), that for 0 in the tests of several other implementations.
	for seed, want := range map[uint64][4]uint64{
		1234567: {6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431},
		0:       {0xe220a8397b1dcdaf, 0x6e789e6aa1b965f4, 0x06c45d188009454f, 0xf88bb8a8724c81ec},
	} {
		if got := NewStream(seed).state; got != want {
			t.Errorf("seed %d: state %d, want %d", seed, got, want)
		}
	}
}

func TestSplitDependsOnSeedAndLabelOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		label := rapid.String().Draw(t, "label")
		fresh, used := NewStream(seed), NewStream(seed)
		for range rapid.IntRange(1, 50).Draw(t, "draws") {
			used.Uint64()
		}
		if a, b := fresh.Split(label).Uint64(), used.Split(label).Uint64(); a != b {
			t.Fatalf("child %q changed from %d to %d after draws from its parent", label, a, b)
		}
	})
}

func TestSplitGivesOtherNumbersForOtherLabels(t *testing.T) {
	seen := map[uint64]string{}
	note := func(name string, s *Stream) {
		first := s.Uint64()
		if other, twice := seen[first]; twice {
			t.Errorf("%s and %s start with the same number", name, other)
		}
		seen[first] = name
	}
	for seed := uint64(0); seed < 20; seed++ {
		parent := NewStream(seed)
		note("parent "+strconv.FormatUint(seed, 10), parent)
		for i := range 500 {
			label := strconv.Itoa(i)
			note(strconv.FormatUint(seed, 10)+"/"+label, parent.Split(label))
		}
		note("a/b", parent.Split("a").Split("b"))
		note("b/a", parent.Split("b").Split("a"))
		note("ab", parent.Split("ab"))
		note("(empty)", parent.Split(""))
	}
	if len(seen) != 20*505 {
		t.Errorf("%d different first numbers, want %d", len(seen), 20*505)
	}
}

// chiSquare returns Σ (observed − expected)²/expected for equally likely cells.
func chiSquare(cells []int, draws int) float64 {
	expected := float64(draws) / float64(len(cells))
	sum := 0.0
	for _, n := range cells {
		sum += (float64(n) - expected) * (float64(n) - expected) / expected
	}
	return sum
}

// Quantiles of the chi-square distribution with 99 degrees of freedom at 0.001 and 0.999, the usual printed table.
const chi99Low, chi99High = 60.0, 148.2

func TestFloat64IsUniform(t *testing.T) {
	const draws = 200000
	oneStream, manyChildren := make([]int, 100), make([]int, 100)
	s := NewStream(2026)
	for i := range draws {
		u := s.Float64()
		if u < 0 || u >= 1 || u*0x1p53 != math.Trunc(u*0x1p53) {
			t.Fatalf("%v is not a multiple of 2⁻⁵³ in [0, 1)", u)
		}
		oneStream[int(u*100)]++
		manyChildren[int(s.Split("draw "+strconv.Itoa(i)).Float64()*100)]++
	}
	for name, cells := range map[string][]int{"one stream": oneStream, "first numbers of children": manyChildren} {
		if x := chiSquare(cells, draws); x < chi99Low || x > chi99High {
			t.Errorf("%s: chi-square %.1f on 99 degrees of freedom, want %v to %v", name, x, chi99Low, chi99High)
		}
	}
}

func TestUint64SetsEachBitHalfTheTime(t *testing.T) {
	const draws = 100000
	var ones [64]int
	s := NewStream(5)
	for range draws {
		for u, bit := s.Uint64(), 0; bit < 64; bit++ {
			ones[bit] += int(u >> bit & 1)
		}
	}
	for bit, n := range ones {
		if z := (float64(n) - draws/2) / (math.Sqrt(draws) / 2); math.Abs(z) > 4 {
			t.Errorf("bit %d is set %d times of %d, %.1f standard deviations off", bit, n, draws, z)
		}
	}
}

func TestIntNIsUniformAndInRange(t *testing.T) {
	const draws = 200000
	cells := make([]int, 100)
	s := NewStream(11)
	for range draws {
		cells[s.IntN(100)]++
	}
	if x := chiSquare(cells, draws); x < chi99Low || x > chi99High {
		t.Errorf("chi-square %.1f on 99 degrees of freedom, want %v to %v", x, chi99Low, chi99High)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, math.MaxInt).Draw(t, "n")
		if got := NewStream(rapid.Uint64().Draw(t, "seed")).IntN(n); got < 0 || got >= n {
			t.Fatalf("IntN(%d) = %d", n, got)
		}
	})
}

func TestIntNDrawsAgainWhereTheRangeDoesNotDivide(t *testing.T) {
	// With n = 3·2⁶¹ a plain multiply-and-shift gives ⌊3u/8⌋: of any 8 following u three are 0 mod 3, three are 1, but two are 2.
	const n, draws = 3 << (strconv.IntSize - 3), 30000
	var cells [3]int
	s := NewStream(3)
	for range draws {
		cells[s.IntN(n)%3]++
	}
	for i, c := range cells {
		if z := (float64(c) - draws/3) / math.Sqrt(draws*2/9.0); math.Abs(z) > 4 {
			t.Errorf("%d mod 3 came %d times of %d, %.1f standard deviations off", i, c, draws, z)
		}
	}
}

func TestIntNPanicsWithoutARange(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("IntN(0) did not panic")
		}
	}()
	NewStream(0).IntN(0)
}
