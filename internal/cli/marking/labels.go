package marking

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/marked"
	"slatewright/internal/paper"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
	"slatewright/trouble"
)

// Labels prints the labels of a set.
type Labels struct {
	Set    string   `arg:"" help:"The set's number."`
	Pieces []string `arg:"" optional:"" help:"The numbers of its pieces: head, centre, foot. Without them the book is asked."`
	Out    string   `required:"" placeholder:"FILE" help:"The PDF that is written; no file is written over."`
	Size   string   `placeholder:"WxH" help:"Size of one label for a label printer, mm, such as 62x29: each label is a page. Without it one sheet to cut."`
	Letter bool     `help:"The sheet is Letter, not A4."`
	Mill   string   `placeholder:"NAME" help:"The mill's name on the sheet; the book says its own."`
	Day    string   `placeholder:"YYYY-MM-DD" help:"The day that the paper bears. Without it none."`
	Font   string   `placeholder:"FILE" help:"TrueType font (.ttf) for characters that the program's own fonts do not have; words in zh need one."`
	Trial  bool     `help:"The data are invented: a banner says so on every label."`

	speaking     `embed:""`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Labels) About() verb.About {
	return verb.About{
		Text: `Prints the labels of a set's four marks, each twice: for the stone and for the lining. A mark sits on the left outer side of its piece, at the joint,
			left as seen from the foot; the letter is its joint's, and the arrow points to the head. So the two labels with one letter lie side by side when the bed
			is laid right, and a piece that is turned or mirrored shows it.

			The code on a label holds the piece, the set and the place. Two characters at its end hold the rest against slips.

			The pieces are given by their numbers, or are those of the set in the mill's book.`,
		Examples: []verb.Example{
			{"slatewright marks labels QH-0008 QH-P012 QH-P003 QH-P009 --out labels.pdf", "a sheet of A4 to cut"},
			{"slatewright marks labels QH-0008 QH-P012 QH-P003 QH-P009 --size 62x29 --out labels.pdf", "for a label printer, one label a page"},
			{"slatewright marks labels QH-S106 --book mill --language it --out etichette.pdf", "a set of the mill's book, in Italian"},
		},
	}
}

// labelsReport says what was printed.
type labelsReport struct {
	Set   string       `json:"set"`
	File  string       `json:"file"`
	Trial bool         `json:"trial"`
	Marks []markReport `json:"marks"`
}

type markReport struct {
	Piece  string `json:"piece"`
	Place  string `json:"place"`
	Joint  int    `json:"joint"`
	Letter string `json:"letter"`
	Corner string `json:"corner"` // where it sits, the arrow pointing away
	Code   string `json:"code"`
}

func (r *labelsReport) Outcome() verb.Outcome { return verb.Done }

func (r *labelsReport) Print(w io.Writer) {
	fmt.Fprintf(w, "Labels of set %s are in %s, one for the stone and one for the lining of each mark.\n\n", r.Set, r.File)
	rows := [][]string{{"letter", "piece", "place", "sits", "code"}}
	for _, m := range r.Marks {
		rows = append(rows, []string{m.Letter, m.Piece, m.Place, m.Corner, m.Code})
	}
	verb.Table(w, 5, rows...)
	fmt.Fprintln(w, "\nEach goes on the left outer side of its piece, at the joint; left as seen from the foot.")
}

// Run prints.
func (v Labels) Run(s *verb.Session) (verb.Report, error) {
	size := paper.A4
	if v.Letter {
		size = paper.Letter
	}
	form, err := v.form(s, size, v.Font)
	if err != nil {
		return nil, err
	}
	l := paper.Labels{Sheet: marks.Sheet{Set: v.Set, Invented: v.Trial}, Mill: v.Mill, Program: "slatewright " + s.Version}
	if l.Width, l.Height, err = labelSize(v.Size); err != nil {
		return nil, err
	}
	if v.Day != "" {
		if _, err := time.Parse(time.DateOnly, v.Day); err != nil {
			return nil, trouble.Usage("bad-day", "--day", fmt.Sprintf("%q is no day", v.Day), "write it as YYYY-MM-DD").Because(err)
		}
		l.Day = v.Day
	}
	switch len(v.Pieces) {
	case 0:
		return v.Reading(s, func(ctx context.Context, b book.Keeper) (verb.Report, error) {
			if err := fromBook(ctx, b, &l); err != nil {
				return nil, err
			}
			return v.write(l, form)
		})
	case len(l.Pieces):
		l.Pieces = [3]string(v.Pieces)
		for _, number := range append([]string{v.Set}, v.Pieces...) {
			if !marks.Numbered(number) {
				return nil, trouble.Usage("bad-id", "slatewright marks labels", fmt.Sprintf("%q cannot be a number or mark", number), "use letters, digits and . _ / - between them, at most 40")
			}
		}
		return v.write(l, form)
	}
	return nil, trouble.Usage("not-three", "slatewright marks labels", fmt.Sprintf("a set has three pieces, not %d", len(v.Pieces)), "name head, centre and foot, or none of them")
}

// fromBook takes the pieces of the set from the book, with the mill's name, and whether it is invented.
func fromBook(ctx context.Context, b book.Keeper, l *paper.Labels) error {
	t, err := b.Thing(ctx, book.Ref{Kind: book.KindSet, ID: l.Set})
	if err != nil {
		return err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return err
	}
	sheet, err := marked.SheetOf(tongue.Words{}, t.ID, state.(*book.SetState))
	if err != nil {
		return err
	}
	mill, err := millOf(ctx, b)
	if err != nil {
		return err
	}
	l.Pieces, l.Invented = sheet.Pieces, l.Invented || mill.Demo
	if l.Mill == "" {
		l.Mill = mill.Name
	}
	return nil
}

func (v Labels) write(l paper.Labels, form paper.Form) (verb.Report, error) {
	if l.Invented {
		l.Mark = (tongue.Words{}).Say("shell.invented")
	}
	var text bytes.Buffer
	if err := l.PDF(&text, form); err != nil {
		return nil, err
	}
	if err := verb.WriteNew(verb.NewFile{Path: v.Out, Text: text.Bytes(), Mode: 0o644}); err != nil {
		return nil, err
	}
	r := &labelsReport{Set: l.Set, File: v.Out, Trial: l.Invented}
	for _, m := range marks.Of(l.Set, l.Pieces) {
		r.Marks = append(r.Marks, markReport{m.Piece, m.Place.String(), int(m.Joint), m.Letter, string(m.Corner()), m.Code()})
	}
	return r, nil
}

// labelSize reads a size; none is a sheet.
func labelSize(typed string) (w, h float64, err error) {
	if typed == "" {
		return 0, 0, nil
	}
	w, h, ok := marks.ReadSize(typed)
	if !ok {
		return 0, 0, trouble.Usage("bad-size", "--size", fmt.Sprintf("%q is no size of a label that can carry a mark", typed), "write width x height in mm, from 45x16 to 210x150, wider than it is high, as in 62x29")
	}
	return w, h, nil
}
