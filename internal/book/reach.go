package book

import "slices"

// reachKey is what the reach of a thing follows from; when it is the same before and after, the reach is the same.
type reachKey struct {
	found, away, gone bool
	parent            Ref
	set               string
	met, members      int
	order             string
}

func keyOf(h *held) reachKey {
	k := reachKey{found: h.found(), away: h.Station == Away, gone: h.Station == Heap, parent: h.Parent}
	if h.state == nil {
		return k
	}
	k.met = len(h.state.common().Met)
	switch s := h.state.(type) {
	case *PieceState:
		k.set = s.Set
	case *SetState:
		k.members, k.order = len(s.Pieces), s.Order
		if s.Parted != "" {
			k.gone = true
		}
	}
	return k
}

// reach works out who reached the targets that the changed things belong to.
func (d *desk) reach(list []Ref) error {
	targets := map[Ref]bool{}
	for _, r := range list {
		h := d.now[r]
		if keyOf(h) == d.before[r] && len(d.standings) == 0 {
			continue
		}
		if err := d.targets(h, targets); err != nil {
			return err
		}
	}
	sorted := make([]Ref, 0, len(targets))
	for r := range targets {
		sorted = append(sorted, r)
	}
	slices.SortFunc(sorted, compareRefs)
	for _, r := range sorted {
		t, err := d.reachOf(r)
		if err != nil {
			return err
		}
		d.out.Reach = append(d.out.Reach, t)
	}
	return nil
}

// targets adds the targets that a changed thing reaches.
func (d *desk) targets(h *held, into map[Ref]bool) error {
	switch h.Kind {
	case KindPiece:
		into[h.Ref] = true
		if s, ok := h.state.(*PieceState); ok && s.Set != "" {
			into[set(s.Set)] = true
		}
		if was := d.before[h.Ref].set; was != "" {
			into[set(was)] = true
		}
	case KindSet:
		into[h.Ref] = true
	case KindBlock, KindSlab:
		children, err := d.children(h.Ref)
		if err != nil {
			return err
		}
		for _, r := range children {
			c, err := d.get(r)
			if err != nil {
				return err
			}
			if err := d.targets(c, into); err != nil {
				return err
			}
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
	list = slices.DeleteFunc(list, func(r Ref) bool { h := d.now[r]; return h != nil && h.Parent != parent })
	for r := range d.changed {
		if d.now[r].found() && d.now[r].Parent == parent && !slices.Contains(list, r) {
			list = append(list, r)
		}
	}
	return list, nil
}

// reachOf gathers everything that reached a target.
func (d *desk) reachOf(target Ref) (TargetReach, error) {
	h, err := d.get(target)
	if err != nil {
		return TargetReach{}, err
	}
	t := TargetReach{Target: target}
	if !h.found() {
		return t, nil
	}
	switch s := h.state.(type) {
	case *PieceState:
		if s.Set != "" {
			return t, nil // the set is the target
		}
		t.Rank = 2
		t.Origins, err = d.originsOfPiece(h)
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

func (d *desk) originsOfSet(s *SetState) ([]Ref, error) {
	all := meet(slices.Clone(s.Met), nil)
	if s.Order != "" {
		all = meet(all, []Ref{{KindOrder, s.Order}})
	}
	for _, id := range s.Pieces {
		p, err := d.get(piece(id))
		if err != nil || !p.found() {
			return nil, err
		}
		of, err := d.originsOfPiece(p)
		if err != nil {
			return nil, err
		}
		all = meet(meet(all, of), []Ref{p.Ref})
	}
	return all, nil
}

// originsOfPiece walks from a piece to the layer.
func (d *desk) originsOfPiece(h *held) ([]Ref, error) {
	all := slices.Clone(h.state.common().Met)
	for up := h.Parent; up != (Ref{}); {
		all = meet(all, []Ref{up})
		h, err := d.get(up)
		if err != nil || !h.found() {
			return all, err
		}
		if up.Kind == KindLayer {
			break // what surveyed the layer has reached only what it measured
		}
		all = meet(all, h.state.common().Met)
		up = h.Parent
	}
	return all, nil
}
