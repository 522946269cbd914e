package holes_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/bed/holes"
	"slatewright/bed/holes/cause"
	"slatewright/bed/holes/fit"
	"slatewright/chance"
	"slatewright/judge"
	"slatewright/trouble"
)

func at(x, y float64) fit.Vector { return fit.Vector{X: x, Y: y} }

// drawing is a bed of three pieces of 914 by 1473 mm: six rails of three bolts of 9.5 mm in holes of 12.7 mm, four screws a piece, and some feet that stand unevenly.
func drawing() *holes.Drawing {
	d := &holes.Drawing{Name: "trial", Revision: "1", Decision: bed.Decision{Rule: bed.RuleISO14253, Risk: bed.ISO14253Risk}}
	for i, name := range []string{"head", "centre", "foot"} {
		d.Pieces = append(d.Pieces, holes.Piece{Name: name, Middle: at(float64(i-1)*914, 0), Size: at(914, 1473)})
	}
	add := func(name, kind string, x, y, diameter, bolt float64, rail int) {
		piece := max(0, min(2, int(math.Floor(x/914+1.5))))
		d.Features = append(d.Features, holes.Feature{Name: name, Kind: kind, At: at(x, y), Piece: piece, Diameter: diameter, Size: 0.2, Bolt: bolt, Rail: rail})
	}
	for r, m := range []fit.Vector{at(-1330, 0), at(1330, 0), at(-650, -690), at(650, -690), at(-650, 690), at(650, 690)} {
		d.Rails = append(d.Rails, fmt.Sprint("rail ", r+1))
		for k := range 3 {
			away := float64(k-1) * 400
			if r < 2 {
				add(fmt.Sprintf("rb-%d%d", r+1, k+1), "rail-bolt", m.X, m.Y+away, 12.7, 9.5, r)
			} else {
				add(fmt.Sprintf("rb-%d%d", r+1, k+1), "rail-bolt", m.X+away, m.Y, 12.7, 9.5, r)
			}
		}
	}
	for p := range 3 {
		for k := range 4 {
			add(fmt.Sprintf("bs-%d%d", p+1, k+1), "bed-screw", float64(p-1)*914+350*float64(2*(k%2)-1), 500*float64(2*(k/2)-1), 8, 5, -1)
		}
	}
	for k, p := range []fit.Vector{at(-1200, 300), at(-700, -220), at(400, 260), at(1210, -310)} {
		add(fmt.Sprintf("ft-%d", k+1), "accessory", p.X, p.Y, 6, 0, -1)
	}
	for j := range 2 {
		d.Joints = append(d.Joints, holes.Joint{X: (float64(j) - 0.5) * 914, Half: 736, Before: j})
	}
	return d
}

// measured reads every feature where move puts it, with noise of standard deviation u, and says so.
func measured(d *holes.Drawing, u float64, s *chance.Stream, move func(i int, f holes.Feature) fit.Vector) *holes.Measured {
	m := &holes.Measured{Frame: holes.WholeBed, Rails: holes.RailByRail, Opens: holes.JointOpens, Closes: holes.JointCloses, Slides: holes.JointSlides, Finest: 0.01}
	for i, f := range d.Features {
		p := move(i, f)
		if u > 0 && s != nil {
			p.X += u * s.Normal()
			p.Y += u * s.Normal()
		}
		m.Readings = append(m.Readings, holes.Reading{Feature: i, At: p, Located: true, U: u, Run: math.NaN()})
	}
	return m
}

func asDrawn(_ int, f holes.Feature) fit.Vector { return f.At }

