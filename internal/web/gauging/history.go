package gauging

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

// fromBook makes the list of an instrument's calibrations of what the book holds: the day and the error that each found. The largest
// error that is allowed is not in it, nor is the doubt of many a certificate: they are asked for.
func fromBook(v *shell.Visit) (shell.Lists, string, error) {
	given := shell.Lists{Lists: map[string]shell.List{}, Plain: url.Values{}}
	thing, err := book.ParseRef(v.R.URL.Query().Get("thing"))
	if err != nil {
		return given, "", err
	}
	t, state, err := v.Thing(thing.Kind, thing.ID)
	if err != nil {
		return given, "", err
	}
	s, ok := state.(*book.InstrumentState)
	if !ok {
		return given, v.Say("gauging.about-due"), nil
	}
	calibrations, err := calibrationsOf(v, t.Ref)
	if err != nil {
		return given, "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# instrument: %s\n# limit:  mm\n# longest: %d days\nday,error_mm,u_mm,adjusted\n", t.ID, max(s.IntervalDays, 1))
	for _, c := range calibrations {
		fmt.Fprintf(&b, "%s,%s,%s,\n", c.day.In(v.Now.Location()).Format(time.DateOnly), strconv.FormatFloat(c.errorMM, 'f', -1, 64), known(c.uMM))
	}
	given.Lists["list"] = shell.List{Name: v.Say("list.pasted"), Text: b.String()}
	return given, v.Say("gauging.from-book", "n", len(calibrations), "thing", t.ID), nil
}

// known writes what the book holds, and nothing where it does not.
func known(mm float64) string {
	if mm == 0 {
		return ""
	}
	return strconv.FormatFloat(mm, 'f', -1, 64)
}

type calibrated struct {
	day          time.Time
	errorMM, uMM float64
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
				list = append(list, calibrated{e.At, c.ErrorMM, c.UMM})
			}
		}
		if cursor = page.Next; cursor == "" {
			return list, nil
		}
	}
}
