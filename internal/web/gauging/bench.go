package gauging

import (
	"html/template"
	"math"

	"slatewright/face"
	"slatewright/gauge/answers"
	"slatewright/internal/picture/look"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

func answerBench(a asked) (reply, error) {
	readings := a.list("list")
	if readings.Empty() {
		return reply{}, problem.New("missing", "list", a.Say("gauging.empty"), a.Say("gauging.empty-next"))
	}
	table, err := a.sheet("map")
	if err != nil {
		return reply{}, err
	}
	u, err := a.length("u")
	if err != nil {
		return reply{}, err
	}
	f, err := face.Read(readings.Name, readings.Reader())
	if err != nil {
		return reply{}, err
	}
	s, err := answers.LessBench(f, table, u)
	if err != nil {
		return reply{}, err
	}
	raw := append([]float64(nil), f.Z...)
	w := say{a.Words}
	out := reply{json: s}
	out.Says = w.Say("gauging.bench-says", "u", w.fine(s.UMM), "low", w.fine(s.LowMM), "high", w.fine(s.HighMM))
	out.Next = w.Say("gauging.bench-next")
	both(&out.Answer, func(width float64) template.HTML { return drawBench(w, s, width) })
	out.Caption = w.Say("gauging.bench-caption")
	out.Behind = heightsTable(w, s, raw)
	out.Figures = []shell.Figure{{Name: w.Say("gauging.readings"), Value: w.Number(float64(s.Points), 0)}, {Name: w.Say("gauging.u-height"), Value: w.fine(s.UMM), Small: w.Say("gauging.u-reading", "u", w.fine(s.ReadingUMM))},
		{Name: w.Say("gauging.map-goes"), Value: w.between(w.fine(s.LowMM), w.fine(s.HighMM))}}
	out.Notes = s.Warnings
	if out.csv, err = s.CSV(f); err != nil {
		return reply{}, err
	}
	return out, nil
}

// mostHeights is how many heights a table lists; mostNumbers how many a picture writes beside its marks.
const (
	mostHeights = 400
	mostNumbers = 90
)

// drawBench draws the heights that are left, each at its place: as a mark tinted and sized by its height, with the number.
func drawBench(w say, s *answers.Bench, width float64) template.HTML {
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	low, high := math.Inf(1), math.Inf(-1)
	for _, h := range s.Heights {
		x0, x1, y0, y1 = min(x0, h[0]), max(x1, h[0]), min(y0, h[1]), max(y1, h[1])
		low, high = min(low, h[2]), max(high, h[2])
	}
	sideways := width >= wide && y1-y0 > x1-x0 // the long side lies across a wide page
	spanX, spanY := x1-x0, y1-y0
	if sideways {
		spanX, spanY = spanY, spanX
	}
	side := 34.0
	by := (width - 2*side) / max(spanX, 1)
	height := min(max(spanY*by, 60), 620) + 2*side + 16
	by = min(by, (height-2*side-16)/max(spanY, 1))
	p := begin(width, height, w.Say("gauging.bench-picture", "low", w.fine(low), "high", w.fine(high)))
	unit := w.scaleOf("mm", max(math.Abs(low), math.Abs(high)))
	left := (width - spanX*by) / 2
	at := func(h [4]float64) (x, y float64) {
		if sideways {
			return left + (h[1]-y0)*by, side + (h[0]-x0)*by
		}
		return left + (h[0]-x0)*by, height - side - 16 - (h[1]-y0)*by
	}
	p.box("stone", left-16, side-16, spanX*by+32, height-2*side+16)
	middle := (low + high) / 2
	for _, h := range s.Heights {
		x, y := at(h)
		share := 0.0
		if high > low {
			share = (h[2] - middle) / (high - low) * 2
		}
		colour := look.Tint(share)
		r := 5 + 7*math.Abs(share)
		if len(s.Heights) > mostNumbers {
			r = 2 + 3*math.Abs(share)
		}
		p.add(`<circle class="height" cx="%s" cy="%s" r="%s" fill="#%02x%02x%02x"/>`, coord(x), coord(y), coord(r), colour.R, colour.G, colour.B)
		if len(s.Heights) <= mostNumbers {
			p.text("number", "middle", x, y+4, w.Number(h[2]/unit.unit, map[bool]int{true: 0, false: 1}[unit.name == "µm"]))
		}
	}
	p.text("tick", "middle", width/2, height-6, w.Say("gauging.heights-in", "unit", unit.name))
	return p.end()
}

func heightsTable(w say, s *answers.Bench, raw []float64) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.bench-behind"), Heads: shell.Heads("x", "y", w.Say("gauging.as-read"), w.Say("gauging.without-bench"), "u")}
	for i, h := range s.Heights[:min(len(s.Heights), mostHeights)] {
		t.Rows = append(t.Rows, shell.RowOf(w.Size(h[0]), w.Size(h[1]), w.fine(raw[i]), w.fine(h[2]), w.fine(h[3])))
	}
	if left := len(s.Heights) - mostHeights; left > 0 {
		t.Caption += " " + w.Say("gauging.bench-left", "n", left)
	}
	return t
}
