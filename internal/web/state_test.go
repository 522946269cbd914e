package web_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
	"slatewright/trouble"
)

// damaged is a book some of whose entries do not verify, and what the check in the background has found so far.
type damaged struct {
	*shelf
	broken []int64
	found  []book.Fault
	asked  *int
}

func (d damaged) Entries(ctx context.Context, after int64, limit int) ([]book.Placed, error) {
	*d.asked++
	list, err := d.shelf.Entries(ctx, after, limit)
	for _, p := range list {
		if slices.Contains(d.broken, p.Seq) {
			return nil, trouble.IO("broken-entry", fmt.Sprintf("entry %d", p.Seq), fmt.Sprintf("entry %d does not fit its hash", p.Seq), "restore a backup")
		}
	}
	return list, err
}

func (d damaged) Faults() []book.Fault { return d.found }

// damage is a mill over a book with entries, some of them broken.
func damage(t *testing.T, entries int, found []book.Fault, broken ...int64) (*mill, damaged) {
	t.Helper()
	m := newMill(t)
	for i := range entries {
		m.shelf.entries = append(m.shelf.entries, book.Placed{Entry: book.Entry{Seq: int64(i + 1), ID: anID, Body: []byte("{}")}})
	}
	d := damaged{m.shelf, broken, found, new(int)}
	m.handler = withBook(t, m, d)
	return m, d
}

