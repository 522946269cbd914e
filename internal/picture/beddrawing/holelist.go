package beddrawing

import (
	"fmt"

	"slatewright/internal/picture/drafting"
	"slatewright/internal/picture/ink"
)

// listSheets sets the list of holes: mark, name, place in the bed and in the piece.
func (b *bed) listSheets() (list []*sheet) {
	rows := b.listRows()
	w, h := b.Paper.size()
	in := inner(w, h)
	const rowH, head = 4.4, 12.0
	widths := []float64{12, 12, 12, 17, 17, 17, 17}
	ruler := drafting.New(0, 1)
	for k, head := range b.listHeads()[:3] {
		widths[k] = max(widths[k], ruler.Measure(head, drafting.Least, true)+2.5)
	}
	for _, row := range rows {
		for k := 1; k <= 2; k++ {
			widths[k] = min(34, max(widths[k], ruler.Measure(row[k], drafting.Least, false)+2.5))
		}
	}
	wide := 0.0
	for _, x := range widths {
		wide += x
	}
	blocks := int((in.W() - air) / (wide + air))
	each := int((in.H() - head - b.titleHigh() - 4) / rowH)
	for n := 0; n == 0 || len(rows) > 0; n++ {
		d := drafting.New(b.Paper.pen(), 1)
		d.Width, d.Height, d.Origin = w, h, drafting.At(in.X0, in.Y1)
		d.Name = "holes"
		if n > 0 {
			d.Name = fmt.Sprint("holes-", n+1)
		}
		for k := range blocks {
			if len(rows) == 0 {
				break
			}
			take := min(each, len(rows))
			b.listBlock(d, in.X0+air+float64(k)*(wide+air), in.Y0+3, widths, rows[:take], rowH)
			rows = rows[take:]
		}
		d.Words(layerNote, in.X0+air, in.Y1-3, b.told("drawing.list-note"))
		list = append(list, &sheet{Drawing: d, what: b.told("drawing.list"), scale: "–"})
	}
	return list
}

// listRows are the cells of the list, in the order of the marks.
func (b *bed) listRows() (rows [][]string) {
	for _, g := range b.groups {
		for n, i := range g.Holes {
			h := b.Holes[i]
			row := []string{fmt.Sprint(g.Letter, n+1), h.Name, "", b.mm(h.X), b.mm(h.Y), "", ""}
			if h.Piece >= 0 {
				m := b.Pieces[h.Piece]
				row[2], row[5], row[6] = b.piece(h.Piece), b.mm(h.X-m.Middle.X), b.mm(h.Y-m.Middle.Y)
			}
			rows = append(rows, row)
		}
	}
	return rows
}

func (b *bed) listHeads() []string {
	return []string{b.told("drawing.list-mark"), b.told("drawing.list-name"), b.told("drawing.list-piece"), "x", "y", "x", "y"}
}

// listBlock sets one column of the list.
func (b *bed) listBlock(d *drafting.Drawing, x, y float64, widths []float64, rows [][]string, rowH float64) {
	total := 0.0
	for _, w := range widths {
		total += w
	}
	s := &sheet{Drawing: d}
	set := func(cells []string, y float64, bold bool) {
		at := x
		for k, words := range cells {
			t := drafting.Text{Layer: layerNote, Height: drafting.Least, Bold: bold, At: drafting.At(at+1, y)}
			t.Words, _ = s.fit(words, drafting.Least, widths[k]-2)
			if k >= 3 {
				t.At.X, t.Align = at+widths[k]-1, ink.Right
			}
			d.Text(t)
			at += widths[k]
		}
	}
	set([]string{"", "", "", b.told("drawing.list-bed"), "", b.told("drawing.list-piece"), ""}, y+3, true)
	set(b.listHeads(), y+7.4, true)
	top := y + 8.6
	d.Line(layerSheet, drafting.Wide, drafting.At(x, top), drafting.At(x+total, top))
	for i, row := range rows {
		set(row, top+rowH*float64(i)+3.4, false)
		if (i+1)%5 == 0 || i+1 == len(rows) {
			d.Line(layerSheet, drafting.Thin, drafting.At(x, top+rowH*float64(i+1)), drafting.At(x+total, top+rowH*float64(i+1)))
		}
	}
}
