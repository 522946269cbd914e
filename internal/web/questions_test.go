package web_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
)

func TestAThingIsReadUntilItChanges(t *testing.T) {
	m := newMill(t)
	w := m.send(t, book.Visitor, "GET", "/api/v1/things/piece/QH%2F0101", nil)
	got := into[api.Thing](t, w, http.StatusOK)
	if got.Thing != "piece:QH/0101" || got.Number != "QH/0101" || string(got.State) != `{"length_mm":1473}` {
		t.Errorf("%+v", got)
	}
	tag := w.Header().Get("ETag")
	if w := m.send(t, book.Visitor, "GET", "/api/v1/things/piece/QH%2F0101", nil, "If-None-Match", tag); w.Code != http.StatusNotModified || w.Body.Len() != 0 {
		t.Errorf("the same: %d %s", w.Code, w.Body)
	}
	// A delayed entry changes the state and is not the last one in time: the tag must change nevertheless.
	m.shelf.put(book.Ref{Kind: book.KindPiece, ID: "QH/0101"}, map[string]any{"length_mm": 1320})
	if w := m.send(t, book.Visitor, "GET", "/api/v1/things/piece/QH%2F0101", nil, "If-None-Match", tag); w.Code != http.StatusOK {
		t.Errorf("changed: %d", w.Code)
	}
}

func TestWhatIsNoThing(t *testing.T) {
	m := newMill(t)
	for path, code := range map[string]string{"piece/QH-9": "no-such-thing", "dog/QH-9": "not-one-of", "piece/-9": "bad-id", "piece/a%00b": "bad-id", "piece/%ff": "bad-id"} {
		for _, rest := range []string{"", "/history", "/origins", "/affected", "/affected/count"} {
			if w := m.send(t, book.Visitor, "GET", "/api/v1/things/"+path+rest, nil); code != "no-such-thing" || rest == "" {
				refused(t, w, code)
			}
		}
	}
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/things?parent=slab", nil), "bad-ref")
	for question, words := range map[string][]string{"kind=unicorn": {"piece", "bit-set", "mill"}, "station=cellar": {"saw", "heap", "office"}} {
		p := refused(t, m.send(t, book.Visitor, "GET", "/api/v1/things?"+question, nil), "not-valid")
		for _, word := range words {
			if p.Status != http.StatusUnprocessableEntity || !strings.Contains(p.Detail, word) {
				t.Errorf("%s: %+v does not name %s", question, p, word)
			}
		}
	}
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/things?limit=0", nil), "not-valid")
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/things?limit=501", nil), "not-valid")
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/things?limit=x", nil), "not-valid")
}

// A list asked page by page gives every line once, in one order, also when lines come in between.
func TestPagesStayInOrderWhileLinesComeIn(t *testing.T) {
	m := newMill(t)
	for i := range 7 {
		m.shelf.put(book.Ref{Kind: book.KindDisc, ID: fmt.Sprintf("D-%d", i)}, map[string]any{})
	}
	seen := []string{}
	for cursor := ""; ; {
		page := into[api.Listed[api.Thing]](t, m.send(t, book.Visitor, "GET", "/api/v1/things?kind=disc&limit=2&cursor="+cursor, nil), http.StatusOK)
		for _, thing := range page.Items {
			seen = append(seen, thing.Number)
		}
		m.shelf.put(book.Ref{Kind: book.KindDisc, ID: fmt.Sprintf("D-0%d", len(seen))}, map[string]any{}) // before the cursor
		if cursor = page.Next; cursor == "" {
			break
		}
	}
	if fmt.Sprint(seen) != "[D-0 D-1 D-2 D-3 D-4 D-5 D-6]" {
		t.Errorf("seen %v", seen)
	}
}

func TestTheJournalIsReadAndWaitedFor(t *testing.T) {
	m := newMill(t)
	for i := range 3 {
		m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", weigh(float64(i+1)))
	}
	got := into[api.Journal](t, m.send(t, book.Visitor, "GET", "/api/v1/entries?after=1&limit=1", nil), http.StatusOK)
	if len(got.Entries) != 1 || got.Entries[0].Seq != 2 || got.Seq != 2 {
		t.Errorf("%+v", got)
	}
	one := into[api.Entry](t, m.send(t, book.Visitor, "GET", "/api/v1/entries/"+got.Entries[0].ID, nil), http.StatusOK)
	if one.Seq != 2 || one.Hash != got.Entries[0].Hash {
		t.Errorf("%+v", one)
	}
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/entries/"+anID, nil), "no-such-entry")
	end := into[api.Journal](t, m.send(t, book.Visitor, "GET", "/api/v1/entries?after=3", nil), http.StatusOK)
	if len(end.Entries) != 0 || end.Seq != 3 {
		t.Errorf("at its end: %+v", end)
	}
}

