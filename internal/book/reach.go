package book

import (
	"maps"
	"slices"
)

// reachKey is what the reach of a thing follows from, apart from the things it met.
type reachKey struct {
	found, away, gone bool
	parent            Ref
	born              int64
	set               string
	met               []Meeting
}

func keyOf(h *held) reachKey {
	k := reachKey{found: h.found(), away: h.Station == Away, gone: h.Station == Heap, parent: h.Parent}
	if h.found() {
		k.met, k.born = slices.Clone(h.state.common().Met), h.state.common().BornMS
		if s, ok := h.state.(*PieceState); ok {
			k.set = s.Set
		}
	}
	return k
}

func (k reachKey) same(o reachKey) bool {
	return k.found == o.found && k.away == o.away && k.gone == o.gone && k.parent == o.parent && k.born == o.born && k.set == o.set
}

// grown lists what was met that had not been met before; whole is false when something is gone from the list or has another time.
func grown(before, after []Meeting) (more []Ref, whole bool) {
	i := 0
	for _, m := range after {
		switch {
		case i < len(before) && before[i] == m:
			i++
		case i < len(before) && before[i].Ref == m.Ref:
			return nil, false
		default:
			more = append(more, m.Ref)
		}
	}
	return more, i == len(before)
}

// reach works out who reached the targets that the changed things belong to.
func (d *desk) reach(things []Ref) (list []TargetReach, err error) {
	whole := map[Ref]bool{} // to be gathered from the ground
	more := map[Ref][]Ref{} // to be added to what is known
	for _, r := range things {
		if err := d.reached(d.now[r], whole, more); err != nil {
			return nil, err
		}
	}
	targets := slices.AppendSeq(slices.Collect(maps.Keys(whole)), maps.Keys(more))
	slices.SortFunc(targets, compareRefs)
	for _, r := range slices.Compact(targets) {
		t, changed, err := d.reachOf(r, whole[r], more[r])
		if err != nil {
			return nil, err
		}
		if changed {
			list = append(list, t)
		}
	}
	return list, nil
}

// reached finds the targets whose reach a changed thing changes.
func (d *desk) reached(h *held, whole map[Ref]bool, more map[Ref][]Ref) error {
	before := d.before[h.Ref]
	after := keyOf(h)
	met, intact := grown(before.met, after.met)
	if before.same(after) && intact && len(met) == 0 {
		return nil
	}
	switch h.Kind {
	case KindPiece, KindSet:
		if before.same(after) && intact && !d.anew {
			r := target(h.Ref, after)
			more[r] = append(more[r], met...)
			return nil
		}
		for _, k := range []reachKey{before, after} {
			whole[h.Ref], whole[target(h.Ref, k)] = true, true
		}
		return d.formerSets(h, whole)
	case KindLayer, KindBlock, KindSlab:
		if !d.anew && (!before.found || before.parent == after.parent && before.born == after.born) {
			return nil // what meets it now has not met what was taken from it before
		}
		return d.descend(h.Ref, whole)
	}
	return nil
}

// target is what a piece or set is answered for by: a piece in a set by the set.
func target(r Ref, k reachKey) Ref {
	if k.set != "" {
		return set(k.set)
	}
	return r
}

// formerSets adds the sets that a piece was in: what it met before they were parted has reached them.
func (d *desk) formerSets(h *held, whole map[Ref]bool) error {
	s, ok := h.state.(*PieceState)
	if !ok || !d.anew {
		return nil
	}
	for _, id := range s.Sets {
		whole[set(id)] = true
	}
	return nil
}

// descend adds the targets that came of a block or slab.
func (d *desk) descend(r Ref, whole map[Ref]bool) error {
	children, err := d.children(r)
	if err != nil {
		return err
	}
	for _, c := range children {
		h, err := d.get(c)
		if err != nil {
			return err
		}
		if c.Kind != KindPiece {
			if err := d.descend(c, whole); err != nil {
				return err
			}
			continue
		}
		whole[c], whole[target(c, keyOf(h))] = true, true
		if err := d.formerSets(h, whole); err != nil {
			return err
		}
	}
	return nil
}

