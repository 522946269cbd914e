package stone

import (
	"cmp"
	"encoding/json"
	"net/url"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
)

// about is what the page of any stone says beside its shape: what comes next, what is asked about it, what may be done to it.
type about struct {
	Next  string
	Asked []slip.Slip
	Acts  []slip.Doing
}

// about asks the queue about a thing; also are the things that its forms name besides it.
func (r room) about(v *shell.Visit, t book.Thing, also []book.Ref) (a about, err error) {
	a.Next = slip.Says(v.Words, r.queue.NextFor(v.Now, t.Ref)[0])
	a.Asked = slip.About(v, r.queue.Ask(v.Now), t.Ref)
	for _, act := range usual[t.Kind][t.Station] {
		may, err := mayDo(v, act)
		if err != nil {
			return a, err
		}
		if may && !offered(a.Asked, act) {
			a.Acts = append(a.Acts, slip.Doing{Act: act, Path: shell.ActPath(act, t.Ref, also)})
		}
	}
	return a, nil
}

// offered tells whether a question that is asked here and may be answered by whoever looks has an act among its answers.
func offered(asked []slip.Slip, act string) bool {
	return slices.ContainsFunc(asked, func(s slip.Slip) bool { return s.Mine && slices.Contains(s.Acts, act) })
}

// usual are the acts that a page offers, by what stands where: what is done there every day. Common practice, no source.
var usual = map[book.Kind]map[book.Station][]string{
	book.KindPiece: {
		book.Saw:       {"mark", "read", "weigh", "reject"},
		book.Surfacing: {"surface", "read", "mark", "enter-room", "reject"},
		book.Sets:      {"read", "mark", "reject"},
		book.Drilling:  {"drill", "check", "repair"},
		book.Room:      {"weigh", "read", "leave-room"},
		book.Lining:    {"glue-lining", "check", "ream"},
		book.Bench:     {"read", "finish", "repair", "weigh"},
		book.Shipping:  {"read", "check"},
	},
	book.KindSet: {
		book.Sets:     {"lay-up", "dress-joint", "drill", "part-set"},
		book.Drilling: {"drill", "enter-room"},
		book.Room:     {"leave-room"},
		book.Lining:   {"glue-lining", "ream"},
		book.Bench:    {"lay-up", "judge", "certify", "pack"},
		book.Shipping: {"pack", "ship"},
		book.Away:     {"return"},
	},
}

// mayDo tells whether whoever looks may do an act by the mill's route.
func mayDo(v *shell.Visit, act string) (bool, error) {
	_, state, err := v.Thing(book.KindMill, v.Ledger.Site())
	if err != nil {
		return false, err
	}
	for _, step := range state.(*book.MillState).Route.Steps {
		if step.Act == act {
			return v.Sender.Role.Covers(step.May), nil
		}
	}
	return false, nil
}

// past is one entry in the history of a stone.
type past struct {
	When, Who, Did, Told, State string
	Of                          book.Ref // the stone it was done to, when it is another: what this one was cut from, or a piece of the set
	Station                     book.Station
}

// mostPast is how much of a history a page shows.
const mostPast = 200

// pastOf tells the history of a thing, after that of the stone that it was cut from until it was. More is where the rest stands.
func pastOf(v *shell.Visit, t book.Thing) (list []past, more string, err error) {
	line, err := lineOf(v, t)
	if err != nil {
		return nil, "", err
	}
	seen := map[string]bool{}
	for i, from := range line {
		page, err := v.Ledger.History(v.R.Context(), from.Ref, "", mostPast)
		if err != nil {
			return nil, "", err
		}
		for _, e := range page.Items {
			mine := i == len(line)-1
			if seen[e.Entry.ID] || !mine && (e.At.UnixMilli() > born(line[i+1]) || e.Standing.State != "" || from.Kind == book.KindLayer && e.Act != "take-in" && e.Act != "survey") {
				continue // what was done to the layer for other blocks is not this stone's
			}
			seen[e.Entry.ID] = true
			p := past{When: v.Moment(e.At), Who: e.Person, Did: v.Word("did", e.Act), Told: told(v, e), State: e.Standing.State, Station: e.Station}
			switch {
			case !mine:
				p.Of = from.Ref
			case t.Kind == book.KindSet:
				p.Of = pieceIn(e.Body)
			}
			list = append(list, p)
		}
		if page.Next != "" && i == len(line)-1 {
			more = "/thing/" + string(t.Kind) + "/" + url.PathEscape(t.ID) + "?after=" + url.QueryEscape(page.Next)
		}
	}
	return list, more, nil
}

