package surfacing

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/surfacing/disc"
	"slatewright/surfacing/disc/answers"
	"slatewright/surfacing/disc/wear"
	"slatewright/trouble"
)

// discBalance prints the answer about a disc.
type discBalance struct{ *answers.Balance }

// Outcome is Refused where the disc cannot be brought within its grade, and CannotTell where scale and places leave it open.
func (b discBalance) Outcome() verb.Outcome {
	switch disc.State(b.State) {
	case disc.MeetsNot:
		return verb.Refused
	case disc.CannotTell:
		return verb.CannotTell
	}
	return verb.Done
}

// gmm prints an unbalance to the gram millimetre, or finer where it is small.
func gmm(v float64) string {
	decimals := 0
	if v < 10 {
		decimals = 2
	}
	return measure.Decimal(v, decimals) + " g mm"
}

// grade prints a balance grade that is just met.
func grade(v float64) string {
	if v < 0.1 {
		return "below 0.1"
	}
	return measure.Decimal(v, 1)
}

// Print writes the answer for people.
func (b discBalance) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n\n", b.File, b.headline())
	if len(b.Heights.Proud) > 0 {
		io.WriteString(w, verb.Wrap(b.proud(), "  ", "  ", verb.Width)+"\n")
	}
	rows := [][2]string{
		{"permissible", fmt.Sprintf("%s: grade %s at %s rpm and %s kg", gmm(b.Permissible), strconv.FormatFloat(b.Grade, 'g', 4, 64), measure.Decimal(b.Speed, 0), measure.Decimal(b.Rotor, 1))},
		{"before", fmt.Sprintf("%s, heavy at %s°: %s (grade %s)", gmm(b.Before), measure.Decimal(b.BeforeAngle, 0), b.StateBefore, grade(b.GradeBefore))},
	}
	if len(b.Swaps) > 0 {
		rows = append(rows, [2]string{"after", fmt.Sprintf("%s: %s (grade %s)", gmm(b.After), b.State, grade(b.GradeAfter))})
	}
	if !b.Arranged {
		rows = append(rows, [2]string{"weighed in anew", gmm(b.WeighedIn) + " would be left (--arrange)"})
	}
	rows = append(rows,
		[2]string{"doubt", fmt.Sprintf("%s from scale and places; 95 %% of the errors lie within %s", gmm(b.U), gmm(b.Guard))},
		[2]string{"heights", b.stand()},
		[2]string{"second plane", b.second()},
		[2]string{"rim speed", measure.Decimal(b.Rim, 1) + " m/s at the outermost bits; never above what is marked on the disc"})
	verb.Columns(w, rows)
	b.printMoves(w)
	fmt.Fprintf(w, "\n%s", verb.Wrap(b.Next+".", "", "", verb.Width))
	verb.PrintWarnings(w, b.Warnings)
}

func (b discBalance) headline() string {
	n := trouble.Count(len(b.Swaps), "change", "changes")
	switch state := disc.State(b.State); {
	case state == disc.Meets && len(b.Swaps) == 0:
		return "Balanced as it is"
	case state == disc.Meets && b.Arranged:
		return "Balanced when its bits are put in as listed"
	case state == disc.Meets && b.Fewest:
		return "Balanced after " + n + "; no fewer do it"
	case state == disc.Meets:
		text := "Balanced after " + n + "; whether fewer do it is not proven"
		if b.AtLeast != nil && *b.AtLeast > 1 {
			text += fmt.Sprintf(", fewer than %d do not", *b.AtLeast)
		}
		return text
	case state == disc.CannotTell:
		return "Cannot tell: the limit lies within the doubt"
	case b.Dressed != nil:
		return "Not balanced: no change of places among bits of one height brings it there"
	case b.AtLeast == nil && !b.Arranged || b.Arranged && b.BestProven:
		return "Not balanced, and no arrangement of these bits is"
	}
	return "Not balanced: no change of places was found that brings it there"
}

func (b discBalance) proud() string {
	var list []string
	for _, o := range b.Heights.Proud {
		text := fmt.Sprintf("%s by %s mm", o.Position, measure.Decimal(o.By, 2))
		if o.New {
			text += " (new)"
		}
		list = append(list, text)
		if len(list) == 12 && len(b.Heights.Proud) > 12 {
			list = append(list, "…")
			break
		}
	}
	return "HEIGHTS FIRST, standing proud: " + strings.Join(list, ", ")
}

func (b discBalance) stand() string {
	h := b.Heights
	text := fmt.Sprintf("%s to %s mm in a band of %s mm", measure.Decimal(h.Lowest, 2), measure.Decimal(h.Highest, 2), measure.Decimal(h.Band, 2))
	if h.Given {
		text += fmt.Sprintf(", run-out of the seats %s mm", measure.Decimal(h.Runout, 2))
	}
	return text
}

func (b discBalance) second() string {
	couple := "its couple of " + measure.Decimal(b.Couple.After, 0) + " g mm² "
	switch {
	case b.Couple.Matters:
		return fmt.Sprintf("may be needed: %sis %s at each of two bearings %s mm apart", couple, gmm(*b.Couple.Each), measure.Decimal(*b.Couple.Bearings, 0))
	case b.Couple.Each != nil:
		return fmt.Sprintf("not needed: the disc is thin; %sis %s at each of two bearings %s mm apart", couple, gmm(*b.Couple.Each), measure.Decimal(*b.Couple.Bearings, 0))
	}
	return fmt.Sprintf("not needed where the bearings stand more than %s mm apart: the disc is thin, %sis then less than a tenth of a bearing's share", measure.Decimal(math.Ceil(b.Couple.Distance), 0), couple)
}

