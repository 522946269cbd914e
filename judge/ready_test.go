package judge_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/judge"
)

func kelvin(v float64) *float64 { return &v }

// spoilt judges a set again after the header of its second piece was changed, which no seating depends on.
func spoilt(t *testing.T, in judge.Input, spoil func(*face.Face)) judge.Judgement {
	t.Helper()
	f := *in.Question.Faces[1]
	spoil(&f)
	in.Question.Faces[1] = &f
	return set(t, in)
}

// resize makes a piece of that size that was read at the same distances from its edges.
func resize(f *face.Face, x, y float64) {
	moved := func(at []float64, by float64) []float64 {
		out := slices.Clone(at)
		for i, a := range at {
			if a < 0 {
				out[i] -= by
			} else if a > 0 {
				out[i] += by
			}
		}
		return out
	}
	f.X, f.Y = moved(f.X, (x-f.SizeX)/2), moved(f.Y, (y-f.SizeY)/2)
	f.SizeX, f.SizeY = x, y
}

// Each spoilt header keeps the set from being certified, with its code, the piece, a reason, a next step, and what it bears on.
func TestHindrances(t *testing.T) {
	shapes, thickness := judge.Names()[:5], []judge.Name{judge.Thickness}
	good := input(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat)), judge.FewestDraws)
	cases := []struct {
		name  string
		spoil func(f *face.Face)
		code  judge.Code
		on    []judge.Name
		says  string // in the reason
	}{
		{"2 mm too short", func(f *face.Face) { resize(f, 912, pieceY) }, judge.WrongSize, shapes, "912 x 1473 mm, and the specification asks for 914.333 x 1473 mm, 1 mm"},
		{"too wide", func(f *face.Face) { resize(f, pieceX, 1474.1) }, judge.WrongSize, shapes, "914 x 1474.1 mm"},
		{"never said to be dry", func(f *face.Face) { f.DrySince = "" }, judge.Wet, shapes, "Nothing says"},
		{"read before it was dry", func(f *face.Face) { f.DrySince = "2026-11-21" }, judge.Wet, shapes, "2026-11-21"},
		{"read on the day it was dry", func(f *face.Face) { f.DrySince = f.Date }, judge.Wet, shapes, "very day"},
		{"half a kelvin warmer on top", func(f *face.Face) { f.TempTop = kelvin(20.8) }, judge.Unequal, shapes, "0.50 K"},
		{"0.31 K colder on top", func(f *face.Face) { f.TempTop = kelvin(19.99) }, judge.Unequal, shapes, "0.31 K"},
		{"no temperature", func(f *face.Face) { f.TempTop, f.TempBottom = nil, nil }, judge.Unequal, shapes, "not both"},
		{"temperature of the top only", func(f *face.Face) { f.TempBottom = nil }, judge.Unequal, shapes, "not both"},
		{"one temperature for the piece", func(f *face.Face) { f.OneTemp, f.TempTop = true, f.TempBottom }, judge.Unequal, shapes, "not both"},
		{"no instrument", func(f *face.Face) { f.Instrument = "" }, judge.NoInstrument, shapes, "not named"},
		{"no date", func(f *face.Face) { f.Date = "" }, judge.NoDate, shapes, "day of the reading"},
		{"dated after the verdict", func(f *face.Face) { f.Date = "2026-11-26" }, judge.BadDate, shapes, "2026-11-26"},
		{"not a date", func(f *face.Face) { f.Date = "2026-02-30" }, judge.BadDate, shapes, "2026-02-30"},
		{"dry since no date", func(f *face.Face) { f.DrySince = "2026-02-30" }, judge.BadDate, shapes, "2026-02-30"},
		{"seven thicknesses", func(f *face.Face) { f.Thickness = f.Thickness[:7] }, judge.FewThickness, thickness, "7 places"},
		{"on points", func(f *face.Face) { f.Support = points() }, judge.Unsupported, shapes, "points"},
	}
	for _, c := range cases {
		j := spoilt(t, good, c.spoil)
		if len(j.Hindrances) != 1 {
			t.Errorf("%s: %+v", c.name, j.Hindrances)
			continue
		}
		h := j.Hindrances[0]
		if h.Code != c.code || h.Of != "P-2" || !slices.Equal(h.On, c.on) || !strings.Contains(h.Why, c.says) || h.Next == "" {
			t.Errorf("%s: %+v", c.name, h)
		}
		if j.Verdict != judge.CannotTell || j.Next.Code != c.code || !strings.Contains(j.Next.Text, "P-2") || j.Next.Why == "" {
			t.Errorf("%s: %v, next %+v", c.name, j.Verdict, j.Next)
		}
		for _, n := range judge.Names() {
			f, told := j.Finding(n), !slices.Contains(c.on, n)
			if (f.Verdict == judge.CannotTell) == told || (f.Why == "") != told {
				t.Errorf("%s: %s: %v, %q", c.name, n, f.Verdict, f.Why)
			}
			if margin := fmt.Sprintf(" The margin to what is accepted is %.3f mm.", f.Margin); !told && f.Why != h.Why+margin {
				t.Errorf("%s: %s: %q, want %q after the reason", c.name, n, f.Why, margin)
			}
		}
	}
}

