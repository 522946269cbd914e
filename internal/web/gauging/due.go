package gauging

import (
	"html/template"
	"math"
	"slices"
	"time"

	"slatewright/gauge/answers"
	"slatewright/gauge/history"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
)

func answerDue(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	s, err := answers.OfHistory(table, a.Now)
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	out := shell.Reply{JSON: s}
	when := "gauging.due-on"
	if out.Tone = "good"; s.Overdue {
		out.Tone, when = "bad", "gauging.due-since"
	} else if s.Why == string(history.TooFew) {
		out.Tone = "doubt"
	}
	out.Says = w.Say(when, "day", w.Day(s.Answer.Due))
	out.Next = w.named("gauging.why-", s.Why)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawDue(w, s, a.Now, width) })
	out.Caption = w.Say("gauging.due-caption")
	out.Behind = calibrationsTable(w, s)
	if s.Drift != nil {
		drifts := w.Say("gauging.drifts-no")
		if s.Drifts {
			drifts = w.Say("gauging.drifts")
		}
		out.Figures = []shell.Figure{{Name: w.Say("gauging.drift-a-year"), Value: w.fine(*s.Drift), Small: w.between(w.fine(s.DriftIn[0]), w.fine(s.DriftIn[1])) + "; " + drifts},
			{Name: w.Say("gauging.error-due"), Value: w.fine(*s.ErrorMM), Small: w.Say("gauging.at-most", "bound", w.fine(*s.BoundMM))},
			{Name: w.Say("gauging.allowed"), Value: w.fine(s.LimitMM)}}
	}
	out.Notes = s.Warnings
	return out, nil
}

// mostCalibrations is how many calibrations a picture and its table show: the last ones.
const mostCalibrations = 60

func lastOf(s *answers.Due) []history.Calibration {
	list := slices.Clone(s.Question.Calibrations)
	slices.SortStableFunc(list, func(a, b history.Calibration) int { return a.Day.Compare(b.Day) })
	return list[max(0, len(list)-mostCalibrations):]
}

// drawDue draws what the certificates found, the drift with its bound, what is allowed, and the day on which the next one is due.
func drawDue(w say, s *answers.Due, today time.Time, width float64) template.HTML {
	left, top, height := 50.0, 40.0, 360.0
	p := chart.New(width, height, w.Say("gauging.due-picture", "day", w.Day(s.Answer.Due)))
	list := lastOf(s)
	due := s.Answer.Due
	end := maxTime(due, list[len(list)-1].Day, today)
	x := chart.Around(float64(list[0].Day.Unix()), float64(end.Unix()), left, width-14)
	reach := s.LimitMM
	for _, c := range list {
		reach = max(reach, math.Abs(c.Error)+2*c.U)
	}
	reach = max(1.25*s.LimitMM, min(reach*1.1, 4*s.LimitMM+reach*0.2))
	y := chart.Axis{Low: -reach, High: reach, From: height - 40, To: top}
	unit := w.scaleOf("mm", reach)
	p.Hatch("beyond", left, y.At(reach), width-14-left, y.At(s.LimitMM)-y.At(reach))
	p.Hatch("beyond", left, y.At(-s.LimitMM), width-14-left, y.At(-reach)-y.At(-s.LimitMM))
	ticks, decimals := y.Ticks(unit.unit, 5)
	for _, v := range ticks {
		p.Line("grid", left, y.At(v), width-14, y.At(v))
		p.Text("tick", "end", left-6, y.At(v)+4, w.Number(v/unit.unit, decimals))
	}
	p.Text("tick", "start", 2, top-24, unit.name)
	for _, v := range []float64{-s.LimitMM, s.LimitMM} {
		p.Line("limit", left, y.At(v), width-14, y.At(v))
	}
	p.Text("label", "start", left+4, y.At(s.LimitMM)+15, w.Say("gauging.allowed-is", "limit", w.fine(s.LimitMM)))
	years(p, x, list[0].Day, end, height)
	trend(p, s, x, y, list[0].Day, end)
	for _, c := range list {
		px := x.At(float64(c.Day.Unix()))
		p.Rise("whisker", px, y.Clip(c.Error+2*c.U), y.Clip(c.Error-2*c.U), 4)
		p.Mark(map[bool]int{true: 3, false: 0}[c.Adjusted], px, y.Clip(c.Error), 5)
	}
	day := func(class string, t time.Time, words string, at float64) {
		px := x.At(float64(t.Unix()))
		p.Line(class, px, top-6, px, height-40)
		anchor := "middle"
		if px > width-70 {
			anchor, px = "end", width-4
		} else if px < 70 {
			anchor = "start"
		}
		p.Text("label", anchor, px, at, words)
	}
	day("today", today, w.Say("gauging.today"), top-10)
	day("due", due, w.Say("gauging.due-line", "day", w.Day(due)), top-26)
	return p.End()
}

func maxTime(all ...time.Time) time.Time { return slices.MaxFunc(all, time.Time.Compare) }

// years marks the beginnings of years, as many as find room.
func years(p *chart.Pen, x chart.Axis, from, to time.Time, height float64) {
	every := max(1, int(float64(to.Year()-from.Year()+1)*46/(x.To-x.From))+1)
	for y := from.Year(); y <= to.Year()+1; y++ {
		at := float64(time.Date(y, 1, 1, 0, 0, 0, 0, time.UTC).Unix())
		if y%every == 0 && at >= x.Low && at <= x.High {
			p.Line("grid", x.At(at), 40, x.At(at), height-40)
			p.Text("tick", "middle", x.At(at), height-22, itoa(y))
		}
	}
}

// trend draws the expected error and the band of its bound.
func trend(p *chart.Pen, s *answers.Due, x, y chart.Axis, from, to time.Time) {
	if s.Drift == nil {
		return
	}
	const steps = 60
	var middle, upper, lower [][2]float64
	for k := range steps + 1 {
		day := from.Add(time.Duration(float64(to.Sub(from)) * float64(k) / steps))
		expected, bound := s.Answer.At(day)
		if math.IsNaN(expected) {
			continue
		}
		room := bound - math.Abs(expected)
		px := x.At(float64(day.Unix()))
		middle = append(middle, [2]float64{px, y.Clip(expected)})
		upper = append(upper, [2]float64{px, y.Clip(expected + room)})
		lower = append(lower, [2]float64{px, y.Clip(expected - room)})
	}
	slices.Reverse(lower)
	p.Run("band", append(upper, lower...), true)
	p.Run("trend", middle, false)
}

func calibrationsTable(w say, s *answers.Due) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.calibrations"), Heads: shell.Heads(w.Say("gauging.day"), w.Say("gauging.error"), "u", w.Say("gauging.adjusted"))}
	for _, c := range lastOf(s) {
		adjusted := ""
		if c.Adjusted {
			adjusted = w.Say("gauging.adjusted")
		}
		t.Rows = append(t.Rows, shell.RowOf(w.Day(c.Day), w.fine(c.Error), w.fine(c.U), adjusted))
	}
	return t
}
