package book_test

import (
	"testing"
	"time"

	"slatewright/internal/book"
)

// Stone does not grow when it is cut.
func TestStoneFitsIntoWhatItComesOf(t *testing.T) {
	s := open(t)
	of := func(id string, length, width, thick float64) book.NewStone {
		return book.NewStone{ID: id, Stone: book.StoneFacts{LengthMM: length, WidthMM: width, ThicknessMM: thick, MarkedOn: book.OnTop}}
	}
	slice := func(slabs ...book.NewStone) *book.Slice { return &book.Slice{Block: "B1", How: "sawn", Slabs: slabs} }
	cut := func(slab string, pieces ...book.NewStone) *book.Cut { return &book.Cut{Slab: slab, Pieces: pieces} }
	s.do(&book.Lift{Block: "B1", Layer: "L1", Stone: book.StoneFacts{LengthMM: 2000, WidthMM: 1600, ThicknessMM: 80}})
	s.refused("does-not-fit", slice(of("A", 1980, 1540, 34), of("B", 2100, 1540, 34)), "slabs.1", "B of 2100")
	s.do(slice(of("A", 1980, 1540, 34), of("B", 1600, 80, 40), of("C", 0, 0, 0))) // the second was sawn across
	s.refused("does-not-fit", cut("A", of("P1", 1473, 914, 45)), "P1", "slab A")
	s.do(cut("A", of("P1", 1473, 914, 34), of("P2", 0, 0, 0)), cut("C", of("P3", 3000, 2000, 40)))

	resize := func(to string, length, width float64) *book.Resize {
		return &book.Resize{Piece: "P1", To: to, LengthMM: length, WidthMM: width}
	}
	s.refused("does-not-fit", resize("8 ft", 1340, 930), "1473 × 914")
	s.do(resize("8 ft", 1340, 813))
	s.refused("does-not-fit", resize("9 ft", 1300, 800), "8 ft", "9 ft")
	s.do(resize("8 ft", 1338, 812), resize("7 ft", 1200, 720))
	same(t, "after all cuts", s.memory, s.afresh(t))
}

func TestMassesOfNewStone(t *testing.T) {
	s := sawn(t)
	heavy := book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 30, MassKg: 170} // 76 to 152 kg, and 32 kg of board
	s.do(&book.TakeIn{Thing: onPiece("P8"), Stone: &heavy})
	for _, a := range []book.Act{&book.TakeIn{Thing: ref(book.KindSlab, "X"), Stone: &heavy}, &book.Lift{Block: "X", Layer: "L1", Stone: heavy},
		&book.Slice{Block: "B1", How: "sawn", Slabs: []book.NewStone{{ID: "X", Stone: heavy}}}, &book.Cut{Slab: "B1-A", Pieces: []book.NewStone{{ID: "X", Stone: heavy}}}} {
		s.refused("mass-not-plausible", a, "mass_kg", "152 kg")
	}
}

// An order is due about when it is taken in: a slip of the year is none.
func TestWhenAnOrderIsDue(t *testing.T) {
	s := open(t)
	order := func(id string, due time.Time) *book.TakeIn {
		return &book.TakeIn{Thing: ref(book.KindOrder, id), Order: &book.OrderFacts{Size: "9 ft", Sets: 3, Due: due}}
	}
	s.refused("out-of-range", order("O2", opening.AddDate(-1, 0, -1)), "order.due", "2025-03-01")
	s.refused("out-of-range", order("O2", opening.AddDate(5, 0, 2)), "2031")
	s.do(order("O2", opening.AddDate(0, -11, 0)), order("O3", opening.AddDate(4, 0, 0)))
}
