package marking

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/marked"
	"slatewright/internal/tongue"
	"slatewright/sets/marks"
	"slatewright/trouble"
)

// Check asks whether codes are one set.
type Check struct {
	Codes []string `arg:"" help:"The codes of the pieces as they were scanned, in any order, or their numbers; - reads one a line from standard input."`
	Seen  []string `placeholder:"CORNER,…" help:"For each code the corner at which its mark is seen, the playing face up and the arrow away from you: near-left, near-right, far-left, far-right, or none."`
	Set   string   `placeholder:"NUMBER" help:"The set that is to be packed. Without it the one that most of the codes belong to."`

	Book string `placeholder:"PLACE" help:"The mill's book, to be asked besides: its folder, or a postgres:// address. Without it what SLATEWRIGHT_BOOK says; without either no book is asked."`
	Site string `placeholder:"WORD" help:"Which mill, where a database holds several. Without it what SLATEWRIGHT_SITE says."`

	speaking `embed:""`
}

// About is the help of the verb.
func (Check) About() verb.About {
	return verb.About{
		Text: `Tells whether the pieces whose codes were scanned are one set, and what is wrong when they are not: a piece of another set, the same piece twice, the mark of a
			parted set, a letter for a code, a code of something else. With the corners at which the marks are seen it names a piece that lies turned by half
			a turn, or mirrored, as one that was lined on the wrong face.

			Codes alone say much: each holds its piece, set and place. The book, when one is named, knows besides which sets were parted, packed or shipped, and
			reads numbers that were typed by hand.

			Exit status 0: the set packs. 1: it does not. 2: a code is still to be read, or to be read again.`,
		Examples: []verb.Example{
			{"slatewright marks check M1.07.QH-P009.QH-0008.F2B.AU M1.07.QH-P012.QH-0008.H1A.WQ", "two codes as scanned: the third is asked for"},
			{"slatewright marks check QH-1035 QH-1024 QH-1031 --set QH-S106 --book mill --json", "typed numbers, held against the book; for programs"},
			{"slatewright marks check - --book mill < codes.txt", "one code a line"},
		},
	}
}

// checkReport is what codes come to.
type checkReport struct {
	State   string          `json:"outcome"` // packs, does not pack, not yet
	Set     *string         `json:"set"`
	Head    *string         `json:"head"`
	Centre  *string         `json:"centre"`
	Foot    *string         `json:"foot"`
	Reads   []readReport    `json:"reads"`
	Faults  []faultReport   `json:"faults"`
	Missing []missingReport `json:"missing"`
	Packed  bool            `json:"packed_already"`
	Asked   bool            `json:"book_asked"`
	outcome verb.Outcome
	words   tongue.Words
}

type readReport struct {
	Text  string  `json:"text"`
	Kind  string  `json:"kind"`
	Piece *string `json:"piece"`
	Set   *string `json:"set"`
	Place *string `json:"place"`
	Seen  *string `json:"seen"`
	Wrong bool    `json:"wrong"`
}

type faultReport struct {
	Kind  string  `json:"kind"`
	Piece *string `json:"piece"`
	Says  string  `json:"says"`
	Next  string  `json:"next"`
}

type missingReport struct {
	Place   string  `json:"place"`
	Piece   *string `json:"piece"`
	Station *string `json:"station"`
}

// mostLine is the longest line that is read from standard input.
const mostLine = 1000

// mostCodes is more than any set has.
const mostCodes = 100

// scans are the codes with their corners.
func (v Check) scans(s *verb.Session) (list []marks.Scan, err error) {
	given := v.Codes
	if len(given) == 1 && given[0] == "-" {
		given = nil
		in := bufio.NewScanner(io.LimitReader(s.Stdin, mostCodes*mostLine))
		for in.Scan() {
			given = append(given, in.Text())
		}
		if err := in.Err(); err != nil {
			return nil, verb.Unreadable("standard input", err)
		}
	}
	for _, text := range given {
		for _, code := range marks.Split(text) {
			list = append(list, marks.Scan{Text: code})
		}
	}
	switch {
	case len(list) > mostCodes:
		return nil, trouble.Usage("too-many", "slatewright marks check", fmt.Sprintf("%d codes are more than any set has", len(list)), "give those of one set")
	case len(v.Seen) > len(list):
		return nil, trouble.Usage("bad-corner", "--seen", fmt.Sprintf("%d corners for %d codes", len(v.Seen), len(list)), "give one for each code, in the same order, or none")
	}
	for i, seen := range v.Seen {
		if list[i].Seen, err = cornerNamed(seen); err != nil {
			return nil, err
		}
	}
	return list, nil
}

