package layer_test

import (
	"fmt"
	"math"
	"reflect"
	"runtime"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/cutting/layer"
	"slatewright/polygon"
)

func rectangle(w, h float64) []layer.Point {
	return []layer.Point{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
}

// ground is a small random layer with all that a survey can hold.
func ground(t *rapid.T) *layer.Question {
	number := rapid.Float64Range
	q := &layer.Question{Samples: 8, Seed: 1, Least: number(0, 0.6).Draw(t, "least")}
	n := rapid.IntRange(3, 9).Draw(t, "corners")
	for i := range n { // a star: any distance in any direction
		r, a := number(500, 1500).Draw(t, "r"), 2*math.Pi*float64(i)/float64(n)
		q.Outline = append(q.Outline, layer.Point{X: r * math.Cos(a), Y: r * math.Sin(a)})
	}
	place := func(name string) layer.Point {
		return layer.Point{X: number(-1400, 1400).Draw(t, name), Y: number(-1400, 1400).Draw(t, name)}
	}
	q.Margin, q.Depth = rapid.SampledFrom([]float64{0, 25}).Draw(t, "margin"), 150
	for range rapid.IntRange(0, 2).Draw(t, "areas") {
		c := place("area")
		q.Areas = append(q.Areas, layer.Area{Name: "stain", Clear: rapid.SampledFrom([]float64{0, 30}).Draw(t, "clear"),
			Ring: []layer.Point{{X: c.X - 200, Y: c.Y}, {X: c.X, Y: c.Y - 100}, {X: c.X + 150, Y: c.Y + 50}, {X: c.X, Y: c.Y + 10}}})
	}
	for i := range rapid.IntRange(0, 7).Draw(t, "joints") {
		j := layer.Joint{Name: fmt.Sprint(i), Chance: rapid.SampledFrom([]float64{1, 1, 0.4}).Draw(t, "chance"), Error: rapid.SampledFrom([]float64{0, 0, 60}).Draw(t, "error"),
			Clear: rapid.SampledFrom([]float64{0, 20}).Draw(t, "clear"), Both: rapid.Bool().Draw(t, "both")}
		for range rapid.IntRange(2, 3).Draw(t, "points") {
			j.Trace = append(j.Trace, place("trace"))
		}
		if rapid.Bool().Draw(t, "leans") {
			j.Lean = layer.Point{X: number(-90, 90).Draw(t, "lean"), Y: number(-90, 90).Draw(t, "lean")}
		}
		q.Joints = append(q.Joints, j)
	}
	for range rapid.IntRange(1, 3).Draw(t, "sizes") {
		q.Sizes = append(q.Sizes, layer.Size{Name: "z", Length: number(150, 600).Draw(t, "length"), Width: number(150, 600).Draw(t, "width"), Value: number(1, 9).Draw(t, "value"),
			Most: rapid.SampledFrom([]int{0, 0, 2}).Draw(t, "most"), Turn: rapid.Bool().Draw(t, "turn")})
	}
	q.Saw = layer.Saw{Kerf: number(0, 40).Draw(t, "kerf"), From: -2, To: 2, By: 2, Reach: 100}
	return q
}

// enough is how many layers are laid in a short test, which the race detector makes ten times longer: these reach every statement that twice as
// many reach, but for a run that has no room beside it.
const enough = 6

func TestEveryPlanCanBeCut(t *testing.T) {
	blocks, tried := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if tried++; testing.Short() && tried > enough {
			return
		}
		q := ground(t)
		p, err := layer.Lay(q)
		if err != nil {
			t.Fatal(err)
		}
		blocks += len(p.Blocks)
		if f := faults(q, p); f != nil {
			t.Fatal(f)
		}
		var most float64
		for _, b := range p.Blocks {
			most += q.Sizes[b.Size].Value * b.Chance
		}
		if math.Abs(most-p.Value) > 1e-6*(1+most) {
			t.Fatalf("value %v, the blocks' %v", p.Value, most)
		}
		if room := 4 * p.SD / math.Sqrt(float64(p.Draws)); p.Value > p.Bound+room+1e-6 && p.Draws == 1 || p.Bound > p.Area+1e-6 || p.Lifts != 2 {
			t.Fatalf("value %v, bound %v, area %v", p.Value, p.Bound, p.Area)
		}
	})
	if blocks < 100 && !testing.Short() {
		t.Errorf("only %d blocks in all", blocks)
	}
}

