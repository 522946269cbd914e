package study

import (
	"slatewright/measure"
	"slatewright/sheet"
)

// List is a file of readings.
type List struct {
	Name      string
	Unit      string  // of the values: mm for every length, else as the file names it
	Tolerance float64 // in that unit, 0: none
	Readings  []Reading
	Warnings  []string
}

// Read reads a list with the columns part, person, trial and value; trial only keeps order. Lengths become mm: the unit stands in the title
// (value_um) or in '# unit:', and is mm where neither stands. Any other word in '# unit:', such as kg, leaves the numbers as they are.
// '# tolerance:' is in the unit of the values, or a length with its own.
func Read(s *sheet.Sheet) (*List, error) {
	columns, err := s.Columns([]string{"part", "person", "value"}, "trial")
	if err != nil {
		return nil, err
	}
	l := &List{Name: s.Name, Unit: measure.MM.String()}
	value, length := columns["value"], true
	if h, ok, err := s.Take("unit"); err != nil {
		return nil, err
	} else if ok {
		if _, err := measure.ParseUnit(h.Value); err == nil && value.Unit == "" {
			value.Unit = h.Value
		} else if err != nil {
			l.Unit, length = h.Value, false
		}
	}
	number := s.Number
	if length {
		number = s.Length
		l.Tolerance, _, err = s.TakeLength("tolerance")
	} else {
		l.Tolerance, _, err = s.TakeNumber("tolerance")
	}
	if err != nil {
		return nil, err
	}
	for _, row := range s.Rows {
		part, person := row.Text(columns["part"]), row.Text(columns["person"])
		if part == "" || person == "" {
			return nil, s.Bad(row.Line, "no-name", "the part or the person is not named", "fill it in, or delete the line")
		}
		v, err := number(row, value)
		if err != nil {
			return nil, err
		}
		l.Readings = append(l.Readings, Reading{part, person, v})
	}
	l.Warnings = s.Rest()
	return l, nil
}
