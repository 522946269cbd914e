package evidence_test

import (
	"bytes"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/evidence"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/rehearsal"
	"slatewright/internal/rehearsal/halfyear"
)

// The half year of the demo, handed in to a true book through the watch: all its readings, lay-ups, verdicts and certificates agree with
// their files and are taken.
func TestTheHalfYearsFilesAgree(t *testing.T) {
	if testing.Short() {
		t.Skip("a whole half year")
	}
	ctx, until := t.Context(), time.Date(2026, time.November, 25, 15, 0, 0, 0, time.UTC)
	story, err := halfyear.New(rehearsal.DemoSeed, until, "slatewright, in a test")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	l, err := ledger.Open(ctx, dir, ledger.Options{Site: halfyear.Site, Create: true, Clock: func() time.Time { return until }})
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	b, err := blobs.Open(ctx, dir+"/blobs", blobs.Access{})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	for content := range story.Blobs() {
		if _, _, err := b.Put(ctx, bytes.NewReader(content), 1<<30); err != nil {
			t.Fatal(err)
		}
	}
	w := evidence.Watch(l, b, func() bool { return true })
	looked := map[string]int{}
	for s := range story.Submissions() {
		looked[s.Entry.Act]++
		if _, err := w.Append(ctx, s); err != nil {
			t.Fatalf("%s by %s: %v", s.Entry.Act, s.Entry.Person, err)
		}
	}
	for _, act := range []book.Act{&book.Read{}, &book.LayUp{}, &book.Judge{}, &book.Certify{}} {
		if looked[act.Word()] < 3 {
			t.Errorf("%d acts %s", looked[act.Word()], act.Word())
		}
	}
}
