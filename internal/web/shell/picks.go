package shell

import (
	"net/url"
	"slices"
	"strings"
)

// Picks are the ways to fill the pieces of a set into a form with a tap each: those that wait to be matched one by one, and threes that
// were proposed.
type Picks struct {
	Ready, Proposed []Pick
	Afresh          string // takes away what was chosen; "" when nothing was
}

// Pick is one of them.
type Pick struct{ Says, Path string }

// piecesOfABed are how many pieces a bed has.
const piecesOfABed = 3

// Chosen are the numbers in a field that lists pieces.
func Chosen(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ';' || r == ' ' || r == '、' })
}

// PicksOf makes the links of a form at a path, which keep what else is filled in. Once three are chosen no other is offered.
func PicksOf(path string, filled url.Values, ready []string, proposed [][]string) (p Picks) {
	chosen := Chosen(filled.Get("pieces"))
	with := func(pieces ...string) string {
		q := url.Values{}
		for name, values := range filled {
			if name != "_entry" && name != "pieces" && len(values) > 0 && values[0] != "" {
				q.Set(name, values[0])
			}
		}
		if len(pieces) > 0 {
			q.Set("pieces", strings.Join(pieces, ", "))
		}
		return path + "?" + q.Encode()
	}
	if len(chosen) > 0 {
		p.Afresh = with()
	}
	if len(chosen) >= piecesOfABed {
		return p
	}
	for _, id := range ready {
		if !slices.Contains(chosen, id) {
			p.Ready = append(p.Ready, Pick{id, with(append(slices.Clone(chosen), id)...)})
		}
	}
	for _, ids := range proposed {
		if len(chosen) == 0 {
			p.Proposed = append(p.Proposed, Pick{strings.Join(ids, " · "), with(ids...)})
		}
	}
	return p
}