// Just inside each of these there is nothing to say.
func TestNothingHinders(t *testing.T) {
	good := input(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat)), judge.FewestDraws)
	for name, change := range map[string]func(f *face.Face){
		"as it should be":           func(*face.Face) {},
		"short of a third":          func(f *face.Face) { resize(f, 913.333333, pieceY) }, // 2743/3 − 1
		"longer than a third":       func(f *face.Face) { resize(f, 915.333333, pieceY) },
		"as narrow as may be":       func(f *face.Face) { resize(f, pieceX, 1472) },
		"dry for one day":           func(f *face.Face) { f.DrySince = "2026-11-19" },
		"0.3 K apart, in decimals":  func(f *face.Face) { f.TempTop, f.TempBottom = kelvin(20.1), kelvin(19.8) },
		"read on the day":           func(f *face.Face) { f.Date = "2026-11-25" },
		"side not said":             func(f *face.Face) { f.Side = face.SideUnknown },
		"uncertainty from the spec": func(f *face.Face) { f.U = 0 },
	} {
		if j := spoilt(t, good, change); j.Verdict != judge.Conforms || len(j.Hindrances) != 0 {
			t.Errorf("%s: %v, %+v", name, j.Verdict, j.Hindrances)
		}
	}
}

// Slates of another table do not conform to this one, however flat they are: three of 914 mm are no bed of 3658 x 1829 mm.
func TestPiecesOfAnotherTable(t *testing.T) {
	spec := bed.NineFoot()
	spec.SizeX, spec.SizeY, spec.Supports = 3658, 1829, [3][][2]float64{}
	j := judged(t, question(spec, grid(flat), grid(flat), grid(flat)))
	if j.Verdict != judge.CannotTell || len(j.Hindrances) != 1 || j.Hindrances[0].Of != "P-1, P-2, P-3" || j.Next.Code != judge.WrongSize {
		t.Fatalf("%v, %+v, next %+v", j.Verdict, j.Hindrances, j.Next)
	}
	if want := "914 x 1473 mm, and the specification asks for 1219.333 x 1829 mm"; !strings.Contains(j.Hindrances[0].Why, want) {
		t.Errorf("%q does not say %q", j.Hindrances[0].Why, want)
	}
	if f := j.Finding(judge.Thickness); f.Verdict != judge.Conforms {
		t.Errorf("the thickness does not depend on the size: %+v", f)
	}
}

// A piece is ready when nothing about it alone would hinder.
func TestReady(t *testing.T) {
	free := bed.NineFoot()
	free.State = bed.StateFree
	for name, c := range map[string]struct {
		spec   bed.Spec
		issued string
		spoil  func(*face.Face)
		want   bool
	}{
		"as it should be":       {bed.NineFoot(), "2026-11-25", func(*face.Face) {}, true},
		"no day of the verdict": {bed.NineFoot(), "", func(*face.Face) {}, true},
		"read after that day":   {bed.NineFoot(), "2026-11-19", func(*face.Face) {}, false},
		"wet":                   {bed.NineFoot(), "", func(f *face.Face) { f.DrySince = "" }, false},
		"warm":                  {bed.NineFoot(), "", func(f *face.Face) { f.TempTop = kelvin(21) }, false},
		"of another table":      {bed.NineFoot(), "", func(f *face.Face) { resize(f, 800, pieceY) }, false},
		"without a size":        {bed.NineFoot(), "", func(f *face.Face) { f.SizeX = 0 }, false},
		"on points":             {bed.NineFoot(), "", func(f *face.Face) { f.Support = points() }, false},
		"support not said":      {bed.NineFoot(), "", func(f *face.Face) { f.Support = face.Support{} }, false},
		"pressed flat":          {free, "", func(*face.Face) {}, false},
		"read at four corners":  {bed.NineFoot(), "", func(f *face.Face) { *f = *read(flat, 2, 2) }, false},
	} {
		f := grid(flat)
		c.spoil(f)
		if got := judge.Ready(f, c.spec, c.issued); got != c.want {
			t.Errorf("%s: ready %v", name, got)
		}
	}
}