// few is the largest number of changes that are told one by one; beyond, the whole ring is listed.
const few = 12

func (b discBalance) printMoves(w io.Writer) {
	switch n := len(b.Swaps); {
	case n == 0:
		return
	case n <= few && !b.Arranged:
		verb.Section(w, "Change places, one after the other")
		at := map[string]answers.Seat{}
		for _, s := range b.Arrangement {
			at[s.Position] = s
		}
		for i, s := range b.Swaps {
			line := fmt.Sprintf("%d. the bits of %s and %s", i+1, s[0], s[1])
			if at[s[0]].Radius == 0 || at[s[1]].Radius == 0 {
				line += ", a spare goes in"
			}
			fmt.Fprintf(w, "  %s\n", line)
		}
	case disc.State(b.State) == disc.Meets || b.Arranged:
		verb.Section(w, "Put in; all other bits as listed")
		rows := [][]string{{"place", "bit of", "mark", "g", "mm"}}
		for _, s := range b.Arrangement {
			if s.Radius > 0 && s.From != s.Position {
				rows = append(rows, []string{s.Position, s.From, s.Bit, measure.Decimal(s.Mass, 2), measure.Decimal(s.Height, 2)})
			}
		}
		verb.Table(w, 3, rows...)
	default:
		fmt.Fprintf(w, "\n  the best of %s that were tried leave %s\n", trouble.Count(n, "change", "changes"), gmm(b.After))
	}
}

// discWear prints the answer about a wear log.
type discWear struct{ *answers.Wear }

// Outcome is Refused where the bits are used up.
func (w discWear) Outcome() verb.Outcome {
	switch wear.State(w.State) {
	case wear.Change:
		return verb.Refused
	case wear.CannotTell:
		return verb.CannotTell
	}
	return verb.Done
}

// spanned prints a value with its interval.
func spanned(s answers.Span, decimals int, unit string) string {
	if s.Expected == nil {
		return "cannot tell"
	}
	text := measure.Decimal(*s.Expected, decimals) + " " + unit
	if s.From == nil {
		return text
	}
	if s.To == nil {
		return text + fmt.Sprintf(" (95 %%: at least %s)", measure.Decimal(*s.From, decimals))
	}
	return text + fmt.Sprintf(" (95 %%: %s to %s)", measure.Decimal(*s.From, decimals), measure.Decimal(*s.To, decimals))
}

// Print writes the answer for people.
func (w discWear) Print(out io.Writer) {
	unit, each := "days", "day"
	if w.Unit == "m2" {
		unit, each = "m²", "m²"
	}
	head := map[string]string{string(wear.Lasts): "The bits last", string(wear.Change): "The bits are used up", string(wear.CannotTell): "Cannot tell when the bits are used up"}[w.State]
	fmt.Fprintf(out, "%s\n%s\n\n", w.File, head)
	rows := [][2]string{
		{"wear", spanned(w.Rate, 2, "µm a "+each)},
		{"height now", spanned(w.Now, 2, "mm") + ", usable to " + measure.Decimal(w.Log.Usable, 2) + " mm"},
		{"typical bit", spanned(w.Left, 0, unit) + " left"},
		{"lowest bit", spanned(w.First, 0, unit) + " left"},
	}
	if w.Change != nil {
		text := *w.Change
		if w.Earliest != nil && w.Latest != nil {
			text += fmt.Sprintf(" (95 %%: %s to %s)", *w.Earliest, *w.Latest)
		}
		if w.Pace != nil {
			text += fmt.Sprintf(", at %s m² a day as in the log", measure.Decimal(*w.Pace, 1))
		}
		rows = append(rows, [2]string{"change by", text})
	}
	if w.Life.Expected != nil {
		rows = append(rows, [2]string{"a ring gives", spanned(w.Life, 0, unit)})
	}
	if w.PerM2.Expected != nil {
		rows = append(rows, [2]string{"a m² costs", spanned(w.PerM2, 3, "in the mill's money")})
	}
	if w.PerSet.Expected != nil {
		rows = append(rows, [2]string{"a set costs", spanned(w.PerSet, 2, "in the mill's money")})
	}
	verb.Columns(out, rows)
	w.printBits(out)
	fmt.Fprintf(out, "\n%s", verb.Wrap(w.Next+".", "", "", verb.Width))
	verb.PrintWarnings(out, w.Warnings)
}

func (w discWear) printBits(out io.Writer) {
	if len(w.Bits) == 0 {
		return
	}
	fmt.Fprintln(out)
	rows := [][]string{{"bit", "", "mm", "off the typical", "pace"}}
	for _, b := range w.Bits {
		pace, mark := "?", ""
		if b.Pace != nil {
			pace = measure.Decimal(*b.Pace, 2)
		}
		if b.Odd {
			mark = "odd"
		}
		rows = append(rows, []string{b.Position, mark, measure.Decimal(b.Height, 2), measure.Decimal(b.Off, 2), pace})
	}
	verb.Table(out, 2, rows...)
}
