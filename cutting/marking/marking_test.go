package marking_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/marking"
	"slatewright/cutting/slab"
	"slatewright/trouble"
)

func near(a, b slab.Point, within float64) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) <= within }

// camera is a pinhole above the slab, as a photo is made: the test's own way from the slab to the photo.
type camera struct {
	x, y, height, tilt, pan, focal float64 // mm, radians, pixels
}

// sees gives the place on the photo (v downward) of a place on the slab; ok is false behind the camera.
func (c camera) sees(p slab.Point) (u, v float64, ok bool) {
	dx, dy, dz := p.X-c.x, p.Y-c.y, -c.height
	// Turn about the vertical, then tilt up from straight down.
	x, y := dx*math.Cos(c.pan)+dy*math.Sin(c.pan), dy*math.Cos(c.pan)-dx*math.Sin(c.pan)
	forward := y*math.Sin(c.tilt) - dz*math.Cos(c.tilt)
	up := y*math.Cos(c.tilt) + dz*math.Sin(c.tilt)
	return 2000 + c.focal*x/forward, 1500 - c.focal*up/forward, forward > 0
}

func photo(t testing.TB, c camera, places ...slab.Point) []marking.Known {
	t.Helper()
	var list []marking.Known
	for i, p := range places {
		u, v, ok := c.sees(p)
		if !ok {
			t.Fatalf("%v lies behind the camera", p)
		}
		list = append(list, marking.Known{Name: string(rune('A' + i)), U: u, V: v, At: p})
	}
	return list
}

var rectangle = []slab.Point{{X: 0, Y: 0}, {X: 2100, Y: 0}, {X: 2100, Y: 1500}, {X: 0, Y: 1500}}

// A rectangle in perspective, by hand: a camera over the middle of the near edge that looks level away makes u = 2000 + f·x/y and v = 1500 + f·h/y.
func TestARectangleInPerspective(t *testing.T) {
	const f, h = 3000.0, 1600.0
	at := func(x, y float64) (u, v float64) { return 2000 + f*x/y, 1500 + f*h/y }
	var known []marking.Known
	for i, p := range []slab.Point{{X: -1000, Y: 2000}, {X: 1000, Y: 2000}, {X: 1000, Y: 4000}, {X: -1000, Y: 4000}, {X: 250, Y: 2500}} {
		u, v := at(p.X, p.Y)
		known = append(known, marking.Known{Name: string(rune('A' + i)), U: u, V: v, At: p})
	}
	p, err := marking.NewPhoto(known)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{-900, 0, 333} {
		for _, y := range []float64{2100, 3000, 7000} {
			u, v := at(x, y)
			if got, ok := p.At(u, v); !ok || !near(got, slab.Point{X: x, Y: y}, 1e-6) {
				t.Errorf("%g, %g is seen at %v", x, y, got)
			}
		}
	}
	if doubt, known := p.Doubt(); !known || doubt > 1e-6 {
		t.Errorf("the fifth point is off by %g, %v", doubt, known)
	}
	if _, ok := p.At(2000, 1499); ok {
		t.Error("the sky lies on the slab")
	}
	// One step down the photo at distance y is y²/(f·h) of slab, and that is the farthest direction here.
	u, v := at(0, 4000)
	if got, want := p.Step(u, v), 4000.0*4000/(f*h); math.Abs(got-want) > 1e-3*want {
		t.Errorf("a step is %g mm, not %g", got, want)
	}
}

// The fifth point tells what the four cannot: a lens that bends lines.
func TestTheFifthPointIsTheDoubt(t *testing.T) {
	c := camera{x: 1000, y: -900, height: 1700, tilt: 0.7, focal: 3000}
	known := photo(t, c, append(rectangle, slab.Point{X: 1050, Y: 750})...)
	p, err := marking.NewPhoto(known[:4])
	if err != nil {
		t.Fatal(err)
	}
	if _, told := p.Doubt(); told {
		t.Error("four points tell no doubt")
	}
	for i := range known { // a barrel: 4 % at the corner of the photo
		du, dv := known[i].U-2000, known[i].V-1500
		k := 1 - 0.04*(du*du+dv*dv)/(2000*2000+1500*1500)
		known[i].U, known[i].V = 2000+du*k, 1500+dv*k
	}
	if p, err = marking.NewPhoto(known); err != nil {
		t.Fatal(err)
	}
	if doubt, _ := p.Doubt(); doubt < 1 || doubt > 30 {
		t.Errorf("a bent photo is off by %g mm", doubt)
	}
	known[4].At.X += 40
	if p, err = marking.NewPhoto(known); err != nil {
		t.Fatal(err)
	}
	if doubt, _ := p.Doubt(); doubt < 25 {
		t.Errorf("a point that was measured wrong by 40 mm is off by %g", doubt)
	}
}

