package wear

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"slatewright/chance"
	"slatewright/internal/truth"
	"slatewright/sheet"
	"slatewright/trouble"
)

func day(n int) time.Time { return time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n) }

// mill is an invented ring: what its true course is, and what the caliper says of it.
type mill struct {
	weeks, bits int
	rate        float64 // mm per m²
	error       float64 // of one height, mm
	walk        float64 // of the wear of one week, mm
	spread      float64 // of the bits, mm
}

// log draws a log, and the true amount at which the typical bit reaches the usable height, from the last day.
func (m mill) log(s *chance.Stream) (*Log, float64) {
	l := &Log{Usable: 2, New: 10, Bits: 96, Price: 5, Fitting: math.NaN(), PerSet: 8, Band: 0.1}
	off := make([]float64, m.bits)
	for i := range off {
		off[i] = m.spread * s.Normal()
	}
	middle := median(off)
	h := 10.0
	for w := range m.weeks {
		area := 40 + 20*s.Float64()
		if w == 0 {
			area = 0
		}
		l.Days, l.Area = append(l.Days, day(7*w)), append(l.Area, area)
		if w > 0 {
			h -= m.rate*area + m.walk*math.Sqrt(area/50)*s.Normal()
		}
		for b := range m.bits {
			l.Readings = append(l.Readings, Reading{w, fmt.Sprint(b), h + off[b] - middle + m.error*s.Normal()})
		}
	}
	end := 0.0
	for ; h > l.Usable; end++ {
		h -= m.rate + m.walk*math.Sqrt(1/50.0)*s.Normal()
	}
	return l, end
}

func asked(t testing.TB, l *Log) *Answer {
	t.Helper()
	a, err := Ask(l)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, within)
	}
}

// Without scatter the course is its line: 10 mm worn by 0.004 mm/m², read at 0, 50, … 400 m²; usable to 2 mm: 2000 m² in all.
func TestStraightWear(t *testing.T) {
	l := &Log{Usable: 2, New: math.NaN(), Bits: 96, Price: 5, Fitting: 120, PerSet: 8, Band: 0.1}
	for i := range 9 {
		l.Days, l.Area = append(l.Days, day(7*i)), append(l.Area, 50)
		l.Readings = append(l.Readings, Reading{i, "", 10 - 0.004*50*float64(i)})
	}
	a := asked(t, l)
	near(t, "rate", a.Rate.Expected, 0.004, 1e-9)
	near(t, "height", a.Now.Expected, 8.4, 1e-6)
	near(t, "left", a.Left.Expected, 1600, 1e-3)
	near(t, "life", a.Life.Expected, 2000, 1e-3)
	near(t, "cost", a.PerM2.Expected, (96*5+120)/2000.0, 1e-6)
	near(t, "a set", a.PerSet.Expected, 8*(96*5+120)/2000.0, 1e-5)
	near(t, "pace", a.Pace, 50.0/7, 1e-9)
	near(t, "proud", a.Proud, 1.6, 1e-6)
	if want := day(56 + 7*32); a.State != Lasts || !a.Whole || a.End[0] != want && a.End[0] != want.AddDate(0, 0, -1) || a.First != a.Left {
		t.Errorf("%s, end %v, want %v", a.State, a.End[0], want)
	}
	if !(a.Left.From < 1600 && a.Left.To > 1600 && a.PerM2.From < a.PerM2.To) {
		t.Errorf("%+v", a)
	}
	// Nearer than a caliper can tell: used up.
	l.Usable = 8.4
	if a = asked(t, l); a.State != Change || a.First.Expected > 1e-6 {
		t.Errorf("used up: %s %+v", a.State, a.First)
	}
}

// Published: with the walk shut off, the line through NIST's set Norris is the certified one, with its standard deviations.
func TestCertifiedLine(t *testing.T) {
	set := truth.Norris()
	x, y := append([]float64{}, set.X...), append([]float64{}, set.Y...)
	c := &course{x: x, y: y, span: 1000}
	s, _ := c.one(0)
	near(t, "slope", s.line[1], set.Slope, 1e-10)
	near(t, "intercept", s.line[0], set.Intercept, 1e-9)
	near(t, "scatter", math.Sqrt(s.sigma2), set.ResidualSD, 1e-9)
	near(t, "slope's deviation", math.Sqrt(s.cov[1][1]*s.sigma2), set.SlopeSD, 1e-10)
}

// The intervals hold what they promise on invented rings, whether the caliper scatters or the wear does, or both.
func TestIntervalsHold(t *testing.T) {
	if len(mills) == 0 {
		t.Fatal("no rings")
	}
	for i, m := range mills {
		s := chance.NewStream(uint64(200 + i))
		const logs = 250
		held, told, width := 0, 0, 0.0
		for range logs {
			l, end := m.log(s)
			a := asked(t, l)
			if math.IsNaN(a.Left.Expected) {
				continue
			}
			if told++; a.Left.From <= end && end <= a.Left.To+1 {
				held++
			}
			if !math.IsInf(a.Left.To, 1) {
				width += (a.Left.To - a.Left.From) / end / float64(logs)
			}
		}
		t.Logf("%+v: told %d, held %d, width %.2f of what is left", m, told, held, width)
		// 95 %, less two standard errors and what a short log cannot know of its own scatter.
		if told < logs*9/10 || float64(held) < 0.91*float64(told) {
			t.Errorf("%+v: %d of %d hold", m, held, told)
		}
	}
}

var mills = []mill{
	{weeks: 6, bits: 1, rate: 0.004, error: 0.02},
	{weeks: 10, bits: 6, rate: 0.004, error: 0.03, spread: 0.05},
	{weeks: 10, bits: 6, rate: 0.004, error: 0.02, walk: 0.05, spread: 0.05},
	{weeks: 20, bits: 3, rate: 0.004, error: 0.02, walk: 0.08},
	{weeks: 8, bits: 1, rate: 0.004, walk: 0.05, error: 0.005},
}