func TestNoUncertaintyAnywhere(t *testing.T) {
	spec := bed.NineFoot()
	spec.Uncertainty.Reading = 0
	f := grid(flat)
	f.U = 0
	j := judged(t, question(spec, f, grid(flat), grid(flat)))
	if len(j.Hindrances) != 1 || j.Hindrances[0].Code != judge.NoU || j.Verdict != judge.CannotTell {
		t.Errorf("%v, %+v", j.Verdict, j.Hindrances)
	}
}

// A bottom face cannot be seated, so it is seated as a top and marked afterwards.
func TestBottomFace(t *testing.T) {
	in := input(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat)), judge.FewestDraws)
	in.Question.Faces[2].Side = face.Bottom
	if j := set(t, in); len(j.Hindrances) != 1 || j.Hindrances[0].Code != judge.Side || j.Verdict != judge.CannotTell {
		t.Errorf("%v, %+v", j.Verdict, j.Hindrances)
	}
}

// A hindrance names the piece by its mark, else by its file.
func TestPiecesWithoutAMark(t *testing.T) {
	good := input(t, question(bed.NineFoot(), grid(flat), grid(flat), grid(flat)), judge.FewestDraws)
	for of, change := range map[string]func(*face.Face){
		"P-2":                    func(*face.Face) {},
		"piece.csv":              func(f *face.Face) { f.Piece = "" },
		"a piece without a name": func(f *face.Face) { f.Piece, f.Name = "", "" },
	} {
		j := spoilt(t, good, func(f *face.Face) { f.Instrument = ""; change(f) })
		if len(j.Hindrances) != 1 || j.Hindrances[0].Of != of {
			t.Errorf("%+v, want that of %s", j.Hindrances, of)
		}
	}
}

// The same hindrance of several pieces is said once, and the order is that in which they should be dealt with.
func TestHindrancesAreGatheredInOrder(t *testing.T) {
	a, b, c := grid(flat), grid(flat), read(flat, 4, 6)
	a.Instrument, b.Instrument = "", ""
	b.DrySince = ""
	j := judged(t, question(bed.NineFoot(), a, b, c))
	var codes []judge.Code
	for _, h := range j.Hindrances {
		codes = append(codes, h.Code)
	}
	if !slices.Equal(codes, []judge.Code{judge.Wet, judge.Coarse, judge.NoInstrument}) {
		t.Fatalf("%v", codes)
	}
	if of := j.Hindrances[2].Of; of != "P-1, P-2" {
		t.Errorf("no instrument: %q", of)
	}
	if j.Next.Code != judge.Wet || !strings.Contains(j.Next.Why, "Other hindrances remain: 2.") {
		t.Errorf("%+v", j.Next)
	}
}

// For a grid that reaches the edge band, the gap is the diagonal of its meshes.
func TestGapOfGrids(t *testing.T) {
	for _, n := range [][2]int{{6, 9}, {4, 6}, {11, 17}, {2, 2}} {
		a, b := (pieceX-40)/float64(n[0]-1), (pieceY-40)/float64(n[1]-1)
		want := math.Hypot(a, b)
		got, err := judge.Gap(read(flat, n[0], n[1]), 20)
		if err != nil || math.Abs(got-want) > 0.2 {
			t.Errorf("%d by %d: %v, want %v (%v)", n[0], n[1], got, want, err)
		}
		if (got > judge.MaxGap) != (n[0] < 6) {
			t.Errorf("%d by %d: a gap of %v mm against %v", n[0], n[1], got, judge.MaxGap)
		}
	}
}

