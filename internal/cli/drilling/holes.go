package drilling

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"slatewright/bed/holes"
	"slatewright/bed/holes/answers"
	"slatewright/bed/holes/holefile"
	"slatewright/internal/cli/verb"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Holes holds a drilled bed against its drawing.
type Holes struct {
	Spec     string       `arg:"" help:"The pattern file, YAML."`
	Measured string       `arg:"" help:"What was measured: feature,x,y; diameter, u_mm, gauge, point, run besides. CSV; - is standard input."`
	Edges    string       `placeholder:"FILE" help:"What was read of the joint edges: edge,at,top; bottom, chip, u_mm besides. CSV."`
	Limit    *verb.Length `placeholder:"LENGTH" help:"Largest distance from the drawn place where the drawing says none; 1/32 in if left out."`
}

// edgeU is the standard uncertainty of a reading of an edge where the list states none: a feeler or a dial against a straightedge (common practice, no source).
const edgeU = 0.03

// About is the help of the verb.
func (Holes) About() verb.About {
	return verb.About{
		Text: `Lays the drawing over the measured places by least squares, gives every feature its deviation and a verdict by the mill's decision rule, and says how
			small the largest deviation can be made by any motion (with a bound that none goes below).

			It asks the question of use: do all bolts pass at the same time, each within its float, with the pieces laid together and each rail free to
			move as a whole? "Fits" is proven by a place for every part, "does not fit" by the bolts that fight; where the uncertainty leaves it open, it cannot tell.

			A systematic cause is named with its correction: shift, turn, scale, a mirrored face, a stop of the fixture, a wander of the drill, one piece or
			one hole alone; "none" is an answer too.

			Without a stated uncertainty one is taken by method (# method: tape, template, camera or arm; common practice). A tape cannot show 0.79 mm.

			Exit status 1: a feature or edge does not conform. Exit status 2: it cannot be told.`,
		Examples: []verb.Example{
			{"slatewright holes nine-foot.yaml bed-31.csv", "verdict, fit, bolts and cause"},
			{"slatewright holes nine-foot.yaml bed-31.csv --edges edges-31.csv --limit 1mm --json", "the joint edges too, for programs"},
		},
	}
}

// Run reads drawing and lists and answers.
func (v Holes) Run(s *verb.Session) (verb.Report, error) {
	p, err := readPattern(s, v.Spec)
	if err != nil {
		return nil, err
	}
	limit := 0.
	if v.Limit != nil {
		if limit = v.Limit.MM; limit <= 0 {
			return nil, trouble.Usage("bad-limit", "slatewright holes", "--limit must be more than 0", "give a length, such as 1mm")
		}
	}
	list, err := verb.Read(s, v.Measured, sheet.Read)
	if err != nil {
		return nil, err
	}
	d := holes.Of(&p)
	m, warnings, err := holefile.Read(list, d)
	if err != nil {
		return nil, err
	}
	var edges *holefile.Edges
	if v.Edges != "" {
		list, err := verb.Read(s, v.Edges, sheet.Read)
		if err != nil {
			return nil, err
		}
		var more []string
		if edges, more, err = holefile.ReadEdges(list, d, edgeU); err != nil {
			return nil, err
		}
		warnings = append(warnings, more...)
	}
	a, err := answers.Of(list.Name, &p, d, m, limit, edges, warnings)
	if err != nil {
		return nil, err
	}
	return holesReport{a}, nil
}

// holesReport prints the answer.
type holesReport struct{ *answers.Answer }

// Outcome follows the verdict.
func (r holesReport) Outcome() verb.Outcome {
	switch r.Answer.Outcome() {
	case judge.Conforms:
		return verb.Done
	case judge.DoesNotConform:
		return verb.Refused
	}
	return verb.CannotTell
}

func mm(x float64) string { return measure.Decimal(x, 2) }

// Print writes the answer for people.
func (r holesReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s, against %s, revision %s\n%s\n\n", r.File, r.Pattern, r.Revision, r.headline())
	rows := [][2]string{}
	if r.Worst != nil {
		rows = append(rows, [2]string{"worst", fmt.Sprintf("%s, %s mm off", r.Worst.Feature, mm(r.Worst.Deviation))})
	}
	if f := r.Fit; f != nil {
		rows = append(rows, [2]string{"the list's frame", motion(f)})
	}
	if r.Minimax != nil {
		rows = append(rows, [2]string{"laid at its best", mm(*r.Minimax) + " mm off at the worst; no motion has less"})
	}
	if z := r.Zones; z != nil {
		rows = append(rows, [2]string{"in their zones", zones(z)})
	}
	for _, l := range r.Limits {
		rows = append(rows, [2]string{l.Name, l.Verdict + among(l.Beyond)})
	}
	rows = append(rows, [2]string{"uncertainty", r.UFrom})
	verb.Columns(w, rows)
	r.printFeatures(w)
	r.printPieces(w)
	r.printBolts(w)
	r.printCauses(w)
	r.printJoints(w)
	verb.PrintWarnings(w, r.Warnings)
}

