package matching

import (
	"slices"
	"strconv"

	"slatewright/internal/measured/kept"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sets"
	"slatewright/sets/answers"
)

// left is a piece in no set, and why.
type left struct{ ID, Facts, Why, Path, Judged string }

// freeing is what one more would free.
type freeing struct {
	Ask   string // address at which it is asked; "" where it was asked already or nothing can be
	State string // computing, failed, ready; "" where it was not asked
	Wrong *problem.Problem
	Rows  []freed
	Notes []string // what was not looked at
}

// freed is one change and what it would free.
type freed struct{ Do, Frees, Path string }

// leftOver lists the pieces in no set.
func (l asking) leftOver(p *racks) {
	for _, u := range l.plan.Unused {
		x := l.stock.Pieces[u.Index]
		p.Unused = append(p.Unused, left{x.ID, l.facts(u.Index), u.Why, l.wish.tapping(x.ID).path() + "#tapped", shell.Link(x.Ref) + "/judge-face"})
	}
}

// oneMore is what one more is taken to be, as the command line has it where nothing is said.
func oneMore() sets.Freeing {
	return sets.Freeing{Zone: answers.GroundTo, CleanUp: answers.Skin, Most: bestFreed, Chain: answers.Changes, Sets: answers.MoreSets}
}

// wouldFree answers what one more would free, if it was asked.
func (r room) wouldFree(l asking, p *racks) {
	if !l.wish.Free {
		if len(l.plan.Unused) > 0 {
			to := l.wish.tapping("")
			to.Free = true
			p.Free.Ask = to.path() + "#free"
		}
		return
	}
	found := r.desk.freed(l.asked, l.plan, oneMore())
	p.Free.State = found.State.String()
	switch found.State {
	case kept.Failed:
		p.Free.Wrong = problem.Of(found.Err)
	case kept.Ready:
		for _, f := range found.Value.List {
			p.Free.Rows = append(p.Free.Rows, l.freed(f))
		}
		for _, note := range found.Value.Notes {
			p.Free.Notes = append(p.Free.Notes, l.InWords(note))
		}
		if found.Value.Over {
			p.Free.Notes = append(p.Free.Notes, l.InWords(answers.FreeingStopped))
		}
	}
}

func (l asking) freed(f sets.Freed) freed {
	row := freed{Frees: freesIn(l.Visit, f.More, f.Orders, f.Cost)}
	var each []string
	for _, c := range f.Changes {
		piece := ""
		if c.Piece >= 0 && c.Piece < len(l.stock.Pieces) {
			piece = l.stock.Pieces[c.Piece].ID
			if row.Path == "" {
				row.Path = shell.Link(l.stock.Pieces[c.Piece].Ref)
			}
		}
		each = append(each, changeIn(l.Visit, c.Act, piece, c.Place))
	}
	row.Do = inTurn(each)
	return row
}

// freesIn says what a change would free: so many sets, some of them for orders, or nothing but what it costs.
func freesIn(v *shell.Visit, sets, orders int, cost float64) string {
	switch {
	case sets == 0:
		return v.Say("racks.frees-none", "cost", v.Signed(cost, 3))
	case orders > 0 && orders < sets:
		return v.Say("racks.frees", "n", sets) + " " + v.Say("racks.frees-orders", "n", orders)
	}
	return v.Say("racks.frees", "n", sets)
}

// changeIn is a change in words.
func changeIn(v *shell.Visit, act sets.Act, piece, place string) string {
	named := slices.Contains(placesOfABed[:], place)
	switch {
	case act == sets.Regrind:
		return v.Say("racks.regrind", "piece", piece)
	case act == sets.Recut && !named:
		return v.Say("racks.recut-any", "piece", piece)
	case act == sets.Recut:
		return v.Say("racks.recut", "piece", piece, "place", place)
	case !named:
		return v.Say("racks.one-more")
	}
	return v.Say("racks.one-more-of", "place", place)
}

// inTurn joins what is done one after another; what is done several times stands once, with how often.
func inTurn(each []string) (said string) {
	for n := 0; n < len(each); {
		alike := 1
		for n+alike < len(each) && each[n+alike] == each[n] {
			alike++
		}
		one := each[n]
		if alike > 1 {
			one = strconv.Itoa(alike) + " × " + one
		}
		said = join(said, one)
		n += alike
	}
	return said
}

// join parts two texts by a point.
func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + " · " + b
}
