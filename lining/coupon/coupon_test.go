package coupon

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/chance"
	"slatewright/internal/truth"
	"slatewright/sheet"
	"slatewright/trouble"
)

// room is a coupon in a room whose air swings and jumps: its bow follows with one time constant, is read with noise, drifts, and began in another
// air. The board's humidity is worked out by small steps, apart from the fit.
type room struct{ slope, tau, drift, noise, swing, before, loop float64 }

func (r room) log(s *chance.Stream, days int) Log {
	l := Log{Length: 1470}
	air := func(d float64) float64 { return 48 + r.swing*math.Sin(d/4.1) + r.swing/3*math.Sin(d*1.7) }
	v, last, held := air(0)+r.before, 0.0, 0.0
	held = v
	for d := range days {
		a, b := air(last), air(float64(d))
		const n = 400
		for k := range n {
			if float64(d) > last {
				h := a + (b-a)*(float64(k)+0.5)/n
				v += (h - v) * (float64(d) - last) / n / r.tau
			}
		}
		last = float64(d)
		held = math.Min(math.Max(held, v-r.loop), v+r.loop) // play: what turns back is lost at first
		if r.noise > 0 {
			b = math.Round(10*b) / 10 // as a hygrometer shows it
		}
		l.Readings = append(l.Readings, Reading{float64(d), b, 0.2 - r.slope*(held-48) + r.drift*float64(d)/7 + r.noise*normal(s)})
	}
	return l
}

func normal(s *chance.Stream) float64 { return chance.Quantile(s.Float64()) }

// The slope lies within its 95 % limits at least so often, in 400 invented coupons; drying and wetting are seldom said to differ where they do not.
func TestSlopeIsHeld(t *testing.T) {
	s := chance.NewStream(3)
	held, fitted, differ, drift, n := 0, 0, 0, 0, 400
	for range n {
		r := room{slope: 0.005 + 0.06*s.Float64(), tau: 0.7 + 4*s.Float64(), drift: 0.004 * normal(s), noise: 0.002 + 0.006*s.Float64(), swing: 6 + 6*s.Float64(), before: 3 * normal(s)}
		f, err := Evaluate(r.log(s, 30+int(30*s.Float64())))
		if err != nil {
			t.Fatal(err)
		}
		if f.Slope.Low <= r.slope && r.slope <= f.Slope.High {
			held++
		}
		if f.Fitted.Low <= r.slope && r.slope <= f.Fitted.High && f.Fitted.High-f.Fitted.Low < r.slope {
			fitted++
		}
		if f.Drift.Low <= r.drift && r.drift <= f.Drift.High {
			drift++
		}
		if f.Differ {
			differ++
		}
	}
	t.Logf("held %d, fitted %d, drift %d, differ %d of %d", held, fitted, drift, differ, n)
	if held < n*94/100 || drift < n*94/100 || differ > n*3/100 || fitted < n*80/100 {
		t.Errorf("of %d coupons %d slopes and %d drifts are held, %d within useful limits, %d are said to differ", n, held, drift, fitted, differ)
	}
}

// A hygrometer that reads too wide or too narrow by its limits stays within the hard limits.
func TestTheHygrometersLimitsHold(t *testing.T) {
	s := chance.NewStream(4)
	for range 50 {
		r := room{slope: 0.03, tau: 2, noise: 0.003, swing: 8}
		l := r.log(s, 45)
		low, high := math.Inf(1), math.Inf(-1)
		for _, q := range l.Readings {
			low, high = math.Min(low, q.Humidity), math.Max(high, q.Humidity)
		}
		l.Sensor = 2
		way := 1.0
		if s.Float64() < 0.5 {
			way = -1
		}
		for i := range l.Readings {
			q := &l.Readings[i]
			q.Humidity += way * l.Sensor * (2*(q.Humidity-low)/(high-low) - 1)
		}
		f, err := Evaluate(l)
		if err != nil {
			t.Fatal(err)
		}
		if f.Slope.Low > r.slope || f.Slope.High < r.slope || f.Fitted.Low <= r.slope && r.slope <= f.Fitted.High {
			t.Errorf("true 0.03: fitted %+v, with limits %+v", f.Fitted, f.Slope)
		}
	}
}

// Without noise the coupon comes back to the last digits that the small steps of the truth leave.
func TestExactCoupon(t *testing.T) {
	r := room{slope: -0.02, tau: 1.5, drift: 0.01, swing: 9, before: 4}
	f, err := Evaluate(r.log(chance.NewStream(1), 50))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
		within    float64
	}{{"slope", f.Slope.Value, -0.02, 2e-5}, {"days", f.Days.Value, 1.5, 0.01}, {"drift", f.Drift.Value, 0.01, 1e-4}, {"drying", f.Drying.Value, -0.02, 1e-4}, {"wetting", f.Wetting.Value, -0.02, 1e-4}} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s: %g, want %g", c.what, c.got, c.want)
		}
	}
	if !f.Told || !strings.Contains(strings.Join(f.Warnings, ";"), "board lies below") {
		t.Errorf("a coupon that dishes when it dries: %+v", f)
	}
}

func TestWhatIsNotTold(t *testing.T) {
	for name, c := range map[string]struct {
		room room
		days int
		warn string
	}{
		"air that stands still": {room{slope: 0.03, tau: 2, noise: 0.003, swing: 1}, 40, "at least 8 %"},
		"a slow coupon":         {room{slope: 0.03, tau: 60, noise: 0.003, swing: 12}, 30, ""},
		"a drift":               {room{slope: 0.03, tau: 2, noise: 0.002, swing: 8, drift: 0.05}, 40, "drifts by"},
	} {
		f, err := Evaluate(c.room.log(chance.NewStream(5), c.days))
		if err != nil {
			t.Fatal(err)
		}
		if told := name == "a drift"; f.Told != told || !strings.Contains(strings.Join(f.Warnings, "; "), c.warn) {
			t.Errorf("%s: told %v, %+v", name, f.Told, f)
		}
	}
}

