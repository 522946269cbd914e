package surfacing

import (
	"html/template"
	"math"
	"time"

	"slatewright/internal/picture/chart"
	"slatewright/surfacing/toolmarks/answers"
)

// draw shows the profile across the tracks, where one track meets the next, and what the machine that was found would leave; below it, where maps are
// dated, the first mark's strength map by map.
func (m marked) draw(width float64) template.HTML {
	const high, below = 300.0, 190.0
	total := high
	dated := m.dated()
	if len(dated) > 1 {
		total += below
	}
	p := chart.New(width, total, m.Say("toolmarks.picture"))
	m.profile(p, width, high)
	if len(dated) > 1 {
		m.course(p, dated, width, high+26, total)
	}
	return p.End()
}

// profile draws heights in mm across the tracks.
func (m marked) profile(p *chart.Pen, width, high float64) {
	f := m.shown()
	low, top := math.Inf(1), math.Inf(-1)
	for i, z := range f.Z {
		low, top = math.Min(low, z), math.Max(top, z)
		if f.Machine != nil {
			low, top = math.Min(low, f.Machine[i]), math.Max(top, f.Machine[i])
		}
	}
	room := math.Max(0.06*(top-low), 0.001)
	plot := chart.Plot{Pen: p, X: chart.Axis{Low: f.T[0], High: f.T[len(f.T)-1], From: 56, To: width - 12}, Y: chart.Axis{Low: low - room, High: top + room, From: high - 40, To: 26}}
	axis := "y"
	if m.Feed == "y" {
		axis = "x"
	}
	plot.Grid(m.Words, 1, 0.001, axis+", mm", "µm")
	for _, t := range f.Joints {
		p.Line("limit", plot.X.At(t), plot.Y.From, plot.X.At(t), plot.Y.To)
	}
	var machine [][2]float64
	for i := range f.T {
		if f.Machine != nil {
			machine = append(machine, [2]float64{f.T[i], f.Machine[i]})
		}
		p.Disc("mark", plot.X.At(f.T[i]), plot.Y.At(f.Z[i]), 2)
	}
	if machine != nil {
		plot.Curve("trend", machine, false)
	}
}

// A strength is one map's, on its day.
type strength struct{ day, value, u float64 }

// dated are the strengths of the mark with a trend, in mm; none without days.
func (m marked) dated() (list []strength) {
	for _, s := range m.Finding.Series {
		for i, d := range s.Days {
			if !math.IsNaN(d) {
				list = append(list, strength{d, s.Strength[i], s.U[i]})
			}
		}
		if len(list) > 1 {
			return list
		}
		list = nil
	}
	return nil
}

// course draws strengths over their days, with the days between which it began.
func (m marked) course(p *chart.Pen, list []strength, width, top, bottom float64) {
	first, last, high := math.Inf(1), math.Inf(-1), 0.0
	for _, s := range list {
		first, last, high = math.Min(first, s.day), math.Max(last, s.day), math.Max(high, s.value+2*s.u)
	}
	if last <= first {
		return
	}
	plot := chart.Plot{Pen: p, X: chart.Axis{Low: first, High: last, From: 56, To: width - 24}, Y: chart.Axis{Low: 0, High: 1.1 * high, From: bottom - 24, To: top + 10}}
	for _, t := range m.Trends {
		m.began(plot, t)
	}
	ticks, decimals := plot.Y.Ticks(0.001, 4)
	for _, v := range ticks {
		plot.Level("grid", v)
		p.Text("tick", "end", plot.X.From-8, plot.Y.At(v)+4, m.Number(v*1000, decimals))
	}
	p.Text("name", "start", 4, top-2, m.Say("toolmarks.strength-axis"))
	for _, s := range list {
		p.Rise("whisker", plot.X.At(s.day), plot.Y.Clip(s.value-1.645*s.u), plot.Y.Clip(s.value+1.645*s.u), 3)
		p.Disc("mark m0", plot.X.At(s.day), plot.Y.At(s.value), 3.5)
	}
	for k, d := range []float64{first, last} {
		p.Text("tick", []string{"start", "end"}[k], plot.X.At(d), plot.Y.From+16, m.Day(time.Unix(int64(d*86400), 0).UTC()))
	}
}

// began marks the days between which a mark began.
func (m marked) began(plot chart.Plot, t answers.Trend) {
	if t.From == nil || t.To == nil {
		return
	}
	at := func(date string) float64 {
		day, err := time.Parse(time.DateOnly, date)
		if err != nil {
			return plot.X.From
		}
		return plot.X.Clip(float64(day.Unix()) / 86400)
	}
	a, b := at(*t.From), at(*t.To)
	plot.Rect("band", math.Min(a, b), plot.Y.To, math.Abs(b-a), plot.Y.From-plot.Y.To)
}
