package ledger

import (
	"bytes"
	"errors"
	"log/slog"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/trouble"
)

// A panic over one entry is answered to its sender as our own fault; the others of its batch are written, and the book goes on.
func TestAPanicHarmsItsSenderOnly(t *testing.T) {
	var said bytes.Buffer
	l, err := Open(t.Context(), t.TempDir(), Options{Site: halfyear.Site, Create: true, CheckAfter: time.Hour, Log: slog.New(slog.NewTextHandler(&said, nil))})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	const acts, bad = 8, 5
	all := slices.Collect(halfyear.Million(1, acts+1))
	l.writer.admit = func(d *draft, s book.Submission, known map[string]met) (book.Receipt, error) {
		r, err := d.admit(s, known)
		if s.Entry.ID == all[bad].Entry.ID {
			panic("a slip of ours")
		}
		return r, err
	}
	l.writer.turn <- struct{}{} // so that all wait, and come in one batch
	var senders sync.WaitGroup
	answers := make([]error, acts)
	waiting := make(chan struct{})
	for i := range acts {
		senders.Go(func() {
			if i == 0 {
				close(waiting)
			} else {
				<-waiting
				time.Sleep(time.Duration(i) * 10 * time.Millisecond) // in the order of their times
			}
			_, answers[i] = l.Append(t.Context(), all[i])
		})
	}
	time.Sleep(acts * 20 * time.Millisecond)
	<-l.writer.turn
	senders.Wait()
	for i, err := range answers {
		var told *trouble.Trouble
		if fault := errors.As(err, &told) && told.Kind == trouble.KindOwn; fault != (i == bad) || !fault && err != nil {
			t.Errorf("%d: %v", i, err)
		}
	}
	_, _, err = l.AppendAll(t.Context(), all[bad:bad+1], false)
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Kind != trouble.KindOwn {
		t.Errorf("an import: %v", err)
	}
	if !strings.Contains(said.String(), "a slip of ours") || !strings.Contains(said.String(), "fault_test.go") {
		t.Errorf("the log says %q", &said)
	}
	l.writer.admit = (*draft).admit
	for _, s := range []book.Submission{all[bad], all[acts]} {
		s.Late = true
		if _, err := l.Append(t.Context(), s); err != nil {
			t.Error(err)
		}
	}
	r, err := l.Rebuild(t.Context(), true, nil)
	if err != nil || r.Acts != acts+1 {
		t.Fatalf("%+v, %v", r, err)
	}
	for _, table := range r.Tables {
		if table.Differences > 0 {
			t.Errorf("%+v", table)
		}
	}
}