func TestAFaultIsSeen(t *testing.T) {
	q := &layer.Question{Ground: layer.Ground{Outline: rectangle(4000, 3000)}, Samples: 1, Sizes: []layer.Size{{Name: "z", Length: 900, Width: 600, Value: 1}}, Saw: layer.Saw{Kerf: 10}}
	plan := func() *layer.Plan {
		p, err := layer.Lay(q)
		if err != nil || len(p.Blocks) != 16 || faults(q, p) != nil {
			t.Fatalf("%+v, %v, %v", p, err, faults(q, p))
		}
		return p
	}
	for name, spoil := range map[string]func(*layer.Plan){
		"moved":     func(p *layer.Plan) { move(&p.Blocks[3], 8, 0) },
		"outside":   func(p *layer.Plan) { move(&p.Blocks[0], -5, -5) },
		"a cut out": func(p *layer.Plan) { p.Cuts = p.Cuts[1:] },
		"order":     func(p *layer.Plan) { p.Cuts[0], p.Cuts[len(p.Cuts)-1] = p.Cuts[len(p.Cuts)-1], p.Cuts[0] },
		"numbers":   func(p *layer.Plan) { p.Counts[0]++ },
	} {
		p := plan()
		if spoil(p); faults(q, p) == nil {
			t.Errorf("%s passes", name)
		}
	}
	p := plan()
	q.Joints = []layer.Joint{{Name: "j", Trace: []layer.Point{{X: 450, Y: -10}, {X: 451, Y: 3010}}, Chance: 1}}
	if faults(q, p) == nil {
		t.Error("a joint through a block passes")
	}
}

func move(b *layer.Block, x, y float64) {
	for i := range b.Corners {
		b.Corners[i].X += x
		b.Corners[i].Y += y
	}
}

// slow finds the best plan of runs by trying everything every 5 mm; all it is asked lies on such places.
func slow(q *layer.Question, across bool) float64 {
	const grain = 5
	w, h := int(q.Outline[2].X)/grain, int(q.Outline[2].Y)/grain
	if across {
		w, h = h, w
	}
	kerf := int(q.Saw.Kerf) / grain
	clear := func(x, y, l, z int) bool { // along and across the run
		for _, j := range q.Joints {
			a, b := j.Trace[0], j.Trace[1]
			if across { // a quarter turn: x is the layer's y, y goes down its x
				a, b = layer.Point{X: a.Y, Y: float64(grain*h) - a.X}, layer.Point{X: b.Y, Y: float64(grain*h) - b.X}
			}
			if polygon.Meets(a, b, layer.Point{X: float64(grain*x) + slack, Y: float64(grain*y) + slack}, layer.Point{X: float64(grain*(x+l)) - slack, Y: float64(grain*(y+z)) - slack}) {
				return false
			}
		}
		return true
	}
	type lot struct {
		l, z  int
		value float64
	}
	var lots []lot
	for _, s := range q.Sizes {
		l, z := int(s.Length)/grain, int(s.Width)/grain
		if across {
			l, z = z, l
		}
		lots = append(lots, lot{l, z, s.Value})
		if s.Turn {
			lots = append(lots, lot{z, l, s.Value})
		}
	}
	best := make([]float64, h+500)
	row := make([]float64, w+500)
	for y := h - 1; y >= 0; y-- {
		best[y] = best[y+1]
		for _, height := range lots {
			if y+height.z > h {
				continue
			}
			for x := w - 1; x >= 0; x-- {
				row[x] = row[x+1]
				for _, l := range lots {
					if l.z == height.z && x+l.l <= w && clear(x, y, l.l, l.z) {
						row[x] = math.Max(row[x], l.value+row[x+l.l+kerf])
					}
				}
			}
			best[y] = math.Max(best[y], row[0]+best[y+height.z+kerf])
		}
	}
	return best[0]
}

