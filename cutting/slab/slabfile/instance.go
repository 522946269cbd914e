package slabfile

import (
	"fmt"
	"math"
	"strings"

	"slatewright/cutting/slab"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Plain says how a list of items is cut from a plain rectangle.
type Plain struct {
	Stock  string // "127x98"; empty: the columns stock_length and stock_width
	Name   string // of one instance among several in the list
	Kerf   float64
	Turned bool // items may lie either way; otherwise their length lies along the stock's
}

// Instance reads a list of items for a plain rectangle: item, item_length, item_width, max_copies (empty: no limit), value, all whole numbers in any unit.
func Instance(list *sheet.Sheet, p Plain) (*slab.Slab, error) {
	columns, err := list.Columns([]string{"item length", "item width", "value"}, "item", "max copies", "instance", "problem", "stock length", "stock width")
	if err != nil {
		return nil, err
	}
	in := reader{list, columns}
	var size [2]float64
	if p.Stock != "" {
		if size, err = stock(p.Stock); err != nil {
			return nil, err
		}
	}
	s := &slab.Slab{Name: p.Name, Angles: []float64{0}, Kerf: p.Kerf}
	first := ""
	for _, r := range list.Rows {
		name := in.text(r, "instance")
		switch {
		case p.Name != "" && name != p.Name:
			continue
		case len(s.Types) > 0 && name != first:
			return nil, list.Bad(r.Line, "several-instances", fmt.Sprintf("the list holds the instances %q and %q", first, name), "say which one by --name")
		}
		first = name
		if p.Stock == "" {
			if size, err = in.stock(r); err != nil {
				return nil, err
			}
		}
		t, err := in.item(r, len(s.Types))
		if err != nil {
			return nil, err
		}
		t.Quarters = [4]bool{true, p.Turned}
		s.Types = append(s.Types, t)
	}
	if len(s.Types) == 0 {
		return nil, trouble.Data("no-rows", list.Name, fmt.Sprintf("no item of the instance %q", p.Name), "check the name against the column instance")
	}
	s.Outline = []slab.Point{{}, {X: size[0]}, {X: size[0], Y: size[1]}, {Y: size[1]}}
	return s, in.of(s.Check())
}

func (in reader) of(err error) error { return within(in.list.Name, err) }

// reader finds cells of a list by the names of its columns.
type reader struct {
	list    *sheet.Sheet
	columns map[string]sheet.Column
}

func (in reader) text(r sheet.Row, column string) string { return r.Text(in.columns[column]) }

// whole reads a cell that must hold a whole number of 1 or more.
func (in reader) whole(r sheet.Row, column string) (float64, error) {
	v, err := in.list.Number(r, in.columns[column])
	if err == nil && (v < 1 || v != math.Trunc(v)) {
		err = in.list.Bad(r.Line, "bad-number", fmt.Sprintf("%s = %q is not a whole number of 1 or more", column, in.text(r, column)), "give sizes in a unit that makes them whole")
	}
	return v, err
}

func (in reader) stock(r sheet.Row) (size [2]float64, err error) {
	for i, column := range []string{"stock length", "stock width"} {
		if in.columns[column].Name == "" {
			return size, trouble.Usage("no-stock", "--stock", "the list does not say what is cut", "give --stock 127x98, length and width")
		}
		if size[i], err = in.whole(r, column); err != nil {
			return size, err
		}
	}
	return size, nil
}

// stock reads "127x98".
func stock(text string) (size [2]float64, err error) {
	l, w, ok := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	for i, part := range []string{l, w} {
		v, err := measure.ParseNumber(strings.TrimSpace(part))
		if !ok || err != nil || v < 1 || v != math.Trunc(v) {
			return size, trouble.Usage("no-stock", "--stock", fmt.Sprintf("%q is no size", text), "give length and width as whole numbers: --stock 127x98")
		}
		size[i] = v
	}
	return size, nil
}

func (in reader) item(r sheet.Row, before int) (t slab.Type, err error) {
	t.Most = -1
	if t.Name = in.text(r, "item"); t.Name == "" {
		t.Name = fmt.Sprint(before + 1)
	}
	if t.Length, err = in.whole(r, "item length"); err != nil {
		return t, err
	}
	if t.Width, err = in.whole(r, "item width"); err != nil {
		return t, err
	}
	v, err := in.list.Number(r, in.columns["value"])
	if err != nil {
		return t, err
	}
	if t.Value, err = value(fmt.Sprintf("%s:%d", in.list.Name, r.Line), v); err != nil {
		return t, err
	}
	if in.text(r, "max copies") != "" {
		n, err := in.list.Number(r, in.columns["max copies"])
		if err != nil {
			return t, err
		}
		if n < 0 || n != math.Trunc(n) || n > 1e6 {
			return t, in.list.Bad(r.Line, "bad-number", fmt.Sprintf("max copies = %q is no number of copies", in.text(r, "max copies")), "give a whole number, or leave it empty for no limit")
		}
		t.Most = int(n)
	}
	return t, nil
}
