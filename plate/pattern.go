package plate

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Pattern is a way to hold a piece that has a name in the mill: marked on the bench, and written beside every reading.
type Pattern struct {
	Name  string // such as "lines"
	About string // one sentence
	// Fraction of the long side from each end at which two bars lie; negative: no bars.
	Fraction float64
	// Points as shares of half the sides, (±1, ±1) being the corners.
	Points [][2]float64
	Bench  bool
}

// Patterns returns every support that is used in the mill, each with its one name.
func Patterns() []Pattern {
	return []Pattern{
		{Name: "ends", About: "Two bars under the two short sides: what a piece does between sawhorses, and the shop test of the modulus.", Fraction: 0},
		{Name: "lines", About: "Two bars at 0.22 of the long side from each end: the least sag that two bars can give; they hide twist.", Fraction: 0.22},
		{Name: "three", About: "Three points that hold any piece without forcing it, at the places of least sag.", Fraction: -1, Points: [][2]float64{{0.61, -0.45}, {-0.61, -0.45}, {0, 0.65}}},
		{Name: "four", About: "Four points, two on each bar: only with shims, since a stiff piece stands on three of them.", Fraction: -1, Points: [][2]float64{{0.55, -0.55}, {-0.55, -0.55}, {0.55, 0.55}, {-0.55, 0.55}}},
		{Name: "six", About: "Six points, three along each joint: a frame with shims.", Fraction: -1, Points: [][2]float64{{0.83, -0.7}, {0.83, 0}, {0.83, 0.7}, {-0.83, -0.7}, {-0.83, 0}, {-0.83, 0.7}}},
		{Name: "bench", About: "A flat bench that carries everywhere: it presses out a crown up to about the sag between the ends.", Fraction: -1, Bench: true},
	}
}

// PatternNamed returns the pattern of a name.
func PatternNamed(name string) (Pattern, bool) {
	for _, p := range Patterns() {
		if p.Name == name {
			return p, true
		}
	}
	return Pattern{}, false
}

// Under lays the pattern under a piece. Points that fall into a cut stay where they are: [Plate.Stand] refuses them.
func (p Pattern) Under(o Outline) Under {
	switch {
	case p.Bench:
		return Under{Bench: Even(0)}
	case p.Fraction >= 0:
		return Bars(o, p.Fraction)
	}
	var u Under
	for _, q := range p.Points {
		u.Points = append(u.Points, Support{X: q[0] * o.X / 2, Y: q[1] * o.Y / 2})
	}
	return u
}

// Bars are two bars over the full width, at a fraction of the long side from each end; of a square, along y.
func Bars(o Outline, fraction float64) Under {
	axis, long := byte('y'), o.Y
	if o.X > o.Y {
		axis, long = 'x', o.X
	}
	off := (0.5 - fraction) * long
	return Under{Lines: []Line{{Axis: axis, At: -off}, {Axis: axis, At: off}}}
}

// Words writes what a piece lies on as the header line "# support:" of a file of readings has it: "lines y -412.4; y 412.4", "points
// -274 -354; …" or "bench", to a tenth of a mm.
func (u Under) Words() string {
	number := func(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64) }
	if u.Bench != nil {
		return "bench"
	}
	var lines, points []string
	for _, l := range u.Lines {
		lines = append(lines, fmt.Sprintf("%c %s", l.Axis, number(l.At)))
	}
	for _, q := range u.Points {
		points = append(points, number(q.X)+" "+number(q.Y))
	}
	switch {
	case len(points) == 0:
		return "lines " + strings.Join(lines, "; ")
	case len(lines) == 0:
		return "points " + strings.Join(points, "; ")
	}
	return "lines " + strings.Join(lines, "; ") + " and points " + strings.Join(points, "; ")
}