func TestBestOfSmallLayers(t *testing.T) {
	all, reached, tried := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if tried++; testing.Short() && tried > enough {
			return
		}
		at := func(name string, most int) float64 { return float64(20 * rapid.IntRange(0, most).Draw(t, name)) }
		w, h := 400+at("w", 30), 400+at("h", 30)
		q := &layer.Question{Ground: layer.Ground{Outline: rectangle(w, h)}, Samples: 1, Saw: layer.Saw{Kerf: at("kerf", 2)}}
		for range rapid.IntRange(1, 2).Draw(t, "sizes") {
			q.Sizes = append(q.Sizes, layer.Size{Length: 100 + at("length", 12), Width: 100 + at("width", 12), Value: float64(rapid.IntRange(1, 9).Draw(t, "value")), Turn: rapid.Bool().Draw(t, "turn")})
		}
		for range rapid.IntRange(0, 4).Draw(t, "joints") {
			a := layer.Point{X: at("x", int(w)/20) + 5, Y: at("y", int(h)/20) + 5}
			b := layer.Point{X: a.X, Y: at("y", int(h)/20) + 5}
			if rapid.Bool().Draw(t, "lies") {
				b = layer.Point{X: at("x", int(w)/20) + 5, Y: a.Y}
			}
			q.Joints = append(q.Joints, layer.Joint{Name: "j", Trace: []layer.Point{a, b}, Chance: 1})
		}
		p, err := layer.Lay(q)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Max(slow(q, false), slow(q, true))
		if f := faults(q, p); f != nil {
			t.Fatal(f)
		}
		if p.Value > best+1e-9 || best > p.Bound+1e-9 {
			t.Fatalf("value %v, trying everything %v, bound %v", p.Value, best, p.Bound)
		}
		all++
		if p.Value == best {
			reached++
		}
	})
	if t.Logf("%d of %d plans are the best there is", reached, all); reached < all*3/4 {
		t.Errorf("only %d of %d plans are the best there is", reached, all)
	}
}

// One set of joints across the runs with random spacing: pieces of length L between joints of mean spacing s use λ/(e^λ−1) of the length, λ = L/s, and a grid
// laid blindly is clear in e^−λ. docs/layer.md derives both.
func TestRandomJoints(t *testing.T) {
	if testing.Short() {
		t.Skip("long; TestSameOnOneCore shares the work out too")
	}
	for _, lambda := range []float64{0.25, 0.5, 1} {
		const length, width, long = 1000.0, 600.0, 200e3
		spacing := length / lambda
		var used, blind, squares float64
		const runs = 6
		for seed := range uint64(runs) {
			q := &layer.Question{Ground: layer.Ground{Outline: rectangle(long, width)}, Samples: 1, Sizes: []layer.Size{{Length: length, Width: width, Value: 1}}}
			s := chance.NewStream(seed)
			for x := -spacing * math.Log(1-s.Float64()); x < long; x -= spacing * math.Log(1-s.Float64()) {
				q.Joints = append(q.Joints, layer.Joint{Name: "j", Trace: []layer.Point{{X: x, Y: -1}, {X: x, Y: width + 1}}, Chance: 1})
			}
			p, err := layer.Lay(q)
			if err != nil {
				t.Fatal(err)
			}
			u := float64(len(p.Blocks)) * length / long
			used, blind, squares = used+u/runs, blind+p.Blind.Mean*length/long/runs, squares+u*u/runs
			if p.Value > p.Bound {
				t.Errorf("value %v above the bound %v", p.Value, p.Bound)
			}
		}
		want := lambda / (math.Exp(lambda) - 1)
		doubt := 3*math.Sqrt((squares-used*used)/(runs-1)) + 0.003 // cells of 2 mm
		if math.Abs(used-want) > doubt {
			t.Errorf("λ %v: %.4f of the length, want %.4f within %.4f", lambda, used, want, doubt)
		}
		if math.Abs(blind-math.Exp(-lambda)) > 0.03 {
			t.Errorf("λ %v: blind %.4f, want %.4f", lambda, blind, math.Exp(-lambda))
		}
	}
}

