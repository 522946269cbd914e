package gluing

import (
	"fmt"
	"io"
	"strings"

	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/internal/tongue"
	"slatewright/lining"
	"slatewright/lining/answers"
	"slatewright/measure"
)

// Glue asks whether a batch may be glued today.
type Glue struct {
	File string `arg:"" help:"Piece, board, room, layouts and destination as header lines; a row for each look at the waiting boards. CSV; - is standard input."`
}

// About is the help of the verb.
func (Glue) About() verb.About {
	return verb.About{
		Text: `A board that dries after it was glued shrinks, and the playing face above it crowns; one that takes up water dishes it. The verb reckons
			with which air the boards are in balance now (from the readings of the room and a weighed sample board), what each month at
			the destination will do to them, and how far each layout of boards bows the piece by it. All limits are hard: the doubt of the
			sensor, the board's movement, moduli, hysteresis and creep are put together for the worst.

			The board's movement comes from the supplier's EN 318 values (mm/m from 65 to 30 % and from 65 to 85 %) or from the mill's own coupon. Without
			either, the equation for solid wood stands in with ± 50 %, and then nothing is ever good to glue. A pin meter right within 1 %
			cannot tell; a sample board weighed daily can.

			Exit status 0: may be glued; 1: not today; 2: cannot tell.`,
		Examples: []verb.Example{
			{"slatewright lining glue batch.csv", "the verdict, the year at the destination, the layouts, and words for the certificate"},
			{"slatewright lining glue batch.csv --json", "the same as one JSON object"},
			{"slatewright lining glue - <batch.csv && echo press", "as an exit status"},
		},
	}
}

type glueReport struct{ *answers.Glue }

// Run reads the batch and answers.
func (v Glue) Run(s *verb.Session) (verb.Report, error) {
	list, err := readSheet(s, v.File)
	if err != nil {
		return nil, err
	}
	g, err := answers.OfBatch(list)
	if err != nil {
		return nil, err
	}
	return glueReport{g}, nil
}

// Outcome is the verdict's.
func (r glueReport) Outcome() verb.Outcome {
	return map[lining.Verdict]verb.Outcome{lining.Glue: verb.Done, lining.DoNotGlue: verb.Refused, lining.CannotTell: verb.CannotTell}[r.Glue.Outcome]
}

// Print writes the answer for people.
func (r glueReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n", r.File, sentence(r.Verdict))
	r.list(w, r.Why)
	if len(r.Next) > 0 {
		verb.Section(w, "What to do next")
		r.list(w, r.Next)
	}
	r.boards(w)
	r.year(w)
	r.layouts(w)
	verb.Section(w, "For the certificate")
	if r.Room != nil {
		io.WriteString(w, verb.Wrap(r.Room.Text, "  ", "  ", verb.Width))
	} else {
		io.WriteString(w, verb.Wrap("Nothing: with what is known, no room can be named in which the bow surely keeps within its share.", "  ", "  ", verb.Width))
	}
	verb.Section(w, "If one thing were known, the largest possible bow would be")
	var rows [][]string
	for _, c := range r.Causes {
		rows = append(rows, []string{lining.CauseName(c.Cause).String(), up(c.WorstMM) + " mm"})
	}
	verb.Table(w, 1, rows...)
	var notes []string
	for _, n := range r.Notes {
		notes = append(notes, n.Text)
	}
	verb.PrintWarnings(w, append(notes, r.Warnings...))
	verb.Section(w, "Take care")
	var care [][2]string
	for _, c := range caution.OnPage(tongue.In(tongue.English, tongue.Metric), []caution.Topic{caution.Glue, caution.Lifting}) {
		care = append(care, [2]string{c.Word, c.Text})
	}
	verb.Columns(w, care)
}

func (r glueReport) list(w io.Writer, list []answers.Said) {
	for _, s := range list {
		io.WriteString(w, verb.Wrap(s.Text, "  - ", "    ", verb.Width))
	}
}

// sentence begins with a capital.
func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

func (r glueReport) boards(w io.Writer) {
	verb.Section(w, "The boards now")
	rows := [][2]string{{"in balance with", between(r.State, 1, " % relative humidity")}, {"have waited", measure.Decimal(r.Days, 1) + " days"}, {"movement from", r.Movement}}
	if s := r.Sample; s != nil {
		text := fmt.Sprintf("%d weighings, %s %% of its mass a day", s.Readings, measure.Decimal(s.Rate, 3))
		if s.Told {
			text += fmt.Sprintf("; still to take up %s %% of its mass; 63 %% of the way in %s", between(*s.Remaining, 3, ""), between(*s.Days, 1, " days"))
		}
		rows = append(rows, [2]string{"sample board", text})
	}
	verb.Columns(w, rows)
}

var monthNames = [...]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

func (r glueReport) year(w io.Writer) {
	verb.Section(w, fmt.Sprintf("The year at the destination, with %s; %s mm is allowed", r.Layouts[0].Layout, measure.Decimal(r.LimitMM, 3)))
	rows := [][]string{{"", "humidity %", "from", "to", "bow mm", "from", "to", "playing face"}}
	for _, m := range r.Months {
		rows = append(rows, []string{monthNames[m.Month-1], measure.Decimal(m.Humidity.Value, 0), measure.Decimal(m.Humidity.Low, 0), measure.Decimal(m.Humidity.High, 0),
			signed(measure.Decimal(m.Bow.Value, 3)), signed(down(m.Bow.Low)), signed(up(m.Bow.High)), m.Face})
	}
	verb.Table(w, 1, rows...)
}

func (r glueReport) layouts(w io.Writer) {
	verb.Section(w, "Layouts, and the largest bow of the year")
	rows := [][]string{{"layout", "covers", "expected mm", "at least", "at most", "keeps within"}}
	for _, l := range r.Layouts {
		rows = append(rows, []string{l.Layout, measure.Decimal(100*l.Cover, 0) + " %", measure.Decimal(l.Worst.Value, 3), down(l.Worst.Low), up(l.Worst.High), l.Holds})
	}
	verb.Table(w, 1, rows...)
}
