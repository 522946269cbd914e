package passes_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/stone"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/passes"
	"slatewright/trouble"
)

func ask(t *testing.T, q passes.Question) *passes.Answer {
	t.Helper()
	a, err := passes.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Every plan keeps every limit, on questions of all kinds.
func TestPlansKeepTheLimits(t *testing.T) {
	r := chance.NewStream(11)
	planned := 0
	for range 25 {
		q := question(t)
		pick := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		m := q.Machine
		m.Heads[0].Power, m.Heads[0].Stiffness.Value = pick(8, 20), pick(15000, 50000)
		m.Table.Rezero = r.IntN(3) > 0
		if r.IntN(3) == 0 {
			m.Prices.Hour = nil
		}
		q.Flat, q.Share, q.Rounds, q.BottomStage = pick(0.15, 0.4), pick(0.08, 0.5), 1+r.IntN(12), 2+r.IntN(2)
		q.Final = pick(25.7, 26.1)
		for f := range q.Take {
			least := pick(0.1, 0.4)
			q.Take[f] = between(t, least, least+pick(0.1, 0.3), least+pick(0.35, 0.6))
		}
		a := ask(t, q)
		if a.Plan == nil {
			continue
		}
		planned++
		keeps(t, q, a)
	}
	if planned < 12 {
		t.Errorf("%d plans show too little", planned)
	}
}

func keeps(t *testing.T, q passes.Question, a *passes.Answer) {
	t.Helper()
	p, m := a.Plan, q.Machine
	if p.Rounds < q.Rounds {
		t.Errorf("%d rounds of %d", p.Rounds, q.Rounds)
	}
	if len(p.Broken) > 0 {
		t.Errorf("it breaks %+v", p.Broken)
	}
	off := [2]float64{}
	minutes := 0.0
	for i, s := range p.Setups {
		if i == 0 && s.Hold != passes.Free {
			t.Error("the first face is not on free supports")
		}
		minutes += s.Minutes
		deep := 0.0
		for k, x := range s.Passes {
			stage := m.Stages[x.Stage]
			off[s.Face] += x.Taken
			if x.Depth == 0 {
				continue
			}
			if deep += x.Depth; x.Depth < stage.DepthMin-1e-9 || x.Depth > stage.DepthMax+1e-9 || math.Abs(math.Remainder(x.Depth-stage.DepthMin, stage.Step)) > 1e-9 {
				t.Errorf("stage %s cannot be set to %v", stage.Name, x.Depth)
			}
			if x.Feed < stage.FeedMin-1e-9 || x.Feed > stage.FeedMax+1e-9 || x.Worse > m.Heads[0].Power*(1+1e-9) {
				t.Errorf("%+v is beyond the stage or the motor", x)
			}
			if k > 0 && x.Stage < s.Passes[k-1].Stage {
				t.Error("a coarser stage after a finer one")
			}
			if k > 0 && x.Stage > s.Passes[k-1].Stage {
				rest := 0.0
				for _, o := range s.Passes[k:] {
					rest += o.Depth
				}
				if s.Face == passes.Top && i < len(p.Setups)-1 && len(p.Setups) == 3 {
					rest += p.Setups[2].Passes[0].Depth
				}
				if d := m.Stages[s.Passes[k-1].Stage].Damage; rest < d-1e-9 {
					t.Errorf("%v mm come off after stage %d, which breaks %v", rest, s.Passes[k-1].Stage, d)
				}
			}
		}
	}
	for f := range off {
		spark := 0.0 // what spark-outs take is what was left, on top of what was set
		for _, s := range p.Setups {
			for _, x := range s.Passes {
				if x.Depth == 0 && s.Face == passes.Face(f) {
					spark += x.Taken
				}
			}
		}
		near(t, "comes off", off[f]-spark, a.Take[f].Mean, 1e-6)
	}
	near(t, "minutes", minutes, p.Minutes, 1e-6)
	if p.Flat[passes.Top].High > q.Flat || p.Flat[passes.Bottom].High > q.Flat {
		t.Errorf("flat within %v and %v of %v", p.Flat[0].High, p.Flat[1].High, q.Flat)
	}
}

// What stops a plan is named, and freeing it as the answer says lets one through.
func TestWhatStopsAPlan(t *testing.T) {
	for _, c := range []struct {
		limit passes.Limit
		stop  func(q *passes.Question)
		free  func(q *passes.Question, h passes.Hindrance)
	}{
		{passes.ByTable, func(q *passes.Question) { q.Machine.Table.X = 1400 }, func(q *passes.Question, _ passes.Hindrance) { q.Machine.Table.X = 1500 }},
		{passes.ByThickness, func(q *passes.Question) { q.Final = 26.2 }, func(q *passes.Question, _ passes.Hindrance) { q.Final = 25.8 }},
		{passes.ByThickness, func(q *passes.Question) { q.Missing = 0.2 }, func(q *passes.Question, _ passes.Hindrance) { q.Missing = 0 }},
		{passes.ByLeast, func(q *passes.Question) { q.Final = 25.5 }, func(q *passes.Question, _ passes.Hindrance) { q.Final = 25.6; q.ThicknessU = 0 }},
		{passes.ByPower, func(q *passes.Question) { q.Machine.Heads[0].Power = 0.2 }, func(q *passes.Question, _ passes.Hindrance) { q.Machine.Heads[0].Power = 5 }},
		{passes.ByWear, func(q *passes.Question) { q.Share = 0.005 }, func(q *passes.Question, _ passes.Hindrance) { q.Share = 0.08 }},
		{passes.ByRounds, func(q *passes.Question) {
			q.Rounds = 10
			q.Final = 0
			q.Take = [2]passes.Stock{between(t, 0.05, 0.05, 0.05), {}}
		}, func(q *passes.Question, _ passes.Hindrance) { q.Rounds = 2 }},
		{passes.ByFlatness, func(q *passes.Question) { q.Flat = 0.1 }, func(q *passes.Question, _ passes.Hindrance) { q.Share *= 0.1 / 0.16; q.Flat = 0.16 }},
	} {
		q := light(t)
		c.stop(&q)
		a := ask(t, q)
		if a.Outcome != passes.Stopped || a.Plan != nil || len(a.Stopped) == 0 || a.Stopped[0].Limit != c.limit || a.Stopped[0].What == "" || a.Stopped[0].Frees == "" {
			t.Errorf("%s: %v %+v", c.limit, a.Outcome, a.Stopped)
			continue
		}
		c.free(&q, a.Stopped[0])
		if b := ask(t, q); b.Outcome == passes.Stopped {
			t.Errorf("%s: freed, and still %+v", c.limit, b.Stopped)
		}
	}
}

// Flatness: the answer names the smallest that a plan keeps; a micrometre less keeps none.
func TestTheFlattestIsNamed(t *testing.T) {
	q := light(t)
	q.Flat, q.Share = 0.1, 0.5
	a := ask(t, q)
	if len(a.Stopped) == 0 || a.Stopped[0].Limit != passes.ByFlatness {
		t.Fatalf("%+v", a.Stopped)
	}
	var named float64
	for _, h := range a.Stopped {
		text, _, _ := strings.Cut(strings.TrimPrefix(h.Frees, "a flatness of "), " mm there")
		v := 0.0
		for i, c := range strings.ReplaceAll(text, ".", "") {
			_ = i
			v = v*10 + float64(c-'0')
		}
		named = math.Max(named, v/1000)
	}
	at := func(flat float64) bool {
		p := q
		p.Flat, p.Share = flat, 0.05/flat
		return ask(t, p).Plan != nil
	}
	if !at(named) || at(named-0.0015) {
		t.Errorf("%v mm is named as the flattest", named)
	}
}

// Without prices the fewest minutes win, and no money is told; with a dear hour and bits that cost nothing the same plan wins.
func TestWithoutPricesTheFewestMinutesWin(t *testing.T) {
	q := question(t)
	q.Machine.Prices = machine.Prices{}
	a := ask(t, q)
	if a.Plan == nil || a.Plan.Money != nil || a.Plan.Bits != nil {
		t.Fatalf("%+v", a)
	}
	p := question(t)
	hour, none := 60.0, 0.0
	p.Machine.Prices = machine.Prices{Hour: &hour}
	for i := range p.Machine.Stages {
		p.Machine.Stages[i].Disc.Price = &none
	}
	p.Machine.Times.Bits = 0
	b := ask(t, p)
	near(t, "minutes", a.Plan.Minutes, b.Plan.Minutes, 1e-3)
	if c := ask(t, question(t)); c.Plan.Minutes < a.Plan.Minutes-1e-6 || *c.Plan.Money <= 0 {
		t.Errorf("with prices %v minutes, without %v", c.Plan.Minutes, a.Plan.Minutes)
	}
}

// A bow that is pressed out: the gravity of a piece on its two ends as in the handbook of package plate, and a vacuum that presses any usual bow flat.
func TestPressedOut(t *testing.T) {
	s := stone.Slate()
	alone, err := passes.PressedOut(s, 914, 1473, 25.4, 2, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "by its weight", 2*alone, 0.650, 0.03) // the sag of a beam on its two ends; the plate bends across as well
	for _, bow := range []float64{0, 0.4, 1.5} {
		out, err := passes.PressedOut(s, 914, 1473, 25.4, bow, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if out < 0.97 || out > 1 {
			t.Errorf("50 kPa press %v of %v mm out", out, bow)
		}
	}
	turned, _ := passes.PressedOut(s, 1473, 914, 25.4, 2, 0)
	near(t, "turned", turned, alone, 1e-6)
}

// A bow that is pressed flat comes back in the face that was cut so, and one on free supports does not.
func TestSpringback(t *testing.T) {
	q := question(t)
	for _, bow := range []float64{0, 0.4, -1.2} {
		q.Bow = &bow
		a := ask(t, q)
		rule := a.Rule.Flat[passes.Top].Parts[len(a.Rule.Flat[passes.Top].Parts)-1]
		near(t, "the rule's bow", rule.Value, math.Abs(bow), 0.02*math.Abs(bow)+1e-9)
		mine := a.Plan.Flat[passes.Top].Parts[len(a.Plan.Flat[passes.Top].Parts)-1]
		near(t, "the plan's", mine.Value, 0, 1e-9)
	}
	q.Bow = nil
	if a := ask(t, q); a.Rule.Flat[passes.Top].Known || !a.Plan.Flat[passes.Top].Known {
		t.Error("the rule presses a bow out that is not known")
	}
}

// As much comes off the one face as off the other where the stone allows it, and skins that pull alike then bow nothing.
func TestEqualAmountsOffBothFaces(t *testing.T) {
	q := question(t)
	q.Stress = machine.Known{Value: 2, U: 1e-9}
	a := ask(t, q)
	near(t, "equal", a.Take[passes.Top].Mean, a.Take[passes.Bottom].Mean, 1e-9)
	near(t, "in all", a.Take[passes.Top].Mean+a.Take[passes.Bottom].Mean, 0.62+0.7+0.3, 1e-9)
	parts := a.Plan.Flat[passes.Top].Parts
	near(t, "bow", parts[len(parts)-1].Value, 0, 0.002)
	q.Final = 26.1 // nothing to share: 0.08 mm more off the bottom
	b := ask(t, q)
	parts = b.Plan.Flat[passes.Top].Parts
	near(t, "bow", parts[len(parts)-1].Value, passes.Skin(2, 0.08, 48000, 26.1, 1473), 0.002)
}

func TestLastCutAndDoubt(t *testing.T) {
	q := question(t)
	q.Final, q.Least, q.Reserve = 25.6, 25.4, 0.2
	if a := ask(t, q); a.Left == nil || !a.Left.Last == (a.Left.Above-0.2 < 0.05) {
		t.Errorf("%+v", a.Left)
	}
	q.Final, q.Reserve = 25.8, 0.1
	if a := ask(t, q); a.Left == nil || a.Left.Last || a.Outcome != passes.Planned {
		t.Errorf("%+v", a.Left)
	}
	q.Final, q.Reserve, q.Least = 0, 0, 26.09
	if a := ask(t, q); a.Outcome != passes.Unsure || a.Plan == nil || !a.Left.Last {
		t.Errorf("%v: the doubt of 0.02 mm straddles 26.09", a.Outcome)
	}
}

// Heads in line: one travel cuts with several, all at the belt's feed, and no disc is changed.
func TestHeadsInLine(t *testing.T) {
	q := question(t)
	m := q.Machine
	head := m.Heads[0]
	m.Heads = nil
	for i, name := range []string{"first", "second", "third"} {
		head.Name = name
		m.Heads = append(m.Heads, head)
		m.Stages[i].Head = i
	}
	one := ask(t, question(t))
	a := ask(t, q)
	if a.Plan == nil || one.Plan == nil {
		t.Fatalf("%+v", a.Stopped)
	}
	shared := 0
	feed := a.Plan.Setups[0].Passes[0].Feed
	for _, s := range a.Plan.Setups {
		for _, p := range s.Passes {
			near(t, "belt", p.Feed, feed, 1e-9)
			if p.Shared {
				shared++
				near(t, "minutes of a further head", p.Minutes, 0, 0)
			}
		}
	}
	if shared == 0 || a.Plan.Minutes >= one.Plan.Minutes {
		t.Errorf("%d passes share a travel; %v minutes, with one head %v", shared, a.Plan.Minutes, one.Plan.Minutes)
	}
}

func TestQuestionsThatCannotBeAsked(t *testing.T) {
	for name, spoil := range map[string]func(*passes.Question){
		"machine": func(q *passes.Question) { q.Machine = nil }, "size": func(q *passes.Question) { q.X = 0 }, "flat": func(q *passes.Question) { q.Flat = math.NaN() },
		"share": func(q *passes.Question) { q.Share = 2 }, "rounds": func(q *passes.Question) { q.Rounds = 101 }, "bottom-stage": func(q *passes.Question) { q.BottomStage = 4 },
		"thickness": func(q *passes.Question) { q.ThicknessU = -1 }, "bow": func(q *passes.Question) { b := math.Inf(1); q.Bow = &b },
		"stress": func(q *passes.Question) { q.Stress.U = -1 }, "off-top": func(q *passes.Question) { q.Take[0] = between(t, 50, 51, 52) },
		"off": func(q *passes.Question) { q.Take = [2]passes.Stock{}; q.Final = 0 },
	} {
		q := question(t)
		spoil(&q)
		at := new(trouble.Trouble)
		if _, err := passes.Ask(q); !errors.As(err, &at) || at.Where != name || at.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The same question is answered with the same plan.
func TestSameQuestionSamePlan(t *testing.T) {
	a, b := ask(t, question(t)), ask(t, question(t))
	if *a.Plan.Money != *b.Plan.Money || len(a.Plan.Setups) != len(b.Plan.Setups) {
		t.Error("two plans for one question")
	}
	for i, s := range a.Plan.Setups {
		for k, p := range s.Passes {
			if b.Plan.Setups[i].Passes[k] != p {
				t.Errorf("pass %d of laying %d differs", k+1, i+1)
			}
		}
	}
}

// What a stage breaks comes off by later ones, also where leaving it would be cheaper.
func TestBrokenStoneComesOff(t *testing.T) {
	q := light(t)
	q.Take = [2]passes.Stock{between(t, 0.5, 0.5, 0.5), between(t, 0.5, 0.5, 0.5)}
	a := ask(t, q)
	keeps(t, q, a)
	for i := range q.Machine.Stages {
		q.Machine.Stages[i].Damage = 0
	}
	b := ask(t, q)
	if rough := b.Plan.Setups[0].Passes[0]; rough.Stage != 0 || *b.Plan.Money >= *a.Plan.Money {
		t.Errorf("the limit costs nothing here: %v and %v", *a.Plan.Money, *b.Plan.Money)
	}
}