// Two joints that are there or not, and room to avoid one of them only: by hand.
func TestWorthOfKnowing(t *testing.T) {
	across := func(name string, x, chance float64) layer.Joint {
		return layer.Joint{Name: name, Trace: []layer.Point{{X: x, Y: -10}, {X: x, Y: 610}}, Chance: chance}
	}
	q := &layer.Question{Ground: layer.Ground{Outline: rectangle(1500, 600)}, Samples: 64, Seed: 3, Sizes: []layer.Size{{Length: 1000, Width: 600, Value: 100}}}
	q.Saw.Runs = layer.Along
	q.Joints = []layer.Joint{across("a", 300, 0.5), across("b", 1200, 0.5), across("never", 700, 0)}
	p, err := layer.Lay(q)
	if err != nil {
		t.Fatal(err)
	}
	// Now: one of them is avoided and the other is met in half of all cases: 50. Knowing one: 0.5 × 100 + 0.5 × 50.
	if len(p.Blocks) != 1 || math.Abs(p.Value-50) > 6 || len(p.Knowing) != 2 || math.Abs(p.Knowing[0].Value-25) > 0.01 || math.Abs(p.Knowing[1].Value-25) > 0.01 {
		t.Errorf("%+v", p)
	}
	if math.Abs(p.SD-50) > 2 || p.Low != 0 || p.High != 100 || p.Draws < 100 {
		t.Errorf("%+v", p.Spread)
	}
	q.Least = 0.6
	if p, err = layer.Lay(q); err != nil || len(p.Blocks) != 0 {
		t.Errorf("a block with even odds is sawn: %+v, %v", p, err)
	}
}

// A joint whose place is uncertain is met with the probability of the normal distribution.
func TestUncertainPlace(t *testing.T) {
	q := &layer.Question{Ground: layer.Ground{Outline: rectangle(1000, 600)}, Samples: 64, Seed: 3, Sizes: []layer.Size{{Length: 1000, Width: 600, Value: 100}}}
	q.Joints = []layer.Joint{{Name: "a", Trace: []layer.Point{{X: -50, Y: -100}, {X: -50, Y: 700}}, Chance: 0.8, Error: 50}}
	p, err := layer.Lay(q)
	want := 1 - 0.8*(1-chance.Cumulative(1))
	if err != nil || len(p.Blocks) != 1 || math.Abs(p.Blocks[0].Chance-want) > 4*math.Sqrt(want*(1-want)/1000) {
		t.Errorf("%+v, %v, want %v", p, err, want)
	}
}

func TestWantedNumbers(t *testing.T) {
	q := &layer.Question{Ground: layer.Ground{Outline: rectangle(6000, 4000)}, Samples: 1, Saw: layer.Saw{Kerf: 10},
		Sizes: []layer.Size{{Name: "dear", Length: 900, Width: 600, Value: 10, Most: 5}, {Name: "cheap", Length: 900, Width: 600, Value: 1}}}
	p, err := layer.Lay(q)
	if err != nil || faults(q, p) != nil || p.Counts[0] > 5 {
		t.Fatalf("%+v, %v", p.Counts, err)
	}
	if best := 5*10.0 + 31; p.Bound < best || p.Value != best { // 36 places
		t.Errorf("value %v, bound %v, best %v", p.Value, p.Bound, best)
	}
}

func TestStopped(t *testing.T) {
	q := &layer.Question{Ground: layer.Ground{Outline: rectangle(6000, 4000)}, Samples: 1, Saw: layer.Saw{Kerf: 10, From: -3, To: 3, By: 1}, Sizes: []layer.Size{{Length: 900, Width: 600, Value: 1}}}
	q.Stop = func() bool { return true }
	p, err := layer.Lay(q)
	if err != nil || !p.Stopped || p.Proven || p.Bound != p.Area || len(p.Blocks) == 0 || faults(q, p) != nil {
		t.Errorf("%+v, %v", p, err)
	}
}

// The number of cores does not show.
func TestSameOnOneCore(t *testing.T) {
	q := rapid.Custom(ground).Example(7)
	a, err := layer.Lay(q)
	before := runtime.GOMAXPROCS(1)
	b, err2 := layer.Lay(q)
	runtime.GOMAXPROCS(before)
	if err != nil || err2 != nil || len(a.Blocks) == 0 || fmt.Sprint(a) != fmt.Sprint(b) {
		t.Fatal(err, err2, len(a.Blocks))
	}
}

