// Package casefile reads what a mill knows of a batch of lining boards: header lines "# key: value" on piece, board, room, layout and
// destination, and below them one row for each look at the waiting boards, with the humidity there and the mass of a sample board.
//
// It puts the usual ranges in the place of what is not given, reckons nothing (package lining does), and knows no grade by name.
package casefile

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatewright/lining"
	"slatewright/measure"
	"slatewright/sheet"
)

// reader takes header lines and keeps the first trouble.
type reader struct {
	*sheet.Sheet
	err error
}

// Read reads a case. Warnings are of header lines that mean nothing. The error is a *trouble.Trouble with file and line.
func Read(list *sheet.Sheet) (c lining.Case, warnings []string, err error) {
	r := &reader{Sheet: list}
	r.piece(&c)
	r.board(&c.Board)
	r.room(&c)
	c.Limit = r.limit()
	c.Destination = r.destination()
	for _, h := range r.TakeAll("layout") {
		l, ok := layout(h.Value)
		if !ok {
			r.bad(h, "it is no layout", "write 'full', 'strips 60 mm, lengths 150 mm, gaps 20 mm, 1 more' or 'pads 120 x 120 mm, 3 x 4'")
		}
		c.Layouts = append(c.Layouts, l)
	}
	c.Creep = r.span("creep", share, lining.UsualCreep)
	c.Hysteresis = r.span("hysteresis", share, lining.UsualHysteresis)
	r.rows(&c.Room)
	if r.err != nil {
		return c, nil, r.err
	}
	return c, r.Rest(), nil
}

func (r *reader) piece(c *lining.Case) {
	if h, ok := r.take("piece"); ok {
		x, y, err := measure.ParseSize(h.Value)
		if err != nil {
			r.bad(h, "it is no size", "write x by y, such as 914 x 1473 mm")
		}
		c.Piece.X, c.Piece.Y = x, y
	}
	c.Piece.Thickness = r.span("stone", length, lining.Span{})
	c.Piece.Modulus = r.span("stone modulus", stress, lining.UsualStone)
}

func (r *reader) board(b *lining.Board) {
	if h, ok := r.take("grade"); ok {
		b.Grade = h.Value
	}
	b.Thickness = r.span("board", length, lining.Span{})
	b.Modulus = r.span("board modulus", stress, lining.UsualModulus)
	b.Shear = r.span("board shear", stress, lining.UsualShear)
	b.Moisture = r.span("moisture", plain, lining.UsualMoisture)
	none := lining.Span{Value: math.NaN()}
	b.Drying, b.Wetting = scattered(r.span("movement 65 to 30", strain, none)), scattered(r.span("movement 65 to 85", strain, none))
	measured := !math.IsNaN(b.Drying.Value) && !math.IsNaN(b.Wetting.Value)
	if h, ok := r.take("coupon"); ok {
		b.Source = lining.Coupons
		text, over, said := strings.Cut(h.Value, "over")
		mm, err := measure.ParseLength(strings.TrimSpace(over))
		s, good := length.span(strings.TrimRight(strings.TrimSpace(text), ","))
		if !said || err != nil || !good {
			r.bad(h, "it is no bow for 1 % of humidity", "write it as the coupon's evaluation prints it: 0.0113 mm, 0.0105 to 0.0121, over 1470 mm")
		}
		b.Coupon = lining.Coupon{PerHumidity: s, Length: mm}
	} else if !measured {
		b.Source = lining.Equation
	}
	if !measured {
		b.Drying, b.Wetting = lining.Span{}, lining.Span{}
	}
	if h, ok := r.take("glue line"); ok {
		thick, modulus, _ := strings.Cut(h.Value, ",")
		mm, err := measure.ParseLength(strings.TrimSpace(thick))
		g, good := stress.span(strings.TrimSpace(modulus))
		if err != nil || !good || !(g.Value > 0) || !(mm >= 0) {
			r.bad(h, "it is no glue line", "write its thickness and its shear modulus, such as 0.2 mm, 40 MPa")
			return
		}
		b.Bond = mm / g.Value
	}
}

