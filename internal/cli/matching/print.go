package matching

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sets"
	"slatewright/sets/answers"
	"slatewright/trouble"
)

// report prints the answer.
type report struct{ *answers.Matched }

// Outcome is Refused where an order is not met or nothing conforms, and CannotTell where that is not proven.
func (r report) Outcome() verb.Outcome {
	switch {
	case len(r.Sets) > 0 && r.Met:
		return verb.Done
	case r.Told():
		return verb.Refused
	}
	return verb.CannotTell
}

// Print writes the answer for people: what to do, what is left over, what one more would free, and what is proven.
func (r report) Print(w io.Writer) {
	fmt.Fprintln(w, r.File)
	r.head(w)
	if len(r.Sets) > 0 {
		r.sets(w)
	}
	r.orders(w)
	r.left(w)
	r.oneMore(w)
	r.exchanges(w)
	io.WriteString(w, "\n"+verb.Wrap(r.proof(), "", "", verb.Width))
	r.thickness(w)
	r.late(w)
	verb.PrintWarnings(w, r.Warnings)
	if len(r.Sets) > 0 {
		verb.Care(w, []caution.Topic{caution.Lifting, caution.Placing})
	}
}

// head says what to do.
func (r report) head(w io.Writer) {
	pieces := 3*len(r.Sets) + len(r.Unused)
	switch n := len(r.Sets); {
	case n == 0:
		fmt.Fprintf(w, "No set of these %s can be proposed.\n", trouble.Count(pieces, "piece", "pieces"))
	case len(r.Unused) == 0:
		fmt.Fprintf(w, "Lay up %s; no piece is left over.\n", trouble.Count(n, "set", "sets"))
	default:
		fmt.Fprintf(w, "Lay up %s of %s; %d left over.\n", trouble.Count(n, "set", "sets"), trouble.Count(pieces, "piece", "pieces"), len(r.Unused))
	}
	var short []string
	for _, o := range r.Orders {
		if !o.Met {
			short = append(short, fmt.Sprintf("%s gets %d of %d", o.ID, o.Sets, o.Wanted))
		}
	}
	if len(short) > 0 {
		io.WriteString(w, verb.Wrap("Orders that are not met: "+strings.Join(short, ", ")+".", "", "", verb.Width))
	}
}

// mm prints a length in mm, and a dash where it is not known.
func mm(x *float64, decimals int) string {
	if x == nil {
		return "–"
	}
	return measure.Decimal(*x, decimals)
}

// sets prints a row a set. A star behind a piece says that it is turned.
func (r report) sets(w io.Writer) {
	elastic := slices.ContainsFunc(r.Sets, func(s answers.Set) bool { return s.ElasticZoneMM != nil })
	ordered := len(r.Orders) > 0
	titles, left := []string{"set", "head", "centre", "foot"}, 4
	if ordered {
		titles, left = append(titles, "for"), left+1
	}
	sized := slices.ContainsFunc(r.Sets, func(s answers.Set) bool { return s.Size != r.Sets[0].Size })
	if sized {
		titles, left = append(titles, "size"), left+1
	}
	faced := slices.ContainsFunc(r.Sets, func(s answers.Set) bool { return s.ZoneMM != nil })
	if faced {
		titles = append(titles, "step", "zone")
	}
	if elastic {
		titles = append(titles, "bent step", "zone")
	}
	table := [][]string{append(titles, "thick", "changes", "cost")}
	for i, s := range r.Sets {
		row := []string{fmt.Sprint(i + 1)}
		for k, id := range [3]string{s.Head, s.Centre, s.Foot} {
			if s.Turns[k] {
				id += "*"
			}
			row = append(row, id)
		}
		if ordered {
			order := "stock"
			if s.Order != nil {
				order = *s.Order
			}
			row = append(row, order)
		}
		if sized {
			row = append(row, s.Size)
		}
		if faced {
			row = append(row, carried(s)+mm(s.StepMM, 3), mm(s.ZoneMM, 3))
		}
		if elastic {
			row = append(row, mm(s.ElasticStepMM, 3), mm(s.ElasticZoneMM, 3))
		}
		table = append(table, append(row, mm(s.SpreadMM, 2), fmt.Sprint(s.LayerChanges), measure.Decimal(s.Cost, 3)))
	}
	fmt.Fprintln(w)
	verb.Table(w, left, table...)
	io.WriteString(w, verb.Wrap(r.key(faced, elastic), "  ", "  ", verb.Width))
}

// carried marks a step that was not read at the edge.
func carried(s answers.Set) string {
	if s.StepRead != nil && !*s.StepRead {
		return "~"
	}
	return ""
}