func (r holesReport) headline() string {
	text := strings.ToUpper(r.Verdict[:1]) + r.Verdict[1:]
	switch {
	case r.Function == nil:
		return text + ". No bolt was asked about."
	case r.Fits == nil:
		return text + ". Whether all bolts pass cannot be told."
	case *r.Fits:
		return text + ". All bolts pass together."
	}
	return text + ". The bolts do not all pass together."
}

func motion(f *answers.Motion) string {
	turn := measure.Decimal(f.Angle, 3) + " mm per m"
	if math.Abs(f.Angle) > 100 {
		turn = measure.Decimal(f.Angle*180/math.Pi/1000, 2) + "°"
	}
	return fmt.Sprintf("moved by %s and %s mm, turned by %s", mm(f.DX), mm(f.DY), turn)
}

// zones says whether one motion brings every feature within its limit.
func zones(z *answers.Zones) string {
	var names []string
	for _, h := range z.Holding {
		names = append(names, h.Name)
	}
	switch {
	case z.Fits == nil:
		return fmt.Sprintf("cannot tell whether one motion brings every feature there: %s mm to spare, u = %s mm", mm(z.Left), mm(z.U))
	case *z.Fits:
		return fmt.Sprintf("one motion brings every feature there, with %s mm to spare", mm(z.Left))
	}
	return fmt.Sprintf("no motion brings every feature there: %s mm are missing%s", mm(-z.Most), among(names))
}

// among names a few.
func among(list []string) string {
	if len(list) == 0 {
		return ""
	}
	more := ""
	if len(list) > 5 {
		list, more = list[:5], " …"
	}
	return ": " + strings.Join(list, ", ") + more
}

func (r holesReport) printFeatures(w io.Writer) {
	verb.Section(w, "Features, those beyond their limit or in doubt first")
	rows := [][]string{{"feature", "off mm", "along x", "along y", "u mm", "limit mm", ""}}
	list := slices.Clone(r.Features)
	slices.SortStableFunc(list, func(a, b answers.Feature) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(off(b), off(a)))
	})
	good := 0
	for _, f := range list {
		if f.Verdict == judge.Conforms.String() {
			if good++; good > shownGood {
				continue
			}
		}
		rows = append(rows, featureRow(f))
	}
	verb.Table(w, 1, rows...)
	if good > shownGood {
		fmt.Fprintf(w, "  and %d more that conform\n", good-shownGood)
	}
}

// shownGood is how many features that conform are printed; --json has all.
const shownGood = 5

func rank(f answers.Feature) int {
	return slices.Index([]string{judge.DoesNotConform.String(), judge.CannotTell.String(), judge.Conforms.String()}, f.Verdict)
}

func off(f answers.Feature) float64 {
	if f.Deviation == nil {
		return 0
	}
	return *f.Deviation
}

func featureRow(f answers.Feature) []string {
	row := []string{f.Feature, "", "", "", "", mm(f.Limit), f.Verdict}
	if f.Deviation != nil {
		row[1], row[2], row[3], row[4] = mm(*f.Deviation), mm(*f.DX), mm(*f.DY), mm(*f.U)
	}
	switch {
	case f.AtMost != nil:
		row[6] += ", the gauge went in: at most " + mm(*f.AtMost) + " mm off"
	case f.AtLeast != nil:
		row[6] += ", the gauge did not go in: at least " + mm(*f.AtLeast) + " mm off"
	}
	if f.Plug != nil {
		row[6] += "; by the plug " + *f.Plug
	}
	if s := f.Size; s != nil {
		row[6] += fmt.Sprintf("; diameter %s mm, %s", mm(*f.Diameter), s.Verdict)
	}
	return row
}

func (r holesReport) printPieces(w io.Writer) {
	if len(r.Pieces) == 0 {
		return
	}
	verb.Section(w, "Each piece in its own frame")
	for _, p := range r.Pieces {
		fmt.Fprintf(w, "  %s: %s; at its best %s mm off\n", p.Piece, motion(p.Fit), mm(p.Minimax))
	}
}

