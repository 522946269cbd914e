package packing

import (
	"net/url"
	"slices"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/marked"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

// checked is the page of the check.
type checked struct {
	Wanted, Set   string
	Outcome       string // its key
	Verdict       string // the verdict whose mark it bears; "" before anything was read
	Says, Next    string // of the first fault, or of what is right
	Doubt         string // what keeps right codes from being packed
	Also          []told // the other faults
	Still         []string
	Out           *chosen // takes the piece out that the first fault is about
	Rows          []row
	Carried       []carried // what the next scan adds to
	Label         string    // of the field
	Pack, Anew    string    // addresses; "" for none
	Labels        string
	Action        string
	Invented      bool
	Examples      []chosen
	Cornered      bool // corners can be told
	ForgetCorners string
}

type told struct{ Says, Next string }

// carried is a code that is kept, with the corner at which its mark was seen.
type carried struct{ Code, Seen string }

type chosen struct{ Path, Says string }

// row is one code that was read.
type row struct {
	Piece, Place, Set, Text string
	Wrong                   bool
	Out                     *chosen
	Corners                 []corner
	Seen                    string
}

type corner struct {
	chosen
	Chosen bool
}

// The most that is looked at: more codes than this no set has, and no code is longer.
const (
	mostCodes = 12
	longest   = 400
)

// asked takes the codes and corners out of an address.
func asked(v *shell.Visit) (scans []marks.Scan, wanted string) {
	q := v.R.URL.Query()
	seen := q["seen"]
	for i, text := range q["code"] {
		text = text[:min(len(text), longest)]
		for k, one := range marks.Split(text) {
			s := marks.Scan{Text: one}
			if k == 0 && i < len(seen) && slices.Contains(cornerWords(), seen[i]) {
				s.Seen = marks.Corner(seen[i])
			}
			scans = append(scans, s)
		}
	}
	return scans[:min(len(scans), mostCodes)], strings.TrimSpace(q.Get("set"))
}

func cornerWords() (list []string) {
	for _, c := range marks.Corners() {
		list = append(list, string(c))
	}
	return list
}

// check shows what the codes in the address come to.
func check(v *shell.Visit) error {
	scans, wanted := asked(v)
	p, err := pageOf(v, "/packing", scans, wanted, marked.Shelf{Context: v.R.Context(), Ledger: v.Ledger})
	if err != nil {
		return err
	}
	if err := p.doubtOf(v); err != nil {
		return err
	}
	return p.show(v)
}

func (p *checked) show(v *shell.Visit) error {
	return v.Show(shell.Page{Name: "packing/check", Title: v.Say("marks.asks"), Here: string(book.Shipping), Near: true, Data: p,
		Care: caution.OnPage(v.Words, caution.OfAct("pack"))})
}

// outcomes are the words of what codes come to, and the verdicts whose marks and colours they bear.
var outcomes = map[marks.Outcome]struct{ key, verdict string }{
	marks.Packs: {"marks.packs", "conforms"}, marks.Refused: {"marks.refused", "does not conform"}, marks.NotYet: {"marks.not-yet", "cannot tell"},
}

// pageOf makes the page of codes.
func pageOf(v *shell.Visit, at string, scans []marks.Scan, wanted string, b marks.Book) (*checked, error) {
	a, err := marks.Check(scans, wanted, b)
	if err != nil {
		return nil, err
	}
	p := &checked{Wanted: wanted, Set: a.Set, Action: at, Outcome: outcomes[a.Outcome].key, Label: v.Say("marks.code")}
	if len(scans) > 0 {
		p.Verdict = outcomes[a.Outcome].verdict
		p.Label, p.Anew = v.Say("marks.code-next"), at
	}
	for _, e := range examples() {
		p.Examples = append(p.Examples, chosen{e.path, v.Say(e.says)})
	}
	kept := p.rows(v, a)
	p.say(v, a, kept)
	for _, m := range a.Missing {
		switch {
		case a.Set == "" || len(scans) == 0 && wanted == "":
		case m.Piece != "":
			p.Still = append(p.Still, v.Say("marks.still-at", "place", m.Place.String(), "piece", m.Piece, "station", m.Station))
		default:
			p.Still = append(p.Still, v.Word("place", m.Place.String()))
		}
	}
	if a.Outcome == marks.Packs {
		p.Carried, p.Label = nil, v.Say("marks.code-new-set")
		if !a.Packed && v.Sender.Role.Covers(book.Hand) {
			p.Pack = "/do/pack?" + url.Values{"set": {a.Set}, "codes": {strings.Join(a.Pieces[:], ", ")}, "_after": {"/packing"}}.Encode()
		}
	}
	return p, nil
}

// rows lists what was read, and returns the indices of the codes that stand for a piece: those are kept.
func (p *checked) rows(v *shell.Visit, a marks.Answer) (kept []int) {
	for i, r := range a.Reads {
		if r.Piece != "" && !r.Again {
			kept = append(kept, i)
			p.Carried = append(p.Carried, carried{r.Text.Text, string(r.Seen)})
		}
	}
	seated := 0
	for _, s := range a.Pieces {
		if s != "" {
			seated++
		}
	}
	p.Cornered = seated == len(a.Pieces)
	for i, r := range a.Reads {
		line := row{Piece: r.Piece, Set: r.Set, Text: marked.Shortened(r.Text.Text), Wrong: r.Wrong}
		if r.Place != marks.NoPlace {
			line.Place = v.Word("place", r.Place.String())
		}
		if slices.Contains(kept, i) {
			line.Out = &chosen{p.address(a, kept, i, marks.NotSeen), r.Piece}
			if p.Cornered && slices.Contains(a.Pieces[:], r.Piece) {
				p.corners(v, a, kept, i, &line)
			}
		}
		p.Rows = append(p.Rows, line)
	}
	return kept
}

// corners offers the corners at which a mark may be seen.
func (p *checked) corners(v *shell.Visit, a marks.Answer, kept []int, i int, line *row) {
	for _, c := range marks.Corners() {
		word := v.Say("marks.at-" + string(c))
		line.Corners = append(line.Corners, corner{chosen{p.address(a, kept, i, c), word}, a.Reads[i].Seen == c})
	}
	if seen := a.Reads[i].Seen; seen != marks.NotSeen {
		line.Seen = v.Say("marks.corner-of", "piece", line.Piece, "corner", tongue.Key("marks.at-"+string(seen)))
		var none []marks.Scan
		for _, k := range kept {
			none = append(none, marks.Scan{Text: a.Reads[k].Text.Text})
		}
		p.ForgetCorners = addressOf(p.Action, p.Wanted, none)
	}
}

// address is the page with one code's corner changed, or without that code when no corner is given.
func (p *checked) address(a marks.Answer, kept []int, change int, seen marks.Corner) string {
	var scans []marks.Scan
	for _, k := range kept {
		s := marks.Scan{Text: a.Reads[k].Text.Text, Seen: a.Reads[k].Seen}
		if k == change {
			if seen == marks.NotSeen {
				continue
			}
			s.Seen = seen
		}
		scans = append(scans, s)
	}
	return addressOf(p.Action, p.Wanted, scans)
}

func addressOf(at, wanted string, scans []marks.Scan) string {
	q := url.Values{}
	if wanted != "" {
		q.Set("set", wanted)
	}
	for _, s := range scans {
		q.Add("code", s.Text)
		q.Add("seen", string(s.Seen))
	}
	if len(q) == 0 {
		return at
	}
	return at + "?" + q.Encode()
}

// say says what it comes to: the first fault, or what is right, and what to do.
func (p *checked) say(v *shell.Visit, a marks.Answer, kept []int) {
	read := len(a.Reads) > 0
	for i, f := range a.Faults {
		var t told
		t.Says, t.Next = marked.Say(v.Words, f)
		if i > 0 || a.Outcome == marks.Packs {
			p.Also = append(p.Also, t)
			continue
		}
		p.Says, p.Next = t.Says, t.Next
		for k, r := range a.Reads {
			if a.Outcome == marks.Refused && r.Piece == f.Piece && slices.Contains(kept, k) {
				p.Out = &chosen{p.address(a, kept, k, marks.NotSeen), v.Say("marks.take-out-of", "piece", f.Piece)}
			}
		}
	}
	switch {
	case a.Outcome == marks.Packs:
		p.Says, p.Next = v.Say("marks.says-packs", "pieces", a.Pieces[:], "set", a.Set), v.Say("marks.next-packs")
		if a.Packed {
			p.Next = v.Say("marks.says-packed", "set", a.Set)
		}
	case p.Says != "":
	case !read:
		p.Says = v.Say("marks.says-none")
	default:
		p.Says = v.Say("marks.says-more", "n", len(a.Missing))
	}
	if !read && p.Wanted != "" && len(a.Faults) == 0 {
		p.Next = v.Say("marks.about-set", "set", a.Set)
	}
}

// doubtOf says what keeps a set whose codes are right from being packed, as far as the book shows it at once; the act itself asks everything.
func (p *checked) doubtOf(v *shell.Visit) error {
	if p.Pack == "" {
		return nil
	}
	_, state, err := v.Thing(book.KindSet, p.Set)
	if err != nil {
		return err
	}
	if s := state.(*book.SetState); s.Certificate == "" || s.Stale != "" {
		p.Pack, p.Doubt, p.Next = "", v.Say("marks.no-certificate", "set", p.Set), ""
	}
	return nil
}
