package book_test

import (
	"testing"
	"time"

	"slatewright/internal/book"
)

func pass(id string, depth float64) *book.Surfaced {
	return &book.Surfaced{Piece: id, Machine: "M", Face: "bottom", Stage: "rough", DepthMM: depth}
}

func thickness(id string, mm float64) *book.Read {
	return &book.Read{Thing: onPiece(id), What: "thickness", Instruments: []string{"DIAL"}, Value: &mm, Unit: "mm"}
}

// The thickness goes down by what was asked for and is reckoned until it is read; a late pass and a correction are reckoned as if in time.
func TestThicknessIsReckoned(t *testing.T) {
	s := sawn(t)
	want := func(mm float64, reckoned bool) {
		t.Helper()
		if _, p := s.piece(t, "P1"); p.ThicknessMM != mm || p.Reckoned != reckoned {
			t.Errorf("%v mm, reckoned %v; want %v, %v", p.ThicknessMM, p.Reckoned, mm, reckoned)
		}
	}
	want(30, false)
	s.do(pass("P1", 0))
	want(30, false)
	first := s.do(pass("P1", 3.2))
	s.do(pass("P1", 0.75), pass("P1", 0.15))
	want(25.9, true)
	s.do(thickness("P1", 26.02))
	want(26.02, false)
	s.do(pass("P1", 0.1))
	want(25.92, true)
	_, err := s.hand(entry(700, first.At.Add(time.Minute), "lead-1", pass("P1", 1)), leader, true)
	if err != nil {
		t.Fatal(err)
	}
	want(25.92, true) // it was read after that pass
	same(t, "a late pass", s.memory, s.afresh(t))
	s.do(&book.TakeIn{Thing: onPiece("P9"), Stone: &book.StoneFacts{}}, pass("P9", 40))
	if _, p := s.piece(t, "P9"); p.ThicknessMM != 0 || p.Reckoned {
		t.Errorf("a thickness that nobody knows became %v", p.ThicknessMM)
	}
}

func TestPassesThatCannotBe(t *testing.T) {
	s := sawn(t)
	s.refused("deeper-than-stone", pass("P1", 30), "30 mm")
	s.refused("too-thin", pass("P1", 11.01), "P1", "18.99", "19")
	s.do(pass("P1", 8), pass("P1", 3))
	s.refused("too-thin", pass("P1", 0.1), "19 mm (reckoned)")
	s.do(thickness("P1", 19.4), pass("P1", 0.3), pass("P2", 2))
	r := book.DefaultRoute()
	for i := range r.Holds {
		if r.Holds[i].Needs == "stone-left" {
			r.Holds[i].Amount = 27.5
		}
	}
	s.do(&book.Settle{Name: "Quern Hollow", Route: &r})
	s.refused("too-thin", pass("P2", 1), "27.5")
}

func TestInstrumentsThatSuit(t *testing.T) {
	s := sawn(t)
	s.do(&book.TakeIn{Thing: ref(book.KindInstrument, "TAPE"), Instrument: &book.InstrumentFacts{Sort: "tape"}},
		&book.TakeIn{Thing: ref(book.KindInstrument, "OWN"), Instrument: &book.InstrumentFacts{Sort: "our own frame"}})
	read := func(what string, with ...string) *book.Read {
		return &book.Read{Thing: onPiece("P1"), What: what, Instruments: with, Blob: digest}
	}
	s.refused("wrong-instrument", read("top", "SCALE"), "SCALE is a scale", "dial")
	s.refused("wrong-instrument", read("top", "TAPE", "HYGRO"), "TAPE is a tape", "HYGRO is a hygrometer")
	s.refused("wrong-instrument", read("climate", "METER"))
	s.refused("wrong-instrument", &book.Weigh{Thing: onPiece("P1"), Scale: "DIAL", MassKg: 100}, "DIAL is a dial", "scale")
	lay := layUp()
	lay.Instruments = []string{"SCALE"}
	s.refused("wrong-instrument", lay)
	lay.Instruments = nil
	s.do(read("top", "HYGRO", "DIAL"), read("top", "OWN"), read("other", "SCALE"), &book.Weigh{Thing: onPiece("P1"), Scale: "OWN", MassKg: 100}, lay)
}

// Who corrects an instrument's sort hears which reading it would spoil.
func TestCorrectedSort(t *testing.T) {
	s := sawn(t)
	taken := s.do(&book.TakeIn{Thing: ref(book.KindInstrument, "NEW"), Instrument: &book.InstrumentFacts{Sort: "dial"}})
	r := faceRead("P1")
	r.Instruments = []string{"NEW"}
	read := s.do(r)
	fix := func(sort string) *book.Correct {
		word, body, err := book.Encode(&book.TakeIn{Thing: ref(book.KindInstrument, "NEW"), Instrument: &book.InstrumentFacts{Sort: sort}})
		if err != nil {
			t.Fatal(err)
		}
		return &book.Correct{Entry: taken.ID, Why: "?", Act: word, Body: body}
	}
	s.refused("breaks-later", fix("scale"), read.ID)
	s.do(fix("scanner"))
	same(t, "a corrected sort", s.memory, s.afresh(t))
}

func TestMassOfTheStone(t *testing.T) {
	s := sawn(t)
	weigh := func(kg float64) *book.Weigh { return &book.Weigh{Thing: onPiece("P1"), Scale: "SCALE", MassKg: kg} }
	// 1.473 m × 0.914 m × 0.030 m × 2700 kg/m³ × 0.7 = 76.3 kg, and 2900 × 1.3 make 152.3 kg.
	s.refused("mass-not-plausible", weigh(76), "76 kg", "152 kg")
	s.refused("mass-not-plausible", weigh(153))
	s.do(weigh(77), weigh(152))
	s.do(rested("P1")...)
	s.do(&book.GlueLining{Piece: "P1", BoardBatch: "MDF", GlueBatch: "PUR"}, weigh(180)) // 32 kg of board at most
	s.refused("mass-not-plausible", weigh(185))
	s.refused("mass-not-plausible", &book.Weigh{Thing: ref(book.KindSlab, "B1-A"), Scale: "SCALE", MassKg: 1000}, "1000 kg")
	s.do(&book.Weigh{Thing: ref(book.KindBlock, "B1"), Scale: "SCALE", MassKg: 9000}) // its measures are not known
}