func (r holesReport) printBolts(w io.Writer) {
	f := r.Function
	if f == nil {
		return
	}
	verb.Section(w, "All bolts at the same time")
	io.WriteString(w, verb.Wrap(f.Why+".", "  ", "  ", verb.Width))
	word := "tightest"
	if f.Most < 0 {
		word = "these fight"
	}
	var names []string
	for _, h := range f.Holding {
		names = append(names, h.Name)
	}
	rows := [][2]string{{word, strings.TrimPrefix(among(names), ": ")}, {"float left", fmt.Sprintf("%s mm, no place leaves more than %s mm (u = %s mm)", mm(f.Left), mm(f.Most), mm(f.U))}}
	moved := false
	for _, m := range f.Moves {
		if m.DX == 0 && m.DY == 0 && m.Angle == 0 {
			continue
		}
		moved = true
		rows = append(rows, [2]string{m.Part, fmt.Sprintf("put %s and %s mm off its drawn place, turned by %s mm per m", mm(m.DX), mm(m.DY), measure.Decimal(m.Angle, 2))})
	}
	for _, s := range f.Steps {
		if s.Opens != 0 || s.Slides != 0 || s.Turns != 0 {
			rows = append(rows, [2]string{"joint " + s.Joint, fmt.Sprintf("opens by %s mm, slides by %s mm, turns by %s mm per m", mm(s.Opens), mm(s.Slides), measure.Decimal(s.Turns, 2))})
		}
	}
	if !moved && f.Left >= 0 {
		rows = append(rows, [2]string{"parts", "none has to move: every bolt keeps half of that or more"})
	}
	verb.Columns(w, rows)
	if len(f.Unasked) > 0 {
		fmt.Fprintf(w, "  not measured%s\n", among(f.Unasked))
	}
}

func (r holesReport) printCauses(w io.Writer) {
	verb.Section(w, "Cause")
	for i, c := range r.Causes {
		where := ""
		if len(r.Pieces) > 0 {
			where = r.Pieces[i].Piece + ": "
		}
		if c.Name == "none" {
			fmt.Fprintf(w, "  %sno cause found; the holes scatter by %s mm\n", where, mm(c.Scatter))
			continue
		}
		of := ""
		if c.Of != "" {
			of = " (" + c.Of + ")"
		}
		text := fmt.Sprintf("%s%s%s: %s.", where, c.Name, of, c.Correction)
		if !c.Sure {
			text += " It cannot be told apart from: " + strings.Join(c.Rivals, ", ") + "."
		}
		io.WriteString(w, verb.Wrap(text, "  ", "    ", verb.Width))
		for _, a := range c.Amounts {
			fmt.Fprintf(w, "    %s %s %s (u = %s)\n", a.Name, measure.Decimal(a.Value, 3), a.Unit, measure.Decimal(a.U, 3))
		}
	}
	if len(r.Causes) == 0 {
		fmt.Fprintln(w, "  cannot tell: no places were measured")
	}
}

func (r holesReport) printJoints(w io.Writer) {
	for _, j := range r.Joints {
		verb.Section(w, "Joint "+j.Joint)
		var rows [][2]string
		for _, e := range j.Edges {
			rows = append(rows, [2]string{e.Edge, "straight within " + judged(e.Straightness)})
			if e.Squareness != nil {
				rows = append(rows, [2]string{"", "out of square by " + judged(*e.Squareness)})
			}
			if e.Chip != nil {
				rows = append(rows, [2]string{"", fmt.Sprintf("%s, the deepest %s", trouble.Count(e.Chips, "chip", "chips"), judged(*e.Chip))})
			}
		}
		if j.Gap != nil {
			rows = append(rows, [2]string{"pushed together", "open at the face by " + judged(*j.Gap)}, [2]string{"", "could be made " + judged(*j.Least)})
		}
		if j.Below != nil {
			rows = append(rows, [2]string{"", "open below by " + judged(*j.Below)})
		}
		verb.Columns(w, rows)
	}
}

func judged(j answers.Judged) string {
	text := fmt.Sprintf("%s mm (u = %s) at %s", measure.Decimal(j.Value, 3), measure.Decimal(j.U, 3), measure.Decimal(j.At, 0))
	if j.Verdict != nil {
		text += fmt.Sprintf(", limit %s: %s", mm(*j.Limit), *j.Verdict)
	}
	return text
}
