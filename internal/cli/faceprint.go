package cli

import (
	"fmt"
	"io"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/flat"
	"slatewright/measure"
	"slatewright/trouble"
)

// stateWords say what the numbers hold for.
var stateWords = map[string]string{flat.Laid: "laid on a bench", flat.AsRead: "as read on its support"}

// print writes the report for people: every length in mm and in thousandths of an inch.
func (r *faceReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n", r.File)
	if r.Piece != "" {
		fmt.Fprintf(w, "%s\n", r.Piece)
	}
	fmt.Fprint(w, trouble.Count(r.Points, "point", "points"))
	if r.Face != "unknown" {
		fmt.Fprintf(w, " of the %s face", r.Face)
	}
	fmt.Fprintf(w, ", %s\n\n", stateWords[r.State])
	printLength(w, "minimum zone", r.ZoneMM, "between two parallel planes, any orientation")
	printLength(w, "least squares", r.LeastSquaresMM, "peak to valley about the mean plane")
	printShape(w, r.Shape)
	r.printContacts(w)
	if r.Verdict != nil {
		fmt.Fprintf(w, "\nVerdict: %s (limit %s, %s)\n", *r.Verdict, measure.FormatLength(*r.MaxZoneMM, measure.MM),
			measure.FormatRounded(*r.MaxZoneMM, measure.Thou, 2))
	}
	opened.PrintAnswers(w, r.Answers)
	verb.PrintWarnings(w, r.Warnings)
}

// printSigned writes a length whose sign has a meaning; within its own doubt (two standard errors) the sign means nothing.
func printSigned(w io.Writer, name string, mm, se *float64, above, below string) {
	if mm == nil {
		return
	}
	words := above
	if *mm < 0 {
		words = below
	}
	if se != nil && *mm <= 2**se && *mm >= -2**se {
		words = "nothing beyond its own doubt"
	}
	sign := ""
	if *mm > 0 {
		sign = "+"
	}
	doubt := ""
	if se != nil {
		doubt = "± " + measure.FormatRounded(*se, measure.MM, 4)
	}
	row(w, name, sign+measure.FormatRounded(*mm, measure.MM, 4), sign+measure.FormatRounded(*mm, measure.Thou, 2), doubt, words)
}

// printLength writes a length that has no sign.
func printLength(w io.Writer, name string, mm float64, words string) {
	row(w, name, measure.FormatRounded(mm, measure.MM, 4), measure.FormatRounded(mm, measure.Thou, 2), "", words)
}

// row writes one line: name, mm, thousandths of an inch, doubt, words.
func row(w io.Writer, name, mm, thou, doubt, words string) {
	fmt.Fprintf(w, "  %-13s  %10s  %10s  %-11s  %s\n", name, mm, thou, doubt, words)
}

// printContacts lists the points that hold the zone.
func (r *faceReport) printContacts(w io.Writer) {
	if len(r.Contacts) == 0 {
		fmt.Fprint(w, "\nThe points lie on one plane as exactly as their numbers can tell.\n")
		return
	}
	fmt.Fprintf(w, "\nThese points hold the zone (%s), in the file's frame, mm:\n", r.Kind)
	for i, c := range r.Contacts {
		side := "upper"
		if i >= r.UpperContacts {
			side = "lower"
		}
		fmt.Fprintf(w, "  %s  x %9s  y %9s  z %9s\n", side, measure.Decimal(c[0], 1), measure.Decimal(c[1], 1), measure.Decimal(c[2], 4))
	}
}
