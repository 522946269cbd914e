package floor

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// Trace tells where a thing came from.
type Trace struct {
	ID           string `arg:"" help:"Number of a piece, set, certificate or anything else; kind:number where two kinds share a number."`
	Limit        int    `default:"200" placeholder:"COUNT" help:"How many acts of its history to list; 0 lists all."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Trace) About() verb.About {
	return verb.About{
		Text: `Tells where a thing stands, everything it came from or that touched it (the layer, block and slab; the pieces of a set; every
			instrument, bench, disc, bit set, room, batch and order), and every act in its history, in the order of time. A certificate is traced
			through its set. An entry in brackets is not in force: it was struck by a correction, or is in conflict.

			It reads beside a running server.`,
		Examples: []verb.Example{
			{"slatewright trace QH-S01", "where did this set come from?"},
			{"slatewright trace certificate:QH-S01 --json", "the certificate, where a set has the same number; for programs"},
		},
	}
}

// thingReport is a thing as it is told.
type thingReport struct {
	Thing   book.Ref        `json:"thing"`
	Station book.Station    `json:"station"`
	Since   time.Time       `json:"since"`
	Parent  *book.Ref       `json:"parent"` // null when it has none
	State   json.RawMessage `json:"state"`
}

func tellThing(t book.Thing) thingReport {
	r := thingReport{Thing: t.Ref, Station: t.Station, Since: t.Since, State: t.State}
	if t.Parent != (book.Ref{}) {
		r.Parent = &t.Parent
	}
	return r
}

type traceReport struct {
	thingReport
	Through *book.Ref      `json:"through"` // the set whose origins these are; null for the thing's own
	Origins []book.Ref     `json:"origins"`
	History []opened.Entry `json:"history"`
	More    bool           `json:"more"` // the history was cut off
	zone    *time.Location
}

// Run asks the book.
func (v Trace) Run(s *verb.Session) (verb.Report, error) {
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		t, err := opened.Find(ctx, l, v.ID)
		if err != nil {
			return nil, err
		}
		r := &traceReport{thingReport: tellThing(t), zone: s.Clock().Location()}
		target := t.Ref
		if t.Kind == book.KindCertificate && t.Parent.Kind == book.KindSet {
			target = t.Parent
			r.Through = &target
		}
		if r.Origins, err = l.Origins(ctx, target); err != nil {
			return nil, err
		}
		r.Origins = append([]book.Ref{}, r.Origins...)
		r.History, r.More, err = historyOf(ctx, s, l, t.Ref, v.Limit)
		return r, err
	})
}

// historyOf is what touched a thing, in the order of time: at most limit entries, all when it is 0.
func historyOf(ctx context.Context, s *verb.Session, l book.Ledger, ref book.Ref, limit int) (list []opened.Entry, more bool, err error) {
	list = []opened.Entry{}
	for cursor := ""; ; {
		page, err := l.History(ctx, ref, cursor, ofPage(limit, len(list)))
		if err != nil {
			return nil, false, err
		}
		for _, p := range page.Items {
			list = append(list, opened.Tell(s, p))
		}
		if cursor = page.Next; cursor == "" || limit > 0 && len(list) >= limit {
			return list, cursor != "", nil
		}
	}
}

// ofPage is how many to ask for when so many are there of a limit; 0 is no limit.
func ofPage(limit, there int) int {
	const page = 500
	if limit <= 0 {
		return page
	}
	return min(page, limit-there)
}

func (r *traceReport) Outcome() verb.Outcome { return verb.Done }

func (r *traceReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s stands at %s since %s\n", r.Thing, r.Station, opened.Minute(r.Since, r.zone))
	if r.Through != nil {
		fmt.Fprintf(w, "  of %s\n", r.Through)
	}
	verb.Section(w, "What it came from and what touched it")
	printByKind(w, r.Origins)
	verb.Section(w, "What happened")
	for _, e := range r.History {
		e.Print(w)
	}
	if r.More {
		fmt.Fprintf(w, "\n%s", verb.Wrap("its history goes on after the first "+trouble.Count(len(r.History), "act", "acts")+"; --limit 0 lists all", "Note: ", "      ", verb.Width))
	}
}

// printByKind writes things in columns, a line for each kind.
func printByKind(w io.Writer, refs []book.Ref) {
	var rows [][2]string
	for _, kind := range book.Kinds() {
		var ids []string
		for _, r := range refs {
			if r.Kind == kind {
				ids = append(ids, r.ID)
			}
		}
		if slices.Sort(ids); len(ids) > 0 {
			rows = append(rows, [2]string{string(kind), strings.Join(ids, " ")})
		}
	}
	if len(rows) == 0 {
		fmt.Fprint(w, "  nothing that the book knows\n")
	}
	verb.Columns(w, rows)
}

// Affected tells what else a thing reached.
type Affected struct {
	ID           string `arg:"" help:"Number of a layer, block, slab, piece, instrument, bench, disc, bit set, room, batch or order."`
	Limit        int    `default:"100" placeholder:"COUNT" help:"How many to list; 0 lists all."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Affected) About() verb.About {
	return verb.About{
		Text: `After a complaint, a crack or an instrument that was found wrong: tells every set that the thing reached, shipped ones first,
			then the sets in the house, the pieces that are in no set yet, and what lies on the heap or was parted.

			It reads beside a running server.`,
		Examples: []verb.Example{
			{"slatewright affected DIAL-2", "a dial was out: which sets were read with it?"},
			{"slatewright affected layer:L2 --limit 0 --json", "everything from one quarry layer, for programs"},
		},
	}
}

