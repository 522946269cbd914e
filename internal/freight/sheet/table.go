package sheet

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"slatewright/measure"
	"slatewright/trouble"
)

// Column is a column that a list may have.
type Column struct {
	Name     string
	Also     []string // other names that the trade uses for it
	Quantity Quantity
	Needed   bool // the list is none without it
}

// Table is a list whose titles have been understood.
type Table struct {
	Unknown []string // titles that no column has; Row.Rest gives their cells
	lexer   *lexer
	places  []*place // by the cell's number; nil where the title is unknown
	titles  []string
	ahead   *Row // a row that was looked at for units, and is none of units
	zone    *time.Location
}

// place is a column as it stands in one list.
type place struct {
	Column
	unit string
	told bool // that a unit is missing; once for a list is enough
}

// Open reads the titles of a list. Times without a zone are in zone.
func Open(name string, r io.Reader, columns []Column, zone *time.Location) (*Table, error) {
	x, err := newLexer(name, r)
	if err != nil {
		return nil, err
	}
	t := &Table{lexer: x, zone: zone}
	titles, line, err := t.next()
	if errors.Is(err, io.EOF) {
		return nil, trouble.Data("empty", name, "the list is empty", "the first row names the columns: "+names(columns))
	}
	if err != nil {
		return nil, err
	}
	if err := t.bind(titles, line, columns); err != nil {
		return nil, err
	}
	return t, t.unitRow()
}

// next is the next row that is not blank.
func (t *Table) next() (cells []string, line int, err error) {
	for {
		if cells, line, err = t.lexer.row(); err != nil || !blank(cells) {
			return cells, line, err
		}
	}
}

// bind finds the columns that the titles name.
func (t *Table) bind(titles []string, line int, columns []Column) error {
	where := t.lexer.at(line)
	for _, title := range titles {
		title = strings.TrimSpace(Unguard(title))
		p := find(title, columns)
		switch {
		case p == nil && title != "":
			t.Unknown = append(t.Unknown, title)
		case p != nil && t.index(p.Name) >= 0:
			return trouble.Data("double-column", where, fmt.Sprintf("two columns are called %s", p.Name), "keep one of them")
		}
		t.places, t.titles = append(t.places, p), append(t.titles, title)
	}
	for _, c := range columns {
		if c.Needed && t.index(c.Name) < 0 {
			return trouble.Data("no-column", where, fmt.Sprintf("no column is called %s", c.Name), "the first row names the columns: "+names(columns))
		}
	}
	return nil
}

// find reads a title: a column's name, alone or with a unit as in "mass [kg]", "mass (kg)", "mass kg" or "mass_kg".
func find(title string, columns []Column) *place {
	plain := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return strings.ContainsRune(" _[]()", r) }), " ")
	}
	title = plain(title)
	for _, c := range columns {
		for _, name := range append([]string{c.Name}, c.Also...) {
			rest, ok := strings.CutPrefix(title, plain(name))
			if ok && rest == "" {
				return &place{Column: c}
			}
			if unit, known := c.Quantity.unit(rest); ok && known && rest[0] == ' ' {
				return &place{Column: c, unit: unit}
			}
		}
	}
	return nil
}

// unitRow takes the row below the titles as one of units when all that stands in it are units of their columns.
func (t *Table) unitRow() error {
	row, err := t.Next()
	if errors.Is(err, io.EOF) {
		return nil
	}
	if err != nil {
		return err
	}
	if len(row.cells) != len(t.places) {
		t.ahead = row
		return nil
	}
	units := make([]string, len(t.places))
	for i, cell := range row.cells {
		known := cell == ""
		if p := t.places[i]; p != nil && cell != "" {
			units[i], known = p.Quantity.unit(strings.Trim(cell, "[]() "))
		}
		if !known {
			t.ahead = row
			return nil
		}
	}
	for i, unit := range units {
		if unit != "" {
			t.places[i].unit = unit
		}
	}
	return nil
}

func names(columns []Column) string {
	var list []string
	for _, c := range columns {
		list = append(list, c.Name)
	}
	return strings.Join(list, ", ")
}

func (t *Table) index(name string) int {
	return slices.IndexFunc(t.places, func(p *place) bool { return p != nil && p.Name == name })
}

// Has tells whether the list has a column.
func (t *Table) Has(name string) bool { return t.index(name) >= 0 }

// Row is one row of a list. Its readers return the zero value for a cell that is empty or wrong; what is wrong stands in Faults.
type Row struct {
	Line   int
	Faults []*trouble.Trouble
	table  *Table
	cells  []string
}

