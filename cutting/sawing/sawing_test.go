package sawing_test

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/check"
	"slatewright/cutting/slab/search"
	"slatewright/cutting/slab/slabfile"
	"slatewright/polygon"
)

type failer interface {
	Helper()
	Fatalf(string, ...any)
	Errorf(string, ...any)
}

// holds follows a plan and holds the rows against it: written back as cuts they are a plan that the checker accepts, and no stone is lost.
func holds(t failer, s *slab.Slab, p *slab.Plan) *sawing.Order {
	t.Helper()
	o, err := sawing.Of(s, p)
	if err != nil {
		t.Fatalf("%v", err)
	}
	if len(p.Pieces) == 0 {
		if len(o.Rows) > 0 {
			t.Errorf("%d cuts for nothing", len(o.Rows))
		}
		return o
	}
	back := *p
	back.Cuts = nil
	for _, r := range o.Rows {
		c := slab.Cut{A: r.A, B: r.B, Along: r.Along, At: r.Setting + p.Corner.X}
		if r.Along {
			c.At = r.Setting + p.Corner.Y
		}
		back.Cuts = append(back.Cuts, c)
	}
	back.Pieces = nil
	for i, part := range o.Pieces {
		f := slab.NewFrame(p.Angle)
		at := f.Out(slab.Point{X: part.X1 + p.Corner.X, Y: part.Y1 + p.Corner.Y})
		back.Pieces = append(back.Pieces, slab.Piece{Kind: p.Pieces[i].Kind, At: at, Along: part.X2 - part.X1, Across: part.Y2 - part.Y1, Quarter: p.Pieces[i].Quarter, Over: p.Pieces[i].Over})
	}
	if faults := check.Plan(s, &back); len(faults) > 0 {
		t.Errorf("the rows do not hold: %v", faults)
	}
	stone := 0.0
	for _, r := range o.Rows { // the saw takes a kerf, or what is left of the part
		low, high := r.Setting-p.Kerf/2, r.Setting+p.Kerf/2
		if r.Along {
			low, high = max(low, r.Part.Y1), min(high, r.Part.Y2)
		} else {
			low, high = max(low, r.Part.X1), min(high, r.Part.X2)
		}
		stone += r.Length * (high - low)
	}
	for _, part := range append(append([]*sawing.Part{}, o.Pieces...), o.Offcuts...) {
		stone += part.Stone
	}
	if whole := math.Abs(polygon.Area(s.Outline)); math.Abs(stone-whole) > 1e-6*whole+p.Kerf*float64(len(o.Rows)) { // rows with less than 0.1 mm of stone count none
		t.Errorf("%g mm² of %g are told of", stone, whole)
	}
	for i, r := range o.Rows {
		row(t, s, p, o, i, r)
	}
	return o
}

// row holds one row against what a hand with a rule would find.
func row(t failer, s *slab.Slab, p *slab.Plan, o *sawing.Order, i int, r sawing.Row) {
	t.Helper()
	if r.Number != i+1 || r.Part.Name == "" || r.Fence < 0 || r.Length < 0 || r.Turn != (i > 0 && o.Rows[i-1].Along != r.Along) {
		t.Errorf("row %+v", r)
	}
	// The middle of the kerf, measured from the edge: fence and half a kerf.
	f := slab.NewFrame(p.Angle)
	at, low, high := f.In(r.A).X-p.Corner.X, r.Part.X1, r.Part.X2
	if r.Along {
		at, low, high = f.In(r.A).Y-p.Corner.Y, r.Part.Y1, r.Part.Y2
	}
	want := at - low - p.Kerf/2
	if r.From == sawing.Right || r.From == sawing.Upper {
		want = high - at - p.Kerf/2
	}
	if math.Abs(r.Fence-max(want, 0)) > 1e-4 || (r.From == sawing.Lower || r.From == sawing.Upper) != r.Along {
		t.Errorf("cut %d: fence %g from %v, not %g", i+1, r.Fence, r.From, want)
	}
	// An edge was sawn when an earlier cut of the same way left it there.
	sawn := func(edge float64) bool {
		for _, before := range o.Rows[:i] {
			q := before.Part
			beside := q.X1 < r.Part.X2 && r.Part.X1 < q.X2
			if !r.Along {
				beside = q.Y1 < r.Part.Y2 && r.Part.Y1 < q.Y2
			}
			if before.Along == r.Along && beside && (math.Abs(before.Setting+p.Kerf/2-edge) < 1e-4 || math.Abs(before.Setting-p.Kerf/2-edge) < 1e-4) {
				return true
			}
		}
		return false
	}
	edge := low
	if r.From == sawing.Right || r.From == sawing.Upper {
		edge = high
	}
	if r.Sawn != sawn(edge) || !r.Sawn && (sawn(low) || sawn(high)) {
		t.Errorf("cut %d is set from %v, sawn %v; its edges are sawn: %v, %v", i+1, r.From, r.Sawn, sawn(low), sawn(high))
	}
	if r.Length == 0 && (r.In != r.A || r.Out != r.B) {
		t.Errorf("cut %d meets no stone and enters it", i+1)
	}
	for _, part := range []*sawing.Part{r.Low, r.High} {
		if part == nil || part.Use != sawing.Kept {
			continue
		}
		if q := p.Pieces[part.Piece]; math.Abs(q.Along-(part.X2-part.X1)) > 1e-4 || math.Abs(q.Across-(part.Y2-part.Y1)) > 1e-4 {
			t.Errorf("piece %d is not the part that is kept", part.Piece)
		}
	}
}

