package stone

import (
	"cmp"
	"net/url"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

// tracePage is where something came from.
type tracePage struct {
	Thing  book.Thing
	Line   []lineStop
	Groups []originGroup
	Reach  reach
}

// lineStop is one stone on the way from the layer.
type lineStop struct {
	Ref  book.Ref
	When string // it came into the book
	Here bool
}

// originGroup is what of one kind reached the thing.
type originGroup struct {
	Kind book.Kind
	Rows []originRow
}

type originRow struct {
	Ref   book.Ref
	First string // when it first did, as far as the page knows
	By    string // the set through which it did, when it did not reach the thing itself
}

// reach is where something went.
type reach struct {
	Thing book.Ref
	Count book.Count
	Rows  []reachRow
	Next  string // address of the next page
	All   string // address of the first page
}

type reachRow struct {
	Ref                book.Ref
	Rank               int
	First              bool // of its rank on this page
	At, Since          string
	Order, Certificate book.Ref
	Shipment           book.Ref
}

func trace(v *shell.Visit) error {
	t, _, err := v.Thing(book.Kind(v.R.PathValue("kind")), v.R.PathValue("number"))
	if err != nil {
		return err
	}
	p := tracePage{Thing: t}
	line, err := lineOf(v, t)
	if err != nil {
		return err
	}
	for _, up := range line {
		p.Line = append(p.Line, lineStop{up.Ref, day(v, born(up)), up.Ref == t.Ref})
	}
	origins, err := v.Ledger.Origins(v.R.Context(), t.Ref)
	if err != nil {
		return err
	}
	met, err := meetings(v, t, line)
	if err != nil {
		return err
	}
	for _, r := range origins {
		i := slices.IndexFunc(p.Groups, func(g originGroup) bool { return g.Kind == r.Kind })
		if i < 0 {
			i, p.Groups = len(p.Groups), append(p.Groups, originGroup{Kind: r.Kind})
		}
		row := originRow{Ref: r, By: by(t)}
		if at, there := met[r]; there {
			row.By = ""
			row.First = v.Moment(time.UnixMilli(at).In(v.Now.Location()))
		}
		p.Groups[i].Rows = append(p.Groups[i].Rows, row)
	}
	slices.SortStableFunc(p.Groups, func(a, b originGroup) int { return cmp.Compare(rank(a.Kind), rank(b.Kind)) })
	if p.Reach, err = reachOf(v, t.Ref, "", fewReached); err != nil {
		return err
	}
	return v.Show(shell.Page{Name: "stone/trace", Title: v.Say("stone.trace-of", "thing", t.ID), Here: string(t.Station), Data: p})
}

// by is the set that answers for a piece.
func by(t book.Thing) string {
	if state, err := book.StateOf(t); err == nil {
		if piece, ok := state.(*book.PieceState); ok {
			return piece.Set
		}
	}
	return ""
}

func rank(k book.Kind) int { return slices.Index(book.Kinds(), k) }

// meetings says when things first touched a stone, what it was cut from, or the pieces of a set.
func meetings(v *shell.Visit, t book.Thing, line []book.Thing) (map[book.Ref]int64, error) {
	met := map[book.Ref]int64{}
	all := slices.Clone(line)
	if t.Kind == book.KindPiece {
		met[t.Ref] = born(t)
	}
	if state, err := book.StateOf(t); err == nil {
		if set, ok := state.(*book.SetState); ok {
			for _, id := range set.Pieces {
				piece, err := v.Ledger.Thing(v.R.Context(), book.Ref{Kind: book.KindPiece, ID: id})
				if err != nil {
					return nil, err
				}
				up, err := lineOf(v, piece)
				if err != nil {
					return nil, err
				}
				all = append(all, up...)
			}
		}
	}
	for _, stone := range all {
		if stone.Ref != t.Ref {
			met[stone.Ref] = born(stone)
		}
		c := commonOf(stone)
		if c == nil {
			continue
		}
		for _, m := range c.Met {
			if at, there := met[m.Ref]; !there || m.AtMS < at {
				met[m.Ref] = m.AtMS
			}
		}
	}
	return met, nil
}

const (
	fewReached  = 12 // on the page of where it came from
	mostReached = 50
)

func affected(v *shell.Visit) error {
	t, _, err := v.Thing(book.Kind(v.R.PathValue("kind")), v.R.PathValue("number"))
	if err != nil {
		return err
	}
	p, err := reachOf(v, t.Ref, v.R.URL.Query().Get("after"), mostReached)
	if err != nil {
		return err
	}
	return v.Show(shell.Page{Name: "stone/affected", Title: v.Say("stone.affected-of", "thing", t.ID), Here: string(t.Station), Data: p})
}

// reachOf lists what a thing reached, shipped sets first.
func reachOf(v *shell.Visit, r book.Ref, after string, limit int) (out reach, err error) {
	out = reach{Thing: r, All: "/affected/" + string(r.Kind) + "/" + url.PathEscape(r.ID)}
	if out.Count, err = v.Ledger.AffectedCount(v.R.Context(), r); err != nil {
		return out, err
	}
	page, err := v.Ledger.Affected(v.R.Context(), r, after, limit)
	if err != nil {
		return out, err
	}
	last := -1
	for _, x := range page.Items {
		row, err := reachRowOf(v, x)
		if err != nil {
			return out, err
		}
		row.First, last = x.Rank != last, x.Rank
		out.Rows = append(out.Rows, row)
	}
	if page.Next != "" {
		out.Next = out.All + "?after=" + url.QueryEscape(page.Next)
	}
	return out, nil
}

func reachRowOf(v *shell.Visit, x book.Reach) (row reachRow, err error) {
	t, state, err := v.Thing(x.Target.Kind, x.Target.ID)
	if err != nil {
		return row, err
	}
	row = reachRow{Ref: x.Target, Rank: x.Rank, At: v.Word("station", string(t.Station)), Since: v.Day(t.Since.In(v.Now.Location()))}
	if s, ok := state.(*book.SetState); ok {
		for _, to := range []struct {
			ref  *book.Ref
			kind book.Kind
			id   string
		}{{&row.Order, book.KindOrder, s.Order}, {&row.Certificate, book.KindCertificate, s.Certificate}, {&row.Shipment, book.KindShipment, s.Shipment}} {
			if to.id != "" {
				*to.ref = book.Ref{Kind: to.kind, ID: to.id}
			}
		}
	}
	return row, nil
}
