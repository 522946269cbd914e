// Package answers reads how a block is to be cut into leaves and what clean-up needed, and answers with the plan as the command line and the pages
// give it. It reckons nothing of its own, package leaves does.
package answers

import (
	"fmt"
	"strings"

	"slatewright/cutting/leaves"
	"slatewright/measure"
	"slatewright/sheet"
)

// What is taken where a file does not say it: common practice, no source. A saw leaves 1 to 2 mm on a face, a cleft 3 to 6 mm; a coarse saw hurts
// 0.2 to 0.5 mm of the stone, a cleft less.
const (
	usualSawn    = 2.0
	usualCleft   = 5.0
	usualHurt    = 0.5
	usualDensity = 2850.0 // kg/m³, wet, on the heavy side
	largest      = 20000  // mm, a side of a block
)

// Question is a block with what is wanted of it.
type Question struct {
	File          string
	Block         leaves.Block
	Cleave        bool
	Wants         []leaves.Want
	Ordered       []int    // leaves of each want, from as many blocks like this as it takes; nil: no order
	Unevenness    float64  // mm a face
	Allowance     *float64 // mm, the mill's own rule; nil: none
	Width, Length float64  // mm; 0: not known
	Density       float64  // kg/m³, wet
	Minutes       float64  // of the surfacing machine for 1 mm of one leaf; 0: not known
	Warnings      []string
}

// Read reads a block: header lines and a row for each thickness. Errors are *trouble.Trouble with file and line.
func Read(s *sheet.Sheet) (*Question, error) {
	q := &Question{File: s.Name, Density: usualDensity}
	if err := q.way(s); err != nil {
		return nil, err
	}
	if err := q.lengths(s); err != nil {
		return nil, err
	}
	if err := q.planes(s); err != nil {
		return nil, err
	}
	if err := q.sizes(s); err != nil {
		return nil, err
	}
	if err := q.wants(s); err != nil {
		return nil, err
	}
	q.Warnings = append(q.Warnings, s.Rest()...)
	return q, nil
}

func (q *Question) way(s *sheet.Sheet) error {
	h, ok, err := s.Take("way")
	if err != nil {
		return err
	}
	switch {
	case !ok:
		q.Warnings = append(q.Warnings, "the file does not say saw or cleave: sawn is taken")
	case strings.EqualFold(h.Value, "cleave"):
		q.Cleave = true
	case !strings.EqualFold(h.Value, "saw"):
		return s.Bad(h.Line, "bad-header", fmt.Sprintf("# way: there is no way %q", h.Value), "write saw or cleave")
	}
	return nil
}

func (q *Question) lengths(s *sheet.Sheet) error {
	var skin float64
	for _, x := range []struct {
		key  string
		into *float64
		must bool
	}{{"thickness", &q.Block.Thickness, true}, {"skin", &skin, false}, {"kerf", &q.Block.Kerf, !q.Cleave}} {
		mm, ok, err := s.TakeLength(x.key)
		if err != nil {
			return err
		}
		if !ok && x.must {
			return s.Bad(1, "no-header", fmt.Sprintf("there is no line # %s", x.key), fmt.Sprintf("add a line such as '# %s: 5 mm'", x.key))
		}
		*x.into = mm
	}
	if q.Cleave && q.Block.Kerf > 0 {
		q.Block.Kerf = 0
		q.Warnings = append(q.Warnings, "a cleft takes no kerf: the kerf of the file is not used")
	}
	q.Block.Top, q.Block.Bottom = skin, skin
	for _, x := range []struct {
		key  string
		into *float64
	}{{"skin of top", &q.Block.Top}, {"skin of bottom", &q.Block.Bottom}} {
		if mm, ok, err := s.TakeLength(x.key); err != nil {
			return err
		} else if ok {
			*x.into = mm
		}
	}
	mm, ok, err := s.TakeLength("unevenness")
	if err != nil {
		return err
	}
	if q.Unevenness = mm; !ok {
		q.Unevenness = usualSawn
		if q.Cleave {
			q.Unevenness = usualCleft
		}
	}
	if mm, ok, err = s.TakeLength("allowance"); ok {
		q.Allowance = &mm
	}
	return err
}

// planes reads the planes of weakness: a depth below the top, and what to keep off to either side.
func (q *Question) planes(s *sheet.Sheet) error {
	for _, h := range s.TakeAll("plane") {
		at, off, both := strings.Cut(strings.ReplaceAll(h.Value, "+-", "±"), "±")
		p := leaves.Plane{}
		var err error
		if p.At, err = measure.ParseLength(at); err == nil && both {
			p.Clear, err = measure.ParseLength(off)
		}
		if err != nil || p.At < 0 || p.Clear < 0 {
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# plane: %q is no place of a plane", h.Value), "write its depth below the top of the block and what to keep off, such as 74 mm ± 3 mm")
		}
		q.Block.Planes = append(q.Block.Planes, p)
	}
	return nil
}

func (q *Question) sizes(s *sheet.Sheet) error {
	h, ok, err := s.Take("size")
	if err != nil {
		return err
	}
	if ok {
		if q.Width, q.Length, err = measure.ParseSize(h.Value); err != nil || q.Width > largest || q.Length > largest {
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# size: %q is no size", h.Value), "write two lengths, such as 1520 x 950 mm").Because(err)
		}
	}
	if h, ok, err = s.Take("density"); err != nil {
		return err
	} else if ok {
		if q.Density, err = measure.ParseDensity(h.Value); err != nil || q.Density < 1000 || q.Density > 5000 {
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# density: %q is no density of stone", h.Value), "write it with its unit, such as 2810 kg/m3")
		}
	}
	if q.Minutes, _, err = s.TakeNumber("minutes per mm"); err == nil && q.Minutes < 0 {
		return s.Bad(1, "bad-header", fmt.Sprintf("%s is below 0", "minutes per mm"), "write a number from 0")
	}
	return err
}

func (q *Question) wants(s *sheet.Sheet) error {
	columns, err := s.Columns([]string{"finished", "value"}, "name", "most", "ordered")
	if err != nil {
		return err
	}
	for _, row := range s.Rows {
		w := leaves.Want{Name: row.Text(columns["name"])}
		if w.Finished, err = s.Length(row, columns["finished"]); err != nil {
			return err
		}
		if w.Value, err = s.Number(row, columns["value"]); err != nil {
			return err
		}
		if w.Most, err = number(s, row, columns["most"]); err != nil {
			return err
		}
		if w.Name == "" {
			w.Name = measure.FormatLength(w.Finished, measure.MM)
		}
		q.Wants = append(q.Wants, w)
		if _, ok := columns["ordered"]; ok {
			n, err := number(s, row, columns["ordered"])
			if err != nil {
				return err
			}
			q.Ordered = append(q.Ordered, n)
		}
	}
	return nil
}

// number reads a number of leaves; an empty cell is 0.
func number(s *sheet.Sheet, row sheet.Row, c sheet.Column) (int, error) {
	if row.Text(c) == "" {
		return 0, nil
	}
	x, err := s.Number(row, c)
	if err != nil || x != float64(int(x)) || x < 1 || x > 1e6 {
		return 0, s.Bad(row.Line, "bad-number", fmt.Sprintf("%s = %q is no number of leaves", c.Name, row.Text(c)), "write a whole number from 1, or leave it empty")
	}
	return int(x), nil
}