func solve(t failer, s *slab.Slab, work int64) *slab.Plan {
	t.Helper()
	p, err := search.Solve(s, search.Limits{Work: work})
	if err != nil {
		t.Fatalf("%v", err)
	}
	if faults := check.Plan(s, p); len(faults) > 0 {
		t.Fatalf("the plan itself does not hold: %v", faults)
	}
	return p
}

func TestTheHandbooksSlab(t *testing.T) {
	const file = "../../docs/examples/slab/slab.json"
	text, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	q, err := slabfile.Read(file, text, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := q.Slabs[0]
	p := solve(t, s, 2_000_000)
	if len(p.Pieces) < 3 {
		t.Fatalf("%d pieces", len(p.Pieces))
	}
	holds(t, s, p)
}

// A plain slab by hand: 1000 x 600, two pieces of 400 x 500 and a kerf of 10.
func TestASlabByHand(t *testing.T) {
	s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 0}, {X: 1000, Y: 0}, {X: 1000, Y: 600}, {X: 0, Y: 600}}, Kerf: 10, Angles: []float64{0},
		Types: []slab.Type{{Name: "a", Length: 400, Width: 500, Value: 1, Most: 2, Quarters: [4]bool{true}}}}
	p := &slab.Plan{Value: 2, Bound: 2, Proven: true, Kerf: 10, Size: slab.Point{X: 1000, Y: 600},
		Pieces: []slab.Piece{{At: slab.Point{X: 0, Y: 0}, Along: 400, Across: 500}, {At: slab.Point{X: 410, Y: 0}, Along: 400, Across: 500}},
		Cuts: []slab.Cut{{A: slab.Point{X: 0, Y: 505}, B: slab.Point{X: 1000, Y: 505}, Along: true, At: 505},
			{A: slab.Point{X: 405, Y: 0}, B: slab.Point{X: 405, Y: 500}, At: 405}, {A: slab.Point{X: 815, Y: 0}, B: slab.Point{X: 815, Y: 500}, At: 815}}}
	o := holds(t, s, p)
	first, last := o.Rows[0], o.Rows[2]
	if first.Part.Name != "A" || first.Fence != 500 || first.From != sawing.Lower || first.Sawn || first.Turn || first.Length != 1000 || first.High.Use != sawing.Offcut || first.Low.Name != "B" {
		t.Errorf("%+v", first)
	}
	if !o.Rows[1].Turn || last.Turn || last.Fence != 400 || last.From != sawing.Left || !last.Sawn || last.Low.Name != "2" || last.High.Use != sawing.Offcut || last.Angle != 90 {
		t.Errorf("%+v", last)
	}
	if len(o.Offcuts) != 2 || o.Offcuts[0].Stone != 90*1000 || o.Offcuts[1].Stone != 180*500 || o.Length != 2000 {
		t.Errorf("%v, %g", o.Offcuts, o.Length)
	}
	// A plan that does not follow is refused.
	p.Cuts[1].B.Y = 400
	if _, err := sawing.Of(s, p); err == nil {
		t.Error("a cut that ends in the stone is taken")
	}
	p.Cuts[1].B.Y = 500
	p.Pieces[0].Across = 400
	if _, err := sawing.Of(s, p); err == nil {
		t.Error("a piece that the cuts do not leave is taken")
	}
}