// scattered gives a movement without limits the usual ones, and takes it as a size.
func scattered(s lining.Span) lining.Span {
	if s.High <= 0 { // written as a shrinkage
		s = lining.Span{Value: -s.Value, Low: -s.High, High: -s.Low}
	}
	if s.Low == s.High {
		return lining.Span{Value: s.Value, Low: s.Value * (1 - lining.Scatter), High: s.Value * (1 + lining.Scatter)}
	}
	return s
}

func (r *reader) room(c *lining.Case) {
	o := &c.Room
	o.Sensor = half(r.span("sensor", percent, lining.Span{}))
	o.Scale = half(r.span("scale", grams, lining.Span{}))
	if h, ok := r.take("press room"); ok {
		s, good := percent.span(h.Value)
		if !good {
			r.bad(h, "it is no humidity", "write it such as 47 ± 3")
		}
		if s.Low == s.High {
			s = lining.Within(s.Value, o.Sensor)
		}
		o.Press = &s
	}
	if h, ok := r.take("meter"); ok {
		s, good := percent.span(h.Value)
		if !good {
			r.bad(h, "it is no moisture content", "write what the meter reads and within what it is right, such as 8.5 ± 1")
		}
		if s.Low == s.High {
			s = lining.Within(s.Value, 1)
		}
		o.Meter = &s
	}
	o.LeastDays = r.span("least days", plain, lining.Exactly(lining.UsualLeastDays)).Value
	o.MostRate = r.span("most change", perDay, lining.Exactly(lining.UsualMostRate)).Value
	o.Slowest = r.span("slowest", days, lining.Span{}).Value
	density := r.span("board density", mass, lining.Exactly(usualDensity)).Value
	if h, ok := r.take("glue"); ok {
		spread, part, _ := strings.Cut(h.Value, ",")
		g, good := area.span(strings.TrimSpace(spread))
		w, also := percent.span(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(part), "water")))
		if !good || !also || !(density > 0) || !(c.Board.Thickness.Value > 0) {
			r.bad(h, "it is no spread of glue", "write it such as 150 g/m2, 50 % water")
			return
		}
		o.GlueWater = lining.Between(0, g.Value*w.Value/(density*c.Board.Thickness.Value)) // g/m² · % over kg/m³ · mm = g/m²
	}
}

// usualDensity of a lining board, kg/m³: 45 lb/ft³, the grade usual in the trade.
const usualDensity = 720

// half is the limit of a span that is a doubt: ± 2, or 2 alone.
func half(s lining.Span) float64 {
	if s.Value == 0 {
		return (s.High - s.Low) / 2
	}
	return s.Value
}

// limit is the bow that the lining may cause: a length, or a share of the tolerance.
func (r *reader) limit() float64 {
	tolerance := r.span("tolerance", length, lining.Span{}).Value
	h, ok := r.take("share")
	if !ok {
		return 0
	}
	if s, good := percent.span(h.Value); good && strings.Contains(h.Value, "%") {
		if !(tolerance > 0) {
			r.bad(h, "it is a share of no tolerance", "write '# tolerance: 0.508 mm' beside it, or the share as a length")
		}
		return tolerance * s.Value / 100
	}
	s, good := length.span(h.Value)
	if !good {
		r.bad(h, "it is no share", "write it such as 0.15 mm, or 30 % beside '# tolerance: 0.508 mm'")
	}
	return s.Value
}

// usualSwing is the doubt of a room's humidity that is typed in by the month without one, % either way. Common practice, no source.
const usualSwing = 5

// destination is twelve humidities, or the name of an example climate.
func (r *reader) destination() (year [12]lining.Span) {
	h, ok := r.take("destination")
	if !ok {
		r.fail(r.Bad(1, "bad-header", "the destination's humidity is not given", "write twelve numbers, January to December, or an example climate: "+climates()))
		return year
	}
	for _, c := range lining.Climates() {
		if sheet.Key(h.Value) == c.Name {
			return c.Rooms
		}
	}
	text, doubt, said := strings.Cut(h.Value, "±")
	swing := lining.Exactly(usualSwing)
	good := true
	if said {
		swing, good = percent.span(strings.TrimSpace(doubt))
	}
	numbers := strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(" ,;%\t", c) })
	for i, n := range numbers {
		v, err := measure.ParseNumber(n)
		if good = good && err == nil && i < 12; good {
			year[i] = lining.Within(v, swing.Value)
		}
	}
	if !good || len(numbers) != 12 {
		r.bad(h, "these are not twelve humidities", "write twelve numbers, January to December, with one ± behind them, or an example climate: "+climates())
	}
	return year
}