// key says what stands in the table of sets.
func (r report) key(faced, elastic bool) string {
	words := "All in mm. Thick: thickest less thinnest piece; changes: of layer from piece to piece."
	if faced {
		words += " Step: the larger of the two joints'"
		if slices.ContainsFunc(r.Sets, func(s answers.Set) bool { return carried(s) != "" }) {
			words += ", ~ not read at the edge"
		}
		words += "."
	}
	if elastic {
		words += " Bent: laid as stone that bends, on shims that exist."
	}
	if slices.ContainsFunc(r.Sets, func(s answers.Set) bool { return s.Turns != [3]bool{} }) {
		words = "* turned by half a turn. " + words
	}
	kept := 0
	for _, s := range r.Sets {
		if s.Kept {
			kept++
		}
	}
	if kept > 0 {
		words += fmt.Sprintf(" As in the plan before: %s.", trouble.Count(kept, "set", "sets"))
	}
	if !faced {
		return words
	}
	l := r.Limits
	words += fmt.Sprintf(" Limits: step %s, zone %s, lengthwise %s, across %s", measure.Decimal(l.StepMM, 3), measure.Decimal(l.ZoneMM, 3), measure.Decimal(l.LengthwiseMM, 3), measure.Decimal(l.AcrossMM, 3))
	if r.RoomMM > 0 {
		words += fmt.Sprintf(", each less %s for what the readings leave in doubt", measure.Decimal(r.RoomMM, 3))
	}
	return words + "."
}

// orders says what each order gets.
func (r report) orders(w io.Writer) {
	if len(r.Orders) == 0 {
		return
	}
	verb.Section(w, "Orders")
	table := [][]string{{"order", "size", "class", "due", "wanted", "sets", ""}}
	for _, o := range r.Orders {
		words := ""
		switch {
		case !o.Met && o.Proven:
			words = "no plan gives it more"
		case !o.Met:
			words = "more may be possible"
		}
		table = append(table, []string{o.ID, o.Size, o.Class, o.Due, fmt.Sprint(o.Wanted), fmt.Sprint(o.Sets), words})
	}
	verb.Table(w, 4, table...)
}

// left says what is left over, by why.
func (r report) left(w io.Writer) {
	if len(r.Left) == 0 {
		return
	}
	verb.Section(w, "Left over")
	var whys []string
	ids := map[string][]string{}
	for _, l := range r.Left {
		if ids[l.Why] == nil {
			whys = append(whys, l.Why)
		}
		ids[l.Why] = append(ids[l.Why], l.ID)
	}
	for _, why := range whys {
		io.WriteString(w, verb.Wrap(strings.Join(ids[why], ", ")+": "+why, "  ", "    ", verb.Width))
	}
}

// oneMore says what changes would free: single changes of a kind that free alike in one line, chains one by one.
func (r report) oneMore(w io.Writer) {
	if len(r.OneMore) == 0 {
		return
	}
	verb.Section(w, "What one more would free (and what the sets then cost more in all)")
	var kinds []string
	single := map[string][]string{}
	for _, f := range r.OneMore {
		cost := " (" + signed(f.MoreCost) + ")"
		if len(f.Changes) == 1 {
			c := f.Changes[0]
			kind := freed(f) + ": " + acts[c.Act]
			if single[kind] == nil {
				kinds = append(kinds, kind)
			}
			single[kind] = append(single[kind], object(c)+cost)
			continue
		}
		kinds = append(kinds, freed(f)+": "+strings.Join(each(f.Changes), ", then ")+cost)
	}
	for _, kind := range kinds {
		io.WriteString(w, verb.Wrap(kind+strings.Join(single[kind], ", or"), "  ", "    ", verb.Width))
	}
}

// each says changes one by one, several new pieces alike at once.
func each(changes []answers.Change) (list []string) {
	for n := 0; n < len(changes); {
		c, alike := changes[n], 1
		for n+alike < len(changes) && changes[n+alike] == c {
			alike++
		}
		if said := acts[c.Act]; alike == 1 {
			list = append(list, said+object(c))
		} else {
			list = append(list, fmt.Sprintf("%d more pieces for%s", alike, object(c)))
		}
		n += alike
	}
	return list
}

// freed says how many sets come of a change.
func freed(f answers.Freed) string {
	words := trouble.Count(f.MoreSets, "more set", "more sets")
	switch {
	case f.MoreSets == 0:
		words = "no more sets"
	case f.Orders > 0:
		words += fmt.Sprintf(", %d for orders", f.Orders)
	}
	return words
}

// acts say what is done, and object to what.
var acts = map[string]string{"regrind": "grind again", "recut": "cut", "one more": "one more piece for"}

