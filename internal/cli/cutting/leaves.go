package cutting

import (
	"fmt"
	"io"
	"strings"

	"slatewright/cutting/leaves/answers"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Leaves asks how a block is cut into leaves.
type Leaves struct {
	File     string  `arg:"" help:"The block: # thickness, # skin, # kerf, # way, # plane; below them finished,value,most,ordered,name. CSV; - is standard input."`
	History  string  `aliases:"need" placeholder:"FILE" help:"What clean-up needed of each piece of this layer: a list with a column need, mm over both faces together (CSV), or what cleanup --json answered, one after the other. --need is the same."`
	Layer    string  `placeholder:"NAME" help:"Only the pieces of this layer count, of a history of several."`
	Quantile float64 `default:"0.95" help:"Share of the pieces that must clean up."`
}

// About is the help of the verb.
func (Leaves) About() verb.About {
	return verb.About{
		Text: `How many leaves of which thickness a block gives, and where it is cut, so that no leaf holds a plane of weakness and their value together is
			the most that this block can give: no other cutting of it is worth more.

			How much thicker than finished a leaf is left comes from what clean-up really needed of a share of the pieces (--history), with its
			interval; where the pieces are too few for that, from the mill's own rule (# allowance) or from common practice, and it says so.
			It also tells what one millimetre less is worth, and, with a column ordered, how many blocks like this an order needs at least.

			Exit status 1: no leaf fits. Exit status 2: the history is too short to tell what clean-up needs; the plan goes by the rule.`,
		Examples: []verb.Example{
			{"slatewright leaves block.csv", "the plan by the mill's own rule"},
			{"slatewright leaves block.csv --history needs.csv --quantile 0.98 --json", "by what clean-up needed of 98 of 100 pieces, for programs"},
			{"slatewright leaves block.csv --need cleaned.json", "by what cleanup --json answered of slabs of this layer"},
		},
	}
}

// Run reads the lists and answers.
func (v Leaves) Run(s *verb.Session) (verb.Report, error) {
	list, err := verb.Read(s, v.File, sheet.Read)
	if err != nil {
		return nil, err
	}
	q, err := answers.Read(list)
	if err != nil {
		return nil, err
	}
	var needs []float64
	if v.History != "" {
		past, err := verb.Read(s, v.History, func(name string, in io.Reader) (*answers.History, error) {
			return answers.ReadHistory(name, in, v.Layer)
		})
		if err != nil {
			return nil, err
		}
		needs, q.Warnings = past.Needs, append(q.Warnings, past.Warnings...)
	} else if v.Layer != "" {
		return nil, trouble.Usage("no-history", "slatewright leaves", "--layer picks the rows of a history, and none is given", "add --history FILE")
	}
	got, err := answers.Of(q, needs, v.Quantile)
	if err != nil {
		return nil, err
	}
	return leafReport{got}, nil
}

// leafReport prints the answer.
type leafReport struct{ *answers.Answer }

// Outcome is Refused where no leaf fits, and CannotTell where the history is too short.
func (r leafReport) Outcome() verb.Outcome {
	switch {
	case len(r.Leaves) == 0:
		return verb.Refused
	case !r.Told():
		return verb.CannotTell
	}
	return verb.Done
}

// Print writes the answer for people.
func (r leafReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s, value %s; no cutting of this block is worth more\n\n", r.File, trouble.Count(len(r.Leaves), "leaf", "leaves"), measure.Decimal(r.Value, 2))
	if len(r.Leaves) > 0 {
		rows := [][]string{{"leaf", "from mm", "to mm", "rough mm", "finished mm"}}
		for _, l := range r.Leaves {
			rows = append(rows, []string{l.Name, mm(l.From), mm(l.To), mm(l.Rough), mm(l.Finished)})
		}
		verb.Table(w, 1, rows...)
		fmt.Fprintln(w)
	}
	rows := [][2]string{
		{"measured", "from the top of the block"},
		{"allowance", mm(r.Allowance) + " mm on a leaf, by " + r.From},
	}
	if r.Need != nil {
		rows = append(rows, [2]string{"clean-up needs", r.needed()})
	}
	rows = append(rows, [2]string{"becomes finished", measure.Decimal(100*r.Finished, 0) + " % of the thickness"}, [2]string{"left over", mm(r.Left) + " mm"},
		[2]string{"one mm less", r.worth(r.Less)}, [2]string{"one mm less kerf", r.worth(r.Kerfs)})
	if n := r.Next; n != nil {
		rows = append(rows, [2]string{"next step", fmt.Sprintf("with an allowance of %s mm: %s, value %s", mm(n.Allowance), trouble.Count(n.Leaves, "leaf", "leaves"), measure.Decimal(n.Value, 2))})
	}
	if r.LeafKg != nil {
		rows = append(rows, [2]string{"heaviest leaf", measure.Decimal(*r.LeafKg, 0) + " kg, rough and wet"})
	}
	verb.Columns(w, rows)
	r.order(w)
	verb.PrintWarnings(w, r.Warnings)
	var loads []caution.Load
	if r.LeafKg != nil {
		loads = append(loads, caution.Load{Name: "heaviest leaf", Kg: *r.LeafKg})
	}
	verb.Care(w, []caution.Topic{caution.Lifting, caution.Dust, caution.Machines}, loads...)
}

// order prints how many blocks the order needs, and how they are cut.
func (r leafReport) order(w io.Writer) {
	o := r.Order
	if o == nil {
		return
	}
	verb.Section(w, "The order")
	proof := "no fewer can do"
	if o.Blocks > o.Bound {
		proof = fmt.Sprintf("at least %d are needed", o.Bound)
	}
	fmt.Fprintf(w, "  %s like this; %s\n", trouble.Count(o.Blocks, "block", "blocks"), proof)
	for _, p := range o.Patterns {
		var names []string
		for i := 0; i < len(p.Leaves); {
			n := 1
			for i+n < len(p.Leaves) && p.Leaves[i+n].Name == p.Leaves[i].Name {
				n++
			}
			names = append(names, fmt.Sprintf("%d x %s", n, p.Leaves[i].Name))
			i += n
		}
		fmt.Fprintf(w, "  %s, from the top: %s\n", trouble.Count(p.Blocks, "block", "blocks"), strings.Join(names, ", "))
	}
}

func (r leafReport) needed() string {
	n := r.Need
	text := fmt.Sprintf("%s mm in %g %% of %d pieces", mm(n.At), 100*n.Quantile, n.Pieces)
	switch {
	case n.High == nil:
		text += "; how much more at most: cannot tell"
	case n.Low == nil:
		text += fmt.Sprintf(", at most %s mm (95 %%)", mm(*n.High))
	default:
		text += fmt.Sprintf(", %s to %s mm (95 %% each end)", mm(*n.Low), mm(*n.High))
	}
	return text + "; over these pieces " + mm(n.Paid) + " mm would have paid best"
}

func (r leafReport) worth(x answers.Worth) string {
	text := "no leaf more"
	switch {
	case x.Leaves != 0:
		text = fmt.Sprintf("%+d leaves a block, value %+.2f", x.Leaves, x.Value)
	case x.Value > 0:
		text += fmt.Sprintf(", value %+.2f", x.Value)
	}
	if x.Kg != nil {
		text += fmt.Sprintf("; %s kg a leaf", measure.Decimal(*x.Kg, 1))
	}
	if x.Minutes != nil {
		text += fmt.Sprintf("; %s minutes a leaf", measure.Decimal(*x.Minutes, 1))
	}
	return text
}
