package waiting

import (
	"math"

	"slatewright/internal/book"
)

// What is asked of stone that is no piece yet.

// What a block or slab gives, mm: the thickness of a leaf, the saw's kerf, and the margin around a piece. Common practice, no source.
const (
	leafMM   = 34
	kerfMM   = 5
	marginMM = 15
)

// leaves is how many leaves a block gives.
func leaves(s *book.BlockState) int {
	return max(0, int(math.Floor((s.ThicknessMM+kerfMM)/(leafMM+kerfMM))))
}

// fits is how many nine-foot pieces lie side by side on a slab, the long side across or along.
func fits(length, width float64) int {
	long, short := sizes[0].long+marginMM, sizes[0].short+marginMM
	across := math.Floor(length/short) * math.Floor(width/long)
	along := math.Floor(length/long) * math.Floor(width/short)
	return int(max(across, along, 0))
}

// clearShare is the share of a block's length that cracks leave for pieces, when they lie as chance has it: λ/(e^λ−1), λ the cracks on a piece.
func clearShare(s *book.BlockState) float64 {
	if s.Cracks == 0 || s.LengthMM <= 0 {
		return 1
	}
	lambda := float64(s.Cracks) * sizes[0].short / s.LengthMM
	return lambda / math.Expm1(lambda)
}

// leastClear is the share below which a block is not worth the saw. Our own choice.
const leastClear = 0.25

// expected is how many pieces may come of a block or slab.
func expected(t *Thing) float64 {
	switch s := t.State.(type) {
	case *book.SlabState:
		return float64(fits(s.LengthMM, s.WidthMM))
	case *book.BlockState:
		return float64(leaves(s)*fits(s.LengthMM, s.WidthMM)) * clearShare(s)
	}
	return 0
}

// askStone asks about each block and slab.
func askStone(l *look) (list []Question) {
	for _, t := range l.Of(book.KindBlock) {
		list = append(list, l.askBlock(t))
	}
	for _, t := range l.Of(book.KindSlab) {
		s := t.State.(*book.SlabState)
		n := fits(s.LengthMM, s.WidthMM)
		q := l.new(Cut, t, "cut", "reject")
		q.Evidence = []book.Ref{t.Ref}
		q.Cost = l.cost(l.ofStone(float64(n), "cut", "surface", "read"))
		q.Say = sentence("waiting.say.cut", "slab", t.ID, "length_size", s.LengthMM, "width_size", s.WidthMM)
		switch {
		case s.LengthMM == 0 || s.WidthMM == 0:
			q.Recommend, q.Sure = sentence("waiting.do.look"), cannotTell(sentence("waiting.sure.no-size"))
		case n == 0:
			q.Recommend, q.Sure = sentence("waiting.do.cut-none"), computed(0, sentence("waiting.sure.sides"))
		default:
			q.Recommend, q.Sure = sentence("waiting.do.cut", "n", n), computed(0, sentence("waiting.sure.sides"))
		}
		list = append(list, q)
	}
	return list
}

func (l *look) askBlock(t *Thing) Question {
	s := t.State.(*book.BlockState)
	share := clearShare(s)
	q := l.new(Slice, t, "slice", "reject")
	q.Say = sentence("waiting.say.slice", "block", t.ID, "thickness_size", s.ThicknessMM, "n", s.Cracks)
	if share < leastClear {
		q = l.new(Scrap, t, "reject", "survey", "slice")
		q.Say = sentence("waiting.say.scrap", "block", t.ID, "n", s.Cracks)
	}
	q.Evidence = []book.Ref{t.Ref}
	if t.Parent != (book.Ref{}) {
		q.Evidence = append(q.Evidence, t.Parent)
	}
	q.Cost = l.cost(l.ofStone(expected(t), "slice", "cut", "surface", "read"))
	switch n := leaves(s); {
	case s.ThicknessMM == 0:
		q.Recommend, q.Sure = sentence("waiting.do.look"), cannotTell(sentence("waiting.sure.no-size"))
	case share < leastClear:
		q.Recommend = sentence("waiting.do.scrap-block", "clear_chance", round(share, 3))
		q.Sure = computed(0, sentence("waiting.sure.cracks"))
	default:
		q.Recommend = sentence("waiting.do.slice", "n", n, "clear_chance", round(share, 3))
		q.Sure = computed(0, sentence("waiting.sure.leaf", "leaf_size", float64(leafMM), "kerf_size", float64(kerfMM)))
	}
	return q
}
