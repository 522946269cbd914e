package gluing

import (
	"html/template"
	"time"

	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/lining/answers"
)

// signed writes the figures of an axis with their sign.
type signed struct{ tongue.Words }

func (w signed) Number(x float64, decimals int) string { return w.Signed(x, decimals) }

// unit is the unit of small lengths on an axis.
func (w say) unit() (mm float64, name string) {
	if w.Units() == tongue.Inch {
		return 0.0254, "thou"
	}
	return 1, "mm"
}

// drawYear draws the bow of every month with its limits, and what is allowed to either side.
func drawYear(w say, g *answers.Glue, width float64) template.HTML {
	const height = 330.0
	reach := g.LimitMM
	for _, m := range g.Months {
		reach = max(reach, m.Bow.High, -m.Bow.Low)
	}
	reach *= 1.22 // room for words beyond the limits
	left, right, top, bottom := 52.0, width-10, 30.0, height-34
	p := chart.Plot{Pen: chart.New(width, height, w.Say("gluing.picture", "limit_mm", g.LimitMM)), // X counts months from the beginning of the first
		X: chart.Axis{Low: 0, High: 12, From: left, To: right}, Y: chart.Axis{Low: -reach, High: reach, From: bottom, To: top}}
	unit, name := w.unit()
	p.Up(signed(w), unit, name)
	var band, middle [][2]float64
	for i, m := range g.Months {
		band, middle = append(band, [2]float64{float64(i) + 0.5, m.Bow.High}), append(middle, [2]float64{float64(i) + 0.5, m.Bow.Value})
	}
	for i := len(g.Months) - 1; i >= 0; i-- {
		band = append(band, [2]float64{float64(i) + 0.5, g.Months[i].Bow.Low})
	}
	p.Curve("band", band, true)
	p.Level("base", 0)
	p.Level("limit", g.LimitMM)
	p.Level("limit", -g.LimitMM)
	p.Text("label", "end", right, p.Y.At(g.LimitMM)-6, w.Say("gluing.allowed", "limit_mm", g.LimitMM))
	p.Curve("trend", middle, false)
	for i, m := range g.Months {
		x := p.X.At(float64(i) + 0.5)
		p.Mark(0, x, p.Y.At(m.Bow.Value), 3.2)
		p.Text("tick", "middle", x, bottom+18, w.month(m.Month, (right-left)/12))
	}
	p.Text("name", "start", left, 14, w.Say("gluing.crowns"))
	p.Text("name", "start", left, bottom-4, w.Say("gluing.dishes"))
	return p.End()
}

// month is the beginning of a month's name, as far as it has room: three letters, or its number.
func (w say) month(n int, room float64) string {
	name := []rune(w.Month(time.Month(n)))
	if room < 34 || len(name) < 3 || w.Language() == tongue.Chinese {
		return w.Number(float64(n), 0)
	}
	return string(name[:3])
}
