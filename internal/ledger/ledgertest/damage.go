package ledgertest

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/ledger"
)

// wreck changes the database behind the program's back.
func wreck(t *testing.T, l *ledger.Ledger, statements ...string) {
	t.Helper()
	for _, s := range statements {
		r, err := l.Handles().Write.ExecContext(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		if n, err := r.RowsAffected(); err != nil || n == 0 {
			t.Fatalf("%s changed nothing: %v", s, err)
		}
	}
}

func weighings(t *testing.T, place Place) (open func() *ledger.Ledger, l *ledger.Ledger, c *clerk) {
	t.Helper()
	open = place(t)
	l = open()
	c = settled(t, l)
	c.do(stone("P1"))
	c.do(weighed("P1", 96))
	c.do(stone("P2"))
	return open, l, c
}

func changedEntry(t *testing.T, place Place) {
	_, l, c := weighings(t, place)
	const broken = settledEntries + 2
	wreck(t, l, "update journal set body = replace(body, '96', '97') where seq = 8")
	if broken != 8 {
		t.Fatal("the exercise changes another entry than it means")
	}
	ctx := t.Context()
	for what, err := range map[string]error{
		"history": second(l.History(ctx, ref("piece:P1"), "", 10)),
		"entries": second(l.Entries(ctx, 0, 100)),
		"rebuild": second(l.Rebuild(ctx, false, nil)),
		"check":   second(l.Rebuild(ctx, true, nil)),
	} {
		if code(err) != "broken-entry" || !strings.Contains(err.Error(), "entry 8") {
			t.Errorf("%s: %v", what, err)
		}
	}
	if _, err := l.Entries(ctx, broken, 100); err != nil {
		t.Errorf("the sound entries behind: %v", err)
	}
	j, err := l.VerifyJournal(ctx, nil)
	if err != nil || len(j.Faults) != 1 || !strings.Contains(j.Faults[0].Where, "entry 8") || j.Faults[0].Next == "" {
		t.Errorf("the walk along the chain: %+v, %v", j, err)
	}
	if r := c.do(stone("P3")); r.Entry.Seq != broken+2 {
		t.Errorf("the mill cannot go on: %+v", r)
	}
}

// forgedEntry changes an entry with its hash, as somebody would who knows how. The entry after it gives it away.
func forgedEntry(t *testing.T, place Place) {
	_, l, _ := weighings(t, place)
	all, err := l.Entries(t.Context(), 7, 1)
	if err != nil || len(all) != 1 {
		t.Fatal(all, err)
	}
	e := all[0].Entry
	e.Body = bytes.ReplaceAll(e.Body, []byte("96"), []byte("97"))
	e.Hash = book.HashOf(e)
	if _, err := l.Handles().Write.ExecContext(t.Context(), "update journal set body = $1, hash = $2 where seq = 8", string(e.Body), e.Hash[:]); err != nil {
		t.Fatal(err)
	}
	j, err := l.VerifyJournal(t.Context(), nil)
	if err != nil || len(j.Faults) != 1 || !strings.Contains(j.Faults[0].Where, "entry 9") {
		t.Errorf("the walk along the chain: %+v, %v", j, err)
	}
	if _, err := l.Rebuild(t.Context(), true, nil); code(err) != "broken-chain" {
		t.Errorf("the check: %v", err)
	}
}

func lostEntry(t *testing.T, place Place) {
	open, l, c := weighings(t, place)
	wreck(t, l, "delete from journal where seq = 8")
	j, err := l.VerifyJournal(t.Context(), nil)
	if err != nil || len(j.Faults) != 1 || !strings.Contains(j.Faults[0].What, "8 to 8") {
		t.Errorf("one in the middle: %+v, %v", j, err)
	}
	wreck(t, l, "delete from journal where seq = 9")
	if j, err = l.VerifyJournal(t.Context(), nil); err != nil || len(j.Faults) != 1 || !strings.Contains(j.Faults[0].What, "8 to 9") {
		t.Errorf("the last: %+v, %v", j, err)
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	l = open()
	if _, err := l.Append(t.Context(), c.submission(stone("P4"))); code(err) != "broken-chain" {
		t.Errorf("an entry was written behind a lost end: %v", err)
	}
	if len(l.Faults()) != 1 {
		t.Errorf("faults: %v", l.Faults())
	}
}

// tampering is every way in which the exercise changes a derived table, and what the check must say.
var tampering = []struct{ table, statement, says string }{
	{"thing", "update thing set state = replace(state, '96', '97') where id = 'P1'", "piece:P1 is not as the journal says"},
	{"thing", "update thing set station = 'room' where id = 'P2'", "piece:P2 is not as the journal says"},
	{"thing", "delete from thing where id = 'P2'", "piece:P2 is missing"},
	{"thing", "update thing set id = 'P0' where id = 'P2'", "piece:P0 should not be there"},
	{"touch", "delete from touch where thing = 'piece:P1' and seq = 8", "piece:P1"},
	{"touch", "update touch set part = 'uses' where thing = 'piece:P2'", "piece:P2"},
	{"standing", "insert into standing (site, seq, state, by_seq, why) values (1, 8, 'struck', 9, '')", "8 should not be there"},
	{"reach", "delete from reach where target = 'piece:P1' and origin = 'instrument:SCALE'", "instrument:SCALE 2 piece:P1 is missing"},
	{"reach", "update reach set rank = 1 where target = 'piece:P1'", "instrument:SCALE 1 piece:P1 should not be there"},
}

func changedTables(t *testing.T, place Place) {
	_, l, _ := weighings(t, place)
	for _, x := range tampering {
		wreck(t, l, x.statement)
		r, err := l.Rebuild(t.Context(), true, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, table := range r.Tables {
			said := slices.ContainsFunc(table.First, func(s string) bool { return strings.Contains(s, x.says) })
			if (table.Differences > 0) != (table.Table == x.table) || table.Table == x.table && !said {
				t.Errorf("%s: table %s: %+v", x.statement, table.Table, table)
			}
		}
		if _, err := l.Rebuild(t.Context(), false, nil); err != nil {
			t.Fatal(err)
		}
		sound(t, l, settledEntries+3)
	}
}

// foundInTheBackground waits for the check that runs by itself, and asks for what it blocked.
func foundInTheBackground(t *testing.T, place Place) {
	open, l, _ := weighings(t, place)
	wreck(t, l, "update thing set state = replace(state, '96', '97') where id = 'P1'", "delete from reach where target = 'piece:P1' and origin = 'instrument:SCALE'")
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	l = open()
	c := &clerk{t: t, l: l, n: 100}
	for until := time.Now().Add(time.Minute); len(l.Faults()) < 2; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(until) {
			t.Fatalf("faults: %+v", l.Faults())
		}
	}
	ctx := t.Context()
	for what, err := range map[string]error{
		"the piece":              second(l.Thing(ctx, ref("piece:P1"))),
		"what the scale reached": second(l.Affected(ctx, ref("instrument:SCALE"), "", 10)),
		"how much it reached":    second(l.AffectedCount(ctx, ref("instrument:SCALE"))),
		"what reached the piece": second(l.Origins(ctx, ref("piece:P1"))),
		"an act on the piece":    second(l.Append(ctx, c.submission(weighed("P1", 95)))),
	} {
		if code(err) != "broken-thing" {
			t.Errorf("%s: %v", what, err)
		}
	}
	if p, err := l.Things(ctx, book.Filter{Kind: book.KindPiece}, "", 10); err != nil || len(p.Items) != 1 || p.Items[0].ID != "P2" {
		t.Errorf("the list of pieces: %+v, %v", p, err)
	}
	c.do(weighed("P2", 95)) // what is sound goes on
	if _, err := l.Rebuild(ctx, false, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Thing(ctx, ref("piece:P1")); err != nil || len(l.Faults()) > 0 {
		t.Errorf("after the tables were made anew: %v, %v", err, l.Faults())
	}
	c.do(weighed("P1", 95))
	sound(t, l, settledEntries+5)
}
