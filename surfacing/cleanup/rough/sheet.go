package rough

import (
	"fmt"
	"math"
	"strings"

	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Named is one slab of a list.
type Named struct {
	Name string
	Slab
}

// List is what a list of the rough stage says.
type List struct {
	SizeX, SizeY, Margin float64
	Slabs                []Named
	Warnings             []string
}

// cornerNames are the titles of the thicknesses, in the order of Corners.
var cornerNames = []string{"head left", "head right", "foot left", "foot right"}

// Read takes a list of slabs, one a row: its thickness at the corners, and the worst gap on each line of the top and of the bottom, as +0.30 or "0.30 hollow"
// where it is in the middle, −0.25 or "0.25 crown" where the edge rocks and shows it at both ends. An empty gap was not read. Errors are *trouble.Trouble with file and line.
func Read(s *sheet.Sheet) (*List, error) {
	l := &List{}
	if err := l.heads(s); err != nil {
		return nil, err
	}
	var optional []string
	for _, face := range []string{"top ", "bottom "} {
		for _, line := range Lines() {
			optional = append(optional, face+line.Name)
		}
	}
	c, err := s.Columns(append([]string{"slab"}, cornerNames...), optional...)
	if err != nil {
		return nil, err
	}
	strip, _, err := s.TakeLength("strip")
	if err != nil {
		return nil, err
	}
	caliper, _, err := s.TakeLength("caliper limits")
	if err != nil {
		return nil, err
	}
	for _, row := range s.Rows {
		n := Named{Name: row.Text(c["slab"]), Slab: Slab{Strip: strip, Caliper: caliper}}
		for i, title := range cornerNames {
			if n.Corners[i], err = s.Length(row, c[title]); err != nil {
				return nil, err
			}
			if !(n.Corners[i] >= 5 && n.Corners[i] <= 200) {
				return nil, s.Bad(row.Line, "bad-thickness", fmt.Sprintf("a thickness of %g mm is outside 5 to 200 mm", n.Corners[i]), "look at the unit in the title")
			}
		}
		for i, line := range Lines() {
			if n.Top[i], err = gap(s, row, c["top "+line.Name]); err != nil {
				return nil, err
			}
			if n.Bottom[i], err = gap(s, row, c["bottom "+line.Name]); err != nil {
				return nil, err
			}
		}
		l.Slabs = append(l.Slabs, n)
	}
	l.Warnings = s.Rest()
	return l, nil
}

func (l *List) heads(s *sheet.Sheet) error {
	h, ok, err := s.Take("size")
	if err != nil {
		return err
	}
	if !ok {
		return trouble.Data("no-size", s.Name, "the list does not say how large the slabs are", "write '# size: 914 x 1473 mm', along the table by across it")
	}
	if l.SizeX, l.SizeY, err = measure.ParseSize(h.Value); err != nil {
		return err
	}
	l.Margin, _, err = s.TakeLength("margin")
	if err == nil && 2*l.Margin >= min(l.SizeX, l.SizeY) {
		return s.Bad(h.Line, "bad-header", "the margin leaves nothing of the slab", "write how far inside the edges the lines and corners were read, such as '# margin: 30 mm'")
	}
	return err
}

// gap reads a gap with its sense.
func gap(s *sheet.Sheet, row sheet.Row, c sheet.Column) (Gap, error) {
	text := strings.TrimSpace(row.Text(c))
	if text == "" {
		return Gap(math.NaN()), nil
	}
	sign, told := 1.0, false
	if rest, ok := strings.CutSuffix(strings.ToLower(text), "hollow"); ok {
		text, told = strings.TrimSpace(rest), true
	} else if rest, ok := strings.CutSuffix(strings.ToLower(text), "crown"); ok {
		text, sign, told = strings.TrimSpace(rest), -1, true
	}
	plain := strings.Replace(text, "−", "-", 1)
	told = told || strings.HasPrefix(plain, "+") || strings.HasPrefix(plain, "-")
	bare := sheet.Row{Line: row.Line} // the row with the bare number in the place of the gap
	for _, cell := range row.Cells {
		if cell == row.Text(c) {
			cell = strings.TrimPrefix(plain, "+")
		}
		bare.Cells = append(bare.Cells, cell)
	}
	v, err := s.Length(bare, c)
	switch {
	case err != nil:
		return 0, s.Bad(row.Line, "bad-gap", fmt.Sprintf("%s = %q is not a gap", c.Name, row.Text(c)), "write +0.30 or 0.30 hollow, −0.25 or 0.25 crown, or 0")
	case v != 0 && !told:
		return 0, s.Bad(row.Line, "no-sense", fmt.Sprintf("%s = %q does not say its sense", c.Name, row.Text(c)), "write +0.30 or 0.30 hollow where the gap is in the middle, −0.25 or 0.25 crown where the edge rocks and the gap is at both ends")
	case math.Abs(v) > 20:
		return 0, s.Bad(row.Line, "bad-gap", fmt.Sprintf("a gap of %g mm is no gap under an edge", v), "look at the unit in the title")
	case v < 0 && sign < 0:
		return Gap(v), nil
	}
	return Gap(sign * v), nil
}
