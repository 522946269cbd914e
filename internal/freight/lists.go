package freight

import (
	"fmt"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/freight/sheet"
	"slatewright/trouble"
)

// The lists, each with its columns and with what a row of it means. Names beside a column's own are what the trade writes.

var pieceColumns = []sheet.Column{
	{Name: "piece", Also: []string{"serial", "number"}, Needed: true},
	{Name: "from", Also: []string{"slab", "block", "layer"}},
	{Name: "size", Quantity: sheet.Size},
	{Name: "length", Quantity: sheet.Length},
	{Name: "width", Quantity: sheet.Length},
	{Name: "thickness", Quantity: sheet.Length},
	{Name: "mass", Also: []string{"weight"}, Quantity: sheet.Mass},
	{Name: "marked on"},
	{Name: "note"},
}

// stone takes a piece from stock into the book, or what it came from.
func (im *importing) stone(r *sheet.Row) book.Act {
	in := &book.TakeIn{Thing: thing(r, "piece", book.KindPiece), Note: joined(r.Text("note"), r.Rest())}
	if in.Thing.Kind == book.KindLayer {
		thick, _ := r.Number("thickness")
		in.Layer = &book.LayerFacts{ThicknessMM: thick}
		return in
	}
	s := &book.StoneFacts{From: r.Text("from"), MarkedOn: book.Surface(strings.ToLower(r.Text("marked on")))}
	long, ok1 := r.Number("length")
	wide, ok2 := r.Number("width")
	if x, y, given := r.Size("size"); given {
		if ok1 || ok2 {
			r.Fault("size", trouble.Data("two-sizes", "", "the size is given twice", "keep the column size, or length and width"))
		}
		long, wide = x, y
	}
	s.LengthMM, s.WidthMM = sides(long, wide)
	s.ThicknessMM, _ = r.Number("thickness")
	s.MassKg, _ = r.Number("mass")
	in.Stone = s
	return in
}

var weightColumns = []sheet.Column{
	{Name: "thing", Also: []string{"piece", "serial", "number"}, Needed: true},
	{Name: "mass", Also: []string{"weight"}, Quantity: sheet.Mass, Needed: true},
	{Name: "scale"},
}

// weight is one weighing.
func (im *importing) weight(r *sheet.Row) book.Act {
	w := &book.Weigh{Thing: thing(r, "thing", book.KindPiece), MassKg: r.NeedNumber("mass"), Scale: r.Text("scale")}
	if w.Scale == "" {
		w.Scale = one(im.Instruments)
	}
	if w.Scale == "" {
		r.Fault("scale", trouble.Data("no-instrument", "", "the scale is not given", "add the column scale with its number in the book, or name it for the whole list"))
	}
	needDate(r)
	return w
}

var climateColumns = []sheet.Column{
	{Name: "room"},
	{Name: "air", Also: []string{"temperature", "temp"}, Quantity: sheet.Temperature},
	{Name: "humidity", Also: []string{"rh", "relative humidity"}, Quantity: sheet.Percent},
	{Name: "instruments", Also: []string{"instrument", "logger"}, Quantity: sheet.Words},
}

// climate is one line of a room's log.
func (im *importing) climate(r *sheet.Row) book.Act {
	room := r.Text("room")
	if room == "" {
		room = im.Room
	}
	if room == "" {
		r.Fault("room", trouble.Data("no-room", "", "the room is not given", "add the column room, or name it for the whole list"))
	}
	read := &book.Read{Thing: book.Ref{Kind: book.KindRoom, ID: room}, What: "climate", Instruments: im.instruments(r)}
	if c, given := r.Number("air"); given {
		read.Value, read.Unit = &c, "C"
	}
	if h, given := r.Number("humidity"); given {
		read.HumidityPercent = &h
	}
	if read.Value == nil && read.HumidityPercent == nil && len(r.Faults) == 0 {
		r.Fault("", trouble.Data("empty-row", "", "neither air nor humidity is given", "fill one in, or take the row out"))
	}
	needDate(r)
	return read
}

var orderColumns = []sheet.Column{
	{Name: "order", Needed: true},
	{Name: "size", Needed: true},
	{Name: "class"},
	{Name: "sets", Quantity: sheet.Count, Needed: true},
	{Name: "due", Quantity: sheet.Moment, Needed: true},
	{Name: "note"},
}

// order takes an order into the book.
func (im *importing) order(r *sheet.Row) book.Act {
	o := &book.OrderFacts{Size: r.Need("size"), Class: r.Text("class")}
	r.Need("sets")
	o.Sets, _ = r.Count("sets")
	r.Need("due")
	o.Due, _, _ = r.Moment("due")
	return &book.TakeIn{Thing: book.Ref{Kind: book.KindOrder, ID: r.Need("order")}, Note: joined(r.Text("note"), r.Rest()), Order: o}
}

// thing reads the number of a thing: kind:number, or a number alone of the kind that the list is about.
func thing(r *sheet.Row, column string, kind book.Kind) book.Ref {
	text := r.Need(column)
	if text == "" || !strings.Contains(text, ":") {
		return book.Ref{Kind: kind, ID: text}
	}
	ref, err := book.ParseRef(text)
	if err != nil {
		r.Fault(column, err)
	}
	return ref
}

// instruments are what a row was read with.
func (im *importing) instruments(r *sheet.Row) []string {
	list := r.Words("instruments")
	if len(list) == 0 {
		list = im.Instruments
	}
	if len(list) == 0 {
		r.Fault("instruments", trouble.Data("no-instrument", "", "the instrument is not given",
			"add the column instruments with its number in the book, or name it for the whole list"))
	}
	return list
}

// needDate refuses a row that does not say when: what was weighed or read belongs to its moment.
func needDate(r *sheet.Row) {
	if r.Text("at") == "" {
		r.Fault("at", trouble.Data("no-time", "", "the row does not say when it was done", fmt.Sprintf("add the column at: %s", "2026-11-25 14:30")))
	}
}