func check(t *testing.T, d *holes.Drawing, m *holes.Measured, limit float64) *holes.Result {
	t.Helper()
	r, err := holes.Check(d, m, limit)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A motion of the whole comes back and leaves nothing; one hole that is off is found with what the fit leaves of it, and its neighbours stay good.
func TestAMotionAndOneHole(t *testing.T) {
	d := drawing()
	whole := fit.Motion{DX: 3, DY: -2, Angle: 0.004}
	for _, by := range []float64{0, 0.6, 1.5, 4} {
		m := measured(d, 0.03, nil, func(i int, f holes.Feature) fit.Vector {
			if i == 9 {
				f.At.X += by
			}
			return whole.Of(f.At)
		})
		r := check(t, d, m, 0)
		g := r.Groups[0]
		if math.Abs(g.Fit.DX-whole.DX) > 0.04*by+1e-9 || math.Abs(g.Fit.Angle-whole.Angle) > 1e-5*by*10+1e-12 {
			t.Errorf("%g off: %+v", by, g.Fit.Motion)
		}
		want := judge.Conforms
		if by > 1 {
			want = judge.DoesNotConform
		}
		if r.Verdict != want {
			t.Errorf("%g off: %s", by, r.Verdict)
		}
		if by == 0 {
			continue
		}
		if r.Worst != 9 || r.Found[9].Distance > by || r.Found[9].Distance < 0.9*by || r.Found[9].Deviation.X < 0.89*by {
			t.Errorf("%g off: worst %d with %+v", by, r.Worst, r.Found[9].Deviation)
		}
		for i, f := range r.Found {
			if i != 9 && f.Verdict != judge.Conforms {
				t.Errorf("%g off: %s %s", by, d.Features[i].Name, f.Verdict)
			}
		}
		if g.Minimax.Largest > r.Found[9].Distance || g.Minimax.Bound > g.Minimax.Largest {
			t.Errorf("minimax %+v", g.Minimax)
		}
		if by > 1 && (g.Cause.Kind != cause.OneHole || g.Cause.Of != d.Features[9].Name) {
			t.Errorf("cause %+v", g.Cause)
		}
	}
}

// One hole off by more than its zone can still be laid into it with its neighbours, up to nearly twice the zone; against brute force, where the limits are all alike, what is left
// is the limit less the smallest largest deviation.
func TestZones(t *testing.T) {
	d := drawing()
	s := chance.NewStream(3)
	for range 30 {
		m := measured(d, 0.02, s, func(_ int, f holes.Feature) fit.Vector { return at(f.At.X+0.3*s.Normal(), f.At.Y+0.3*s.Normal()) })
		r := check(t, d, m, 0)
		want := holes.ThirtySecond - r.Groups[0].Minimax.Largest
		if z := r.Zones; math.Abs(z.Left-want) > 1e-4 || z.Most < want-1e-9 || z.Most > want+0.006 {
			t.Errorf("%g to %g, want %g", z.Left, z.Most, want)
		}
	}
	for _, c := range []struct {
		by   float64
		fits *bool
	}{{0.5, new(true)}, {1.3, new(true)}, {1.59, nil}, {2, new(false)}, {4, new(false)}} {
		m := measured(d, 0.02, nil, func(i int, f holes.Feature) fit.Vector {
			if i == 10 {
				f.At.Y += c.by
			}
			return f.At
		})
		z := check(t, d, m, 0).Zones
		if (z.Fits == nil) != (c.fits == nil) || z.Fits != nil && *z.Fits != *c.fits {
			t.Errorf("%g off: %+v", c.by, z)
		}
		if c.by >= 2 && z.Holding[0].Name != d.Features[10].Name {
			t.Errorf("%g off: %+v fight", c.by, z.Holding)
		}
	}
	if r := check(t, d, measured(d, 0.02, nil, func(_ int, f holes.Feature) fit.Vector { return at(-f.At.X, f.At.Y) }), 0); r.Zones != nil {
		t.Errorf("mirrored: %+v", r.Zones)
	}
}

// One hole that is far off drags the others by least squares; that they conform without it is said.
func TestOneHoleDragsTheOthers(t *testing.T) {
	d := drawing()
	far := func(by float64) *holes.Measured {
		return measured(d, 0.02, nil, func(i int, f holes.Feature) fit.Vector {
			if i == 10 {
				f.At.Y += by
			}
			return f.At
		})
	}
	said := func(m *holes.Measured) bool {
		return slices.ContainsFunc(check(t, d, m, 0).Warnings, func(w string) bool { return strings.HasPrefix(w, "without "+d.Features[10].Name) })
	}
	if !said(far(30)) || said(far(2)) {
		t.Errorf("30 mm: %v, 2 mm: %v", said(far(30)), said(far(2)))
	}
}

// A tape cannot show 0.79 mm, even of holes that lie where they are drawn; it can still show that 3 mm are too many.
func TestATapeCannotTell(t *testing.T) {
	d := drawing()
	m := measured(d, 0, nil, asDrawn)
	m.Method = holes.Tape
	if r := check(t, d, m, 0); r.Verdict != judge.CannotTell || r.Found[0].U != 0.5 {
		t.Errorf("%s with u = %g", r.Verdict, r.Found[0].U)
	}
	m.Readings[3].At.X += 3
	if r := check(t, d, m, 0); r.Verdict != judge.DoesNotConform || r.Worst != 3 {
		t.Errorf("%s, worst %d", r.Verdict, r.Worst)
	}
	m.Method = holes.Arm
	m.Readings[3].At.X -= 3
	r := check(t, d, m, 0)
	if r.Verdict != judge.Conforms || len(r.Practice) != 2 || r.Practice[0].Verdict != judge.Conforms {
		t.Errorf("an arm: %s", r.Verdict)
	}
}

// Nobody states an uncertainty: it comes from the scatter, is about what it was, and says so.
func TestUncertaintyFromScatter(t *testing.T) {
	d := drawing()
	s := chance.NewStream(1)
	for range 20 {
		m := measured(d, 0.1, s, asDrawn)
		for i := range m.Readings {
			m.Readings[i].U = 0
		}
		r := check(t, d, m, 0)
		if u := r.Found[0].U; u < 0.06 || u > 0.16 || len(r.Warnings) == 0 {
			t.Errorf("u = %g, %q", u, r.Warnings)
		}
	}
	m := measured(d, 0, nil, asDrawn)
	m.Finest = 1
	if r := check(t, d, m, 0); math.Abs(r.Found[0].U-1/math.Sqrt(12)) > 1e-9 {
		t.Errorf("whole millimetres give u = %g", r.Found[0].U)
	}
}

// Of features that lie just at their limit, no more than one in twenty may be passed, and as many failed: the rule's own promise, in the plane.
func TestVerdictsAtTheLimit(t *testing.T) {
	d := drawing()
	s := chance.NewStream(2)
	for _, u := range []float64{0.05, 0.2, 0.4} {
		passed, failed, all := 0, 0, 0
		for range 60 {
			angle := 2 * math.Pi * s.Float64()
			sin, cos := math.Sincos(angle)
			m := measured(d, u, s, func(i int, f holes.Feature) fit.Vector {
				// Alternating deviations of exactly the limit, which the fit cannot take away.
				sign := float64(1 - 2*(i%2))
				return at(f.At.X+sign*cos*0.79375, f.At.Y+sign*sin*0.79375)
			})
			truth := measured(d, 0, nil, func(i int, f holes.Feature) fit.Vector {
				sign := float64(1 - 2*(i%2))
				return at(f.At.X+sign*cos*0.79375, f.At.Y+sign*sin*0.79375)
			})
			for i := range truth.Readings {
				truth.Readings[i].U = u
			}
			really := check(t, d, truth, 0)
			r := check(t, d, m, 0)
			for i, f := range r.Found {
				all++
				if really.Found[i].Distance >= 0.79375 && f.Verdict == judge.Conforms {
					passed++
				}
				if really.Found[i].Distance <= 0.79375 && f.Verdict == judge.DoesNotConform {
					failed++
				}
			}
		}
		if passed > all/20 || failed > all/20 || all != 60*len(d.Features) {
			t.Errorf("u = %g: %d passed and %d failed wrongly of %d", u, passed, failed, all)
		}
	}
}

// What a gauge says bounds a place: a pin of 12 mm in a hole of 12.7 ± 0.2 mm is within 0.45 mm.
func TestGauge(t *testing.T) {
	d := drawing()
	m := &holes.Measured{Frame: holes.WholeBed, Rails: holes.RailByRail, Pin: 12, Opens: 0.5, Closes: 0.5, Slides: 1}
	for i, f := range d.Features {
		if f.Kind == "rail-bolt" {
			m.Readings = append(m.Readings, holes.Reading{Feature: i, Gauge: holes.Go, Run: math.NaN()})
		}
	}
	r := check(t, d, m, 0)
	if f := r.Found[0]; r.Verdict != judge.Conforms || math.Abs(f.Bound.AtMost-0.45) > 1e-12 || f.Position != nil || r.Worst != -1 {
		t.Errorf("%s, %+v", r.Verdict, r.Found[0].Bound)
	}
	if fn := r.Function; fn.Fits == nil || !*fn.Fits || math.Abs(fn.Left-1.25) > 0.01 {
		t.Errorf("%+v", fn)
	}
	// A hole that the pin does not enter is at least 0.25 mm off: it cannot be told whether it conforms, nor whether its bolt passes.
	m.Readings[4].Gauge = holes.NoGo
	if r = check(t, d, m, 0); r.Verdict != judge.CannotTell || math.Abs(r.Found[4].Bound.AtLeast-0.25) > 1e-12 || r.Function.Fits != nil {
		t.Errorf("%s, %+v, %+v", r.Verdict, r.Found[4].Bound, r.Function)
	}
	if r = check(t, d, m, 0.2); r.Verdict != judge.DoesNotConform {
		t.Errorf("against 0.2 mm: %s", r.Verdict)
	}
	// A measured diameter takes the place of the drawn one, with its guard band: 12.7 + 1.645·0.1 mm about a pin of 12 mm.
	m.Readings[0].Diameter, m.Readings[0].UDia = 12.7, 0.1
	if r = check(t, d, m, 0); math.Abs(r.Found[0].Bound.AtMost-(0.7+0.1644854)/2) > 1e-9 {
		t.Errorf("%+v", r.Found[0].Bound)
	}
	// A thin pin shows little.
	m.Readings[4].Gauge, m.Pin = holes.Go, 9
	if r = check(t, d, m, 0); r.Verdict != judge.CannotTell || r.Function.Fits != nil {
		t.Errorf("a pin of 9 mm: %s, %+v", r.Verdict, r.Function)
	}
}

// A plug that is as wide as the tolerance shows it; a narrower or wider one shows what it can.
func TestPlugGauge(t *testing.T) {
	d := drawing()
	for _, c := range []struct {
		ends holes.PlugEnds
		says holes.Plug
		want judge.Verdict
	}{
		{holes.PlugEnds{Go: 12.5, NoGo: 12.9}, holes.Good, judge.Conforms}, {holes.PlugEnds{Go: 12.5, NoGo: 12.9}, holes.Small, judge.DoesNotConform},
		{holes.PlugEnds{Go: 12.5, NoGo: 12.9}, holes.Large, judge.DoesNotConform}, {holes.PlugEnds{Go: 12.4, NoGo: 12.9}, holes.Good, judge.CannotTell},
		{holes.PlugEnds{Go: 12.6, NoGo: 12.9}, holes.Small, judge.CannotTell}, {holes.PlugEnds{Go: 12.6, NoGo: 12.8}, holes.Good, judge.Conforms},
		{holes.PlugEnds{Go: 12.6, NoGo: 12.8}, holes.Large, judge.CannotTell}, {holes.PlugEnds{Go: 12.4, NoGo: 13}, holes.Large, judge.DoesNotConform},
	} {
		m := measured(d, 0.05, nil, asDrawn)
		m.Plugs = map[string]holes.PlugEnds{"rail-bolt": c.ends}
		m.Readings[5].Plug = c.says
		if r := check(t, d, m, 0); r.Verdict != c.want || r.Found[5].Plugged != c.want || r.Found[4].Plugged != 0 {
			t.Errorf("%+v: %s", c, r.Verdict)
		}
		m.Readings[5].Located = false // the plug alone
		if r := check(t, d, m, 0); r.Found[5].Verdict != c.want {
			t.Errorf("%+v alone: %s", c, r.Found[5].Verdict)
		}
	}
}

// Bolts: 1.6 mm of float, one hole moved along its rail against two others. Half is taken by the rail, so 3.2 mm is where it stops to fit, and near there nobody can tell.
func TestAllBoltsAtTheSameTime(t *testing.T) {
	d := drawing()
	for _, c := range []struct {
		by   float64
		want string
	}{{0, "fits"}, {1.5, "fits"}, {3.2, "open"}, {4.5, "no"}, {8, "no"}} {
		m := measured(d, 0.05, nil, func(i int, f holes.Feature) fit.Vector {
			if d.Features[i].Name == "rb-42" {
				f.At.X += c.by
			}
			return f.At
		})
		fn := check(t, d, m, 0).Function
		got := "open"
		if fn.Fits != nil {
			got = map[bool]string{true: "fits", false: "no"}[*fn.Fits]
		}
		if got != c.want {
			t.Errorf("%g off: %s, left %g to %g, u %g (%s)", c.by, got, fn.Left, fn.Most, fn.U, fn.Why)
		}
		if c.want == "no" && (len(fn.Holding) < 2 || fn.Holding[0].Name[:4] != "rb-4") {
			t.Errorf("%g off: %+v fight", c.by, fn.Holding)
		}
	}
	// One bolt that nobody measured leaves the question open; a kind that nobody measured is not asked.
	m := measured(d, 0.05, nil, asDrawn)
	m.Readings = m.Readings[1:]
	if fn := check(t, d, m, 0).Function; fn.Fits != nil || len(fn.Unasked) != 1 || fn.Unasked[0] != "rb-11" {
		t.Errorf("%+v", fn)
	}
	m.Readings = m.Readings[17:]
	if fn := check(t, d, m, 0).Function; fn.Fits == nil || !*fn.Fits || len(fn.Unasked) != 0 {
		t.Errorf("%+v", fn)
	}
}

// What the bolts go into may be off too: a zone of 1.5 mm puts 0.375 mm more into each bolt, and what passed can no longer be told.
func TestMatingZone(t *testing.T) {
	d := drawing()
	m := measured(d, 0.05, nil, func(i int, f holes.Feature) fit.Vector {
		if f.Name == "rb-42" {
			f.At.X += 2.4
		}
		return f.At
	})
	plain := check(t, d, m, 0).Function
	for i := range d.Features {
		d.Features[i].Mating = 1.5
	}
	mated := check(t, d, m, 0).Function
	want := math.Hypot(0.05, 0.375) / 0.05
	if plain.Fits == nil || !*plain.Fits || mated.Fits != nil || mated.U < 2*plain.U || mated.U > want*plain.U {
		t.Errorf("%+v, %+v", plain, mated)
	}
}

// A rail joined into one ring cannot go with holes that moved as a whole side; rail by rail it can.
func TestRailsAsOne(t *testing.T) {
	d := drawing()
	m := measured(d, 0.03, nil, func(i int, f holes.Feature) fit.Vector {
		if f.Rail == 4 || f.Rail == 5 {
			f.At.Y += 4.5
		}
		if f.Rail == 2 || f.Rail == 3 {
			f.At.Y -= 4.5
		}
		return f.At
	})
	if fn := check(t, d, m, 0).Function; fn.Fits == nil || !*fn.Fits {
		t.Errorf("rail by rail: %+v", fn)
	}
	m.Rails = holes.RailsAsOne
	if fn := check(t, d, m, 0).Function; fn.Fits == nil || *fn.Fits {
		t.Errorf("as one: %+v", fn)
	}
}

// The run counts from the first hole to the last, whatever it is counted in: a wander that ends 2 mm off is said to end 2 mm off.
func TestRunInAnyCount(t *testing.T) {
	d := drawing()
	s := chance.NewStream(8)
	n := float64(len(d.Features) - 1)
	order := make([]float64, len(d.Features))
	for i := range order {
		order[i] = float64(i * 7 % len(order)) // a run that goes to and fro
	}
	m := measured(d, 0.03, s, func(i int, f holes.Feature) fit.Vector { return at(f.At.X+2*order[i]/n, f.At.Y-order[i]/n) })
	for i := range m.Readings {
		m.Readings[i].Run = 100 + 3*order[i]
	}
	c := check(t, d, m, 0).Groups[0].Cause
	if c.Kind != cause.Wander || math.Abs(c.Amounts[0].Value-2) > 4*c.Amounts[0].U || math.Abs(c.Amounts[1].Value+1) > 4*c.Amounts[1].U || c.Amounts[0].U > 0.1 {
		t.Errorf("%+v", c)
	}
}

// Every piece in a frame of its own gives the same deviations as if it had none.
func TestPiecesInTheirOwnFrames(t *testing.T) {
	d := drawing()
	own := []fit.Motion{{DX: 100, DY: 3, Angle: 0.7}, {DX: -4, Angle: -2}, {DY: 12, Angle: 0.01}}
	m := measured(d, 0.03, nil, func(i int, f holes.Feature) fit.Vector {
		c := d.Pieces[f.Piece].Middle
		if i == 2 {
			f.At.Y += 2
		}
		return own[f.Piece].Of(at(f.At.X-c.X, f.At.Y-c.Y))
	})
	m.Frame = holes.EachPiece
	r := check(t, d, m, 0)
	if len(r.Groups) != 3 || r.Worst != 2 || r.Verdict != judge.DoesNotConform {
		t.Fatalf("%d groups, worst %d, %s", len(r.Groups), r.Worst, r.Verdict)
	}
	for i, g := range r.Groups[1:] {
		if g.Piece != i+1 || math.Abs(g.Fit.DX-own[i+1].DX) > 1e-6 || g.Minimax.Largest > 1e-6 {
			t.Errorf("%+v", g.Fit.Motion)
		}
	}
	if fn := r.Function; fn.Fits == nil || !*fn.Fits {
		t.Errorf("%+v", fn)
	}
}

// All holes of one piece drilled 4 mm too far towards the joint: by themselves they lie right, and only a list that counts from the stone's edges shows that the bolts do not pass.
func TestEdgesAsDatum(t *testing.T) {
	d := drawing()
	m := measured(d, 0.03, nil, func(_ int, f holes.Feature) fit.Vector {
		c := d.Pieces[f.Piece].Middle
		if f.Piece == 0 {
			f.At.X += 4
		}
		return at(f.At.X-c.X, f.At.Y-c.Y)
	})
	m.Frame = holes.EachPiece
	if fn := check(t, d, m, 0).Function; fn.Fits == nil || !*fn.Fits {
		t.Errorf("own frames: %+v", fn)
	}
	m.Datum = holes.DatumEdges
	r := check(t, d, m, 0)
	// The head piece must go back by 4 − 1.5 mm, the joint opens by 0.5 mm, the centre piece gives 1.5 mm: 0.5 mm are missing, half of it on each side.
	if fn := r.Function; fn.Fits == nil || *fn.Fits || math.Abs(fn.Left+0.25) > 0.005 || math.Abs(fn.Most+0.25) > 0.005 {
		t.Errorf("from the edges: %+v", fn)
	}
	if g := r.Groups[0]; g.Cause.Kind != cause.Shift || math.Abs(g.Fit.DX-4) > 1e-9 || !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, "4.00 mm off its datum") }) {
		t.Errorf("%+v, %q", g.Cause, r.Warnings)
	}
}

