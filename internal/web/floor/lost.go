package floor

import (
	"iter"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/book/lost"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
)

// mostCandidates is how many pieces are shown that it may be.
const mostCandidates = 10

// searching is the page of the search for a piece that has lost its number.
type searching struct {
	Stations []book.Station
	Station  book.Station
	Fields   []row
	Since    string
	Asked    bool
	Wrong    *problem.Problem
	Head     string
	Found    []candidate
	Searched int
	Stands   bool // the first stands out from the others
}

// candidate is a piece that it may be.
type candidate struct {
	ID, Path, Chance, At, Since, Marked string
	Facts                               string
	Why                                 []string // what speaks for and against it
	Mark                                string   // where a second person marks it; "" for whoever may not
}

// measuresOf are the measures that a found piece may have been taken of.
var measuresOf = []string{"length_mm", "width_mm", "thickness_mm", "mass_kg"}

// searchLost ranks the pieces that a piece without a number may be. It decides nothing: a second person looks, and marks.
func searchLost(v *shell.Visit) error {
	asked := v.R.URL.Query()
	p := searching{Stations: shell.Way(), Station: book.Station(asked.Get("station")), Since: asked.Get("since")}
	for _, name := range measuresOf {
		r := row{Label: v.Say("field." + name), Value: asked.Get(name), Unit: unitOf(v.Words, name)}
		r.Name = name
		p.Fields = append(p.Fields, r)
	}
	p.Asked = slices.ContainsFunc(append([]string{"station", "since"}, measuresOf...), func(name string) bool { return asked.Get(name) != "" })
	page := shell.Page{Name: "floor/lost", Title: v.Say("floor.lost"), Here: "find", Near: true}
	if p.Asked {
		err := p.rank(v, asked)
		if p.Wrong = shell.Mendable(err); p.Wrong != nil {
			p.Head, page.Code = v.HeadOf(p.Wrong), p.Wrong.Status
		} else if err != nil {
			return err
		}
	}
	page.Data = p
	return v.Show(page)
}

func (p *searching) rank(v *shell.Visit, asked url.Values) error {
	d, err := described(v, asked)
	if err != nil {
		return err
	}
	var failed error
	found, err := lost.Rank(pieces(v, &failed), d, mostCandidates)
	if failed != nil {
		return failed
	}
	if err != nil {
		return err
	}
	p.Searched, p.Stands = found.Searched, found.CannotTell == ""
	for _, c := range found.Candidates {
		state, err := book.StateOf(c.Thing)
		if err != nil {
			return err
		}
		facts, err := factsOf(v, c.Thing)
		if err != nil {
			return err
		}
		one := candidate{ID: c.ID, Path: shell.Link(c.Ref), Chance: v.Chance(min(c.Share, almostSure)), At: v.Word("station", string(c.Station)), Since: v.Day(c.Since), Facts: facts.line(), Why: c.Reasons, Marked: "–"}
		if on := state.(*book.PieceState).MarkedOn; on != "" {
			one.Marked = v.Word("surface", string(on))
		}
		if v.Sender.Role.Covers(book.Hand) && !v.Sender.Machine {
			one.Mark = "/do/mark?" + url.Values{"piece": {c.ID}, "searched_by": {v.Sender.Person}}.Encode()
		}
		p.Found = append(p.Found, one)
	}
	return nil
}

// almostSure is the largest share that is shown: nobody is quite sure of a stone without a number.
const almostSure = 0.999

// described is what was filled in, in the book's units.
func described(v *shell.Visit, asked url.Values) (d lost.Description, err error) {
	d.Station = book.Station(asked.Get("station"))
	if d.Station != "" && !slices.Contains(book.Stations(), d.Station) {
		return d, problem.New("bad-value", "station", v.Say("floor.lost-no-number", "typed", asked.Get("station")), v.Say("floor.lost-next"))
	}
	for name, into := range map[string]*float64{"length_mm": &d.LengthMM, "width_mm": &d.WidthMM, "thickness_mm": &d.ThicknessMM, "mass_kg": &d.MassKg} {
		typed := strings.TrimSpace(asked.Get(name))
		if typed == "" {
			continue
		}
		x, ok := measureOf(v.Words, name, plainNumber(typed))
		if !ok || !(x > 0 && x < 100_000) {
			return d, problem.New("bad-value", name, v.Say("floor.lost-no-number", "typed", typed), v.Say("floor.lost-next"))
		}
		*into = x
	}
	if since := asked.Get("since"); since != "" {
		if d.Since, err = time.ParseInLocation(time.DateOnly, since, v.Now.Location()); err != nil {
			return d, problem.New("bad-value", "since", v.Say("floor.lost-no-number", "typed", since), v.Say("floor.lost-next"))
		}
	}
	return d, nil
}

// measureOf reads a measure: a bare number is in the reader's unit, a mass in kilograms.
func measureOf(w tongue.Words, name, typed string) (float64, bool) {
	if name == "mass_kg" {
		x, err := strconv.ParseFloat(typed, 64)
		return x, err == nil
	}
	if _, err := strconv.ParseFloat(typed, 64); err == nil {
		typed += " " + unitOf(w, name)
	}
	mm, _, err := measure.ParseLengthUnit(typed)
	return mm, err == nil
}

// pieces gives every piece of the book, page by page, until one cannot be read.
func pieces(v *shell.Visit, failed *error) iter.Seq[book.Thing] {
	const most = 500
	return func(yield func(book.Thing) bool) {
		for cursor := ""; ; {
			page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindPiece}, cursor, most)
			if err != nil {
				*failed = err
				return
			}
			for _, t := range page.Items {
				if !yield(t) {
					return
				}
			}
			if cursor = page.Next; cursor == "" {
				return
			}
		}
	}
}
