package cutting

import (
	"html/template"
	"math"
	"slices"

	"slatewright/cutting/recovery/answers"
	"slatewright/internal/picture/chart"
)

// mostLosses is how many losses are drawn; the table has all.
const mostLosses = 18

// draw shows every loss, stage by stage, as three bars: tonnes with their doubt, pieces, and money, each against the largest of its kind.
func (s followed) draw(width float64) template.HTML {
	const top, row, head = 24.0, 34.0, 22.0
	shown := s.Losses
	if len(shown) > mostLosses {
		shown = shown[:mostLosses]
	}
	high := top + row*float64(len(shown)) + 8
	for _, g := range s.Stages {
		if slices.ContainsFunc(shown, func(l answers.Loss) bool { return l.Stage == g.Name }) {
			high += head
		}
	}
	p := chart.New(width, high, s.Say("recovery.picture", "n", len(shown)))
	columns := s.columns()
	w := width / float64(len(columns))
	for k, c := range columns {
		p.Text("tick", "start", w*float64(k)+4, 14, c.name)
	}
	y := top
	for _, g := range s.Stages {
		first := true
		for _, l := range shown {
			if l.Stage != g.Name {
				continue
			}
			if first {
				p.Line("grid", 0, y+4, width, y+4)
				p.Text("name", "start", 4, y+18, chart.Short(s.Say("recovery.stage-way", "stage", g.Name, "in", s.tonnes(g.In.T), "out", s.tonnes(g.Out.T)), int(width/6.6)))
				y += head
				first = false
			}
			s.loss(p, l, y, w, shown)
			y += row
		}
	}
	return p.End()
}

// loss draws one loss: its cause, and below it the three bars.
func (s followed) loss(p *chart.Pen, l answers.Loss, y, w float64, all []answers.Loss) {
	p.Text("tick", "start", 12, y+12, chart.Short(s.cause(l), int(3*w/7)))
	for k, c := range s.columns() {
		x := w*float64(k) + 4
		value, doubt, told := c.of(l)
		if !told {
			p.Text("tick", "start", x, y+27, "–")
			continue
		}
		most := 0.0
		for _, o := range all {
			if v, _, told := c.of(o); told {
				most = math.Max(most, v)
			}
		}
		figure := c.say(value)
		room := w - 12 - chart.Words("start", 0, 0, figure).X1 - 8
		bar := chart.Axis{Low: 0, High: math.Max(most, 1e-9), From: x, To: x + room}
		class := "t1"
		switch l.Cause {
		case "overburden":
			class = "t3"
		case "not accounted for":
			class = "t5"
		}
		end := bar.Clip(value)
		p.Rect(class, x, y+17, end-x, 12)
		if doubt > 0 {
			p.Span("whisker", bar.Clip(value-doubt), bar.Clip(value+doubt), y+23, 3)
		}
		p.Text("number", "start", math.Max(end, bar.Clip(value+doubt))+5, y+27, figure)
	}
}