// A probe hears 200 as long as the book is served at all; what is wrong is told to who is signed in.
func TestHealthAndFaults(t *testing.T) {
	m := newMill(t)
	if got := into[api.Health](t, m.send(t, "", "GET", "/api/v1/health", nil), http.StatusOK); got != (api.Health{State: "well", Version: "test"}) {
		t.Errorf("%+v", got)
	}
	if w := m.send(t, book.Visitor, "GET", "/api/v1/faults", nil); w.Body.String() != "{\"faults\":[]}\n" {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	found := []book.Fault{{What: "a", Where: "piece:A", Next: "b"}, {What: "c", Where: "piece:C", Next: "d"}}
	for name, c := range map[string]struct {
		found  []book.Fault
		broken []int64
		tells  int
	}{"a table": {found, nil, 2}, "an entry": {nil, []int64{1}, 1}, "both": {found, []int64{1}, 2}} {
		m, _ := damage(t, 3, c.found, c.broken...)
		if got := into[api.Health](t, m.send(t, "", "GET", "/api/v1/health", nil), http.StatusOK); got.State != "faults" || got.Faults != 0 || got.Next != "" {
			t.Errorf("%s, a probe: %+v", name, got)
		}
		m.tokens["stranger"] = "unknown"
		if got := into[api.Health](t, m.send(t, "stranger", "GET", "/api/v1/health", nil), http.StatusOK); got.State != "faults" || got.Faults != 0 {
			t.Errorf("%s, a stranger: %+v", name, got)
		}
		if got := into[api.Health](t, m.send(t, book.Visitor, "GET", "/api/v1/health", nil), http.StatusOK); got.State != "faults" || got.Faults != c.tells || got.Next == "" {
			t.Errorf("%s, signed in: %+v", name, got)
		}
	}
}

// Whoever follows the journal hears of every entry once, whole or broken, in few questions to the book.
func TestAFollowerGoesOnBehindABrokenEntry(t *testing.T) {
	for name, broken := range map[string][]int64{"the first": {1}, "the last": {120}, "in the middle": {60}, "some": {1, 2, 7, 50, 51, 52, 119, 120}, "none": nil} {
		for _, limit := range []int{1, 7, 50, 500} {
			m, d := damage(t, 120, nil, broken...)
			var whole, named []int64
			after := int64(0)
			for range 200 {
				got := into[api.Journal](t, m.send(t, book.Visitor, "GET", fmt.Sprintf("/api/v1/entries?after=%d&limit=%d", after, limit), nil), http.StatusOK)
				if len(got.Entries)+len(got.Broken) > limit {
					t.Fatalf("%s: %d lines", name, len(got.Entries)+len(got.Broken))
				}
				for _, e := range got.Entries {
					whole = append(whole, e.Seq)
				}
				for _, b := range got.Broken {
					if named = append(named, b.Seq); b.Code != "broken-entry" || b.What == "" || b.Next == "" {
						t.Errorf("%s: %+v", name, b)
					}
				}
				if got.Seq == after {
					break
				}
				after = got.Seq
			}
			if after != 120 || len(whole)+len(named) != 120 || !slices.Equal(named, broken) || !slices.IsSorted(whole) {
				t.Errorf("%s, %d at a time: to %d, %d whole, %v broken", name, limit, after, len(whole), named)
			}
			if most := 2*120/limit + 10 + 20*len(broken); *d.asked > most {
				t.Errorf("%s, %d at a time: %d questions to the book", name, limit, *d.asked)
			}
		}
	}
}

// What stands before a broken entry may be missing altogether: the place it has itself counts.
func TestAFollowerGoesOnBehindAGap(t *testing.T) {
	m, _ := damage(t, 9, nil, 5)
	m.shelf.entries = slices.Delete(m.shelf.entries, 2, 4)
	got := into[api.Journal](t, m.send(t, book.Visitor, "GET", "/api/v1/entries?after=2", nil), http.StatusOK)
	if len(got.Broken) != 1 || got.Broken[0].Seq != 5 || len(got.Entries) != 4 || got.Seq != 9 {
		t.Errorf("%+v", got)
	}
}

func TestTheMillIsRead(t *testing.T) {
	m := newMill(t)
	if got := into[api.Mill](t, m.send(t, book.Visitor, "GET", "/api/v1/mill", nil), http.StatusOK); got.Name != "Quern Hollow" || got.Site != "quern-hollow" || got.Answers["state"] != "laid" || !got.Demo {
		t.Errorf("%+v", got)
	}
	way := into[api.Way](t, m.send(t, book.Visitor, "GET", "/api/v1/route", nil), http.StatusOK)
	if len(way.Steps) != len(book.DefaultRoute().Steps) || len(way.Holds) != len(book.DefaultRoute().Holds) || len(way.Conditions) != len(book.Conditions()) {
		t.Errorf("%+v", way)
	}
	m.shelf.put(book.Ref{Kind: book.KindPerson, ID: "saw-2"}, book.PersonState{Role: book.Hand, Called: "a name", Gone: true})
	w := m.send(t, book.Visitor, "GET", "/api/v1/people", nil)
	if want := `{"items":[{"person":"bench-1","role":"inspector"},{"person":"lead-1","role":"lead"},{"person":"saw-1","role":"hand"},` +
		`{"person":"saw-2","role":"hand","gone":true},{"person":"visitor-1","role":"visitor"}]}` + "\n"; w.Body.String() != want {
		t.Errorf("%s", w.Body)
	}
	delete(m.shelf.things, book.Ref{Kind: book.KindMill, ID: "quern-hollow"})
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/route", nil), "no-such-thing")
}

// The real book has the mill under the same name.
func TestARealMillIsRead(t *testing.T) {
	m := newRealMill(t)
	for path, want := range map[string]string{"/mill": `"name":"Quern Hollow"`, "/route": `"act":"certify"`, "/people": `{"person":"saw-1","role":"hand"}`} {
		status, answer := m.say(t, "GET "+api.Base+path+"\nAuthorization: Bearer "+m.tokens[book.Visitor], "")
		if status != "200 OK" || !strings.Contains(answer, want) {
			t.Errorf("%s: %s %s", path, status, answer)
		}
	}
}

// A real book in which an entry was changed after it was written: the follower hears of it and goes on, and health tells.
func TestARealBookWithABrokenEntry(t *testing.T) {
	m := newRealMill(t)
	for _, seq := range []int{1, 3} {
		if _, err := m.ledger.Handles().Write.ExecContext(t.Context(), "update journal set body = '{}' where seq = $1", seq); err != nil {
			t.Fatal(err)
		}
	}
	visitor := "\nAuthorization: Bearer " + m.tokens[book.Visitor]
	status, answer := m.say(t, "GET "+api.Base+"/entries?after=0"+visitor, "")
	var got api.Journal
	if err := json.Unmarshal([]byte(answer), &got); err != nil || status != "200 OK" {
		t.Fatalf("%s %s", status, answer)
	}
	if len(got.Broken) != 2 || got.Broken[0].Seq != 1 || got.Broken[1].Seq != 3 || got.Broken[1].Code != "broken-entry" || got.Seq != int64(len(got.Entries)+2) {
		t.Errorf("%s", answer)
	}
	if status, answer := m.say(t, "GET "+api.Base+"/health"+visitor, ""); status != "200 OK" || !strings.Contains(answer, `"state":"faults"`) {
		t.Errorf("%s %s", status, answer)
	}
}
