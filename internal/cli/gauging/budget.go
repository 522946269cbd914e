package gauging

import (
	"fmt"
	"io"
	"math"
	"strconv"

	"slatewright/gauge/answers"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/trouble"
)

// Budget works out the doubt of a reading.
type Budget struct {
	File   string `arg:"" help:"The instrument: '# kind:' and the columns component and value. CSV; - is standard input."`
	Digits int    `default:"1" help:"Digits of u that must hold: 1, or 2 for ten times as many drawn numbers and more."`
}

// About is the help of the verb.
func (Budget) About() verb.About {
	return verb.About{
		Text: `Adds up what the doubt of one reading is made of, in two ways side by side: by the law of propagation of uncertainty (GUM, with degrees of
			freedom after Welch and Satterthwaite) and by drawn numbers (JCGM 101, adaptive, fixed seed). It says whether the two intervals
			agree after JCGM 101, clause 8, and if not, why; then the drawn ones are to be taken.

			Kinds of instruments: dial, opposed dials, straightedge on blocks, straightedge laid on, level, scanner, tape, scale. A component is
			a value, a doubt, or both: '± 0.004 mm' are limits, 'u 0.002 mm dof 9' is a standard uncertainty from ten readings, 'U 0.004 mm k 2'
			an expanded one. 'triangular' or 'swings' behind limits name another form. The handbook lists the components of each kind.`,
		Examples: []verb.Example{
			{"slatewright gauge budget dial.csv", "components, their shares, and the interval both ways"},
			{"slatewright gauge budget edge.csv --json --digits 2", "for programs, with two digits of u"},
		},
	}
}

// Run reads the instrument and works its reading out.
func (v Budget) Run(s *verb.Session) (verb.Report, error) {
	if v.Digits != 1 && v.Digits != 2 {
		return nil, trouble.Usage("bad-digits", "slatewright gauge budget", "--digits is 1 or 2", "more digits of a doubt mean nothing")
	}
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	a, err := answers.OfInstrument(list, v.Digits)
	if err != nil {
		return nil, err
	}
	return &budgetReport{a}, nil
}

// budgetReport is the answer.
type budgetReport struct{ *answers.Budget }

// Outcome is Done.
func (r *budgetReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the budget for people.
func (r *budgetReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s", r.File, r.Kind)
	if r.Name != "" {
		fmt.Fprint(w, ": "+r.Name)
	}
	fmt.Fprintf(w, "\nOne reading: %s\n\n", r.Reads)
	rows := [][]string{{"component", "value", "u", "", "distribution", "degrees", "sensitivity", "adds " + r.Unit, "of the variance"}}
	for _, c := range r.Components {
		degrees := ""
		if c.DoF != nil {
			degrees = digits(*c.DoF, 3)
		}
		row := []string{c.Name, plain(c.Value), plain(c.U), c.Unit, c.Distribution, degrees, plain(c.Sensitivity), plain(math.Abs(c.Contribution)), percent(c.Share)}
		if c.U == 0 {
			row[2], row[6], row[7], row[8] = "", "", "", ""
		}
		rows = append(rows, row)
	}
	verb.Table(w, 1, rows...)
	degrees := ""
	if r.DoF != nil {
		degrees = fmt.Sprintf(", %.0f degrees of freedom", math.Floor(*r.DoF))
	}
	verb.Section(w, "The result, with 95 % intervals")
	rows = [][]string{{"", "value " + r.Unit, "u", "from", "to", ""}, r.result("by propagation", r.Value, r.U, r.Interval, fmt.Sprintf("k = %s%s", digits(r.K, 3), degrees))}
	if d := r.Drawn; d != nil {
		rows = append(rows, r.result("by drawn numbers", d.Value, d.U, d.Interval, fmt.Sprintf("%d draws", d.Draws)), r.result("the shortest", d.Value, d.U, d.Shortest, ""))
	}
	verb.Table(w, 1, rows...)
	if r.Agree != nil {
		fmt.Fprintln(w)
		sentence(w, agreed(*r.Agree)+": "+r.Why+".")
	}
	verb.PrintWarnings(w, r.Warnings)
}

func agreed(yes bool) string {
	if yes {
		return "The two ways agree"
	}
	return "The two ways do not agree, so take the drawn numbers"
}

// result prints a line with as many decimals as two digits of u have.
func (r *budgetReport) result(name string, value, u float64, interval [2]float64, words string) []string {
	decimals := 0
	if u > 0 {
		decimals = min(max(1-int(math.Floor(math.Log10(u))), 0), 12)
	}
	fixed := func(x float64) string { return measure.Decimal(x, decimals) }
	return []string{name, fixed(value), fixed(u), fixed(interval[0]), fixed(interval[1]), words}
}

// plain prints three digits that count, with an exponent where zeros would fill the column.
func plain(x float64) string {
	if x != 0 && math.Abs(x) < 1e-4 {
		return strconv.FormatFloat(x, 'e', 2, 64)
	}
	if math.Abs(x) >= 1000 {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return strconv.FormatFloat(x, 'g', 3, 64)
}