func object(c answers.Change) string {
	words := " " + placed(c.Place)
	switch c.Act {
	case "regrind":
		return " " + c.Piece
	case "recut":
		return " " + c.Piece + " for" + words
	}
	if c.Size != "" {
		words += " (" + c.Size + ")"
	}
	return words
}

func placed(place string) string {
	if place == "any" {
		return "any place"
	}
	return place
}

func signed(x float64) string {
	s := measure.Decimal(x, 3)
	if x > 0 {
		return "+" + s
	}
	return s
}

// exchanges says what could change places.
func (r report) exchanges(w io.Writer) {
	if !slices.ContainsFunc(r.Sets, func(s answers.Set) bool { return len(s.Exchanges) > 0 }) {
		return
	}
	verb.Section(w, "Exchanges, and what each would cost more in all")
	table := [][]string{{"set", "place", "out", "in", "from", "cost"}}
	for i, s := range r.Sets {
		for _, e := range s.Exchanges {
			from := "left over"
			if e.FromSet != nil {
				from = fmt.Sprintf("set %d", *e.FromSet)
			}
			table = append(table, []string{fmt.Sprint(i + 1), e.Place, e.Out, e.In, from, signed(e.MoreCost)})
		}
	}
	verb.Table(w, 5, table...)
}

// spared says why threes needed not be laid together.
var spared = map[sets.Reason]string{sets.NoSet: "can be no set", sets.TooCostly: "would cost more than they could save",
	sets.NotNeeded: "stand only in plans that were not looked at", sets.Splits: "were weighed by their two joints"}

// proof says in one sentence what is proven, and how.
func (r report) proof() string {
	var b strings.Builder
	n := len(r.Sets)
	switch {
	case r.SetsBound == nil && n == 0:
		b.WriteString("Proven: no three of these pieces make a set within the limits")
	case r.SetsBound == nil:
		b.WriteString("Proven: no plan makes more sets")
	default:
		fmt.Fprintf(&b, "Not proven: a plan with more sets may exist, none with more than %d", *r.SetsBound)
	}
	if n > 0 {
		cost := trouble.Count(n, "set", "sets")
		if r.Gap > 0 {
			fmt.Fprintf(&b, "; this one costs %s, and no plan of %s costs less than %s (gap %s %%)", measure.Decimal(r.Cost, 3), cost, measure.Decimal(r.Bound, 3), measure.Decimal(100*r.Gap, 2))
		} else {
			fmt.Fprintf(&b, "; no plan of %s costs less than this one's %s", cost, measure.Decimal(r.Cost, 3))
		}
	}
	fmt.Fprintf(&b, "; of %s %d were laid together", trouble.Count(r.Proof.Triples, "three", "threes"), r.Proof.Priced)
	for _, s := range r.Proof.Spared {
		fmt.Fprintf(&b, ", %d %s", s.Triples, spared[s.Why])
	}
	b.WriteString(".")
	if r.Stopped {
		b.WriteString(" It was stopped before all was tried.")
	}
	return b.String()
}

// thickness says what sorting by thickness gave.
func (r report) thickness(w io.Writer) {
	if s := r.Spread; s != nil {
		io.WriteString(w, "\n"+verb.Wrap(fmt.Sprintf("Thicknesses within a set lie %s mm apart on average; in threes taken as they come it would be %s mm, and no sorting gets below %s mm.",
			measure.Decimal(s.PlanMM, 3), measure.Decimal(s.RandomMM, 3), measure.Decimal(s.BestMM, 3)), "", "", verb.Width))
	}
}

// late says what matching late is worth.
func (r report) late(w io.Writer) {
	l := r.Late
	if l == nil {
		return
	}
	verb.Section(w, fmt.Sprintf("What matching late is worth, where %s %% of the pieces pass", measure.Decimal(100*l.PassRate, 1)))
	table := [][]string{{"", "sets of 100 threes", fmt.Sprintf("begin for %s, %s %% sure", trouble.Count(l.Wanted, "set", "sets"), measure.Decimal(100*l.Sure, 1)), "spares"}}
	for _, one := range []struct {
		name string
		way  answers.LateWay
	}{{"settled at the saw", l.Settled}, {"matched late", l.Fixed}, {"matched late, any place", l.Any}} {
		table = append(table, []string{one.name, measure.Decimal(100*one.way.Share, 1), pieces(one.way.Pieces, one.way.Begin), pieces(one.way.Spare, one.way.Spares)})
	}
	verb.Table(w, 1, table...)
	verb.PrintWarnings(w, l.Warnings)
}

// pieces prints how many, and by place (head, centre, foot) where they have one.
func pieces(all int, each [3]int) string {
	if each == [3]int{} {
		return fmt.Sprint(all)
	}
	return fmt.Sprintf("%d: %d + %d + %d", all, each[0], each[1], each[2])
}