// Next returns the next row, or io.EOF. After an error there is none.
func (t *Table) Next() (*Row, error) {
	if row := t.ahead; row != nil {
		t.ahead = nil
		return row, nil
	}
	cells, line, err := t.next()
	if err != nil {
		return nil, err
	}
	row := &Row{Line: line, table: t, cells: cells}
	for len(row.cells) > len(t.places) && strings.TrimSpace(row.cells[len(row.cells)-1]) == "" {
		row.cells = row.cells[:len(row.cells)-1]
	}
	if n := len(row.cells); n != len(t.places) {
		row.Fault("", trouble.Data("columns", "", fmt.Sprintf("the row has %s and the first row %d", trouble.Count(n, "cell", "cells"), len(t.places)),
			"part the cells as in the first row; a cell with a separator in it needs quotation marks"))
	}
	return row, nil
}

// File is the name of the list.
func (r *Row) File() string { return r.table.lexer.name }

// Fault notes what is wrong with a cell, or with the row when column is empty.
func (r *Row) Fault(column string, err error) {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		t = trouble.Data("bad-cell", "", err.Error(), "")
	}
	located := *t
	located.Where = r.table.lexer.at(r.Line)
	if column != "" {
		located.Where += ", " + column
	}
	r.Faults = append(r.Faults, &located)
}

// cell is the text of a column's cell; none when the list has no such column or the row is cut.
func (r *Row) cell(column string) (text, unit string) {
	i := r.table.index(column)
	if i < 0 || i >= len(r.cells) {
		return "", ""
	}
	return strings.TrimSpace(Unguard(strings.ReplaceAll(r.cells[i], "\r\n", "\n"))), r.table.places[i].unit
}

// Text returns a cell as it stands.
func (r *Row) Text(column string) string {
	text, _ := r.cell(column)
	return text
}

// Need is Text of a cell that must not be empty.
func (r *Row) Need(column string) string {
	text, _ := r.cell(column)
	if text == "" {
		r.Fault(column, trouble.Data("empty-cell", "", "the cell is empty", "fill it in, or take the row out"))
	}
	return text
}

// Words returns the words of a cell.
func (r *Row) Words(column string) []string {
	return strings.FieldsFunc(r.Text(column), func(c rune) bool { return strings.ContainsRune(" ,;", c) })
}

// Number returns a length, mass, temperature or percentage.
func (r *Row) Number(column string) (x float64, given bool) {
	text, unit := r.cell(column)
	if text == "" {
		return 0, false
	}
	p := r.table.places[r.table.index(column)]
	if unit == "" && p.Quantity.needsUnit() && unitless(text) {
		if !p.told {
			r.Fault(column, trouble.Data("no-unit", "", fmt.Sprintf("%q has no unit, and neither has its column", text),
				fmt.Sprintf("write the unit into the title: %s [%s]", column, p.Quantity.units()[0])))
		}
		p.told = true
		return 0, false
	}
	x, err := p.Quantity.number(text, unit)
	if err != nil {
		r.Fault(column, err)
	}
	return x, err == nil
}

// NeedNumber is Number of a cell that must not be empty.
func (r *Row) NeedNumber(column string) float64 {
	r.Need(column)
	x, _ := r.Number(column)
	return x
}

// Size returns the two sides of a size in the order they are written.
func (r *Row) Size(column string) (x, y float64, given bool) {
	text, unit := r.cell(column)
	if text == "" {
		return 0, 0, false
	}
	if last := text[len(text)-1]; last >= '0' && last <= '9' {
		text += " " + unit
	}
	x, y, err := measure.ParseSize(strings.TrimSpace(text))
	if err != nil {
		r.Fault(column, err)
	}
	return x, y, err == nil
}

// Count returns a whole number that is not negative.
func (r *Row) Count(column string) (n int, given bool) {
	text, _ := r.cell(column)
	if text == "" {
		return 0, false
	}
	n, err := whole(text)
	if err != nil {
		r.Fault(column, err)
	}
	return n, err == nil
}

// YesNo returns whether a cell says yes.
func (r *Row) YesNo(column string) bool {
	text, _ := r.cell(column)
	if text == "" {
		return false
	}
	answer, err := yes(text)
	if err != nil {
		r.Fault(column, err)
	}
	return answer
}

// Moment returns a time in UTC, to the millisecond. day tells that only a day was written: the time is its beginning.
func (r *Row) Moment(column string) (at time.Time, day, given bool) {
	text, _ := r.cell(column)
	if text == "" {
		return time.Time{}, false, false
	}
	at, day, err := moment(text, r.table.zone)
	if err != nil {
		r.Fault(column, err)
	}
	return at, day, err == nil
}

// Rest returns what stands in columns that nobody knows, as "title: text" with semicolons between.
func (r *Row) Rest() string {
	var list []string
	for i, p := range r.table.places {
		if p == nil && i < len(r.cells) {
			if text := strings.TrimSpace(Unguard(r.cells[i])); text != "" {
				list = append(list, strings.TrimPrefix(r.table.titles[i]+": ", ": ")+text)
			}
		}
	}
	return strings.Join(list, "; ")
}