// How the list lies, and in which order it stands, changes nothing of the deviations and verdicts.
func TestTheFrameDoesNotMatter(t *testing.T) {
	d := drawing()
	rapid.Check(t, func(t *rapid.T) {
		off := func() float64 { return rapid.Float64Range(-1.2, 1.2).Draw(t, "off") }
		m := measured(d, 0.05, nil, func(_ int, f holes.Feature) fit.Vector { return at(f.At.X+off(), f.At.Y+off()) })
		move := fit.Motion{DX: rapid.Float64Range(-2000, 2000).Draw(t, "dx"), DY: rapid.Float64Range(-2000, 2000).Draw(t, "dy"), Angle: rapid.Float64Range(-3, 3).Draw(t, "angle")}
		other := *m
		other.Readings = append([]holes.Reading{}, m.Readings...)
		for i := range other.Readings {
			other.Readings[i].At = move.Of(other.Readings[i].At)
		}
		m.Datum, other.Datum = holes.DatumNone, holes.DatumNone
		a, err := holes.Check(d, m, 0)
		if err != nil {
			t.Fatal(err)
		}
		b, err := holes.Check(d, &other, 0)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(a.Groups[0].Minimax.Largest-b.Groups[0].Minimax.Largest) > 1e-7 {
			t.Fatalf("minimax %g and %g", a.Groups[0].Minimax.Largest, b.Groups[0].Minimax.Largest)
		}
		for i := range a.Found {
			if math.Abs(a.Found[i].Distance-b.Found[i].Distance) > 1e-8 {
				t.Fatalf("%d: %g and %g", i, a.Found[i].Distance, b.Found[i].Distance)
			}
		}
	})
}

func TestWhatCannotBeChecked(t *testing.T) {
	d := drawing()
	var told *trouble.Trouble
	if _, err := holes.Check(d, &holes.Measured{}, 0); !errors.As(err, &told) || told.Code != "no-readings" {
		t.Error(err)
	}
	m := measured(d, 0.05, nil, asDrawn)
	m.Readings = m.Readings[:1]
	r := check(t, d, m, 0)
	if r.Verdict != judge.CannotTell || r.Worst != -1 || len(r.Missing) != len(d.Features)-1 {
		t.Errorf("%s, %d missing", r.Verdict, len(r.Missing))
	}
}

func BenchmarkCheck(b *testing.B) {
	d := drawing()
	m := measured(d, 0.1, chance.NewStream(1), asDrawn)
	for b.Loop() {
		if _, err := holes.Check(d, m, 0); err != nil {
			b.Fatal(err)
		}
	}
}
