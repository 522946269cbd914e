package ledger_test

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/freight"
)

// fitted is a mill with what the lists of the handbook speak of, and with some stone, since October.
func fitted(t *testing.T, stone ...string) *mill {
	t.Helper()
	m := openMill(t, filepath.Join(t.TempDir(), "mill"), t.TempDir())
	n := uint64(0)
	do := func(a book.Act) {
		t.Helper()
		word, body, err := book.Encode(a)
		if err != nil {
			t.Fatal(err)
		}
		n++
		at := time.Date(2026, 10, 1, 8, 0, 0, 0, time.UTC).Add(time.Duration(n) * time.Minute)
		e := book.Entry{ID: ulid.MustNew(n, nothing{}).String(), At: at, Person: "lead-1", Station: book.Office, Act: word, Body: body}
		if _, err := m.Append(t.Context(), book.Submission{Entry: e, Caller: book.Caller{Person: "lead-1", Role: book.Lead, System: n <= 2}}); err != nil {
			t.Fatalf("%s %s: %v", word, body, err)
		}
	}
	do(&book.Settle{Name: "Quern Hollow", Demo: true, Answers: map[string]string{}})
	do(&book.Appoint{Person: "lead-1", Role: book.Lead})
	do(&book.TakeIn{Thing: ref("bench:BENCH-1"), Instrument: &book.InstrumentFacts{Sort: "bench"}})
	do(&book.TakeIn{Thing: ref("room:ROOM-1"), Room: &book.RoomFacts{}})
	for number, sort := range map[string]string{"SCALE-1": "scale", "SCALE-2": "scale", "HYGRO-1": "hygrometer", "DIAL-7": "dial"} {
		do(&book.TakeIn{Thing: ref("instrument:" + number), Instrument: &book.InstrumentFacts{Sort: sort}})
	}
	for _, thing := range stone {
		do(&book.TakeIn{Thing: ref(thing), Stone: &book.StoneFacts{}})
	}
	return m
}

// nothing is chance that always gives nothing: the time alone makes these ids differ.
type nothing struct{}

func (nothing) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func ref(s string) book.Ref {
	r, err := book.ParseRef(s)
	if err != nil {
		panic(err)
	}
	return r
}

func (m *mill) imports(t *testing.T, list string, files map[string]string) freight.ImportReport {
	t.Helper()
	report, err := freight.Import(t.Context(), m.Ledger, m.blobs, freight.ImportOptions{List: freight.List(list), Files: []string{"l.csv"},
		Caller: book.Caller{Person: "lead-1", Role: book.Lead}, Now: morning,
		Open: func(name string) (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(files[name])), nil }})
	if err != nil {
		t.Fatal(err)
	}
	return report
}

const top = "# piece: Q-1\n# face: top\n0,0,0.012\n100,0,0.02\n0,100,0.01\n"

// Every list in the handbook goes into a true book, and the second time changes nothing.
func TestListsOfTheHandbook(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "import-export.md"))
	if err != nil {
		t.Fatal(err)
	}
	lists := 0
	for _, part := range strings.Split(string(page), "\n```csv ")[1:] {
		head, rest, _ := strings.Cut(part, "\n")
		if strings.Contains(head, "refused") {
			continue
		}
		lists++
		text, _, _ := strings.Cut(rest, "```")
		var stone []string
		for _, thing := range []string{"slab:SL-77", "piece:Q-1", "piece:Q-0412", "piece:Q-0413"} {
			if head != "pieces" || strings.HasPrefix(thing, "slab") && !strings.Contains(text, thing) {
				stone = append(stone, thing)
			}
		}
		m := fitted(t, stone...)
		files := map[string]string{"l.csv": text, "readings/Q-0412-top.csv": top, "readings/Q-0413-bottom.csv": top[strings.Index(top, "0,0"):]}
		report := m.imports(t, head, files)
		if report.Trouble() != nil || report.New == 0 || report.New != report.Rows {
			t.Errorf("%s: %+v %v\n%s", head, report, report.Faults, text)
		}
		if report = m.imports(t, head, files); report.Trouble() != nil || report.New != 0 || report.Repeated != report.Rows {
			t.Errorf("%s again: %+v %v", head, report, report.Faults)
		}
	}
	if lists < 7 {
		t.Errorf("%d lists", lists)
	}
}

// The book refuses what it would refuse at a station, names the row, and takes none.
func TestTheBookRefusesRows(t *testing.T) {
	m := fitted(t, "slab:SL-77", "piece:Q-0412")
	before := len(m.entriesOf(t))
	text := "piece,from,date\nQ-0601,SL-77,2026-11-20\nQ-0602,SL-99,2026-11-20\nQ-0412,SL-77,2026-11-20\n"
	report := m.imports(t, "pieces", map[string]string{"l.csv": text})
	var where []string
	for _, f := range report.Faults {
		where = append(where, strings.SplitN(f.Where, ",", 2)[0])
	}
	if fmt.Sprint(where) != "[l.csv:3 l.csv:4]" || len(m.entriesOf(t)) != before {
		t.Errorf("%v", report.Faults)
	}
	weights := "piece,mass [kg],scale,at\nQ-0412,96,SCALE-9,2026-11-20\n"
	if report = m.imports(t, "weights", map[string]string{"l.csv": weights}); len(report.Faults) != 1 || report.Faults[0].Next == "" {
		t.Errorf("a scale that is not there: %v", report.Faults)
	}
}

func (m *mill) entriesOf(t *testing.T) []book.Placed {
	t.Helper()
	list, err := m.Entries(t.Context(), 0, 1000)
	if err != nil {
		t.Fatal(err)
	}
	return list
}
