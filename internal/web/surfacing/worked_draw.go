package surfacing

import (
	"fmt"
	"html/template"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
	"slatewright/surfacing/worked/answers"
)

// The face is drawn in so many cells.
const (
	depthsAlong  = 5
	depthsAcross = 8
)

// depths are what came off in each cell, row after row from the left side of the table, at their middles.
func (s taken) depths() (list []float64) {
	f, size := s.Found()
	for j := range depthsAcross {
		for i := range depthsAlong {
			list = append(list, f.Grid.At(f.Depth, size[0]*((float64(i)+0.5)/depthsAlong-0.5), size[1]*((float64(j)+0.5)/depthsAcross-0.5)))
		}
	}
	return list
}

// picture is the face with what came off it and, where the machine file learns, what it believed and believes now: beside it, or below on a telephone.
func (s taken) picture(width float64) template.HTML {
	const faceHigh, rowHigh = 400.0, 46.0
	_, size := s.Found()
	scale := math.Min(faceHigh/size[1], 250/size[0])
	w, h := size[0]*scale, size[1]*scale
	beside := width >= chart.Wide
	high := h + 84
	right := 64 + rowHigh*float64(len(s.Learned))
	if len(s.Learned) > 0 && beside {
		high = math.Max(high, right)
	} else if len(s.Learned) > 0 {
		high += right + 10
	}
	p := chart.New(width, high, s.Say("worked.picture"))
	left := (width - w) / 2
	if len(s.Learned) > 0 && beside {
		left = 24
	}
	s.face(p, left, 24, w, h)
	switch {
	case len(s.Learned) == 0:
	case beside:
		s.beliefs(p, left+w+46, 10, width-(left+w+46)-6, rowHigh)
	default:
		s.beliefs(p, 8, h+96, width-16, rowHigh)
	}
	return p.End()
}

// ends are the words at the ends of x. A bottom is read turned over about the y axis: its x runs to the head.
func (s taken) ends() (first, last string) {
	first, last = s.Word("place", "head"), s.Word("place", "foot")
	if s.Face == face.Bottom.String() {
		return last, first
	}
	return first, last
}

// face draws what came off, the places where calipers tied it, and the key.
func (s taken) face(p *chart.Pen, x0, y0, w, h float64) {
	list := s.depths()
	low, high := slices.Min(list), slices.Max(list)
	step := math.Max((high-low)/float64(len(tints)), 1e-6)
	cw, ch := w/depthsAlong, h/depthsAcross
	p.Text("tick", "middle", x0+w/2, y0-8, s.Word("place", "right"))
	p.Text("tick", "middle", x0+w/2, y0+h+15, s.Word("place", "left"))
	first, last := s.ends()
	p.Text("tick", "start", x0, y0+h+15, first)
	p.Text("tick", "end", x0+w, y0+h+15, last)
	decimals := 2
	if high-low < 0.05 {
		decimals = 3
	}
	for j := range depthsAcross {
		for i := range depthsAlong {
			v := list[j*depthsAlong+i]
			x, y := x0+float64(i)*cw, y0+h-float64(j+1)*ch
			p.Rect(tints[min(max(int((v-low)/step), 0), len(tints)-1)], x, y, cw, ch)
			p.Text("number", "middle", x+cw/2, y+ch/2+4, s.Number(v, decimals))
		}
	}
	p.Rect("base", x0, y0, w, h)
	key := s.Say("worked.key", "low", s.Number(low, decimals), "high", s.Number(high, decimals))
	if !s.Tied() {
		key = s.Say("worked.key-untied")
	}
	p.Within("tick", x0+w/2, y0+h+36, key)
}

// beliefs draws each value that is learnt as a share of what was believed: the bar before, the mark of this job, the bar after.
func (s taken) beliefs(p *chart.Pen, x0, y0, w, row float64) {
	const low, high = 0.35, 2.6
	axis := chart.Axis{Low: math.Log(low), High: math.Log(high), From: x0, To: x0 + w}
	at := func(v float64) float64 { return axis.Clip(math.Log(math.Max(v, 1e-9))) }
	p.Text("name", "start", x0, y0+10, s.Say("worked.beliefs"))
	bottom := y0 + 22 + row*float64(len(s.Learned))
	for _, v := range []float64{0.5, 0.75, 1, 1.5, 2} {
		p.Line("grid", at(v), y0+20, at(v), bottom)
		p.Text("tick", "middle", at(v), bottom+14, "× "+s.Number(v, -int(math.Floor(math.Log10(v/10*1.0001)))))
	}
	for i, l := range s.Learned {
		s.belief(p, l, x0, y0+22+row*float64(i), at)
	}
	y := bottom + 32
	x := x0
	for k, words := range []string{s.Say("worked.was"), s.Say("worked.this-job"), s.Say("worked.is")} {
		switch k {
		case 0:
			p.Span("whisker", x, x+18, y-4, 4)
		case 1:
			p.Mark(2, x+9, y-4, 5)
		default:
			p.Span("trend", x, x+18, y-4, 4)
		}
		p.Text("tick", "start", x+24, y, words)
		x += 24 + chart.Words("start", 0, 0, words).X1 + 14
	}
}

// belief is one row.
func (s taken) belief(p *chart.Pen, l answers.Lesson, x0, y float64, at func(float64) float64) {
	p.Text("label", "start", x0, y+13, chart.Short(s.named(l), 40))
	band := func(class string, value, u, at0 float64) {
		r := u / value
		p.Span(class, at(value*math.Exp(-1.96*r)/l.Was), at(value*math.Exp(1.96*r)/l.Was), at0, 4)
	}
	band("whisker", l.Was, l.WasU, y+22)
	band("trend", l.Is, l.IsU, y+34)
	switch {
	case l.Seen != nil && l.SeenHi != nil:
		p.Mark(2, at(*l.Seen/l.Was), y+28, 5)
	case l.SeenLo != nil && *l.SeenLo/l.Was > 0.35:
		p.Mark(2, at(*l.SeenLo/l.Was), y+28, 5)
	}
}

// behind is what the picture shows, in words.
func (s taken) behind() shell.Table {
	t := shell.Table{Caption: s.Say("worked.caption"), Heads: shell.Heads(s.Say("cleanup.place"), s.Say("worked.off"))}
	_, size := s.Found()
	for k, v := range s.depths() {
		i, j := k%depthsAlong, k/depthsAlong
		x, y := size[0]*((float64(i)+0.5)/depthsAlong-0.5), size[1]*((float64(j)+0.5)/depthsAcross-0.5)
		t.Rows = append(t.Rows, shell.RowOf(fmt.Sprintf("%s, %s", s.Number(x, 0), s.Number(y, 0)), s.Number(v, 3)))
	}
	return t
}
