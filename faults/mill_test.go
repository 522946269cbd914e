// Package faults_test breaks things on purpose and looks whether the mill's book survives: programs killed while they write, disks that
// are full, bytes that flip, a database that goes away, senders that repeat and reorder. It holds no code of the program.
package faults_test

import (
	"context"
	"encoding/binary"
	"flag"
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
)

// kills is how often a writing program is killed: a few in make test, 200 in make faults.
var kills = flag.Int("kills", 12, "how often a writing program is killed")

func TestMain(m *testing.M) {
	if where := os.Getenv("FAULTS_WRITER"); where != "" {
		writerMain(where)
		return
	}
	flag.Parse()
	os.Exit(m.Run())
}

const site = "quern-hollow"

// senders is how many write at a time.
const senders = 8

// dawn is the time of the first act.
var dawn = time.Date(2026, time.March, 2, 6, 0, 0, 0, time.UTC)

func clock() time.Time { return dawn.AddDate(1, 0, 0) }

// idOf is the id of a sender's n-th act: the same whenever it is sent.
func idOf(sender, n int) string {
	var entropy [10]byte
	binary.BigEndian.PutUint16(entropy[:], uint16(sender))
	binary.BigEndian.PutUint64(entropy[2:], uint64(n))
	var id ulid.ULID
	_ = id.SetTime(ulid.Timestamp(dawn.Add(time.Duration(n) * time.Second)))
	_ = id.SetEntropy(entropy[:])
	return id.String()
}

func pieceOf(sender int) string { return fmt.Sprintf("P-%d", sender) }

// submission is a sender's n-th act, n from 1: its piece is weighed again, a gram more each time.
func submission(sender, n int) book.Submission {
	return entry(idOf(sender, n), dawn.Add(time.Duration(n)*time.Second), "hand-1",
		&book.Weigh{Thing: book.Ref{Kind: book.KindPiece, ID: pieceOf(sender)}, Scale: "SCALE-1", MassKg: mass(n)})
}

// mass is a whole number of grams over 50 kg.
func mass(n int) float64 { return float64(50000+n) / 1000 }

func entry(id string, at time.Time, person string, act book.Act) book.Submission {
	word, body, err := book.Encode(act)
	if err != nil {
		panic(err)
	}
	return book.Submission{Entry: book.Entry{ID: id, Site: site, At: at, Person: person, Station: book.Bench, Act: word, Body: body},
		Caller: book.Caller{Person: person, Role: book.Lead, System: true}}
}

// found makes a book with a mill, a hand, a scale and a piece for each sender.
func found(t *testing.T, where string) {
	t.Helper()
	l := open(t, where)
	defer shut(t, l)
	acts := []book.Act{
		&book.Settle{Name: "Quern Hollow", Answers: map[string]string{"note": "invented data, not a real certificate"}, Demo: true},
		&book.Appoint{Person: "lead-1", Role: book.Lead}, &book.Appoint{Person: "hand-1", Role: book.Hand},
		&book.TakeIn{Thing: book.Ref{Kind: book.KindInstrument, ID: "SCALE-1"}, Instrument: &book.InstrumentFacts{Sort: "scale"}},
		&book.TakeIn{Thing: book.Ref{Kind: book.KindInstrument, ID: "CALIPER-1"}, Instrument: &book.InstrumentFacts{Sort: "caliper"}},
	}
	for s := range senders {
		acts = append(acts, &book.TakeIn{Thing: book.Ref{Kind: book.KindPiece, ID: pieceOf(s)}, Stone: &book.StoneFacts{MassKg: 50}})
	}
	for i, a := range acts {
		if _, err := l.Append(context.Background(), entry(idOf(senders, i+1), dawn.Add(time.Duration(i)*time.Millisecond), "lead-1", a)); err != nil {
			t.Fatalf("%s: %v", a.Word(), err)
		}
	}
}

func open(t *testing.T, where string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Create: true, Holder: "faults", Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func shut(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	if err := l.Close(); err != nil {
		t.Error(err)
	}
}

// sound walks the chain and holds every derived table to the journal.
func sound(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	ctx := context.Background()
	j, err := l.VerifyJournal(ctx, nil)
	if err != nil || len(j.Faults) > 0 || j.Entries == 0 {
		t.Errorf("the journal: %+v, %v", j, err)
	}
	r, err := l.Rebuild(ctx, true, nil)
	if err != nil || len(r.Tables) == 0 {
		t.Fatalf("rebuild --check: %+v, %v", r, err)
	}
	for _, table := range r.Tables {
		if table.Differences != 0 {
			t.Errorf("table %s differs from the journal %d times: %q", table.Table, table.Differences, table.First)
		}
	}
}
