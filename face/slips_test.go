package face_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"slatewright/face"
)

// A slip is what a person does wrong when a face is written, and the code of the error that must come of it.
type slip struct {
	name, code string
	do         func(f *face.Face, header *string)
}

func swapColumns(f *face.Face, _ *string) { f.X, f.Y = f.Y, f.X }

func inUnit(k float64) func(f *face.Face, _ *string) {
	return func(f *face.Face, _ *string) {
		for i := range f.X {
			f.X[i], f.Y[i] = f.X[i]/k, f.Y[i]/k
		}
	}
}

var slips = []slip{
	{"none", "", func(*face.Face, *string) {}},
	{"columns exchanged", "reversed-axes", swapColumns},
	{"inch not said", "wrong-unit", inUnit(25.4)},
	{"thou not said", "wrong-unit", inUnit(0.0254)},
	{"metres not said", "wrong-unit", inUnit(1000)},
	{"feet not said", "wrong-unit", inUnit(304.8)},
	{"millimetres called inch", "wrong-unit", func(_ *face.Face, h *string) { *h = strings.Replace(*h, "unit: mm", "unit: in", 1) }},
	{"millimetres called µm", "wrong-unit", func(_ *face.Face, h *string) { *h = strings.Replace(*h, "unit: mm", "unit: µm", 1) }},
	{"corner called middle", "wrong-origin", func(f *face.Face, h *string) {
		for i := range f.X {
			f.X[i], f.Y[i] = f.X[i]+f.SizeX/2, f.Y[i]+f.SizeY/2
		}
	}},
	{"middle called corner", "wrong-origin", func(_ *face.Face, h *string) { *h += "# origin: corner\n" }},
	{"a digit too many in one reading", "outside-size", func(f *face.Face, _ *string) { f.X[7] = 10 * f.SizeX }},
}

// TestEverySlipIsNamed draws whole maps of pieces longer across the table than along it and makes one slip at a time.
func TestEverySlipIsNamed(t *testing.T) {
	n := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		f := &face.Face{}
		f.SizeX = math.Round(rapid.Float64Range(600, 1000).Draw(t, "sx"))
		f.SizeY = f.SizeX + math.Round(rapid.Float64Range(200, 600).Draw(t, "longer"))
		band := rapid.Float64Range(0, 30).Draw(t, "edge band")
		nx, ny := rapid.IntRange(4, 7).Draw(t, "nx"), rapid.IntRange(4, 9).Draw(t, "ny")
		for i := range nx * ny {
			u, v := float64(i%nx)/float64(nx-1)-0.5, float64(i/nx)/float64(ny-1)-0.5
			f.X, f.Y, f.Z = append(f.X, u*(f.SizeX-2*band)), append(f.Y, v*(f.SizeY-2*band)), append(f.Z, 0)
		}
		s := rapid.SampledFrom(slips).Draw(t, "slip")
		header := fmt.Sprintf("# unit: mm\n# size: %v x %v mm\n", f.SizeX, f.SizeY)
		s.do(f, &header)
		text := header
		for i := range f.X {
			text += fmt.Sprintf("%v,%v,0\n", f.X[i], f.Y[i])
		}
		_, err := face.ReadCSV("slip.csv", strings.NewReader(text))
		if got := codeOf(err); got != s.code || s.code == "" && err != nil {
			t.Fatalf("%s: %q, want %q: %v", s.name, got, s.code, err)
		}
		n[s.name]++
	})
	if len(n) < len(slips)-2 {
		t.Errorf("only %d of %d slips were drawn: %v", len(n), len(slips), n)
	}
}

// repeatsSlowly counts what repeats warns of by comparing each reading with those before it.
func repeatsSlowly(f *face.Face) (copies, others int) {
	for j := range f.Z {
		for i := range j {
			if f.X[i] == f.X[j] && f.Y[i] == f.Y[j] {
				if f.Z[i] == f.Z[j] {
					copies++
				} else {
					others++
				}
				break // compared with the first at that place only
			}
		}
	}
	return copies, others
}

