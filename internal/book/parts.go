package book

import "slices"

func piece(id string) Ref { return Ref{KindPiece, id} }
func set(id string) Ref   { return Ref{KindSet, id} }

// changed returns the things that an act changes, as far as the act alone tells: of a piece in a set the set is changed as well,
// and of a set that moves its pieces; see (*moment).changes.
func changed(a Act, site string) []Ref {
	switch a := a.(type) {
	case *TakeIn:
		return []Ref{a.Thing}
	case *Survey:
		return []Ref{a.Thing}
	case *Lift:
		return []Ref{{KindBlock, a.Block}}
	case *Slice:
		return born(Ref{KindBlock, a.Block}, KindSlab, a.Slabs)
	case *Cut:
		return born(Ref{KindSlab, a.Slab}, KindPiece, a.Pieces)
	case *Reject:
		return []Ref{a.Thing}
	case *Read:
		return []Ref{a.Thing}
	case *LayUp:
		return append(refs(KindPiece, a.Pieces), set(a.Set))
	case *PartSet:
		return []Ref{set(a.Set)}
	case *Weigh:
		return []Ref{a.Thing}
	case *Judge:
		return []Ref{set(a.Set)}
	case *Certify:
		return []Ref{set(a.Set), {KindCertificate, a.Certificate}}
	case *Pack:
		return []Ref{set(a.Set)}
	case *Ship:
		return append(refs(KindSet, a.Sets), Ref{KindShipment, a.Shipment})
	case *Return:
		return []Ref{set(a.Set)}
	case *Calibrate:
		return []Ref{a.Thing}
	case *Appoint:
		return []Ref{{KindPerson, a.Person}, {KindMill, site}}
	case *Settle:
		return []Ref{{KindMill, site}}
	}
	if id := pieceOf(a); id != "" {
		return []Ref{piece(id)}
	}
	return nil
}

// pieceOf returns the piece of an act that is done to one piece.
func pieceOf(a Act) string {
	switch a := a.(type) {
	case *Surfaced:
		return a.Piece
	case *Mark:
		return a.Piece
	case *DressJoint:
		return a.Piece
	case *Resize:
		return a.Piece
	case *Drill:
		return a.Piece
	case *Check:
		return a.Piece
	case *EnterRoom:
		return a.Piece
	case *LeaveRoom:
		return a.Piece
	case *GlueLining:
		return a.Piece
	case *Ream:
		return a.Piece
	case *Finish:
		return a.Piece
	case *Repair:
		return a.Piece
	}
	return ""
}

func born(parent Ref, k Kind, list []NewStone) []Ref {
	all := []Ref{parent}
	for _, n := range list {
		all = append(all, Ref{k, n.ID})
	}
	return all
}

func refs(k Kind, ids []string) []Ref {
	list := make([]Ref, len(ids))
	for i, id := range ids {
		list[i] = Ref{k, id}
	}
	return list
}

// used returns what an act names besides: instruments, benches, tools, rooms, batches, orders. They become part of the history
// of what it changes.
func used(a Act) []Ref {
	var list []Ref
	one := func(k Kind, id string) {
		if id != "" {
			list = append(list, Ref{k, id})
		}
	}
	switch a := a.(type) {
	case *Survey:
		list = refs(KindInstrument, a.Instruments)
	case *Slice:
		one(KindDisc, a.Disc)
	case *Cut:
		one(KindDisc, a.Disc)
	case *Surfaced:
		one(KindDisc, a.Disc)
		one(KindBitSet, a.Bits)
	case *Read:
		list = refs(KindInstrument, a.Instruments)
		one(KindBench, a.Bench)
	case *Match:
		one(KindOrder, a.Order)
	case *LayUp:
		list = refs(KindInstrument, a.Instruments)
		one(KindBench, a.Bench)
		one(KindOrder, a.Order)
	case *Resize:
		one(KindDisc, a.Disc)
	case *Drill:
		one(KindBitSet, a.Bits)
	case *Check:
		list = refs(KindInstrument, a.Instruments)
	case *Weigh:
		one(KindInstrument, a.Scale)
	case *EnterRoom:
		one(KindRoom, a.Room)
	case *GlueLining:
		one(KindBoardBatch, a.BoardBatch)
		one(KindGlueBatch, a.GlueBatch)
	case *Repair:
		one(KindGlueBatch, a.GlueBatch)
	case *Ship:
		one(KindOrder, a.Order)
	}
	return list
}

// creates reports whether the act brings the thing into being.
func creates(a Act, r Ref) bool {
	switch a.(type) {
	case *TakeIn:
		return true
	case *Lift:
		return r.Kind == KindBlock
	case *Slice:
		return r.Kind == KindSlab
	case *Cut:
		return r.Kind == KindPiece
	case *Certify:
		return r.Kind == KindCertificate
	case *Ship:
		return r.Kind == KindShipment
	case *LayUp:
		return r.Kind == KindSet // or lays it up again
	case *Appoint:
		return r.Kind == KindPerson
	case *Settle:
		return r.Kind == KindMill
	}
	return false
}

// again reports whether an act that creates may also find the thing there.
func again(a Act) bool {
	switch a.(type) {
	case *LayUp, *Appoint, *Settle:
		return true
	}
	return false
}

// disturbs says what an act does to a piece that ends the use of earlier readings for certification; "" when nothing.
func disturbs(a Act) string {
	switch a.(type) {
	case *Surfaced, *DressJoint, *Resize, *Ream, *Finish:
		return "takes stone"
	case *Drill:
		return "drills"
	case *GlueLining:
		return "glues"
	case *Repair:
		return "glues"
	case *EnterRoom, *LeaveRoom:
		return "seasons"
	}
	return ""
}

// takesAway returns the surface that an act takes off a piece, and where the act says that the number now stands.
func takesAway(a Act) (surface, now Surface) {
	switch a := a.(type) {
	case *Surfaced:
		return Surface(a.Face), a.MarkNow
	case *Resize:
		return OnEdge, a.MarkNow
	case *GlueLining:
		return OnBottom, a.MarkNow
	case *DressJoint:
		return "", a.MarkNow
	case *Drill:
		return "", a.MarkNow
	case *Finish:
		return "", a.MarkNow
	}
	return "", ""
}

// named returns everything that an act names, as far as the act alone tells.
func named(a Act, site string) []Ref {
	list := append(changed(a, site), used(a)...)
	if p := origin(a); p != (Ref{}) {
		list = append(list, p)
	}
	switch a := a.(type) {
	case *Match:
		list = append(list, refs(KindPiece, a.Pieces)...)
	case *Mark:
		if a.SearchedBy != "" {
			list = append(list, Ref{KindPerson, a.SearchedBy})
		}
	}
	slices.SortFunc(list, compareRefs)
	return slices.Compact(list)
}

// origin is the stone that an act takes other stone from, or says that it came from.
func origin(a Act) Ref {
	if a, ok := a.(*TakeIn); ok && a.Stone != nil && a.Stone.From != "" {
		return Ref{parentKind(a.Thing.Kind), a.Stone.From}
	}
	return parent(a)
}

// isStone tells whether things of a kind are stone, which moves about.
func isStone(k Kind) bool {
	return k == KindLayer || k == KindBlock || k == KindSlab || k == KindPiece || k == KindSet
}