// One station left out doubles the pitch there; a strip left out along an edge counts from the edge band.
func TestGapOfWhatIsLeftOut(t *testing.T) {
	without := func(drop func(x, y float64) bool) *face.Face {
		f := grid(flat)
		g := *f
		g.X, g.Y, g.Z, g.Row = nil, nil, nil, nil
		for i := range f.Z {
			if f.Row[i] == face.NoRow && !drop(f.X[i], f.Y[i]) {
				g.X, g.Y, g.Z = append(g.X, f.X[i]), append(g.Y, f.Y[i]), append(g.Z, f.Z[i])
			}
		}
		return &g
	}
	a, b := (pieceX-40)/5, (pieceY-40)/8
	// Without the station at a/2, 0 the widest circle stands there and touches its four neighbours, the nearest at a.
	got, err := judge.Gap(without(func(x, y float64) bool { return math.Abs(x-a/2) < 1 && math.Abs(y) < 1 }), 20)
	if err != nil || got < 2*min(a, b)-0.2 || got > 2*max(a, b) {
		t.Errorf("one station missing: %v, want about %v", got, 2*min(a, b))
	}
	// Without the outermost column the circle stands on the band, half a pitch between two stations.
	got, err = judge.Gap(without(func(x, y float64) bool { return x > pieceX/2-21 }), 20)
	if want := 2 * math.Hypot(a, b/2); err != nil || math.Abs(got-want) > 0.5 {
		t.Errorf("one column missing: %v, want %v", got, want)
	}
	if got, err = judge.Gap(without(func(x, y float64) bool { return true }), 20); err != nil || !math.IsInf(got, 1) {
		t.Errorf("no reading at all: %v, %v", got, err)
	}
}

// A scan is thinned; what is left must not show as a gap. A hole in it must.
func TestGapOfScans(t *testing.T) {
	f := read(flat, 180, 290)
	if got, err := judge.Gap(f, 20); err != nil || got > 60 {
		t.Errorf("a scan of 5 mm pitch: %v, %v", got, err)
	}
	g := *f
	g.X, g.Y, g.Z, g.Row = nil, nil, nil, nil
	for i := range f.Z {
		if math.Hypot(f.X[i]-100, f.Y[i]+300) > 150 {
			g.X, g.Y, g.Z = append(g.X, f.X[i]), append(g.Y, f.Y[i]), append(g.Z, f.Z[i])
		}
	}
	if got, err := judge.Gap(&g, 20); err != nil || math.Abs(got-300) > 30 {
		t.Errorf("a hole of 300 mm: %v, %v", got, err)
	}
}

// Whatever size a file states, and however many readings it holds, only so many places are looked at. What is found is never less
// than there is; where readings are thinned to one a mesh of 78 mm each is within a diagonal of one that is left, and so the
// diameter is at most two diagonals more.
func TestGapOfHugeFaces(t *testing.T) {
	draw := chance.NewStream(3)
	f := &face.Face{Header: face.Header{SizeX: 1e4, SizeY: 1e4}}
	for range 5000 {
		f.X, f.Y, f.Z = append(f.X, 1e4*(draw.Float64()-0.5)), append(f.Y, 1e4*(draw.Float64()-0.5)), append(f.Z, 0)
	}
	// Of n random places on an area A the widest empty circle has π·r²·n/A of about ln n: one of them is empty with a chance of
	// exp(−π·r²·n/A), and there are about n to choose from.
	want := 2 * 1e4 * math.Sqrt(math.Log(5000)/math.Pi/5000)
	if got, err := judge.Gap(f, 20); err != nil || got < 0.9*want || got > want+2*math.Sqrt2*1e4/128 {
		t.Errorf("%v (%v), want about %v", got, err, want)
	}
}

// A face smaller than its edge band has no place for a reading.
func TestGapInsideNoBand(t *testing.T) {
	f := grid(flat)
	for _, size := range [][2]float64{{10, pieceY}, {10, 10}, {40, 40}, {pieceX, 39}} {
		f.SizeX, f.SizeY = size[0], size[1]
		if got, err := judge.Gap(f, 20); err != nil || !math.IsInf(got, 1) {
			t.Errorf("%v: %v, %v", size, got, err)
		}
	}
}
