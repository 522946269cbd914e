package gluing

import (
	"html/template"
	"math"

	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
	"slatewright/lining/answers"
	"slatewright/lining/coupon"
)

func answerCoupon(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	c, err := answers.OfCoupon(table)
	if err != nil {
		return shell.Reply{}, err
	}
	out := shell.Reply{JSON: c}
	out.Tone, out.Says = "good", w.Say("gluing.coupon-says", "slope", w.fine(c.Slope.Value), "within", w.within(w.fine(c.Slope.Low), w.fine(c.Slope.High)), "length_size", c.LengthMM)
	if c.Line != nil {
		out.Next = w.Say("gluing.coupon-line", "line", *c.Line)
	} else {
		out.Tone, out.Says = "doubt", w.Say("gluing.coupon-open")
	}
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawCoupon(w, c, width) })
	out.Caption = w.Say("gluing.coupon-caption")
	out.Behind = couponTable(w, c)
	out.Figures = []shell.Figure{
		{Name: w.Say("gluing.follows"), Value: w.Say("gluing.days", "days", w.Number(c.Days.Value, 1)), Small: w.within(w.Number(c.Days.Low, 1), w.Number(c.Days.High, 1))},
		{Name: w.Say("gluing.drying"), Value: w.fine(c.Drying.Value), Small: w.within(w.fine(c.Drying.Low), w.fine(c.Drying.High))},
		{Name: w.Say("gluing.wetting"), Value: w.fine(c.Wetting.Value), Small: w.within(w.fine(c.Wetting.Low), w.fine(c.Wetting.High))},
		{Name: w.Say("gluing.drift"), Value: w.fine(c.Drift.Value), Small: w.within(w.fine(c.Drift.Low), w.fine(c.Drift.High))},
		{Name: w.Say("gluing.scatter"), Value: w.fine(c.Scatter)},
	}
	out.Notes = c.Warnings
	return out, nil
}

// mostPoints is how many readings a table lists.
const mostPoints = 200

func couponTable(w say, c *answers.Coupon) shell.Table {
	t := shell.Table{Caption: w.Say("gluing.coupon-behind"), Heads: shell.Heads(w.Say("gluing.day"), w.Say("gluing.seen"), w.Say("gluing.bow"))}
	for _, p := range c.Points[:min(len(c.Points), mostPoints)] {
		t.Rows = append(t.Rows, shell.RowOf(w.Number(p.Day, 1), w.percent(p.Seen, 1), w.signed(p.Bow)))
	}
	return t
}

// drawCoupon draws every reading over the humidity that the board saw, with the line that was fitted and the two steepest that are possible.
func drawCoupon(w say, c *answers.Coupon, width float64) template.HTML {
	const height = 320.0
	low, high := math.Inf(1), math.Inf(-1)
	var mean coupon.Point
	for _, p := range c.Points {
		low, high = min(low, p.Plain), max(high, p.Plain)
		mean.Seen, mean.Plain = mean.Seen+p.Seen/float64(len(c.Points)), mean.Plain+p.Plain/float64(len(c.Points))
	}
	room := max((high-low)*0.12, 1e-3)
	left, right, top, bottom := 58.0, width-12, 26.0, height-40
	from, to := c.From, max(c.To, c.From+1)
	p := chart.Plot{Pen: chart.New(width, height, w.Say("gluing.coupon-picture")),
		X: chart.Axis{Low: from, High: to, From: left, To: right}, Y: chart.Axis{Low: low - room, High: high + room, From: bottom, To: top}}
	unit, name := w.unit()
	p.Up(signed(w), unit, name)
	for i, share := range []float64{0, 0.5, 1} {
		h := from + share*(to-from)
		p.Text("tick", []string{"start", "middle", "end"}[i], p.X.At(h), bottom+18, w.percent(h, 1))
	}
	on := func(slope, h float64) [2]float64 { return [2]float64{h, mean.Plain - slope*(h-mean.Seen)} }
	s := c.Slope
	p.Curve("band", [][2]float64{on(s.Low, from), on(s.Low, to), on(s.High, to), on(s.High, from)}, true)
	p.Curve("trend", [][2]float64{on(s.Value, from), on(s.Value, to)}, false)
	for _, q := range c.Points {
		p.Mark(0, p.X.At(q.Seen), p.Y.At(q.Plain), 2.6)
	}
	p.Text("tick", "middle", (left+right)/2, height-4, w.Say("gluing.seen"))
	p.Text("name", "start", left+4, 14, w.Say("gluing.crowns"))
	return p.End()
}
