package paper

import (
	"strings"

	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/judge"
)

// column is one column of a table: a heading, a width in mm, and whether its figures stand with their points in line.
type column struct {
	head    string
	w       float64
	figures bool
}

// cell is one entry: words, and smaller words beneath them.
type cell struct {
	text, note string
	t          ink.Type
	mark       judge.Verdict // drawn before the words; 0: none
}

// table is set by a press: a line of headings, a rule, the rows.
type table struct {
	columns []column
	groups  []group // headings over several columns
	rows    [][]cell
	tight   bool // small rows without rules between them
}

// group is a heading over the columns from to to, both included.
type group struct {
	head     string
	from, to int
}

const (
	cellGap  = 2.4 // mm between columns
	markRoom = 5.2 // mm for a verdict's mark
)

func say(text string) cell    { return cell{text: text, t: look.Text} }
func strong(text string) cell { return cell{text: text, t: look.Strong} }

// setTable sets the table with its left edge at x and returns the height used.
func (p *press) setTable(tb table, x, y float64) float64 {
	start := y
	y += p.groupHeads(tb, x, y)
	y += p.columnHeads(tb, x, y)
	for i, row := range tb.rows {
		if i > 0 && !tb.tight {
			p.Stroke(ink.Segment(x, y, x+tb.width(), y), ink.Pen{Colour: look.Hair, Width: 0.15})
		}
		y += p.setRow(tb, row, x, y)
	}
	p.Stroke(ink.Segment(x, y, x+tb.width(), y), ink.Pen{Colour: look.Soft, Width: 0.2})
	return y - start
}

func (tb table) width() float64 {
	var w float64
	for _, c := range tb.columns {
		w += c.w
	}
	return w
}

// pad is the room above and below the words of a row.
func (p *press) pad(tb table) float64 {
	if tb.tight {
		return 0.5 + 0.35*p.air
	}
	return 0.6 + 0.9*p.air
}

// groupHeads sets the headings over several columns, each with a line over what it covers.
func (p *press) groupHeads(tb table, x, y float64) float64 {
	if len(tb.groups) == 0 {
		return 0
	}
	for _, g := range tb.groups {
		from, to := x, x
		for i, c := range tb.columns {
			if i < g.from {
				from += c.w
			}
			if i <= g.to {
				to += c.w
			}
		}
		p.Text(ink.Point{X: (from + cellGap + to) / 2, Y: y + look.Small.Height()}, g.head, ink.Fit(p, g.head, look.Small, to-from-cellGap, 4.5).To(ink.Middle))
		p.Stroke(ink.Segment(from+cellGap, y+look.Small.Height()+1.1, to, y+look.Small.Height()+1.1), ink.Pen{Colour: look.Hair, Width: 0.2})
	}
	return look.Leading(look.Small) + 0.6
}

func (p *press) columnHeads(tb table, x, y float64) float64 {
	h := 0.0
	for i, c := range tb.columns {
		h = max(h, p.headHeight(c.head, tb.inner(i)))
	}
	for i, c := range tb.columns {
		t := p.headType(c.head, tb.inner(i))
		lines := ink.Wrap(p, c.head, t, tb.inner(i))
		for k, l := range lines {
			base := y + h - look.Leading(look.Small)*float64(len(lines)-1-k) - 0.8
			if c.figures {
				p.Text(ink.Point{X: x + c.w, Y: base}, l, t.To(ink.Right))
			} else {
				p.Text(ink.Point{X: x + tb.indent(i), Y: base}, l, t)
			}
		}
		x += c.w
	}
	p.Stroke(ink.Segment(x-tb.width(), y+h+0.5, x, y+h+0.5), ink.Pen{Colour: look.Soft, Width: 0.2})
	return h + 0.5
}

// headType is the type of a column's heading: small enough that none of its words is broken.
func (p *press) headType(head string, w float64) ink.Type {
	t := look.Small
	for _, word := range strings.Fields(head) {
		t = ink.Fit(p, word, t, w, 4)
	}
	return t
}

// headHeight is the height of a column's heading.
func (p *press) headHeight(head string, w float64) float64 {
	return look.Leading(look.Small) * float64(len(ink.Wrap(p, head, p.headType(head, w), w)))
}

// indent keeps columns apart; the first begins at the edge.
func (tb table) indent(i int) float64 {
	if i == 0 {
		return 0
	}
	return cellGap
}

func (tb table) inner(i int) float64 { return tb.columns[i].w - tb.indent(i) }

// rowHeight is the height of a row as set.
func (p *press) rowHeight(tb table, row []cell) float64 {
	h := 0.0
	for i, c := range row {
		h = max(h, p.cellHeight(c, tb.inner(i), tb.columns[i].figures))
	}
	return h + 2*p.pad(tb)
}

// cellHeight is the height of a cell's ink: from the top of its capitals to its last baseline. Figures are never broken.
func (p *press) cellHeight(c cell, w float64, figures bool) float64 {
	if c.mark != 0 {
		w -= markRoom
	}
	h := p.high(c.text, c.t, w)
	if figures {
		h = look.Leading(c.t)
	}
	if c.note == "" {
		return h - look.Leading(c.t) + c.t.Height()
	}
	return h + p.high(c.note, look.Small, w) - look.Leading(look.Small) + look.Small.Height()
}

// tableHeight is the height of the table as set.
func (p *press) tableHeight(tb table) float64 {
	h, heads := 0.5, 0.0
	if len(tb.groups) > 0 {
		h += look.Leading(look.Small) + 0.6
	}
	for i, c := range tb.columns {
		heads = max(heads, p.headHeight(c.head, tb.inner(i)))
	}
	for _, row := range tb.rows {
		h += p.rowHeight(tb, row)
	}
	return h + heads
}

func (p *press) setRow(tb table, row []cell, x, y float64) float64 {
	h := p.rowHeight(tb, row)
	top := y + p.pad(tb)
	for i, c := range row {
		if tb.columns[i].figures {
			p.setFigure(tb, i, c, x, top)
		} else {
			p.setWords(c, x+tb.indent(i), top, tb.inner(i))
		}
		x += tb.columns[i].w
	}
	return h
}

func (p *press) setWords(c cell, x, y, w float64) {
	if c.mark != 0 {
		look.DrawVerdict(p, c.mark, x+1.7, y+c.t.Height()/2, 3.2)
		x, w = x+markRoom, w-markRoom
	}
	y += p.block(c.text, c.t, x, y, w)
	if c.note != "" {
		p.block(c.note, look.Small, x, y, w)
	}
}

// setFigure sets a figure so that the points of its column stand in line: the longest fraction touches the right edge.
func (p *press) setFigure(tb table, i int, c cell, x, y float64) {
	longest := 0.0
	for _, row := range tb.rows {
		longest = max(longest, p.Width(fraction(row[i].text), row[i].t))
	}
	point := x + tb.columns[i].w - longest
	whole := strings.TrimSuffix(c.text, fraction(c.text))
	p.Text(ink.Point{X: point - p.Width(whole, c.t), Y: y + c.t.Height()}, c.text, c.t)
	if c.note != "" {
		p.Text(ink.Point{X: x + tb.columns[i].w, Y: y + look.Leading(c.t) + look.Small.Height()}, c.note, look.Small.To(ink.Right))
	}
}

// fraction returns a figure's point or comma and what follows it.
func fraction(text string) string {
	if i := strings.LastIndexAny(text, ".,"); i >= 0 {
		return text[i:]
	}
	return ""
}
