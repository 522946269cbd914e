package stone_test

import (
	"context"
	"net/http"
	"strings"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/internal/measured"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/stone"
)

var noContext = context.Background()

// impatient is the same mill with a room that has computed nothing and never waits.
func impatient(t *testing.T) *mill {
	t.Helper()
	m := *own
	m.mux, m.rooms = http.NewServeMux(), measured.New(own.files, measured.Options{Patience: time.Nanosecond})
	t.Cleanup(m.rooms.Close)
	w, err := waiting.Follow(t.Context(), own.ledger, bed.NineFoot(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if m.shell, err = shell.New(own.shell.Config); err != nil {
		t.Fatal(err)
	}
	if err := stone.Add(m.shell, m.mux, m.rooms, queue{w}); err != nil {
		t.Fatal(err)
	}
	return &m
}

// A page never waits for what is being computed: it says so, asks again, and has it in the end.
func TestAPageIsThereBeforeItsBed(t *testing.T) {
	m := impatient(t)
	for _, c := range []struct{ path, region string }{{"/set/QH-S105", `id="bed"`}, {"/piece/QH-1002", `id="map"`}} {
		w := m.get(t, "lead", c.path)
		page := w.Body.String()
		if !strings.Contains(page, `class="computing"`) || !strings.Contains(page, `hx-get="`+c.path+`"`) || !strings.Contains(page, `http-equiv="refresh"`) || w.Header().Get("Refresh") == "" {
			t.Fatalf("%s does not say that something is being computed, or does not ask again", c.path)
		}
		if !strings.Contains(page, c.region) {
			t.Errorf("%s has no part to put the answer into", c.path)
		}
		for tries := 0; strings.Contains(page, `class="computing"`); tries++ {
			if tries > 600 {
				t.Fatalf("%s is never ready", c.path)
			}
			time.Sleep(50 * time.Millisecond)
			w = m.get(t, "lead", c.path)
			page = w.Body.String()
		}
		if !strings.Contains(page, "data-facemap") || w.Header().Get("Refresh") != "" || strings.Contains(page, "hx-get") {
			t.Errorf("%s is ready and has no map, or asks on", c.path)
		}
	}
}
