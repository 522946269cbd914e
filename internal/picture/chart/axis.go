package chart

import "math"

// Axis maps values to places: Low stands at From, High at To.
type Axis struct{ Low, High, From, To float64 }

// Around is an axis with some room beyond its values.
func Around(low, high, from, to float64) Axis {
	if !(high > low) {
		d := max(math.Abs(high)*0.1, 1e-6)
		low, high = low-d, high+d
	}
	room := (high - low) * 0.06
	return Axis{low - room, high + room, from, to}
}

// At is the place of a value.
func (a Axis) At(v float64) float64 { return a.From + (v-a.Low)/(a.High-a.Low)*(a.To-a.From) }

// Clip is At, kept within the axis.
func (a Axis) Clip(v float64) float64 { return a.At(min(max(v, a.Low), a.High)) }

// Ticks are at most about n round values within the axis, in the axis's own values but round when they are divided by unit, and the decimals
// that they then need.
func (a Axis) Ticks(unit, n float64) (list []float64, decimals int) {
	low, high := a.Low/unit, a.High/unit
	if !(high > low) || math.IsInf(high-low, 0) {
		return nil, 0
	}
	least := (high - low) / max(n, 1)
	step := math.Pow(10, math.Floor(math.Log10(least)))
	for _, k := range []float64{1, 2, 5, 10} {
		if step*k >= least {
			step *= k
			break
		}
	}
	for k := math.Ceil(low / step); k*step <= high && len(list) < 50; k++ {
		list = append(list, k*step*unit)
	}
	return list, min(max(0, -int(math.Floor(math.Log10(step)+1e-9))), 6)
}

// Figures writes the figures of an axis in its reader's way; tongue.Words does.
type Figures interface {
	Number(x float64, decimals int) string
}

// Plot is a chart with two axes: X from left to right, Y from bottom to top.
type Plot struct {
	*Pen
	X, Y Axis
}

// Curve draws through values.
func (p Plot) Curve(class string, values [][2]float64, closed bool) {
	places := make([][2]float64, len(values))
	for i, v := range values {
		places[i] = [2]float64{p.X.At(v[0]), p.Y.At(v[1])}
	}
	p.Run(class, places, closed)
}

// Level draws a line at a value of Y, from end to end of X.
func (p Plot) Level(class string, y float64) { p.Line(class, p.X.From, p.Y.At(y), p.X.To, p.Y.At(y)) }

// Grid draws lines and figures at round values of both axes, the name of each beside its end. A unit is what the axis's values are divided by
// for its figures: 0.001 writes mm as µm.
func (p Plot) Grid(w Figures, unitX, unitY float64, nameX, nameY string) {
	p.Up(w, unitY, nameY)
	p.Across(w, unitX, nameX)
}

// Up draws the lines and figures of Y.
func (p Plot) Up(w Figures, unit float64, name string) {
	ticks, decimals := p.Y.Ticks(unit, 6)
	for _, v := range ticks {
		p.Level("grid", v)
		p.Text("tick", "end", p.X.From-6, p.Y.At(v)+4, w.Number(v/unit, decimals))
	}
	p.Text("tick", "end", p.X.From-6, p.Y.To-8, name)
}

// Across draws the lines and figures of X.
func (p Plot) Across(w Figures, unit float64, name string) {
	ticks, decimals := p.X.Ticks(unit, max(4, (p.X.To-p.X.From)/60))
	for _, v := range ticks {
		x := p.X.At(v)
		p.Line("grid", x, p.Y.To, x, p.Y.From)
		p.Text("tick", "middle", x, p.Y.From+15, w.Number(v/unit, decimals))
	}
	p.Text("tick", "end", p.X.To, p.Y.From+31, name)
}
