package gauging

import (
	"cmp"
	"html/template"
	"math"
	"slices"

	"slatewright/gauge/answers"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
)

func answerBudget(a shell.Asked) (shell.Reply, error) {
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	s, err := answers.OfInstrument(table, 1)
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	out := shell.Reply{JSON: s}
	parts := partsOf(w, s)
	low, high := believed(s)
	out.Says = w.Say("gauging.budget-says", "reads", w.named("gauging.reads-", s.Kind), "half", w.amount((high-low)/2, s.Unit))
	if len(parts) > 0 {
		out.Next = w.Say("gauging.budget-most", "component", parts[0].name, "share", w.share(parts[0].share))
	}
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return drawBudget(w, s, parts, width) })
	out.Caption = w.Say("gauging.budget-caption")
	out.Behind = componentTable(w, s)
	out.Figures = []shell.Figure{{Name: w.Say("gauging.value"), Value: w.amount(s.Value, s.Unit)}, {Name: w.Say("gauging.standard-u"), Value: w.amount(s.U, s.Unit)},
		{Name: w.Say("gauging.expanded"), Value: w.amount(s.Expanded, s.Unit), Small: "k = " + w.digits(s.K, 3)}}
	out.Tables = []shell.Table{waysTable(w, s)}
	if s.Agree != nil && !*s.Agree {
		out.Notes = append(out.Notes, w.Say("gauging.ways-differ"), s.Why)
	}
	out.Notes = append(out.Notes, s.Warnings...)
	return out, nil
}

// believed is the interval to take: that of the law where the drawn one agrees, else the drawn one.
func believed(s *answers.Budget) (low, high float64) {
	if s.Agree != nil && !*s.Agree {
		return s.Drawn.Interval[0], s.Drawn.Interval[1]
	}
	return s.Interval[0], s.Interval[1]
}

// part is what a component has of the variance.
type part struct {
	name  string
	share float64
	adds  float64
}

// mostParts is how many components the bar names; the others are one.
const mostParts = 7

// partsOf are the components that add anything, the largest first.
func partsOf(w say, s *answers.Budget) (list []part) {
	for _, c := range s.Components {
		if c.Share > 0 {
			list = append(list, part{w.Word("component", c.Name), c.Share, math.Abs(c.Contribution)})
		}
	}
	slices.SortStableFunc(list, func(a, b part) int { return cmp.Compare(b.share, a.share) })
	if len(list) <= mostParts+1 {
		return list
	}
	rest := part{name: w.Say("gauging.others", "n", len(list)-mostParts)}
	for _, p := range list[mostParts:] {
		rest.share += p.share
		rest.adds = math.Hypot(rest.adds, p.adds)
	}
	return append(list[:mostParts:mostParts], rest)
}

// drawBudget draws the shares of the components as one bar from the largest down, their names beside it, and the interval below.
func drawBudget(w say, s *answers.Budget, parts []part, width float64) template.HTML {
	const barTop, barHeight, least = 14.0, 250.0, 25.0
	barLeft, barWidth := 14.0, 110.0
	if width < chart.Wide {
		barWidth = 56
	}
	height := barTop + max(barHeight, least*float64(len(parts))) + 108
	p := chart.New(width, height, w.Say("gauging.budget-picture"))
	all := 0.0
	for _, c := range parts {
		all += c.share
	}
	y, label := barTop, barTop-least
	bottom := height - 108
	for i, c := range parts {
		h := (bottom - barTop) * c.share / all
		p.Rect([]string{"share s0", "share s1", "share s2"}[i%3], barLeft, y, barWidth, h)
		at := max(y+h/2, label+least)                                      // not over the one before
		at = min(at, bottom-least*float64(len(parts)-1-i)-least/2+least/2) // nor so low that the others find no room
		label = at
		p.Run("tie", [][2]float64{{barLeft + barWidth, y + h/2}, {barLeft + barWidth + 14, at}, {barLeft + barWidth + 22, at}}, false)
		p.Text("label", "start", barLeft+barWidth+28, at+4, chart.Short(c.name, int((width-barWidth-map[bool]float64{true: 115, false: 190}[width < chart.Wide])/7))+" · "+w.share(c.share))
		if width >= chart.Wide {
			p.Text("tick", "end", width-10, at+4, w.Say("gauging.adds", "u", w.amount(c.adds, s.Unit)))
		}
		y += h
	}
	drawIntervals(p, w, s, bottom+20)
	return p.End()
}