type affectedReport struct {
	Origin book.Ref         `json:"origin"`
	Count  book.Count       `json:"count"`
	Listed []affectedTarget `json:"listed"`
	More   bool             `json:"more"` // the list was cut off
}

type affectedTarget struct {
	Thing book.Ref `json:"thing"`
	Rank  string   `json:"rank"`
}

// ranks are the words for what was reached, in their order.
var ranks = [...]string{"shipped", "in the house", "in no set", "rejected or parted"}

// Run asks the book.
func (v Affected) Run(s *verb.Session) (verb.Report, error) {
	return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		t, err := opened.Find(ctx, l, v.ID)
		if err != nil {
			return nil, err
		}
		r := &affectedReport{Origin: t.Ref, Listed: []affectedTarget{}}
		if r.Count, err = l.AffectedCount(ctx, t.Ref); err != nil {
			return nil, err
		}
		return r, v.list(ctx, l, r)
	})
}

func (v Affected) list(ctx context.Context, l book.Ledger, r *affectedReport) error {
	for cursor := ""; ; {
		page, err := l.Affected(ctx, r.Origin, cursor, ofPage(v.Limit, len(r.Listed)))
		if err != nil {
			return err
		}
		for _, reach := range page.Items {
			r.Listed = append(r.Listed, affectedTarget{reach.Target, ranks[reach.Rank]})
		}
		cursor = page.Next
		if full := v.Limit > 0 && len(r.Listed) >= v.Limit; cursor == "" || full {
			r.More = cursor != ""
			return nil
		}
	}
}

func (r *affectedReport) Outcome() verb.Outcome { return verb.Done }

func (r *affectedReport) Print(w io.Writer) {
	c := r.Count
	fmt.Fprintf(w, "%s reached\n", r.Origin)
	for i, n := range []int{c.Shipped, c.Sets, c.Pieces, c.Gone} {
		what := [...][2]string{{"set that is shipped", "sets that are shipped"}, {"set in the house", "sets in the house"},
			{"piece that is in no set", "pieces that are in no set"}, {"piece or set rejected or parted", "pieces and sets rejected or parted"}}[i]
		number, words, _ := strings.Cut(trouble.Count(n, what[0], what[1]), " ")
		fmt.Fprintf(w, "%8s  %s\n", number, words)
	}
	last := ""
	for _, t := range r.Listed {
		if t.Rank != last {
			verb.Section(w, strings.ToUpper(t.Rank[:1])+t.Rank[1:])
			last = t.Rank
		}
		fmt.Fprintf(w, "  %s\n", t.Thing)
	}
	if r.More {
		fmt.Fprintf(w, "\n%s", verb.Wrap("only "+trouble.Count(len(r.Listed), "is", "are")+" listed; --limit 0 lists all", "Note: ", "      ", verb.Width))
	}
}
