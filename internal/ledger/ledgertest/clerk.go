package ledgertest

import (
	"encoding/binary"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
)

// opening is the first morning of the mill in the exercise.
var opening = time.Date(2026, time.January, 5, 7, 0, 0, 0, time.UTC)

// A clerk writes acts down, a minute apart, with ids of its own.
type clerk struct {
	t    *testing.T
	l    *ledger.Ledger
	hand uint64 // tells the ids of several clerks apart
	n    uint64
}

// settled is a clerk at a mill that has just opened, with what the acts of the exercise need.
func settled(t *testing.T, l *ledger.Ledger) *clerk {
	t.Helper()
	c := &clerk{t: t, l: l}
	c.do(&book.Settle{Name: "Quern Hollow", Answers: map[string]string{}, Demo: true, Note: "invented data, not a real certificate"})
	c.do(&book.Appoint{Person: "lead-1", Role: book.Lead, Called: "lead"})
	c.do(&book.TakeIn{Thing: ref("layer:L1"), Layer: &book.LayerFacts{ThicknessMM: 1100}})
	c.do(&book.TakeIn{Thing: ref("instrument:SCALE"), Instrument: &book.InstrumentFacts{Sort: "scale"}})
	c.do(&book.TakeIn{Thing: ref("instrument:DIAL"), Instrument: &book.InstrumentFacts{Sort: "dial"}})
	c.do(&book.TakeIn{Thing: ref("bench:BENCH"), Instrument: &book.InstrumentFacts{Sort: "bench"}})
	return c
}

// settledEntries is how many entries a settled mill has.
const settledEntries = 6

func (c *clerk) submission(a book.Act) book.Submission {
	c.t.Helper()
	word, body, err := book.Encode(a)
	if err != nil {
		c.t.Fatal(err)
	}
	c.n++
	at := opening.Add(time.Duration(c.n) * time.Minute)
	var id ulid.ULID
	if err := id.SetTime(ulid.Timestamp(at)); err != nil {
		c.t.Fatal(err)
	}
	binary.BigEndian.PutUint64(id[8:], c.hand<<32|c.n)
	e := book.Entry{ID: id.String(), At: at, Person: "lead-1", Station: book.Office, Act: word, Body: body}
	return book.Submission{Entry: e, Caller: book.Caller{Person: "lead-1", Role: book.Lead, Reaffirmed: true, System: true}}
}

// do hands in an act that must be taken.
func (c *clerk) do(a book.Act) book.Receipt {
	c.t.Helper()
	r, err := c.l.Append(c.t.Context(), c.submission(a))
	if err != nil {
		c.t.Fatalf("%s: %v", a.Word(), err)
	}
	return r
}

// stone takes a piece in.
func stone(id string) book.Act {
	return &book.TakeIn{Thing: book.Ref{Kind: book.KindPiece, ID: id}, Stone: &book.StoneFacts{LengthMM: 1473, WidthMM: 914, ThicknessMM: 30, MarkedOn: book.OnEdge}}
}

// weighed weighs a piece.
func weighed(id string, kg float64) book.Act {
	return &book.Weigh{Thing: book.Ref{Kind: book.KindPiece, ID: id}, Scale: "SCALE", MassKg: kg}
}

func ref(s string) book.Ref {
	r, err := book.ParseRef(s)
	if err != nil {
		panic(err)
	}
	return r
}
