// Package coupon works out a coupon test: a strip of the mill's own stone with its own board bonded under it, whose bow was read together with
// the humidity for some weeks. It gives the bow for 1 % of humidity, which holds for the mill's stone, board, glue and ways.
//
// It tells the slope and how fast the board follows, and whether drying and wetting differ. It does not tell a creep share: a month of
// changing air cannot part creep from a slow board. It knows no piece; package lining reckons with the slope.
package coupon

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
	"slatewright/lining"
	"slatewright/trouble"
)

// Reading is one look at the coupon.
type Reading struct{ Day, Humidity, Bow float64 } // %, mm and + for crown

// Point is a reading as the fit takes it: the humidity that the board saw, %, the bow as read, and without drift and fading start, mm.
type Point struct{ Day, Seen, Bow, Plain float64 }

// Log is a coupon's test.
type Log struct {
	Readings []Reading // days rising
	Length   float64   // over which the bow is read, mm
	Sensor   float64   // the hygrometer is right within this, % either way
}

// Found is what the test tells.
type Found struct {
	Readings int
	Slope    lining.Span // mm of bow for 1 % of humidity less; + crowns when the air dries. 95 %, and the sensor's limits on top
	Fitted   lining.Span // the same without the sensor's limits
	Days     lining.Span // time constant with which the bow follows the air; High is the slowest that was tried where Slow
	Slow     bool        // the log is too short to tell how slow the coupon is
	Drying   lining.Span // slope while the board dries, and while it wets, 95 %; equal limits where the log has only one of them
	Wetting  lining.Span
	Differ   bool        // the two intervals do not meet
	Runs     bool        // neighbouring readings stray together, and the limits are wider for it
	Drift    lining.Span // mm a week that the bow moves beside the air, 95 %
	Points   []Point
	Scatter  float64 // standard deviation of the bow about the curve, mm
	From, To float64 // humidity that the board saw, %
	Told     bool    // the slope is more than its doubt
	Warnings []string
}

// What a log must have: readings for six unknowns and something to hold them against, and a swing that a hygrometer can tell.
const (
	fewest    = 10
	leastSpan = 8.0 // % of humidity that the board must have seen; common practice, no source
	most      = 20000
)

// confidence of the limits.
const confidence = 0.95

// Evaluate works the log out. The bow is taken as b = b₀ − s·v(t) + c·t + e·exp(−t/τ), v the humidity as a board sees it that follows with one
// time constant τ, c a drift, e what was left of the state before the log. For every τ this is a least-squares line; all slopes that some τ
// allows at 95 % (profile likelihood) make the interval. A hygrometer that is wrong by up to a at one end of the range R and the other way at the
// other falsifies a slope by 2a/R: that stands on top as a hard limit.
func Evaluate(l Log) (*Found, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	f := &Found{Readings: len(l.Readings), From: math.Inf(1), To: math.Inf(-1)}
	total := l.Readings[len(l.Readings)-1].Day - l.Readings[0].Day
	tries, best := l.tries(total)
	if math.IsInf(best.sum, 1) {
		return nil, trouble.Data("bad-coupon", "readings", "the readings do not part the humidity from a drift", "log longer, over rising and falling humidity")
	}
	dof := float64(f.Readings - 5)
	f.gather(tries, best, dof)
	f.Points = l.points(best)
	for _, p := range f.Points {
		f.From, f.To = math.Min(f.From, p.Seen), math.Max(f.To, p.Seen)
	}
	f.ways(&l, best)
	f.widen(l.Sensor)
	f.warn(&l)
	return f, nil
}

// tries fits lines for no delay at all and for time constants from 1/200 of the log to twice its length, coarsely, and finely around the best.
func (l *Log) tries(total float64) (tries []line, best line) {
	const coarse, fine, around = 60, 20, 3
	best.sum = math.Inf(1)
	at := 0
	try := func(i int, part float64) {
		t := l.fit(total / 200 * math.Pow(400, (float64(i)+part)/coarse))
		t.last = i == coarse
		tries = append(tries, t)
		if t.ok && t.sum < best.sum {
			best, at = t, i
		}
	}
	for i := range coarse + 1 {
		try(i, 0)
	}
	if t := l.fit(0); t.ok {
		tries = append(tries, t)
		if t.sum < best.sum {
			best, at = t, 0
		}
	}
	for i := max(at-around, 0); i < min(at+around, coarse); i++ {
		for j := 1; j < fine; j++ {
			try(i, float64(j)/fine)
		}
	}
	return tries, best
}

