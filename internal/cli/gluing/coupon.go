package gluing

import (
	"fmt"
	"io"

	"slatewright/internal/cli/verb"
	"slatewright/lining/answers"
	"slatewright/measure"
)

// Coupon works out a coupon test.
type Coupon struct {
	File string `arg:"" help:"The log: header lines length and sensor, columns day, humidity, bow. CSV; - is standard input."`
}

// About is the help of the verb.
func (Coupon) About() verb.About {
	return verb.About{
		Text: `Glue a strip of the mill's own stone and board, as long as a piece is wide, and read its bow and the humidity daily for a month or more while
			the air changes. The verb finds the bow for 1 % of humidity, with a 95 % interval and the hygrometer's limits on top, how fast
			the coupon follows the air, whether drying and wetting differ, and whether it drifts beside the air. Crown is +: the stone above,
			the board below.

			The last line of the answer goes into the file of a batch, in the place of the EN 318 values.

			Exit status 2: the log does not tell the slope.`,
		Examples: []verb.Example{
			{"slatewright lining coupon coupon.csv", "mm of bow for 1 % of humidity"},
			{"slatewright lining coupon coupon.csv --json", "the same as one JSON object"},
		},
	}
}

type couponReport struct{ *answers.Coupon }

// Run reads the log and works it out.
func (v Coupon) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	c, err := answers.OfCoupon(list)
	if err != nil {
		return nil, err
	}
	return couponReport{c}, nil
}

// Outcome is CannotTell where the slope is not told.
func (r couponReport) Outcome() verb.Outcome {
	if !r.Told {
		return verb.CannotTell
	}
	return verb.Done
}

// Print writes the answer for people.
func (r couponReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%d readings over %s; the board saw %s to %s %% relative humidity\n", r.File, r.Readings, measure.FormatLength(r.LengthMM, measure.MM), measure.Decimal(r.From, 1), measure.Decimal(r.To, 1))
	verb.Section(w, "Bow for 1 % of humidity; + crowns when the air dries")
	verb.Table(w, 1, []string{"", "mm", "from", "to"}, row("with the hygrometer's limits", r.Slope, 5), row("fitted, 95 %", r.Fitted, 5), row("while drying", r.Drying, 5), row("while wetting", r.Wetting, 5))
	verb.Section(w, "Beside it")
	verb.Table(w, 1, []string{"", "", "from", "to"}, row("follows the air in days", r.Days, 1), row("drift, mm a week", r.Drift, 4))
	fmt.Fprintf(w, "  scatter of a reading %s mm\n\n", measure.Decimal(r.Scatter, 4))
	if r.Line != nil {
		fmt.Fprintf(w, "For the file of a batch:\n  %s\n", *r.Line)
	} else {
		fmt.Fprintln(w, "Cannot tell the slope from this log.")
	}
	verb.PrintWarnings(w, r.Warnings)
}

func row(name string, s answers.Span, decimals int) []string {
	return []string{name, measure.Decimal(s.Value, decimals), measure.Decimal(s.Low, decimals), measure.Decimal(s.High, decimals)}
}