// Waiting ends with the entry, or after the time that was asked for.
func TestWaitingForEntries(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMill(t)
		began := time.Now()
		if got := into[api.Journal](t, m.send(t, book.Visitor, "GET", "/api/v1/entries?wait_s=20", nil), http.StatusOK); len(got.Entries) != 0 {
			t.Errorf("%+v", got)
		}
		if waited := time.Since(began); waited != 20*time.Second {
			t.Errorf("waited %v in vain", waited)
		}
		began = time.Now()
		go func() {
			time.Sleep(300 * time.Millisecond)
			m.send(t, book.Hand, "POST", "/api/v1/acts/weigh", weigh(1))
		}()
		got := into[api.Journal](t, m.send(t, book.Visitor, "GET", "/api/v1/entries?wait_s=20", nil), http.StatusOK)
		if waited := time.Since(began); len(got.Entries) != 1 || waited != 300*time.Millisecond {
			t.Errorf("%d entries after %v", len(got.Entries), waited)
		}
		synctest.Wait()
	})
	refused(t, newMill(t).send(t, book.Visitor, "GET", "/api/v1/entries?wait_s=26", nil), "not-valid")
}

func TestTraceAndAffected(t *testing.T) {
	m := newMill(t)
	if got := into[api.Origins](t, m.send(t, book.Visitor, "GET", "/api/v1/things/set/QH-12/origins", nil), http.StatusOK); got.Thing != "set:QH-12" || len(got.Origins) != 1 || got.Origins[0] != "layer:L-2" {
		t.Errorf("%+v", got)
	}
	if got := into[api.Listed[api.Reached]](t, m.send(t, book.Visitor, "GET", "/api/v1/things/layer/L-2/affected", nil), http.StatusOK); len(got.Items) != 1 || got.Items[0] != (api.Reached{Target: "set:QH-12", Whither: "shipped"}) {
		t.Errorf("%+v", got)
	}
	if got := into[book.Count](t, m.send(t, book.Visitor, "GET", "/api/v1/things/layer/L-2/affected/count", nil), http.StatusOK); got.Shipped != 1 {
		t.Errorf("%+v", got)
	}
	if got := into[api.Counts](t, m.send(t, book.Visitor, "GET", "/api/v1/stations", nil), http.StatusOK); got.Stations["office"]["person"] == 0 {
		t.Errorf("%+v", got)
	}
}

func TestJobs(t *testing.T) {
	m := newMill(t)
	j := into[api.Job](t, m.send(t, book.Hand, "POST", "/api/v1/jobs", object{"kind": "scan", "input": object{"blob": "x"}}), http.StatusAccepted)
	if j.ID != "J1" || j.Person != "saw-1" || j.State != "queued" || string(j.Input) != `{"blob":"x"}` {
		t.Errorf("%+v", j)
	}
	if got := into[api.Job](t, m.send(t, book.Hand, "POST", "/api/v1/jobs/J1/cancel", nil), http.StatusOK); got.State != "cancelled" {
		t.Errorf("%+v", got)
	}
	if got := into[api.Listed[api.Job]](t, m.send(t, book.Visitor, "GET", "/api/v1/jobs", nil), http.StatusOK); len(got.Items) != 1 || got.Items[0].State != "cancelled" {
		t.Errorf("%+v", got)
	}
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/jobs/J2", nil), "no-such-job")
	refused(t, m.send(t, book.Hand, "POST", "/api/v1/jobs", object{"kind": "dance", "input": object{}}), "unknown-kind")
}

func TestALostPieceIsSearched(t *testing.T) {
	m := newMill(t)
	m.shelf.put(book.Ref{Kind: book.KindPiece, ID: "QH-1"}, book.PieceState{StoneState: book.StoneState{LengthMM: 1473, WidthMM: 914, ThicknessMM: 25.9}, MarkedOn: book.Nowhere})
	m.shelf.put(book.Ref{Kind: book.KindPiece, ID: "QH-2"}, book.PieceState{StoneState: book.StoneState{LengthMM: 1320, WidthMM: 860, ThicknessMM: 25.9}, MarkedOn: book.OnTop})
	got := into[api.Ranking](t, m.send(t, book.Visitor, "GET", "/api/v1/lost?length_mm=1474&width_mm=914&station=office&since="+morning.Format(time.RFC3339), nil), http.StatusOK)
	if len(got.Candidates) == 0 || got.Candidates[0].Piece != "QH-1" || got.Candidates[0].Share < 0.5 || len(got.Candidates[0].Reasons) == 0 || got.Searched != 3 {
		t.Errorf("%+v", got)
	}
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/lost", nil), "nothing-described")
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/lost?station=cellar", nil), "not-valid")
	refused(t, m.send(t, book.Visitor, "GET", "/api/v1/lost?mass_kg=-1", nil), "not-valid")
}