func TestRefused(t *testing.T) {
	nan := math.NaN()
	good := func() *layer.Question {
		return &layer.Question{Ground: layer.Ground{Outline: rectangle(6000, 4000)}, Samples: 1, Sizes: []layer.Size{{Length: 900, Width: 600, Value: 1}}}
	}
	for name, spoil := range map[string]func(*layer.Question){
		"no outline":   func(q *layer.Question) { q.Outline = q.Outline[:2] },
		"flat outline": func(q *layer.Question) { q.Outline[2] = layer.Point{X: 3000}; q.Outline[3] = layer.Point{X: 10} },
		"bow tie":      func(q *layer.Question) { q.Outline[2].X = 100; q.Outline[3].X = 5900 },
		"too large":    func(q *layer.Question) { q.Outline = rectangle(300e3, 300e3) },
		"no number":    func(q *layer.Question) { q.Outline[1].X = nan },
		"no sizes":     func(q *layer.Question) { q.Sizes = nil },
		"no value":     func(q *layer.Question) { q.Sizes[0].Value = 0 },
		"no kerf":      func(q *layer.Question) { q.Saw.Kerf = -1 },
		"directions":   func(q *layer.Question) { q.Saw = layer.Saw{From: -90, To: 90, By: 0.1} },
		"backwards":    func(q *layer.Question) { q.Saw = layer.Saw{From: 3, To: -3, By: 1} },
		"no draws":     func(q *layer.Question) { q.Samples = 0 },
		"a dot":        func(q *layer.Question) { q.Joints = []layer.Joint{{Trace: q.Outline[:1], Chance: 1}} },
		"chance":       func(q *layer.Question) { q.Joints = []layer.Joint{{Trace: q.Outline, Chance: 1.1}} },
		"lean": func(q *layer.Question) {
			q.Joints = []layer.Joint{{Trace: q.Outline, Chance: 1, Lean: layer.Point{X: nan}}}
		},
		"zone":        func(q *layer.Question) { q.Areas = []layer.Area{{Ring: q.Outline[:2]}} },
		"many joints": func(q *layer.Question) { q.Joints = make([]layer.Joint, 3000) },
		"least":       func(q *layer.Question) { q.Least = nan },
	} {
		q := good()
		spoil(q)
		if p, err := layer.Lay(q); err == nil {
			t.Errorf("%s: %+v", name, p)
		}
	}
}

// FuzzLay is TestEveryPlanCanBeCut for layers that a fuzzer finds.
func FuzzLay(f *testing.F) {
	f.Fuzz(rapid.MakeFuzz(func(t *rapid.T) {
		q := ground(t)
		p, err := layer.Lay(q)
		if err != nil {
			t.Fatal(err)
		}
		if f := faults(q, p); f != nil {
			t.Fatal(f)
		}
	}))
}

// A limit that no plan can reach is none: the plan is the one without it.
func TestLimitOutOfReach(t *testing.T) {
	ask := func(most int) *layer.Plan {
		q := &layer.Question{Samples: 16, Seed: 1, Ground: layer.Ground{Outline: []layer.Point{{}, {X: 8000}, {X: 8300, Y: 6000}, {Y: 5870}},
			Joints: []layer.Joint{{Name: "j", Trace: []layer.Point{{X: 1500, Y: -10}, {X: 1733, Y: 6100}}, Chance: 0.6, Error: 70, Clear: 10}, {Name: "k", Trace: []layer.Point{{X: 4213, Y: -10}, {X: 4100, Y: 6100}}, Chance: 0.8, Error: 50},
				{Name: "m", Trace: []layer.Point{{X: -10, Y: 2513}, {X: 8400, Y: 2711}}, Chance: 0.7, Error: 60}}},
			Sizes: []layer.Size{{Name: "b", Length: 700, Width: 450, Value: 5, Most: most, Turn: true}}, Saw: layer.Saw{Kerf: 6}}
		p, err := layer.Lay(q)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	free, limited, two := ask(0), ask(1000), ask(2)
	if !reflect.DeepEqual(free, limited) {
		t.Errorf("%d blocks of at most %g, without a limit %d of %g", len(limited.Blocks), limited.Bound, len(free.Blocks), free.Bound)
	}
	if len(two.Blocks) != 2 || two.Bound < 10 || two.Bound > 10+1e-9 {
		t.Errorf("two wanted: %d blocks, at most %g", len(two.Blocks), two.Bound)
	}
}