// A coupon with play at each turn strays in runs, which is said. What it shows over its swings is less than the slope of a long change.
func TestPlayIsSeen(t *testing.T) {
	s := chance.NewStream(6)
	seen, n := 0, 100
	for range n {
		r := room{slope: 0.03, tau: 1 + 2*s.Float64(), noise: 0.002, swing: 7 + 4*s.Float64(), loop: 0.5 + 1.5*s.Float64()}
		f, err := Evaluate(r.log(s, 40+int(20*s.Float64())))
		if err != nil {
			t.Fatal(err)
		}
		if f.Runs && strings.Contains(strings.Join(f.Warnings, ";"), "in runs") {
			seen++
		}
	}
	if seen < n*8/10 {
		t.Errorf("play is seen in %d of %d", seen, n)
	}
}

// The least squares against the certified line of NIST.
func TestLeastSquaresAgainstNorris(t *testing.T) {
	l := truth.Norris()
	one := make([]float64, len(l.X))
	for i := range one {
		one[i] = 1
	}
	b, u, rest, ok := leastSquares(l.Y, [][]float64{one, l.X})
	sd := math.Sqrt(dot(rest, rest) / float64(len(l.X)-2))
	for i, want := range []float64{l.Intercept, l.Slope, l.InterceptSD, l.SlopeSD, l.ResidualSD} {
		got := []float64{b[0], b[1], u[0] * sd, u[1] * sd, sd}[i]
		if !ok || math.Abs(got-want) > 1e-11*math.Max(1, math.Abs(want)) {
			t.Errorf("%d: got %.15g, want %.15g", i, got, want)
		}
	}
	if _, _, _, ok := leastSquares(l.Y, [][]float64{one, one}); ok {
		t.Error("two equal columns are parted")
	}
}

// The humidity that a board sees, against small steps.
func TestSeenAgainstSmallSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Log{}
		for i := range 6 {
			l.Readings = append(l.Readings, Reading{float64(i) * rapid.Float64Range(0.2, 3).Draw(t, "step"), rapid.Float64Range(20, 80).Draw(t, "h"), 0})
			if i > 0 && l.Readings[i].Day <= l.Readings[i-1].Day {
				l.Readings[i].Day = l.Readings[i-1].Day + 0.5
			}
		}
		tau := rapid.Float64Range(0.3, 10).Draw(t, "tau")
		v := l.Readings[0].Humidity
		for i, seen := range l.seen(tau) {
			if i > 0 {
				a, b := l.Readings[i-1], l.Readings[i]
				const n = 2000
				for k := range n {
					h := a.Humidity + (b.Humidity-a.Humidity)*(float64(k)+0.5)/n
					v += (h - v) * -math.Expm1(-(b.Day-a.Day)/n/tau)
				}
			}
			if math.Abs(seen-v) > 0.02 {
				t.Fatalf("reading %d: %g, by steps %g", i, seen, v)
			}
		}
	})
}

func TestRefusals(t *testing.T) {
	for text, where := range map[string]string{
		"day,humidity,bow_mm\n0,50,0\n":                                        "c.csv:1",
		"# length: 1470 mm\n# sensor: near\nday,humidity,bow\n0,50,0\n":        "c.csv:2",
		"# length: 1470 mm\nday,humidity\n0,50\n":                              "c.csv:2",
		"# length: 1470 mm\nday,humidity,bow\n1,50,0\n1,51,0\n":                "c.csv:4",
		"# length: 1470 mm\nday,humidity,bow\n1,wet,0\n":                       "c.csv:3",
		"# length: 1470 mm\nday,humidity,bow\n1,50,high\n":                     "c.csv:3",
		"# length: 1470 mm\nday,humidity,bow\n1,50,0\n2,50,0\n":                "readings",
		"# length: 10 mm\nday,humidity,bow\n" + rows(12, "50"):                 "length",
		"# length: 1470 mm\nday,humidity,bow\n" + rows(12, "150"):              "readings",
		"# length: 1470 mm\n# sensor: 50\nday,humidity,bow\n" + rows(12, "50"): "sensor",
		"# length: 1470 mm\nday,humidity,bow\n" + rows(12, "50"):               "readings",
	} {
		list, err := sheet.Read("c.csv", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		l, _, err := Read(list)
		if err == nil {
			_, err = Evaluate(l)
		}
		if tr := new(trouble.Trouble); !errors.As(err, &tr) || tr.Where != where || tr.Next == "" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func rows(n int, humidity string) (s string) {
	for i := range n {
		s += string(rune('a'+i)) + "," + humidity + ",0\n"
	}
	return strings.NewReplacer("a,", "1,", "b,", "2,", "c,", "3,", "d,", "4,", "e,", "5,", "f,", "6,", "g,", "7,", "h,", "8,", "i,", "9,", "j,", "10,", "k,", "11,", "l,", "12,").Replace(s)
}

func FuzzRead(f *testing.F) {
	f.Add("# length: 1470 mm\n# sensor: ± 2\nday,humidity,bow_mm\n0,50,0.1\n1,51,0.1\n")
	f.Add("# length: 1 in\nday;humidity;bow\n0;50;0,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := sheet.Read("c.csv", strings.NewReader(text))
		if err == nil {
			_, _, err = Read(list)
		}
		if tr := new(trouble.Trouble); err != nil && (!errors.As(err, &tr) || tr.What == "") {
			t.Fatalf("%#v", err)
		}
	})
}