func cornerNamed(word string) (marks.Corner, error) {
	if word == "none" || word == "" {
		return marks.NotSeen, nil
	}
	for _, c := range marks.Corners() {
		if string(c) == word {
			return c, nil
		}
	}
	return "", trouble.Usage("bad-corner", "--seen", fmt.Sprintf("%q is no corner", word), "write near-left, near-right, far-left, far-right or none")
}

// Run checks.
func (v Check) Run(s *verb.Session) (verb.Report, error) {
	scans, err := v.scans(s)
	if err != nil {
		return nil, err
	}
	if v.Book == "" && s.Setting("BOOK") == "" {
		return v.report(scans, nil)
	}
	return opened.Place{Book: v.Book, Site: v.Site}.Reading(s, func(ctx context.Context, b book.Keeper) (verb.Report, error) {
		return v.report(scans, marked.Shelf{Context: ctx, Ledger: b})
	})
}

func (v Check) report(scans []marks.Scan, b marks.Book) (verb.Report, error) {
	a, err := marks.Check(scans, v.Set, b)
	if err != nil {
		return nil, err
	}
	r := &checkReport{State: string(a.Outcome), Set: named(a.Set), Head: named(a.Pieces[0]), Centre: named(a.Pieces[1]), Foot: named(a.Pieces[2]), Packed: a.Packed, Asked: b != nil,
		words: v.words(), outcome: map[marks.Outcome]verb.Outcome{marks.Packs: verb.Done, marks.Refused: verb.Refused, marks.NotYet: verb.CannotTell}[a.Outcome],
		Reads: []readReport{}, Faults: []faultReport{}, Missing: []missingReport{}}
	for _, x := range a.Reads {
		read := readReport{x.Text.Text, string(x.Kind), named(x.Piece), named(x.Set), nil, named(string(x.Seen)), x.Wrong}
		if x.Place != marks.NoPlace {
			read.Place = named(x.Place.String())
		}
		r.Reads = append(r.Reads, read)
	}
	for _, f := range a.Faults {
		says, next := marked.Say(r.words, f)
		r.Faults = append(r.Faults, faultReport{string(f.Kind), named(f.Piece), says, next})
	}
	for _, m := range a.Missing {
		r.Missing = append(r.Missing, missingReport{m.Place.String(), named(m.Piece), named(m.Station)})
	}
	return r, nil
}

// named is null for what there is not.
func named(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func (r *checkReport) Outcome() verb.Outcome { return r.outcome }

func (r *checkReport) Print(w io.Writer) {
	say := r.words.Say
	faults := r.Faults
	switch {
	case r.outcome == verb.Done:
		r.line(w, say("marks.packs")+": ", say("marks.says-packs", "pieces", []string{*r.Head, *r.Centre, *r.Foot}, "set", *r.Set), say("marks.next-packs"))
		if r.Packed {
			io.WriteString(w, verb.Wrap(say("marks.says-packed", "set", *r.Set), "", "  ", verb.Width))
		}
	case len(faults) > 0:
		head := say("marks.not-yet")
		if r.outcome == verb.Refused {
			head = say("marks.refused")
		}
		r.line(w, head+": ", faults[0].Says, faults[0].Next)
		faults = faults[1:]
	default:
		r.line(w, say("marks.not-yet")+": ", say("marks.says-more", "n", len(r.Missing)), "")
	}
	for _, f := range faults {
		r.line(w, "- ", f.Says, f.Next)
	}
	if len(r.Missing) > 0 && r.Set != nil {
		verb.Section(w, say("marks.still"))
		for _, m := range r.Missing {
			text := r.words.Word("place", m.Place)
			if m.Piece != nil && m.Station != nil {
				text = say("marks.still-at", "place", m.Place, "piece", *m.Piece, "station", *m.Station)
			}
			fmt.Fprintln(w, "  "+text)
		}
	}
}

// line writes a sentence, and what to do below it.
func (r *checkReport) line(w io.Writer, head, says, next string) {
	io.WriteString(w, verb.Wrap(says, head, "  ", verb.Width))
	if next != "" {
		io.WriteString(w, verb.Wrap(next, strings.Repeat(" ", 2), "  ", verb.Width))
	}
}