// gather takes every time constant that the readings allow.
func (f *Found) gather(tries []line, best line, dof float64) {
	t := tables.StudentPoint(1-(1-confidence)/2, dof)
	noise := best.sum / dof * best.runs
	f.Scatter, f.Runs = math.Sqrt(best.sum/dof), best.runs > 1
	f.Fitted, f.Days, f.Drift = lining.Exactly(best.slope), lining.Exactly(best.tau), lining.Exactly(7*best.drift)
	for _, a := range tries {
		room := t*t*noise - (a.sum - best.sum)
		if !a.ok || room < 0 {
			continue
		}
		half, away := math.Sqrt(room)*a.uSlope, math.Sqrt(room)*a.uDrift
		f.Fitted = hold(f.Fitted, a.slope-half, a.slope+half)
		f.Days = hold(f.Days, a.tau, a.tau)
		f.Drift = hold(f.Drift, 7*(a.drift-away), 7*(a.drift+away))
		f.Slow = f.Slow || a.last
	}
}

func hold(s lining.Span, low, high float64) lining.Span {
	return lining.Span{Value: s.Value, Low: math.Min(s.Low, low), High: math.Max(s.High, high)}
}

// widen puts the hygrometer's limits on the slope.
func (f *Found) widen(sensor float64) {
	part := math.Min(2*sensor/(f.To-f.From), 0.9)
	f.Slope = hold(f.Fitted, f.Fitted.Low-part*math.Abs(f.Fitted.Low), f.Fitted.High+part*math.Abs(f.Fitted.High))
	f.Told = f.To-f.From >= leastSpan && (f.Slope.Low > 0 || f.Slope.High < 0) && !f.Slow
}

func (f *Found) warn(l *Log) {
	say := func(format string, a ...any) { f.Warnings = append(f.Warnings, fmt.Sprintf(format, a...)) }
	if f.To-f.From < leastSpan {
		say("the board saw only %.1f %% of humidity between its driest and its wettest: at least %.0f %% tell a slope", f.To-f.From, leastSpan)
	}
	if f.Slow {
		say("the log is too short: how slow the coupon is, and with it the slope, is not bounded")
	}
	if f.Slope.High < 0 {
		say("the bow grows when the air gets wetter: look whether crown was written as +, and the board lies below")
	}
	if f.Runs {
		say("the bow strays about the curve in runs: hysteresis, or a room that the hygrometer does not see; the limits are wider for it, and a long change may bend more than this slope says")
	}
	if f.Differ {
		say("drying and wetting move the bow differently: hysteresis, or a drift that is not straight")
	}
	if f.Drift.Low > 0 || f.Drift.High < 0 {
		say("the bow drifts by %.4f mm a week beside the air: creep, or a glue that still loses water; log on before it is used", f.Drift.Value)
	}
	if l.Sensor == 0 {
		say("the hygrometer is taken as right: give its limits as '# sensor: ± 2'")
	}
}

func (l *Log) check() error {
	bad := func(where, what, next string) error { return trouble.Data("bad-coupon", where, what, next) }
	n := len(l.Readings)
	switch {
	case n < fewest || n > most:
		return bad("readings", trouble.Count(n, "reading", "readings"), fmt.Sprintf("a coupon is worked out from %d to %d, over some weeks", fewest, most))
	case !(l.Length >= 100 && l.Length <= 5000):
		return bad("length", fmt.Sprintf("a bow over %g mm", l.Length), "give the length over which the bow is read, such as '# length: 1470 mm'")
	case !(l.Sensor >= 0 && l.Sensor <= 20):
		return bad("sensor", fmt.Sprintf("a hygrometer right within %g %%", l.Sensor), "give its limits such as '# sensor: ± 2'")
	}
	for i, q := range l.Readings {
		if i > 0 && !(q.Day > l.Readings[i-1].Day) || !(q.Humidity >= 0 && q.Humidity <= 100) || !(math.Abs(q.Bow) <= 1000) || math.IsNaN(q.Day) || math.IsInf(q.Day, 0) {
			return bad("readings", fmt.Sprintf("reading %d: days must rise, humidity lies from 0 to 100 %%, a bow is a length", i+1), "correct the line")
		}
	}
	return nil
}