func TestCannotTell(t *testing.T) {
	s := chance.NewStream(4)
	l, _ := mill{weeks: 3, bits: 4, rate: 0.004, error: 0.01}.log(s)
	if a := asked(t, l); a.State != CannotTell || !math.IsNaN(a.Left.Expected) || len(a.Warnings) == 0 || len(a.Each) != 4 {
		t.Errorf("three weeks: %+v", a)
	}
	l, _ = mill{weeks: 8, bits: 4, rate: 0.00001, error: 0.05}.log(chance.NewStream(1))
	if a := asked(t, l); a.State != CannotTell {
		t.Errorf("no wear: %+v", a)
	}
	// Days on which nothing was surfaced are not amounts of work.
	l, _ = mill{weeks: 8, bits: 4, rate: 0.004, error: 0.05}.log(s)
	for i := range l.Area {
		l.Area[i] = 0
	}
	if a := asked(t, l); a.State != CannotTell || math.IsNaN(a.Worn) {
		t.Errorf("no work: %+v", a)
	}
}

// One wrong day is found and left out; a sound log loses none.
func TestWrongDay(t *testing.T) {
	lost := 0
	for seed := range uint64(20) {
		l, _ := mill{weeks: 12, bits: 1, rate: 0.004, error: 0.02}.log(chance.NewStream(seed))
		lost += len(asked(t, l).LeftOut)
		l.Readings[5].Height -= 1
		if a := asked(t, l); len(a.LeftOut) != 1 || !a.LeftOut[0].Equal(day(35)) || a.Course[5].Used {
			t.Errorf("seed %d: left out %v", seed, a.LeftOut)
		}
	}
	if lost > 1 {
		t.Errorf("%d sound days are left out of 20 logs", lost)
	}
}

func TestBitsBesideTheRing(t *testing.T) {
	l, _ := mill{weeks: 10, bits: 8, rate: 0.004, error: 0.005}.log(chance.NewStream(9))
	worn := 0.0
	for i := range l.Readings {
		r := &l.Readings[i]
		if r.Bit == "0" {
			worn += 0.002 * l.Area[r.Day]
		}
		switch r.Bit {
		case "3":
			r.Height -= 0.4
		case "5": // half as fast again
			sum := 0.0
			for d := range r.Day + 1 {
				sum += 0.002 * l.Area[d]
			}
			r.Height -= sum
		}
	}
	a := asked(t, l)
	for _, b := range a.Each {
		switch b.Name {
		case "3":
			near(t, "low bit", b.Off, -0.4, 0.02)
			if b.Odd {
				t.Error("a low bit is no odd bit")
			}
		case "5":
			near(t, "fast bit", b.Pace, 1.5, 0.03)
			if !b.Odd {
				t.Error("a bit that wears half as fast again is not told")
			}
		default:
			if b.Odd || math.Abs(b.Off) > 0.02 {
				t.Errorf("%+v", b)
			}
		}
	}
	if !(a.First.Expected < a.Left.Expected-0.3/0.004) {
		t.Errorf("the lowest bit ends after %g of %g", a.First.Expected, a.Left.Expected)
	}
}

const written = `# usable height: 2 mm
# new height: 10 mm
# bits: 96
# bit price: 4.2
# m2 per set: 8
# band: 0.1 mm
# changed: 2026-03-02
day,position,height_mm,area_m2
2026-02-23,7,2.4,50
2026-03-02,7,10.01,0
2026-03-02,31,9.98,
2026-03-09,7,9.83,48
2026-03-09,31,9.80,48
2026-03-16,7,9.60,55
2026-03-16,31,9.59,
`

func list(text string) (*Log, error) {
	s, err := sheet.Read("wear.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return Read(s)
}

func TestReading(t *testing.T) {
	l, err := list(written)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Days) != 3 || len(l.Readings) != 6 || fmt.Sprint(l.Area) != "[0 48 55]" || l.Bits != 96 || l.Price != 4.2 || l.Usable != 2 || l.Band != 0.1 || len(l.Warnings) != 1 {
		t.Errorf("%+v", l)
	}
	if l, err = list("# usable height: 2 mm\nday,height\n2026-03-02,10\n2026-03-09,9.8\n"); err != nil || l.Area != nil || len(l.Warnings) != 1 {
		t.Errorf("%+v, %v", l, err)
	}
	for from, to := range map[string]string{"# usable height: 2 mm\n": "", "usable height: 2 mm": "usable height: 12 mm", "2026-03-09,7": "2026-02-30,7", "9.83": "low", "2026-03-09,31": "2026-03-09,7", "9.80,48": "9.80,49",
		"9.60,55": "9.60,", "9.60,55\n": "9.60,-5\n", "height_mm": "width_mm", "2026-03-02\nday": "2027-03-02\nday", "2026-03-02\nday,": "soon\nday,", "96": "many"} {
		if !strings.Contains(written, from) {
			t.Fatalf("%q is not in the log", from)
		}
		_, err := list(strings.Replace(written, from, to, 1))
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Next == "" || told.Where == "" {
			t.Errorf("%q for %q: %v", to, from, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(written)
	f.Add("# usable height: 2 mm\nday,height\n2026-03-02,10\n2026-03-09,9.8\n2026-03-10,9.8\n2026-03-11,9.7\n2026-03-12,9.7\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := list(text)
		if err != nil || len(l.Days) > 40 {
			return
		}
		if a := asked(t, l); a.State == "" || math.IsNaN(a.Worn) {
			t.Fatalf("%+v", a)
		}
	})
}