// A cut enters where it meets the stone: a slab with a corner off.
func TestWhereTheSawEnters(t *testing.T) {
	s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 0}, {X: 1000, Y: 0}, {X: 1000, Y: 300}, {X: 700, Y: 600}, {X: 0, Y: 600}}, Angles: []float64{0},
		Types: []slab.Type{{Name: "a", Length: 700, Width: 500, Value: 1, Most: -1, Quarters: [4]bool{true}}}}
	p := &slab.Plan{Value: 1, Bound: 1, Proven: true, Size: slab.Point{X: 1000, Y: 600}, Pieces: []slab.Piece{{Along: 700, Across: 500}},
		Cuts: []slab.Cut{{A: slab.Point{X: 0, Y: 500}, B: slab.Point{X: 1000, Y: 500}, Along: true, At: 500}, {A: slab.Point{X: 700, Y: 0}, B: slab.Point{X: 700, Y: 500}, At: 700}}}
	o := holds(t, s, p)
	if r := o.Rows[0]; r.In != (slab.Point{X: 0, Y: 500}) || math.Hypot(r.Out.X-800, r.Out.Y-500) > 1e-6 || math.Abs(r.Length-800) > 1e-6 {
		t.Errorf("%+v", r)
	}
}

func TestDrawnSlabs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := func(name string, low, high int) float64 { return float64(rapid.IntRange(low, high).Draw(t, name)) }
		w, h := size("w", 300, 900), size("h", 200, 700)
		dent := func(name string) float64 { return size(name, 0, 80) }
		s := &slab.Slab{Outline: []slab.Point{{X: dent("a"), Y: dent("b")}, {X: w - dent("c"), Y: dent("d")}, {X: w - dent("e"), Y: h - dent("f")}, {X: w / 2, Y: h - dent("i")}, {X: dent("g"), Y: h - dent("k")}},
			Kerf: float64(rapid.IntRange(0, 8).Draw(t, "kerf")), Angles: []float64{float64(rapid.IntRange(-3, 3).Draw(t, "angle"))},
			Flaws: []slab.Flaw{{Points: []slab.Point{{X: w * 0.3, Y: 0}, {X: w * 0.35, Y: h * 0.5}}, Clearance: 3}}}
		for i := range rapid.IntRange(1, 3).Draw(t, "kinds") {
			s.Types = append(s.Types, slab.Type{Name: string(rune('a' + i)), Length: size("length", 60, 300), Width: size("width", 60, 200), Value: int64(1 + i), Most: rapid.IntRange(-1, 3).Draw(t, "most"), Quarters: [4]bool{true, true, false, false}, Shown: slab.PlaysEither})
		}
		holds(t, s, solve(t, s, 1_000_000))
	})
}

// 1000 x 600 x 30 mm at 2850 kg/m³ are 51.3 kg: 55 kg for lifting; a piece of 400 x 500 x 30 is 17.1 kg: 20 kg. A weight of 46 kg is more than a tenth off.
func TestMasses(t *testing.T) {
	s := &slab.Slab{Outline: []slab.Point{{X: 0, Y: 0}, {X: 1000, Y: 0}, {X: 1000, Y: 600}, {X: 0, Y: 600}}, Types: []slab.Type{{Name: "a"}}}
	sheet := sawing.Sheet{Slab: s, Plan: &slab.Plan{Pieces: []slab.Piece{{Along: 400, Across: 500}}}}
	if off, err := sheet.Weigh(0, sawing.UsualDensity, nil); err != nil || off || sheet.SlabKg != 0 || sheet.PieceKg != nil {
		t.Errorf("a mass without a thickness: %+v, %v", sheet, err)
	}
	weighed := 46.0
	off, err := sheet.Weigh(30, sawing.UsualDensity, &weighed)
	if err != nil || !off || sheet.SlabKg != 55 || len(sheet.PieceKg) != 1 || sheet.PieceKg[0] != 20 {
		t.Errorf("%+v, %v, %v", sheet, off, err)
	}
	s.Thickness = &slab.Thickness{X: []float64{0, 1}, Y: []float64{0}, T: [][]float64{{30, 33}}}
	if off, err := sheet.Weigh(30, sawing.UsualDensity, nil); err != nil || off || sheet.Thick != 33 || sheet.SlabKg != 60 {
		t.Errorf("the thickest reading counts: %+v, %v", sheet, err)
	}
	if _, err := sheet.Weigh(30, 3, nil); err == nil {
		t.Error("a stone as light as air")
	}
}
