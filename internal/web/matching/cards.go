package matching

import (
	"math"
	"net/url"
	"strconv"
	"strings"

	"slatewright/internal/waiting/house"
	"slatewright/internal/web/shell"
	"slatewright/sets"
)

// card is a set as the racks show it: its three stones from head to foot, as the bed is seen from above.
type card struct {
	Letter  string
	For     string // who waits for it
	Stones  [3]stone
	Joints  [2]string // the larger step of each joint; "" where nobody knows
	Figures []shell.Figure
	Since   string // since when it is proposed; "" when it is not
	LayUp   string // address at which it is laid up; only of a proposed set
	Fields  []field
	Keep    tab    // keeps its three pieces together, or lets go of them
	Bare    bool   // a piece has no face: the bed is not foretold
	ID      string // of the card in the page
}

// stone is a piece as it stands in the racks.
type stone struct {
	ID, Place, Facts, Path string
	Turned, Tapped         bool
}

// field is a hidden field of a form.
type field struct{ Name, Value string }

// proposing is the button that proposes several sets at once.
type proposing struct {
	Says   string
	Fields []field
}

// letter names a set of a plan: A to Z, then A2 …
func letter(k int) string {
	name := string(rune('A' + k%26))
	if k >= 26 {
		name += strconv.Itoa(k/26 + 1)
	}
	return name
}

// placesOfABed are the places from head to foot.
var placesOfABed = [3]string{"head", "centre", "foot"}

// cards are the sets of the plan: those that an order waits for, then those for stock.
func (l asking) cards(p *racks) {
	var all []field
	n := 0
	for k, s := range l.plan.Sets {
		c := l.card(k, s)
		if s.Order >= 0 || len(l.stock.Wants) == 0 {
			p.Cards = append(p.Cards, c)
		} else {
			p.More = append(p.More, c)
		}
		if s.Order >= 0 && c.Since == "" {
			all = append(all, c.Fields...)
			n++
		}
	}
	if n > 1 && p.May {
		p.All = &proposing{l.Say("racks.propose-all", "n", n), all}
	}
}

func (l asking) card(k int, s sets.Set) card {
	c := card{Letter: letter(k), For: l.waitsFor(s), Bare: !s.Seated, ID: "set-" + strings.ToLower(letter(k))}
	ids := l.idsOf(s)
	for place, i := range s.Pieces {
		c.Stones[place] = l.stone(i, place, s.Turned[place])
	}
	c.Figures = l.figuresOf(s)
	if s.Seated {
		c.Joints = [2]string{l.Length(s.Steps[0]), l.Length(s.Steps[1])}
	}
	if o := l.proposal(ids); o != nil {
		c.Since = l.Say("racks.proposed", "day", o.At)
		c.LayUp = pathTo("/lay-up", "pieces", strings.Join(ids, ", "), "order", o.Match.Order, "_size", l.stock.Size) + "&_turned=" + url.QueryEscape(strings.Join(turnedOf(s, ids), ", "))
	}
	c.Fields = []field{{"set", l.proposes(s, ids)}}
	c.Keep = tab{l.Say("racks.keep"), l.wish.keeping(ids).tapping("").path() + "#" + c.ID, false}
	if l.wish.kept(ids) {
		c.Keep = tab{l.Say("racks.let-go"), l.wish.letting(ids).path() + "#" + c.ID, true}
	}
	return c
}

// waitsFor says who waits for a set.
func (l asking) waitsFor(s sets.Set) string {
	if s.Order < 0 {
		return l.Say("racks.stock")
	}
	o := l.stock.Wants[s.Order]
	return l.Say("racks.for-order", "order", o.Order, "day", o.Due)
}

// idsOf are the numbers of a set's pieces from head to foot.
func (l asking) idsOf(s sets.Set) []string {
	return []string{l.stock.Pieces[s.Pieces[0]].ID, l.stock.Pieces[s.Pieces[1]].ID, l.stock.Pieces[s.Pieces[2]].ID}
}

// stone is a piece of the stock in a place of a bed.
func (l asking) stone(i, place int, turned bool) stone {
	p := l.stock.Pieces[i]
	t := stone{ID: p.ID, Place: l.Word("place", placesOfABed[place]), Facts: l.facts(i), Turned: turned, Tapped: l.wish.Piece == p.ID}
	to := l.wish.tapping(p.ID)
	if t.Tapped {
		to = l.wish.tapping("")
	}
	t.Path = to.path() + "#tapped"
	return t
}

// facts are what is known of a piece, in a few words: its thickness and its layer.
func (l asking) facts(i int) string {
	p := l.stock.Pieces[i]
	var list []string
	if mm := p.State().ThicknessMM; mm > 0 {
		list = append(list, l.Length(mm))
	}
	if layer := l.stock.layers[i]; layer != "" {
		list = append(list, layer)
	}
	return strings.Join(list, " · ")
}

// figuresOf are what is foretold of a set.
func (l asking) figuresOf(s sets.Set) (list []shell.Figure) {
	if s.Seated {
		list = append(list, shell.Figure{Name: l.Say("racks.step"), Value: l.Length(s.Step)}, shell.Figure{Name: l.Say("racks.zone"), Value: l.Length(s.Zone)})
	}
	if !math.IsNaN(s.Spread) {
		list = append(list, shell.Figure{Name: l.Say("racks.spread"), Value: l.Length(s.Spread)})
	}
	layers := l.Say("racks.one-layer")
	if s.LayerChanges > 0 {
		layers = l.Say("racks.changes", "n", s.LayerChanges)
	}
	return append(list, shell.Figure{Name: l.Say("racks.layers"), Value: layers})
}

// proposal is the open proposal of the same pieces from head to foot, or from foot to head; nil where there is none.
func (l asking) proposal(ids []string) *house.Proposal {
	for i, o := range l.stock.Proposed {
		if _, same := o.Match.TurnedIn(ids); same {
			return &l.stock.Proposed[i]
		}
	}
	return nil
}