// children lists what came of a block or slab, with what was changed here.
func (d *desk) children(parent Ref) ([]Ref, error) {
	list, err := d.view.Children(parent)
	if err != nil {
		return nil, err
	}
	list = slices.DeleteFunc(list, func(r Ref) bool { return d.changed[r] && d.now[r].Parent != parent })
	for r := range d.changed {
		if d.now[r].found() && d.now[r].Parent == parent && !slices.Contains(list, r) {
			list = append(list, r)
		}
	}
	return list, nil
}

// reachOf says everything that reached a target, and whether that differs from what is known.
func (d *desk) reachOf(target Ref, whole bool, more []Ref) (t TargetReach, differs bool, err error) {
	known, err := d.view.ReachOf(target)
	if err != nil {
		return t, false, err
	}
	before := TargetReach{Target: target}
	for _, r := range known {
		before.Rank, before.Origins = r.Rank, append(before.Origins, r.Origin)
	}
	slices.SortFunc(before.Origins, compareRefs)
	t = TargetReach{target, before.Rank, unite(slices.Clone(before.Origins), more)}
	if whole || len(known) == 0 {
		if t, err = d.gather(target); err != nil {
			return t, false, err
		}
	}
	return t, t.Rank != before.Rank || !slices.Equal(t.Origins, before.Origins), nil
}

// unite adds things to a sorted list without doubles.
func unite(list, more []Ref) []Ref {
	for _, r := range more {
		if i, found := slices.BinarySearchFunc(list, r, compareRefs); !found {
			list = slices.Insert(list, i, r)
		}
	}
	return list
}

// gather finds everything that reached a target from the ground.
func (d *desk) gather(target Ref) (TargetReach, error) {
	t := TargetReach{Target: target}
	h, err := d.get(target)
	if err != nil || !h.found() {
		return t, err
	}
	switch s := h.state.(type) {
	case *PieceState:
		if s.Set != "" {
			return t, nil // the set is the target
		}
		t.Rank = 2
		t.Origins, err = d.originsOf(h, endless)
	case *SetState:
		t.Rank = 1
		if h.Station == Away {
			t.Rank = 0
		}
		t.Origins, err = d.originsOfSet(s)
	}
	if h.Station == Heap {
		t.Rank = 3
	}
	return t, err
}

// endless is later than any meeting.
const endless = int64(1)<<62 - 1

func (d *desk) originsOfSet(s *SetState) ([]Ref, error) {
	until := endless
	if s.Parted != "" {
		until = s.PartedMS
	}
	all := metBefore(s.Met, until)
	for _, id := range s.Pieces {
		p, err := d.get(piece(id))
		if err != nil || !p.found() {
			return nil, err
		}
		of, err := d.originsOf(p, until)
		if err != nil {
			return nil, err
		}
		all = unite(unite(all, of), []Ref{p.Ref})
	}
	return all, nil
}

// originsOf walks from a stone up to its layer. What met a stone counts when it did so until a time; what met the stone it was taken from,
// until it was.
func (d *desk) originsOf(h *held, until int64) ([]Ref, error) {
	all := metBefore(h.state.common().Met, until)
	for h.Parent != (Ref{}) {
		all = unite(all, []Ref{h.Parent})
		up, err := d.get(h.Parent)
		if err != nil || !up.found() {
			return all, err
		}
		all = unite(all, metBefore(up.state.common().Met, h.state.common().BornMS))
		h = up
	}
	return all, nil
}

// metBefore lists what was met until a time.
func metBefore(met []Meeting, until int64) (list []Ref) {
	for _, m := range met {
		if m.AtMS <= until {
			list = append(list, m.Ref)
		}
	}
	return list
}
