package book

import (
	"fmt"
	"slices"

	"slatewright/internal/book/field"
	"slatewright/trouble"
)

// describes says which facts describe a kind of thing that is taken in.
var describes = map[Kind]string{KindLayer: "layer", KindBlock: "stone", KindSlab: "stone", KindPiece: "stone", KindInstrument: "instrument",
	KindBench: "instrument", KindDisc: "tool", KindBitSet: "tool", KindRoom: "room", KindBoardBatch: "batch", KindGlueBatch: "batch", KindOrder: "order"}

// Validate checks the fields, and that the facts are those of the thing's kind.
func (a *TakeIn) Validate() error {
	if err := field.Check(a); err != nil {
		return err
	}
	for _, facts := range []struct {
		name  string
		there bool
	}{{"layer", a.Layer != nil}, {"stone", a.Stone != nil}, {"instrument", a.Instrument != nil}, {"tool", a.Tool != nil},
		{"room", a.Room != nil}, {"batch", a.Batch != nil}, {"order", a.Order != nil}} {
		if wanted := describes[a.Thing.Kind]; (facts.name == wanted) != facts.there {
			return trouble.Data("bad-facts", facts.name, fmt.Sprintf("a %s is described by %s", a.Thing.Kind, wanted), "give that part and no other")
		}
	}
	if a.Stone == nil {
		return nil
	}
	return a.Stone.check("stone")
}

// Validate checks the fields.
func (a *Lift) Validate() error {
	if err := field.Check(a); err != nil {
		return err
	}
	return a.Stone.check("stone")
}

// check wants the longer side to be the length.
func (f *StoneFacts) check(where string) error {
	if f.LengthMM > 0 && f.LengthMM < f.WidthMM {
		return trouble.Data("out-of-range", where+".length_mm", fmt.Sprintf("the length is the longer side, and %g is less than the width of %g", f.LengthMM, f.WidthMM), "give the longer side as the length")
	}
	return nil
}

// Validate checks the fields, and that no two slabs have the same number.
func (a *Slice) Validate() error { return newStones(a, "slabs", a.Slabs) }

// Validate checks the fields, and that no two pieces have the same number.
func (a *Cut) Validate() error { return newStones(a, "pieces", a.Pieces) }

func newStones(a Act, where string, list []NewStone) error {
	if err := field.Check(a); err != nil {
		return err
	}
	for i, n := range list {
		if slices.ContainsFunc(list[:i], func(o NewStone) bool { return o.ID == n.ID }) {
			return trouble.Data("twice", fmt.Sprintf("%s.%d.id", where, i), n.ID+" stands in the list twice", "give each a number of its own")
		}
		if n.Stone.From != "" {
			return trouble.Data("bad-facts", fmt.Sprintf("%s.%d.stone.from", where, i), "where it comes from is said by the act", "leave it out")
		}
		if err := n.Stone.check(fmt.Sprintf("%s.%d.stone", where, i)); err != nil {
			return err
		}
	}
	return nil
}

// Validate checks the fields, and that something was read.
func (a *Read) Validate() error {
	if err := field.Check(a); err != nil {
		return err
	}
	if a.Blob == "" && a.Value == nil && a.HumidityPercent == nil && a.TopC == nil {
		return trouble.Data("empty-reading", "value", "the reading has neither a value nor a file", "give value and unit, or the digest of the file as blob")
	}
	if a.What != "thickness" || a.Value == nil {
		return nil
	}
	if err := field.OneOf(a.Unit, []string{"mm"}, "unit"); err != nil {
		return err // a pass is held against it
	}
	if *a.Value <= 0 {
		return trouble.Data("out-of-range", "value", fmt.Sprintf("%g mm is no thickness", *a.Value), "read it again, in mm")
	}
	return nil
}

// Validate checks the fields, and that what lies turned is one of the pieces.
func (a *Match) Validate() error {
	if err := field.Check(a); err != nil {
		return err
	}
	return ofThese(a.Turned, a.Pieces)
}

// ofThese wants what lies turned among the pieces.
func ofThese(turned, pieces []string) error {
	for i, id := range turned {
		if !slices.Contains(pieces, id) {
			return trouble.Data("other-pieces", fmt.Sprintf("turned.%d", i), id+" is to lie turned, and is none of the pieces", "name only pieces that are laid, or leave it out")
		}
	}
	return nil
}

// Validate checks the fields, that what lies turned is one of the pieces, and that each joint has its step.
func (a *LayUp) Validate() error {
	if err := field.Check(a); err != nil {
		return err
	}
	if err := ofThese(a.Turned, a.Pieces); err != nil {
		return err
	}
	if joints := len(a.Pieces) - 1; len(a.StepsMM) != joints {
		return trouble.Data("bad-count", "steps_mm", fmt.Sprintf("%s have %s, and %s given", trouble.Count(len(a.Pieces), "piece", "pieces"), trouble.Count(joints, "joint", "joints"),
			trouble.Count(len(a.StepsMM), "step is", "steps are")),
			"give the largest step of each joint, from head to foot")
	}
	return nil
}

// Validate checks the fields, and the act that is to stand in the entry's place.
func (a *Correct) Validate() error {
	err := field.Check(a)
	switch {
	case err != nil:
		return err
	case (a.Act == "") != (len(a.Body) == 0):
		return trouble.Data("bad-correction", "act", "act and body belong together", "give both, or neither to strike the entry out")
	case a.Act == "" && a.At != nil:
		return trouble.Data("bad-correction", "at", "an entry that is struck out has no time", "leave it out, or give act and body")
	case a.Act == "correct" || a.Act == "settle" || a.Act == "appoint":
		return trouble.Data("bad-correction", "act", fmt.Sprintf("a correction cannot be %q", a.Act), "hand that in on its own")
	case a.Act != "":
		_, err = Decode(a.Act, a.Body)
	}
	return err
}

// Validate checks the fields, the answers to the book's own questions, and the route.
func (a *Settle) Validate() error {
	if err := field.Check(a); err != nil {
		return err
	}
	if err := checkAnswers(a.Answers); err != nil || a.Route == nil {
		return err
	}
	return a.Route.Validate()
}