func TestRepeatsMatchTheSlowCount(t *testing.T) {
	some := 0
	rapid.Check(t, func(t *rapid.T) {
		few := rapid.SampledFrom([]float64{-1, 0, 1, 2})
		text := ""
		for range rapid.IntRange(1, 15).Draw(t, "n") {
			text += fmt.Sprintf("%v,%v,%v\n", few.Draw(t, "x"), few.Draw(t, "y"), few.Draw(t, "z"))
		}
		f, err := face.ReadCSV("a.csv", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		copies, others := repeatsSlowly(f)
		var want []string
		if copies > 0 {
			want = append(want, fmt.Sprintf("; %d reading", copies))
		}
		if others > 0 {
			want = append(want, fmt.Sprintf("another z; %d reading", others))
			some++
		}
		if len(f.Warnings) != len(want) {
			t.Fatalf("%q, want %q", f.Warnings, want)
		}
		for i := range want {
			if !strings.Contains(f.Warnings[i], want[i]) {
				t.Fatalf("%q, want %q", f.Warnings, want)
			}
		}
	})
	if some < 10 {
		t.Errorf("only %d faces with repeats", some)
	}
}

// TestGridsAreFoundInAnyOrder draws grids, places the readings by hand, shuffles them and leaves some out.
func TestGridsAreFoundInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stations := func(name string) (out []float64) {
			at := rapid.Float64Range(-800, -600).Draw(t, name)
			for range rapid.IntRange(2, 9).Draw(t, name+" count") {
				out = append(out, at)
				at += rapid.Float64Range(5, 180).Draw(t, name+" pitch")
			}
			return out
		}
		xs, ys := stations("x"), stations("y")
		shake := rapid.Float64Range(-0.49, 0.49)
		type place struct{ x, y float64 }
		var all []place
		for i, x := range xs {
			for j, y := range ys {
				if len(xs)*len(ys) <= 30 || (i+2*j)%5 > 0 { // of a larger grid a fifth is left out
					all = append(all, place{x + shake.Draw(t, "dx"), y + shake.Draw(t, "dy")})
				}
			}
		}
		f := &face.Face{}
		for _, p := range rapid.Permutation(all).Draw(t, "order") {
			f.X, f.Y, f.Z = append(f.X, p.x), append(f.Y, p.y), append(f.Z, 0)
		}
		gotX, gotY, ok := f.Grid()
		near := func(a, b float64) bool { return math.Abs(a-b) <= 0.5 }
		if !ok || !slices.EqualFunc(gotX, xs, near) || !slices.EqualFunc(gotY, ys, near) {
			t.Fatalf("%v %v %v, want %v %v", ok, gotX, gotY, xs, ys)
		}
	})
}

// TestCentredPlacesAreTheSamePlaces: a face written from a corner and the same face written from the middle agree once centred.
func TestCentredPlacesAreTheSamePlaces(t *testing.T) {
	corners := 0
	rapid.Check(t, func(t *rapid.T) {
		f := drawFace(t)
		c, err := f.Centred()
		switch {
		case f.Origin == face.Middle:
			if err != nil || !slices.Equal(c.X, f.X) || !slices.Equal(c.Support.Points, f.Support.Points) {
				t.Fatalf("a centred face was moved: %v", err)
			}
			return
		case f.SizeX == 0:
			if codeOf(err) != "no-size" {
				t.Fatalf("no size: %v", err)
			}
			return
		case err != nil:
			t.Fatal(err)
		}
		corners++
		near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-9 }
		for i := range f.Z {
			if !near(c.X[i]+f.SizeX/2, f.X[i]) || !near(c.Y[i]+f.SizeY/2, f.Y[i]) || c.Z[i] != f.Z[i] {
				t.Fatalf("reading %d at %v %v became %v %v", i, f.X[i], f.Y[i], c.X[i], c.Y[i])
			}
		}
		for i, p := range f.Support.Points {
			if q := c.Support.Points[i]; !near(q[0]+f.SizeX/2, p[0]) || !near(q[1]+f.SizeY/2, p[1]) {
				t.Fatalf("support %v became %v", p, q)
			}
		}
		for i, l := range f.Support.Lines {
			half := map[byte]float64{'x': f.SizeX / 2, 'y': f.SizeY / 2}[l.Axis]
			if m := c.Support.Lines[i]; m.Axis != l.Axis || !near(m.At+half, l.At) {
				t.Fatalf("line %v became %v", l, m)
			}
		}
		for i, k := range f.Thickness {
			if q := c.Thickness[i]; !near(q.X+f.SizeX/2, k.X) || !near(q.Y+f.SizeY/2, k.Y) || q.T != k.T {
				t.Fatalf("thickness %v became %v", k, q)
			}
		}
	})
	if corners < 10 {
		t.Errorf("only %d faces from a corner", corners)
	}
}
