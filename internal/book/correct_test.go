package book_test

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/internal/book"
)

// Property 2: a book in which an entry was struck out is the book that never had it; when something rests on the entry, the strike is
// refused and changes nothing.
func TestStruckIsNeverHad(t *testing.T) {
	var struck, refused int
	rapid.Check(t, func(t *rapid.T) {
		told, m := tell(t, 25)
		i := rapid.IntRange(5, len(told)-1).Draw(t, "which")
		before := m.tables()
		_, err := m.hand(entry(9000, told[len(told)-1].At.Add(time.Hour), "lead-1", &book.Correct{Entry: told[i].ID, Why: "it was not so"}), leader, false)
		if err != nil {
			refused++
			if !slices.Equal(before, m.tables()) {
				t.Fatal("a refused strike changed the book")
			}
			return
		}
		struck++
		never := inOrder(t, slices.Delete(slices.Clone(told), i, i+1))
		same(t, "struck against never had", m, never)
		identical(t, "struck against its replay", m, m.replayed(t))
	})
	if struck == 0 || refused == 0 {
		t.Errorf("%d strikes, %d refused: the property was not tried", struck, refused)
	}
}

// inOrder builds the book of entries that must all be admitted as they come.
func inOrder(t tester, list []book.Entry) *memory {
	m := newMemory()
	for i, e := range list {
		c := leader
		c.System = i < 2
		if _, err := m.hand(e, c, false); err != nil {
			t.Fatalf("%s %s: %v", e.Act, e.Body, err)
		}
	}
	return m
}

// corrections draws corrections of told entries and of one another: strikes, other bodies, other times.
func corrections(t *rapid.T, told []book.Entry, n int) (list []book.Entry) {
	s := &story{t: t}
	now := told[len(told)-1].At
	for i := range n {
		targets := append(slices.Clone(told[5:]), list...)
		if len(targets) == 0 {
			return list
		}
		c := &book.Correct{Entry: rapid.SampledFrom(targets).Draw(t, "target").ID, Why: "wrong"}
		if rapid.Bool().Draw(t, "replace") {
			word, body, err := book.Encode(s.act())
			if err != nil || word == "appoint" {
				continue
			}
			c.Act, c.Body = word, body
			if rapid.Bool().Draw(t, "retime") {
				at := opening.Add(time.Duration(rapid.IntRange(0, 40*24).Draw(t, "hours")) * time.Hour)
				c.At = &at
			}
		}
		now = now.Add(time.Minute)
		list = append(list, entry(8000+i, now, "lead-1", c))
	}
	return list
}

// Property 3: whatever is corrected, in whatever order corrections and entries come, the book is what its applied entries in the order of
// time make of it.
func TestCorrectionsInAnyOrder(t *testing.T) {
	var corrected int
	rapid.Check(t, func(t *rapid.T) {
		told, m := tell(t, 20)
		var taken []book.Entry
		for _, e := range corrections(t, told, 6) {
			before := m.tables()
			if _, err := m.hand(e, leader, false); err == nil {
				taken = append(taken, e)
				corrected++
			} else if !slices.Equal(before, m.tables()) {
				t.Fatal("a refused correction changed the book")
			}
		}
		same(t, "corrected against afresh", m, m.afresh(t))
		identical(t, "corrected against its replay", m, m.replayed(t))
		first := len(furniture())
		rest := append(slices.Clone(told[first:]), taken...)
		shuffled := handed(t, append(slices.Clone(told[:first]), rapid.Permutation(rest).Draw(t, "order")...))
		same(t, "shuffled with corrections against afresh", shuffled, shuffled.afresh(t))
		identical(t, "shuffled with corrections against its replay", shuffled, shuffled.replayed(t))
	})
	if corrected == 0 {
		t.Error("nothing was corrected: the property was not tried")
	}
}

// Property 4: entries that say different things are both kept; one of them in conflict, until a correction strikes the other.
func TestConflictIsResolvedByACorrection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		told, _ := tell(t, 20)
		s := &story{t: t}
		first := len(furniture())
		all := slices.Clone(told[first:])
		for i := range rapid.IntRange(1, 6).Draw(t, "others") {
			at := opening.Add(time.Duration(rapid.IntRange(16, 40*24).Draw(t, "hours")) * time.Hour)
			all = append(all, entry(7000+i, at, "lead-1", s.act()))
		}
		m := handed(t, append(slices.Clone(told[:first]), rapid.Permutation(all).Draw(t, "order")...))
		if len(m.journal) != first+len(all) {
			t.Fatalf("%d of %d entries are kept", len(m.journal), first+len(all))
		}
		same(t, "with conflicts against afresh", m, m.afresh(t))
		identical(t, "with conflicts against its replay", m, m.replayed(t))
		for i, id := range m.conflicts() {
			if _, err := m.hand(entry(9000+i, opening.AddDate(1, 0, i), "lead-1", &book.Correct{Entry: id, Why: "the other is right"}), leader, false); err != nil {
				t.Fatal(err)
			}
		}
		if left := m.conflicts(); len(left) > 0 {
			t.Fatalf("%v are still in conflict", left)
		}
		same(t, "resolved against afresh", m, m.afresh(t))
	})
}
