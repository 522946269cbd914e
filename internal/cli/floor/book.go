package floor

import (
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// Book holds the verbs about what stands in the book.
type Book struct {
	Show Show `cmd:"" help:"Which mill is it, and what stands where?"`
	Find Find `cmd:"" help:"Which things are there?"`
	Tail Tail `cmd:"" help:"What was written last?"`
}

// Show tells the mill, its answers and how many things stand where.
type Show struct {
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Show) About() verb.About {
	return verb.About{
		Text:     `Tells whose book it is, the mill's own answers, and how many things of each kind stand at each station. It reads beside a running server.`,
		Examples: []verb.Example{{"slatewright book show", "of the folder mill"}},
	}
}

type showReport struct {
	Site     string                             `json:"site"`
	Name     string                             `json:"name"`
	Demo     bool                               `json:"demo"`
	Answers  map[string]string                  `json:"answers"`
	Stations map[book.Station]map[book.Kind]int `json:"stations"`
}

// Run asks the book.
func (v Show) Run(s *verb.Session) (verb.Report, error) {
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		m, err := opened.MillOf(ctx, l)
		if err != nil {
			return nil, err
		}
		r := &showReport{Site: l.Site(), Name: m.Name, Demo: m.Demo, Answers: m.Answers}
		r.Stations, err = l.Stations(ctx)
		return r, err
	})
}

func (r *showReport) Outcome() verb.Outcome { return verb.Done }

func (r *showReport) Print(w io.Writer) {
	fmt.Fprintf(w, "The book of %s (site %s)\n", r.Name, r.Site)
	if r.Demo {
		fmt.Fprint(w, "Invented data, not a real mill.\n")
	}
	opened.PrintAnswers(w, r.Answers)
	verb.Section(w, "What stands where")
	var rows [][2]string
	for _, at := range book.Stations() {
		text := ""
		for _, kind := range book.Kinds() {
			if n := r.Stations[at][kind]; n > 0 {
				text += fmt.Sprintf("%d %s  ", n, kind)
			}
		}
		if text != "" {
			rows = append(rows, [2]string{string(at), text})
		}
	}
	verb.Columns(w, rows)
}

// Find lists things.
type Find struct {
	Number       string `arg:"" optional:"" help:"Number of the thing, of whatever kind."`
	Kind         string `placeholder:"KIND" help:"Only things of this kind, such as piece or instrument."`
	Station      string `placeholder:"STATION" help:"Only what stands there."`
	Limit        int    `default:"100" placeholder:"COUNT" help:"How many to list at most."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Find) About() verb.About {
	return verb.About{
		Text: `Lists things with where they stand and since when, in the order of kind and number. It reads beside a running server.`,
		Examples: []verb.Example{
			{"slatewright book find QH-0101", "what bears this number?"},
			{"slatewright book find --kind piece --station room", "what stands in the room?"},
		},
	}
}

type findReport struct {
	Things []thingReport `json:"things"`
	More   bool          `json:"more"` // the list was cut off
	zone   *time.Location
}

// Run asks the book.
func (v Find) Run(s *verb.Session) (verb.Report, error) {
	f := book.Filter{Kind: book.Kind(v.Kind), Station: book.Station(v.Station), ID: v.Number}
	if v.Kind != "" && !slices.Contains(book.Kinds(), f.Kind) {
		return nil, trouble.Usage("bad-kind", "slatewright book find", fmt.Sprintf("%q is no kind of thing", v.Kind), fmt.Sprintf("use one of %v", book.Kinds()))
	}
	if err := checkStation("book find", v.Station); err != nil {
		return nil, err
	}
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		r := &findReport{Things: []thingReport{}, zone: s.Clock().Location()}
		page, err := l.Things(ctx, f, "", min(max(v.Limit, 1), 500))
		for _, t := range page.Items {
			r.Things = append(r.Things, tellThing(t))
		}
		r.More = page.Next != ""
		return r, err
	})
}

// checkStation refuses a word that is no station; none is given when it is empty.
func checkStation(word, station string) error {
	if station == "" || slices.Contains(book.Stations(), book.Station(station)) {
		return nil
	}
	return trouble.Usage("bad-station", "slatewright "+word, fmt.Sprintf("%q is no station", station), fmt.Sprintf("use one of %v", book.Stations()))
}

func (r *findReport) Outcome() verb.Outcome { return verb.Done }

func (r *findReport) Print(w io.Writer) {
	if len(r.Things) == 0 {
		fmt.Fprint(w, "Nothing in the book is like that.\n")
	}
	for _, t := range r.Things {
		fmt.Fprintf(w, "  %-28s  %-10s  since %s\n", t.Thing, t.Station, opened.Minute(t.Since, r.zone))
	}
	if r.More {
		fmt.Fprint(w, "\nNote: there are more; --limit lists up to 500\n")
	}
}
