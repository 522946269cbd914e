package worth

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatewright/measure"
	"slatewright/sheet"
)

// The number of pieces behind a spread, and of prices, that are believed.
const (
	mostPieces = 20000
	mostGuard  = 10.0
)

// Read reads a question: header lines for the limit, the mill's spread and its prices, and one instrument a row.
func Read(s *sheet.Sheet) (q Question, err error) {
	limit, ok, err := s.TakeLength("limit")
	if err != nil {
		return q, err
	}
	if q.Limit = limit; !ok {
		return q, s.Bad(1, "no-limit", "the limit is not given", "write '# limit: 0.25 mm' above the titles")
	}
	if err := readTruth(s, &q.Truth); err != nil {
		return q, err
	}
	guard, _, err := s.TakeNumber("guard")
	if err != nil {
		return q, err
	}
	if err := readPrices(s, &q); err != nil {
		return q, err
	}
	if err := readInstruments(s, &q, guard); err != nil {
		return q, err
	}
	q.Warnings = append(q.Warnings, s.Rest()...)
	return q, nil
}

// readTruth reads '# truth: MEAN sd SD n N' or '# sample:' lines, and '# shape:'.
func readTruth(s *sheet.Sheet, t *Truth) error {
	t.Shape = Lognormal
	if h, ok, err := s.Take("shape"); err != nil {
		return err
	} else if ok {
		t.Shape = Shape(sheet.Key(h.Value))
	}
	var err error
	if t.SampleU, _, err = s.TakeLength("sample u"); err != nil {
		return err
	}
	for _, h := range s.TakeAll("sample") {
		for _, cell := range strings.Split(strings.TrimSuffix(strings.TrimSpace(h.Value), "mm"), ",") {
			v, err := measure.ParseNumber(strings.TrimSpace(cell))
			if err != nil || math.Abs(v) > 1e6 || len(t.Sample) >= mostPieces {
				return s.Bad(h.Line, "bad-header", fmt.Sprintf("# sample: %q is not a number, or the sample is too large", strings.TrimSpace(cell)), "write values in mm with commas between them")
			}
			t.Sample = append(t.Sample, v)
		}
	}
	h, ok, err := s.Take("truth")
	if err != nil || !ok {
		return err
	}
	if len(t.Sample) > 0 {
		return s.Bad(h.Line, "two-truths", "there is a sample and a mean too", "keep one of the two")
	}
	bad := s.Bad(h.Line, "bad-header", fmt.Sprintf("# truth: %q is not understood", h.Value), "write it as '# truth: 0.20 mm sd 0.04 mm n 120'")
	mean, rest, ok := strings.Cut(h.Value, " sd ")
	if !ok {
		return bad
	}
	sd, n, counted := strings.Cut(rest, " n ")
	if t.Mean, err = measure.ParseLength(mean); err != nil {
		return bad
	}
	if t.SD, err = measure.ParseLength(sd); err != nil {
		return bad
	}
	if counted {
		if t.N, err = strconv.Atoi(strings.TrimSpace(n)); err != nil || t.N < 2 || t.N > mostPieces {
			return bad
		}
	}
	return nil
}

// readPrices reads the money; it is all there or it counts for nothing.
func readPrices(s *sheet.Sheet, q *Question) error {
	var p Prices
	given := 0
	for _, price := range []struct {
		key string
		to  *float64
	}{{"false accept", &p.FalseAccept}, {"false reject", &p.FalseReject}, {"pieces a year", &p.Pieces}} {
		v, ok, err := s.TakeNumber(price.key)
		if err != nil {
			return err
		}
		if ok {
			*price.to = v
			given++
		}
	}
	h, ok, err := s.Take("money")
	if err != nil {
		return err
	}
	if ok {
		p.Money = h.Value
	}
	switch given {
	case 3:
		q.Prices = &p
	case 1, 2:
		q.Warnings = append(q.Warnings, "the prices are not complete, so nothing is said about money: '# false accept:', '# false reject:' and '# pieces a year:' are needed")
	}
	return nil
}

func readInstruments(s *sheet.Sheet, q *Question, guard float64) error {
	columns, err := s.Columns([]string{"instrument", "u"}, "dof", "guard", "owned", "reading", "price", "years")
	if err != nil {
		return err
	}
	for _, row := range s.Rows {
		in := Instrument{Name: row.Text(columns["instrument"]), Guard: guard}
		if in.Name == "" {
			return s.Bad(row.Line, "no-name", "the instrument has no name", "fill it in, or delete the line")
		}
		if in.U, err = s.Length(row, columns["u"]); err != nil {
			return err
		}
		if err := in.numbers(s, row, columns); err != nil {
			return err
		}
		var known bool
		if in.Owned, known = yes(row.Text(columns["owned"])); !known {
			return s.Bad(row.Line, "bad-word", fmt.Sprintf("owned = %q says neither yes nor no", row.Text(columns["owned"])), "write yes or no")
		}
		q.Instruments = append(q.Instruments, in)
	}
	return nil
}

// numbers reads the columns that may be missing.
func (in *Instrument) numbers(s *sheet.Sheet, row sheet.Row, columns map[string]sheet.Column) (err error) {
	for _, cell := range []struct {
		name string
		to   *float64
	}{{"dof", &in.DoF}, {"guard", &in.Guard}, {"reading", &in.Reading}, {"price", &in.Price}, {"years", &in.Years}} {
		c, ok := columns[cell.name]
		if !ok || row.Text(c) == "" {
			continue
		}
		if *cell.to, err = s.Number(row, c); err != nil {
			return err
		}
		if v := *cell.to; v < 0 && cell.name != "guard" || cell.name == "guard" && math.Abs(v) > mostGuard {
			return s.Bad(row.Line, "bad-number", fmt.Sprintf("%s = %g cannot be", cell.name, v), "correct it")
		}
	}
	return nil
}
