package wear

import (
	"fmt"
	"math"
	"slices"
	"time"

	"slatewright/sheet"
	"slatewright/trouble"
)

// Read reads a log: the columns day (2026-03-02) and height_mm, and position (which bit) and area_m2 (surfaced since the day before; once a day). Header lines: usable height,
// which must be there, new height, bits, bit price, fitting price, m2 per set, band, and changed for each day on which a new ring was put in: what was read before the last
// of them does not count.
func Read(s *sheet.Sheet) (*Log, error) {
	l := &Log{New: math.NaN(), Bits: math.NaN(), Price: math.NaN(), Fitting: math.NaN(), PerSet: math.NaN(), Band: math.NaN()}
	changed, err := l.header(s)
	if err != nil {
		return nil, err
	}
	c, err := s.Columns([]string{"day", "height"}, "position", "area m2", "note")
	if err != nil {
		return nil, err
	}
	rows, err := readRows(s, c)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(rows, func(a, b row) int { return a.day.Compare(b.day) })
	before := len(rows)
	rows = slices.DeleteFunc(rows, func(r row) bool { return r.day.Before(changed) })
	if len(rows) == 0 {
		return nil, trouble.Data("no-rows", s.Name, "nothing was read since the ring was changed on "+changed.Format(time.DateOnly), "read the new ring first")
	}
	if n := before - len(rows); n > 0 {
		l.Warnings = append(l.Warnings, fmt.Sprintf("%s from before %s left out: the ring was changed then", trouble.Count(n, "reading", "readings"), changed.Format(time.DateOnly)))
	}
	if err := l.take(s, rows); err != nil {
		return nil, err
	}
	l.Warnings = append(l.Warnings, s.Rest()...)
	if err := l.check(); err != nil {
		if t, ok := err.(*trouble.Trouble); ok {
			return nil, trouble.Data(t.Code, s.Name, t.What, t.Next)
		}
		return nil, err
	}
	return l, nil
}

// row is one line as read; area is NaN where its cell is empty.
type row struct {
	day          time.Time
	bit          string
	height, area float64
	line         int
}

func readRows(s *sheet.Sheet, c map[string]sheet.Column) (rows []row, err error) {
	for _, in := range s.Rows {
		r := row{bit: in.Text(c["position"]), area: math.NaN(), line: in.Line}
		if r.day, err = time.Parse(time.DateOnly, in.Text(c["day"])); err != nil || r.day.Year() < 1900 || r.day.Year() > 2200 {
			return nil, s.Bad(in.Line, "bad-day", fmt.Sprintf("day = %q is not in the calendar", in.Text(c["day"])), "write it as 2026-11-25")
		}
		if r.height, err = s.Length(in, c["height"]); err != nil {
			return nil, err
		}
		if in.Text(c["area m2"]) != "" {
			if r.area, err = s.Number(in, c["area m2"]); err != nil {
				return nil, err
			}
		}
		if !(r.height >= 0 && r.height < 1000) || r.area < 0 || r.area >= 1e7 {
			return nil, s.Bad(in.Line, "bad-number", "a height or an area is out of reach", "write the caliper's reading in mm, and m² surfaced since the day before")
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// take makes days of rows.
func (l *Log) take(s *sheet.Sheet, rows []row) error {
	read := map[[2]string]bool{}
	said, none := 0, 0
	var area []float64
	for _, r := range rows {
		if n := len(l.Days); n == 0 || !l.Days[n-1].Equal(r.day) {
			l.Days, area = append(l.Days, r.day), append(area, math.NaN())
		}
		d := len(l.Days) - 1
		if key := [2]string{r.day.Format(time.DateOnly), r.bit}; r.bit != "" && read[key] {
			return s.Bad(r.line, "twice", "bit "+r.bit+" was read twice on "+key[0], "keep the reading that counts, or their mean")
		} else {
			read[key] = true
		}
		if !math.IsNaN(r.area) {
			if !math.IsNaN(area[d]) && area[d] != r.area {
				return s.Bad(r.line, "two-areas", "the day has two areas", "write the m² surfaced since the day before once a day")
			}
			area[d] = r.area
		}
		l.Readings = append(l.Readings, Reading{d, r.bit, r.height})
	}
	for _, v := range area[1:] {
		if math.IsNaN(v) {
			none++
		} else {
			said++
		}
	}
	if math.IsNaN(area[0]) {
		area[0] = 0
	}
	switch {
	case said > 0 && none > 0:
		i := 1 + slices.IndexFunc(area[1:], math.IsNaN)
		return trouble.Data("no-area", s.Name, "no area stands at "+l.Days[i].Format(time.DateOnly), "write the m² surfaced since the day before on every day, or on none")
	case said > 0:
		l.Area = area
	default:
		l.Warnings = append(l.Warnings, "no area was written: wear is told by days, as if each day surfaced as much")
	}
	return nil
}

// header takes the header lines, and the last day on which the ring was changed.
func (l *Log) header(s *sheet.Sheet) (changed time.Time, err error) {
	for _, k := range []struct {
		key  string
		into *float64
		take func(string) (float64, bool, error)
	}{
		{"usable height", &l.Usable, s.TakeLength}, {"new height", &l.New, s.TakeLength}, {"band", &l.Band, s.TakeLength}, {"bits", &l.Bits, s.TakeNumber}, {"bit price", &l.Price, s.TakeNumber},
		{"fitting price", &l.Fitting, s.TakeNumber}, {"m2 per set", &l.PerSet, s.TakeNumber},
	} {
		v, ok, err := k.take(k.key)
		if err != nil {
			return changed, err
		}
		if ok {
			*k.into = v
		}
	}
	if !(l.Usable > 0) {
		return changed, s.Bad(1, "no-usable", "the height at which a bit must go is not given", "write '# usable height: 2 mm'")
	}
	for _, h := range s.TakeAll("changed") {
		day, err := time.Parse(time.DateOnly, h.Value)
		if err != nil {
			return changed, s.Bad(h.Line, "bad-day", fmt.Sprintf("# changed: %q is not in the calendar", h.Value), "write it as 2026-11-25")
		}
		if day.After(changed) {
			changed = day
		}
	}
	return changed, nil
}