// pieceIn is the one piece that an entry's body names.
func pieceIn(body []byte) book.Ref {
	var b struct {
		Piece string   `json:"piece"`
		List  []string `json:"pieces"`
		Thing book.Ref `json:"thing"`
	}
	switch err := json.Unmarshal(body, &b); {
	case err != nil:
	case b.Piece != "":
		return book.Ref{Kind: book.KindPiece, ID: b.Piece}
	case len(b.List) == 1:
		return book.Ref{Kind: book.KindPiece, ID: b.List[0]}
	case b.Thing.Kind == book.KindPiece:
		return b.Thing
	}
	return book.Ref{}
}

// lineOf is a stone and what it was cut from, the layer first.
func lineOf(v *shell.Visit, t book.Thing) ([]book.Thing, error) {
	line := []book.Thing{t}
	for line[0].Parent != (book.Ref{}) && len(line) < 8 {
		up, err := v.Ledger.Thing(v.R.Context(), line[0].Parent)
		if err != nil {
			return nil, err
		}
		line = slices.Insert(line, 0, up)
	}
	return line, nil
}

// born is when a thing came into the book, as milliseconds.
func born(t book.Thing) int64 {
	if c := commonOf(t); c != nil && c.BornMS > 0 {
		return c.BornMS
	}
	return t.At.UnixMilli()
}

// commonOf is the part of a state that every stone has; nil where it cannot be read.
func commonOf(t book.Thing) *book.Common {
	state, err := book.StateOf(t)
	if err != nil {
		return nil
	}
	switch s := state.(type) {
	case *book.LayerState:
		return &s.Common
	case *book.BlockState:
		return &s.Common
	case *book.SlabState:
		return &s.Common
	case *book.PieceState:
		return &s.Common
	case *book.SetState:
		return &s.Common
	}
	return nil
}

// told is what an entry says beside its act.
func told(v *shell.Visit, e book.Placed) string {
	act, err := book.Decode(e.Act, e.Body)
	if err != nil {
		return ""
	}
	switch a := act.(type) {
	case *book.Survey:
		return v.Say("stone.cracks", "n", a.Cracks)
	case *book.Reject:
		return cmp.Or(a.Note, v.Word("cause", a.Cause))
	case *book.Surfaced:
		return toldSurfaced(v, a)
	case *book.Read:
		return strings.Join(append([]string{v.Word("reading", a.What)}, a.Instruments...), ", ")
	case *book.LeaveRoom:
		return a.Released
	case *book.Correct:
		return a.Why
	case *book.PartSet:
		return a.Why
	case *book.Return:
		return a.Complaint
	case *book.Judge:
		return v.Word("verdict", a.Verdict)
	case *book.Certify:
		return a.Certificate
	case *book.Match:
		return strings.Join(a.Pieces, ", ")
	}
	return ""
}

func toldSurfaced(v *shell.Visit, a *book.Surfaced) string {
	parts := []string{v.Word("face", a.Face), v.Word("stage", a.Stage)}
	if a.DepthMM > 0 {
		parts = append(parts, v.Length(a.DepthMM))
	}
	return strings.Join(append(parts, a.Disc), ", ")
}

// day writes the day of a time in milliseconds.
func day(v *shell.Visit, ms int64) string {
	return v.Day(time.UnixMilli(ms).In(v.Now.Location()))
}
