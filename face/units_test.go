package face

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"slatewright/measure"
)

// asTyped is a length in a header as a person may write it, and what it is in mm.
type asTyped struct {
	text string
	mm   float64
}

// drawLength draws a length between lo and hi mm with a few decimals, in the unit, which it names if named is true.
func drawLength(t *testing.T, rt *rapid.T, name string, lo, hi float64, u measure.Unit, named bool) asTyped {
	one := inMM(t, "1", u)
	number := fmt.Sprintf("%.*f", rapid.IntRange(1, 5).Draw(rt, name+" decimals"), rapid.Float64Range(lo, hi).Draw(rt, name)/one)
	w := asTyped{number, inMM(t, number, u)}
	if w.mm < lo || w.mm > hi { // rounded out of the range
		number = fmt.Sprintf("%.12f", (lo+hi)/2/one)
		w = asTyped{number, inMM(t, number, u)}
	}
	if named {
		w.text += " " + u.String()
	}
	return w
}

// TestHeaderLengthsMeanTheSameInEveryUnit writes sizes, supports, calipers and the uncertainty in the file's unit or with a unit of their own.
func TestHeaderLengthsMeanTheSameInEveryUnit(t *testing.T) {
	unit := rapid.Map(rapid.IntRange(int(measure.MM), int(measure.Foot)), func(i int) measure.Unit { return measure.Unit(i) })
	rapid.Check(t, func(rt *rapid.T) {
		file := unit.Draw(rt, "file unit")
		length := func(name string, lo, hi float64) asTyped {
			if rapid.Bool().Draw(rt, name+" named") {
				return drawLength(t, rt, name, lo, hi, unit.Draw(rt, name+" unit"), true)
			}
			return drawLength(t, rt, name, lo, hi, file, false)
		}
		place := func(name string) (x, y asTyped) {
			own := rapid.Bool().Draw(rt, name+" named")
			u := file
			if own {
				u = unit.Draw(rt, name+" unit")
			}
			return drawLength(t, rt, name+" x", -400, 400, u, own), drawLength(t, rt, name+" y", -700, 700, u, own)
		}
		u := length("u", 0.01, 1)
		l1, l2 := length("line 1", -700, 0), length("line 2", 0, 700)
		tx, ty := place("caliper")
		thick := length("t", 19, 125)
		px, py := place("lined")
		text := fmt.Sprintf("# lined: %s x %s 45 mm\n# thickness: %s %s %s\n# support: lines y %s; y %s\n# size: 914 x 1473 mm\n# u: %s\n# unit: %s\n0,0,0\n",
			strings.Split(px.text, " ")[0], py.text, tx.text, ty.text, thick.text, l1.text, l2.text, u.text, file)
		f, err := ReadCSV("units.csv", strings.NewReader(text))
		if err != nil {
			rt.Fatalf("%v\n%s", err, text)
		}
		got := []float64{f.U, f.Support.Lines[0].At, f.Support.Lines[1].At, f.Thickness[0].X, f.Thickness[0].Y, f.Thickness[0].T, f.Lined[0].X, f.Lined[0].Y}
		for i, want := range []asTyped{u, l1, l2, tx, ty, thick, px, py} {
			if math.Float64bits(got[i]) != math.Float64bits(want.mm+0) {
				rt.Fatalf("length %d, %q: %v, want %v\n%s", i, want.text, got[i], want.mm, text)
			}
		}
	})
}

// TestPLYCoordinatesInEveryUnit draws floats and doubles and compares with exact rationals of the floats.
func TestPLYCoordinatesInEveryUnit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		u := measure.Unit(rapid.IntRange(int(measure.MM), int(measure.Foot)).Draw(rt, "unit"))
		kind := rapid.SampledFrom([]string{"float", "double"}).Draw(rt, "kind")
		format := PLYFormat(rapid.IntRange(1, 2).Draw(rt, "format"))
		v := make([]float64, 3)
		text := fmt.Sprintf("ply\nformat %s 1.0\ncomment unit: %s\nelement vertex 1\n", format, u)
		var data []byte
		for k, name := range []string{"x", "y", "z"} {
			v[k] = rapid.Float64Range(-3000, 3000).Draw(rt, name)
			if kind == "float" {
				v[k] = float64(float32(v[k]))
			}
			text += "property " + kind + " " + name + "\n"
			data = appendFloat(data, v[k], kind == "double", format == BinaryBigEndian)
		}
		f, err := Read("units.ply", strings.NewReader(text+"end_header\n"+string(data)))
		if isTrouble(err, "too-large") && max(math.Abs(v[0]), math.Abs(v[1]), math.Abs(v[2]))*inMM(t, "1", u) > reach {
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		for k, got := range []float64{f.X[0], f.Y[0], f.Z[0]} {
			exact := inMM(t, new(big.Rat).SetFloat64(v[k]).String(), u)
			if math.Float64bits(got) != math.Float64bits(exact+0) {
				rt.Fatalf("%v %s: %v, want %v", v[k], u, got, exact)
			}
		}
	})
}

// appendFloat appends the bytes of v by shifts.
func appendFloat(b []byte, v float64, double, big bool) []byte {
	bits, size := uint64(math.Float32bits(float32(v))), 4
	if double {
		bits, size = math.Float64bits(v), 8
	}
	for i := range size {
		shift := 8 * i
		if big {
			shift = 8 * (size - 1 - i)
		}
		b = append(b, byte(bits>>shift))
	}
	return b
}

// TestMarksAreHeldToTheirEdge draws one marked reading and works out by hand whether it may be marked.
func TestMarksAreHeldToTheirEdge(t *testing.T) {
	allowed, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		size := math.Round(rapid.Float64Range(300, 1200).Draw(rt, "size"))
		corner, plus := rapid.Bool().Draw(rt, "corner"), rapid.Bool().Draw(rt, "plus")
		from := math.Round(rapid.Float64Range(0, 60).Draw(rt, "from the edge"))
		x := from // from the −x edge, seen from the corner
		head, mark := "# origin: corner\n", JointMinus
		if plus {
			x, mark = size-from, JointPlus
		}
		if rapid.Bool().Draw(rt, "other mark") {
			mark, from = JointPlus+JointMinus-mark, size-from
		}
		if !corner {
			x, head = x-size/2, ""
		}
		text := fmt.Sprintf("# size: %v x 1473 mm\n%s%v,1,0,%s\n", size, head, x, mark)
		_, err := ReadCSV("mark.csv", strings.NewReader(text))
		if from <= 25 {
			allowed++
			if err != nil {
				rt.Fatalf("%v\n%s", err, text)
			}
			return
		}
		refused++
		if !isTrouble(err, "joint-row") {
			rt.Fatalf("%v mm from the edge: %v\n%s", from, err, text)
		}
	})
	if allowed < 5 || refused < 5 {
		t.Errorf("%d allowed, %d refused", allowed, refused)
	}
}
