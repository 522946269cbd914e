package wear

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/trouble"
)

// typical is the ring's height on each day, as a typical bit of it would be read, and how far each bit that is read again and again lies off.
type typical struct {
	height   []float64
	off      map[string]float64
	names    []string // in the order in which they first stand in the log
	of       map[string][]Reading
	warnings []string
}

// typical parts readings into days and bits by medians, alternately, until nothing moves (J. W. Tukey, Exploratory Data Analysis, 1977: median polish), so that
// neither a wrong reading nor a bit that is not read every week shifts the ring. Bits read on fewer than half of the days count where there are no others.
func (l *Log) typical() typical {
	t := typical{height: make([]float64, len(l.Days)), off: map[string]float64{}, of: map[string][]Reading{}}
	for _, r := range l.Readings {
		if t.of[r.Bit] = append(t.of[r.Bit], r); len(t.of[r.Bit]) == 1 && r.Bit != "" {
			t.names = append(t.names, r.Bit)
		}
	}
	steady := map[string]bool{}
	for _, name := range t.names {
		if steady[name] = 2*len(t.of[name]) >= len(l.Days) && len(l.Days) > 1; steady[name] {
			t.off[name] = 0
		}
	}
	byDay := make([][]Reading, len(l.Days))
	for _, r := range l.Readings {
		if steady[r.Bit] {
			byDay[r.Day] = append(byDay[r.Day], r)
		}
	}
	if slices.ContainsFunc(byDay, func(list []Reading) bool { return len(list) == 0 }) { // no bit is read often enough to tell bits apart from days
		if clear(t.off); len(t.names) > 0 && len(l.Days) > 1 {
			t.warnings = append(t.warnings, "other bits are read each day: how bits differ is in the scatter of the trend. Read the same bits each time")
		}
		clear(byDay)
		for _, r := range l.Readings {
			byDay[r.Day] = append(byDay[r.Day], r)
		}
	}
	for range 20 {
		for d, list := range byDay {
			var z []float64
			for _, r := range list {
				z = append(z, r.Height-t.off[r.Bit])
			}
			t.height[d] = median(z)
		}
		t.polish()
	}
	return t
}

// polish takes each bit's distance from the ring, the middle of all being 0.
func (t *typical) polish() {
	if len(t.off) == 0 {
		return
	}
	var all []float64
	for _, name := range t.names {
		if _, ok := t.off[name]; !ok {
			continue
		}
		var z []float64
		for _, r := range t.of[name] {
			z = append(z, r.Height-t.height[r.Day])
		}
		t.off[name] = median(z)
		all = append(all, t.off[name])
	}
	middle := median(all)
	for name := range t.off {
		t.off[name] -= middle
	}
	for d := range t.height {
		t.height[d] += middle
	}
}

func median(z []float64) float64 {
	if len(z) == 0 {
		return math.NaN()
	}
	z = slices.Sorted(slices.Values(z))
	return (z[(len(z)-1)/2] + z[len(z)/2]) / 2
}

// odd is how many scatters from the others make a bit's wear odd: of 100 even bits, one in ten logs has one so far out.
const odd = 3.5

// bits tells of each bit that is read: how it lies now, and whether it wears otherwise than the others. The scatter of the bits' paces is 1.4826 times
// their median distance from the middle, not less than what the caliper's own scatter gives a slope.
func (a *Answer) bits(t typical, x []float64) {
	var pace []float64
	var doubt []float64
	for _, name := range t.names {
		var at, h, off []float64
		for _, r := range t.of[name] {
			at, h, off = append(at, x[r.Day]), append(h, r.Height), append(off, r.Height-t.height[r.Day])
		}
		b := Bit{Name: name, Height: h[len(h)-1], Off: median(off[max(len(off)-3, 0):]), Pace: math.NaN()}
		u := math.NaN()
		if len(h) >= 5 {
			ring := make([]float64, 0, len(h))
			for i := range h {
				ring = append(ring, h[i]-off[i])
			}
			own, sd := slope(at, h)
			whole, _ := slope(at, ring)
			if _, known := t.off[name]; known && whole < 0 {
				b.Pace, u = own/whole, sd/-whole
			}
		}
		pace, doubt = append(pace, b.Pace), append(doubt, u)
		a.Each = append(a.Each, b)
	}
	a.odd(pace, doubt)
}

func (a *Answer) odd(pace, doubt []float64) {
	known := slices.DeleteFunc(slices.Clone(pace), math.IsNaN)
	if len(known) < 4 {
		return
	}
	middle := median(known)
	var off []float64
	for _, p := range known {
		off = append(off, math.Abs(p-middle))
	}
	scatter := 1.4826 * median(off)
	var names []string
	for i := range a.Each {
		if b := &a.Each[i]; !math.IsNaN(pace[i]) && math.Abs(pace[i]-middle) > odd*math.Max(scatter, doubt[i]) {
			b.Odd = true
			names = append(names, b.Name)
		}
	}
	if len(names) > 0 {
		a.Warnings = append(a.Warnings, fmt.Sprintf("%s at another pace than the others: %s. Look for a loose seat, another make, and at what the water reaches",
			trouble.Count(len(names), "bit wears", "bits wear"), strings.Join(names, ", ")))
	}
}

// slope is that of the least-squares line and its standard deviation.
func slope(x, y []float64) (s, sd float64) {
	var mx, my float64
	for i := range x {
		mx, my = mx+x[i]/float64(len(x)), my+y[i]/float64(len(x))
	}
	var xx, xy float64
	for i := range x {
		xx, xy = xx+(x[i]-mx)*(x[i]-mx), xy+(x[i]-mx)*(y[i]-my)
	}
	if xx == 0 {
		return math.NaN(), math.NaN()
	}
	s = xy / xx
	var rss float64
	for i := range x {
		r := y[i] - my - s*(x[i]-mx)
		rss += r * r
	}
	return s, math.Sqrt(rss / float64(len(x)-2) / xx)
}