// drawIntervals draws the interval by both ways over one axis.
func drawIntervals(p *chart.Pen, w say, s *answers.Budget, top float64) {
	left := 150.0
	if p.Width < chart.Wide {
		left = 14
	}
	low, high := s.Interval[0], s.Interval[1]
	if d := s.Drawn; d != nil {
		low, high = min(low, d.Interval[0]), max(high, d.Interval[1])
	}
	x := chart.Around(low, high, left, p.Width-14)
	unit := w.scaleOf(s.Unit, max(math.Abs(low), math.Abs(high)))
	ticks, decimals := x.Ticks(unit.unit, (p.Width-left)/80)
	for _, v := range ticks {
		p.Line("grid", x.At(v), top, x.At(v), top+64)
		p.Text("tick", "middle", min(x.At(v), p.Width-18), top+80, w.Number(v/unit.unit, decimals)+unbroken+unit.name)
	}
	one := func(y float64, name string, value, low, high float64, class string) {
		if p.Width >= chart.Wide {
			p.Text("label", "end", left-10, y+4, name)
		} else {
			p.Text("tick", "start", left, y-8, name)
		}
		p.Rect(class, x.At(low), y-5, x.At(high)-x.At(low), 10)
		p.Line("value", x.At(value), y-8, x.At(value), y+8)
	}
	one(top+16, w.Say("gauging.by-law"), s.Value, s.Interval[0], s.Interval[1], "doubt")
	if d := s.Drawn; d != nil {
		one(top+48, w.Say("gauging.by-draws"), d.Value, d.Interval[0], d.Interval[1], "doubt drawn-ones")
	}
}

// plain writes three digits that count and the unit; small numbers with their power of ten.
func (w say) plain(x float64, unit string) string {
	if unit == "mm" {
		return w.fine(x)
	}
	text := w.digits(x, 3)
	if x != 0 && math.Abs(x) < 1e-4 {
		power := int(math.Floor(math.Log10(math.Abs(x))))
		text = w.Number(x/math.Pow10(power), 2) + unbroken + "·" + unbroken + "10" + raised(power)
	}
	if unit != "" {
		text += unbroken + unit
	}
	return text
}

// raised writes a power of ten.
func raised(n int) string {
	digits := map[rune]rune{'-': '⁻', '0': '⁰', '1': '¹', '2': '²', '3': '³', '4': '⁴', '5': '⁵', '6': '⁶', '7': '⁷', '8': '⁸', '9': '⁹'}
	var out []rune
	for _, r := range template.HTMLEscapeString(itoa(n)) {
		out = append(out, digits[r])
	}
	return string(out)
}

func componentTable(w say, s *answers.Budget) shell.Table {
	t := shell.Table{Caption: w.Say("gauging.components-of", "what", w.named("gauging.kind-", s.Kind)),
		Heads: shell.Heads(w.Say("gauging.component"), w.Say("gauging.value"), "u", w.Say("gauging.distribution"), w.Say("gauging.degrees"), w.Say("gauging.sensitivity"), w.Say("gauging.adds-head"), w.Say("gauging.of-variance"))}
	for _, c := range s.Components {
		row := []string{w.Word("component", c.Name), w.plain(c.Value, c.Unit), "–", w.named("gauging.distribution-", c.Distribution), w.optional(c.DoF, func(x float64) string { return w.digits(x, 3) }), "–", "–", "–"}
		if c.U > 0 {
			row[2], row[5], row[6], row[7] = w.plain(c.U, c.Unit), w.digits(c.Sensitivity, 3), w.amount(math.Abs(c.Contribution), s.Unit), w.share(c.Share)
		}
		t.Rows = append(t.Rows, shell.RowOf(row...))
	}
	return t
}

func waysTable(w say, s *answers.Budget) shell.Table {
	t := shell.Table{Title: w.Say("gauging.two-ways"), Caption: w.Say("gauging.intervals-95"), Heads: shell.Heads(w.Say("gauging.way"), w.Say("gauging.value"), "u", w.Say("gauging.from-to"))}
	row := func(name string, value, u float64, in [2]float64) {
		t.Rows = append(t.Rows, shell.RowOf(name, w.amount(value, s.Unit), w.amount(u, s.Unit), w.between(w.amount(in[0], s.Unit), w.amount(in[1], s.Unit))))
	}
	row(w.Say("gauging.by-law"), s.Value, s.U, s.Interval)
	if d := s.Drawn; d != nil {
		row(w.Say("gauging.by-draws"), d.Value, d.U, d.Interval)
		row(w.Say("gauging.shortest"), d.Value, d.U, d.Shortest)
	}
	return t
}
