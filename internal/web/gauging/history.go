package gauging

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

// fromBook fills the form with an instrument's calibrations as the book holds them: the day and the error that each found. The largest error
// that is allowed is not in it, nor is the doubt of many a certificate: they are asked for.
func fromBook(v *shell.Visit, p *shell.Asking) (given shell.Lists, found bool, err error) {
	named := v.R.URL.Query().Get("thing")
	if named == "" {
		return given, false, nil
	}
	thing, err := book.ParseRef(named)
	if err != nil {
		return given, false, err
	}
	t, state, err := v.Thing(thing.Kind, thing.ID)
	if err != nil {
		return given, false, err
	}
	s, ok := state.(*book.InstrumentState)
	if !ok {
		return given, false, nil
	}
	calibrations, err := calibrationsOf(v, t.Ref)
	if err != nil {
		return given, false, err
	}
	calibrations = withFirst(calibrations, s.Calibrations)
	var b strings.Builder
	fmt.Fprintf(&b, "# instrument: %s\n# limit:  mm\n# longest: %d days\nday,error_mm,u_mm,adjusted\n", t.ID, max(s.IntervalDays, 1))
	for _, c := range calibrations {
		fmt.Fprintf(&b, "%s,%s,%s,\n", c.day.In(v.Now.Location()).Format(time.DateOnly), c.found, known(c.uMM))
	}
	p.Form.Fields[0].Text, p.About = b.String(), v.Say("gauging.from-book", "n", len(calibrations), "thing", t.ID)
	return given, false, nil
}

// known writes what the book holds, and nothing where it does not.
func known(mm float64) string {
	if mm == 0 {
		return ""
	}
	return strconv.FormatFloat(mm, 'f', -1, 64)
}

// calibrated is one calibration as the book has it.
type calibrated struct {
	day   time.Time
	found string // the error, mm; "" where the book does not say it
	uMM   float64
}

// withFirst puts a calibration before the others that an instrument brought along when it was taken in: of that one the book knows the day alone.
func withFirst(list []calibrated, all []book.Calibration) []calibrated {
	if len(all) == 0 {
		return list
	}
	first := time.UnixMilli(all[0].AtMS)
	if len(list) > 0 && !first.Before(list[0].day) {
		return list
	}
	return append([]calibrated{{day: first}}, list...)
}

// calibrationsOf reads the calibrations of an instrument from its history, the oldest first; what was struck out or corrected is left out.
func calibrationsOf(v *shell.Visit, thing book.Ref) (list []calibrated, err error) {
	for cursor := ""; ; {
		page, err := v.Ledger.History(v.R.Context(), thing, cursor, 500)
		if err != nil {
			return nil, err
		}
		for _, e := range page.Items {
			if e.Act != "calibrate" || e.Standing != (book.Standing{}) {
				continue
			}
			act, err := book.Decode(e.Act, e.Body)
			if err != nil {
				return nil, err
			}
			if c, ok := act.(*book.Calibrate); ok && c.Thing == thing {
				list = append(list, calibrated{e.At, strconv.FormatFloat(c.ErrorMM, 'f', -1, 64), c.UMM})
			}
		}
		if cursor = page.Next; cursor == "" {
			return list, nil
		}
	}
}