// Whatever the camera, a place comes back to where it lies.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		c := camera{x: draw("x", -500, 2500), y: draw("y", -1500, -200), height: draw("height", 800, 3000), tilt: draw("tilt", 0, 1), pan: draw("pan", -0.4, 0.4), focal: draw("focal", 500, 5000)}
		var known []marking.Known
		for i, p := range rectangle {
			u, v, ok := c.sees(p)
			if !ok {
				return // behind the camera
			}
			known = append(known, marking.Known{Name: string(rune('A' + i)), U: u, V: v, At: p})
		}
		p, err := marking.NewPhoto(known)
		if err != nil {
			var said *trouble.Trouble
			if !errors.As(err, &said) || said.Code != "bad-photo" || said.Next == "" {
				t.Fatalf("%v says no way on", err)
			}
			return // seen too flat
		}
		at := slab.Point{X: draw("at x", 0, 2100), Y: draw("at y", 0, 1500)}
		u, v, ok := c.sees(at)
		if !ok {
			return // behind the camera
		}
		if got, ok := p.At(u, v); !ok || !near(got, at, 1e-4) {
			t.Fatalf("%v comes back as %v, %v", at, got, ok)
		}
	})
}

// What no photo can be is refused, and the refusal says what to do.
func TestRefusals(t *testing.T) {
	c := camera{x: 1000, y: -900, height: 1700, tilt: 0.7, focal: 3000}
	good := photo(t, c, rectangle...)
	with := func(change func(k []marking.Known)) []marking.Known {
		k := append([]marking.Known{}, good...)
		change(k)
		return k
	}
	for name, k := range map[string][]marking.Known{
		"lie in one line on the slab":  with(func(k []marking.Known) { k[2].At = slab.Point{X: 1000, Y: 5} }),
		"lie in one line on the photo": with(func(k []marking.Known) { k[3].U, k[3].V = (k[0].U+k[1].U)/2, (k[0].V+k[1].V)/2 }),
		"in this order":                with(func(k []marking.Known) { k[1].At, k[2].At = k[2].At, k[1].At }),
		"the other way round": with(func(k []marking.Known) {
			for i := range k {
				k[i].At.X = -k[i].At.X
			}
		}),
		"needs four":          good[:3],
		"is nowhere":          with(func(k []marking.Known) { k[0].U = math.NaN() }),
		"at most 50 are":      append(good, make([]marking.Known, 60)...),
		"lie in one line on ": with(func(k []marking.Known) { k[1] = k[0] }),
		"beyond what":         append(with(func([]marking.Known) {}), marking.Known{Name: "E", U: 2000, V: -4000}),
	} {
		_, err := marking.NewPhoto(k)
		var said *trouble.Trouble
		if !errors.As(err, &said) || !strings.Contains(said.What, name) || said.Next == "" || said.Code != "bad-photo" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestWhatLiesOutside(t *testing.T) {
	p, err := marking.NewPhoto(photo(t, camera{x: 1000, y: -900, height: 1700, tilt: 0.7, focal: 3000}, rectangle...))
	if err != nil {
		t.Fatal(err)
	}
	if n := p.Outside([]slab.Point{{X: 1000, Y: 700}, {X: -200, Y: 0}, {X: 2100, Y: 1900}, {X: 2350, Y: -300}}); n != 2 {
		t.Errorf("%d lie outside, not 2", n)
	}
	if mm := p.Coarsest(); !(mm > 0.3 && mm < 3) {
		t.Errorf("a step is %g mm at worst", mm)
	}
}

// Four sides and a diagonal: 3-4-5, and the length of the other diagonal from the corners.
func TestTape(t *testing.T) {
	got, off, err := marking.Tape{AB: 4000, BC: 3000, CD: 4000, DA: 3000, AC: 5000, BD: 5000}.Corners()
	want := [4]slab.Point{{}, {X: 4000}, {X: 4000, Y: 3000}, {Y: 3000}}
	for i := range want {
		if !near(got[i], want[i], 1e-6) {
			t.Errorf("corner %d lies at %v, not %v", i, got[i], want[i])
		}
	}
	if err != nil || off > 1e-6 {
		t.Error(off, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, middle float64) float64 { return middle + rapid.Float64Range(-150, 150).Draw(t, name) }
		c := [4]slab.Point{{}, {X: draw("bx", 2000)}, {X: draw("cx", 2000), Y: draw("cy", 1500)}, {X: draw("dx", 0), Y: draw("dy", 1500)}}
		d := func(i, k int) float64 { return math.Hypot(c[k].X-c[i].X, c[k].Y-c[i].Y) }
		got, off, err := marking.Tape{AB: d(0, 1), BC: d(1, 2), CD: d(2, 3), DA: d(3, 0), AC: d(0, 2), BD: d(1, 3) + 7}.Corners()
		if err != nil || math.Abs(off-7) > 1e-6 {
			t.Fatal(off, err)
		}
		for i := range c {
			if !near(got[i], c[i], 1e-6) {
				t.Fatalf("corner %d lies at %v, not %v", i, got[i], c[i])
			}
		}
	})
	for what, tape := range map[string]marking.Tape{"AB, BC, AC": {AB: 1000, BC: 1000, CD: 1500, DA: 1500, AC: 2000}, "CD, DA, AC": {AB: 2000, BC: 1500, CD: 500, DA: 900, AC: 2500},
		"BC is 0 mm": {AB: 1, CD: 1, DA: 1, AC: 1}, "BD is -1 mm": {AB: 3, BC: 4, CD: 3, DA: 4, AC: 5, BD: -1}} {
		var said *trouble.Trouble
		if _, _, err := tape.Corners(); !errors.As(err, &said) || !strings.Contains(said.What, what) || said.Next == "" {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// The same photo as the script of the page has it: what is drawn live and what is checked here agree.
func TestTheScriptsPhoto(t *testing.T) {
	text, err := os.ReadFile("../../internal/web/script/testdata/photo.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Known []struct {
			Name       string
			U, V, X, Y float64
		}
		Places []struct{ U, V, X, Y float64 }
		Doubt  float64 `json:"doubt_mm"`
		Step   float64 `json:"step_mm"`
		Tape   marking.Tape
		Taped  [4][2]float64
	}
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	var known []marking.Known
	for _, k := range file.Known {
		known = append(known, marking.Known{Name: k.Name, U: k.U, V: k.V, At: slab.Point{X: k.X, Y: k.Y}})
	}
	p, err := marking.NewPhoto(known)
	if err != nil {
		t.Fatal(err)
	}
	if len(file.Places) == 0 {
		t.Fatal("no places")
	}
	for _, q := range file.Places {
		if got, ok := p.At(q.U, q.V); !ok || !near(got, slab.Point{X: q.X, Y: q.Y}, 1e-6) {
			t.Errorf("%g, %g lies at %.9f, %.9f, not %v", q.U, q.V, got.X, got.Y, q)
		}
	}
	if doubt, _ := p.Doubt(); math.Abs(doubt-file.Doubt) > 1e-6 || math.Abs(p.Coarsest()-file.Step) > 1e-6 {
		t.Errorf("doubt %.9f, step %.9f", doubt, p.Coarsest())
	}
	corners, _, err := file.Tape.Corners()
	for i, c := range corners {
		if err != nil || !near(c, slab.Point{X: file.Taped[i][0], Y: file.Taped[i][1]}, 1e-6) {
			t.Errorf("corner %d: %.9f, %.9f, %v", i, c.X, c.Y, err)
		}
	}
}