// climates lists the examples' names.
func climates() string {
	var names []string
	for _, c := range lining.Climates() {
		names = append(names, c.Name)
	}
	return strings.Join(names, ", ")
}

// layout reads one way of cutting the lining.
func layout(text string) (l lining.Layout, ok bool) {
	parts := strings.Split(sheet.Key(text), ",")
	kind, rest, _ := strings.Cut(strings.TrimSpace(parts[0]), " ")
	l.Kind = lining.Kind(kind)
	var err error
	switch l.Kind {
	case lining.Full:
		return l, len(parts) == 1 && rest == ""
	case lining.Pads:
		if len(parts) != 2 {
			return l, false
		}
		if l.Width, l.Length, err = measure.ParseSize(rest); err != nil {
			return l, false
		}
		along, across, _ := strings.Cut(parts[1], "x")
		l.Along, err = strconv.Atoi(strings.TrimSpace(along))
		l.Across, ok = number(across)
		return l, ok && err == nil
	case lining.Strips:
		if l.Width, err = measure.ParseLength(rest); err != nil {
			return l, false
		}
		for _, p := range parts[1:] {
			if !stripPart(&l, strings.TrimSpace(p)) {
				return l, false
			}
		}
		return l, true
	}
	return l, false
}

// stripPart reads 'lengths 150 mm', 'gaps 20 mm' or '1 more'.
func stripPart(l *lining.Layout, text string) (ok bool) {
	word, rest, _ := strings.Cut(text, " ")
	var err error
	switch {
	case word == "lengths":
		l.Length, err = measure.ParseLength(rest)
		return err == nil && l.Length > 0
	case word == "gaps":
		l.Gap, err = measure.ParseLength(rest)
		return err == nil
	case rest == "more":
		l.More, ok = number(word)
		return ok
	}
	return false
}

func number(text string) (int, bool) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	return n, err == nil && n >= 0 && n < 1000
}

// rows reads the looks at the boards.
func (r *reader) rows(o *lining.Room) {
	if r.err != nil {
		return
	}
	at, err := r.Columns([]string{"day"}, "humidity", "mass g", "mass")
	if err != nil {
		r.fail(err)
		return
	}
	weight := at["mass g"]
	if weight.Name == "" {
		weight = at["mass"]
	}
	cell := func(row sheet.Row, c sheet.Column) float64 {
		if row.Text(c) == "" {
			return math.NaN()
		}
		v, err := r.Number(row, c)
		r.fail(err)
		return v
	}
	for _, row := range r.Rows {
		q := lining.Reading{Day: cell(row, at["day"]), Humidity: cell(row, at["humidity"]), Mass: cell(row, weight)}
		if math.IsNaN(q.Day) || len(o.Readings) > 0 && q.Day <= o.Readings[len(o.Readings)-1].Day {
			r.fail(r.Bad(row.Line, "bad-number", "the days must rise from row to row", "give the day since the boards were laid out, such as 0, 1, 2.5"))
		}
		o.Readings = append(o.Readings, q)
	}
}

// take returns a header line.
func (r *reader) take(key string) (sheet.Head, bool) {
	h, ok, err := r.Take(key)
	r.fail(err)
	return h, ok && err == nil
}

// span reads a value with its limits; otherwise stands where it is not given.
func (r *reader) span(key string, of quantity, otherwise lining.Span) lining.Span {
	h, ok := r.take(key)
	if !ok {
		return otherwise
	}
	s, good := of.span(h.Value)
	if !good {
		r.bad(h, "it is not a value with its limits", "write it such as "+of.like)
	}
	return s
}

func (r *reader) bad(h sheet.Head, what, next string) {
	r.fail(r.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q: %s", h.Key, h.Value, what), next))
}

func (r *reader) fail(err error) {
	if r.err == nil && err != nil {
		r.err = err
	}
}
