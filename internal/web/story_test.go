package web_test

import (
	"context"
	"net/http"
	"net/url"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/certificate"
	"slatewright/internal/tongue"
	"slatewright/internal/web"
	"slatewright/internal/web/pagetest"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

// story is half a year of the mill behind every page.
type story struct {
	*pagetest.Mill
	handler http.Handler
	frame   *shell.Shell
}

// oneAfterTheOther leaves out what is long and asks for one page after the other where only what runs beside each other is looked at.
func oneAfterTheOther(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("long, and one request after the other")
	}
}

// newStory opens a mill of its own: what one test writes is not in another's book.
func newStory(t *testing.T, change func(*web.Config)) *story {
	t.Helper()
	folder, err := os.MkdirTemp("", "walls")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	m, err := pagetest.Open(ctx, folder)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		stop()
		if err := m.Close(); err != nil {
			t.Error(err)
		}
		if err := os.RemoveAll(folder); err != nil {
			t.Error(err)
		}
	})
	c := web.Config{Ledger: m.Ledger, Blobs: m.Files, Gate: m.Gate, Queue: &line{}, Clock: m.Now, MaxUpload: 1 << 16, Version: "test", Mill: "Quern Hollow", Pages: true, Demo: true,
		Key:    func() (certificate.Key, error) { return m.Key, nil },
		Labels: func(marks.Sheet, tongue.Words) ([]byte, error) { return []byte("%PDF-1.7"), nil },
		Print:  func(string, certificate.Certificate, tongue.Words) ([]byte, error) { return []byte("%PDF-1.7"), nil }}
	if change != nil {
		change(&c)
	}
	s := &story{Mill: m}
	if s.handler, s.frame, err = web.Wire(ctx, c); err != nil {
		t.Fatal(err)
	}
	return s
}

// entry is the id of a new entry, as a form carries it that was opened at the end of the half year.
func entry() string {
	return ulid.MustNew(ulid.Timestamp(pagetest.Until), ulid.DefaultEntropy()).String()
}

// fields is a form of names and values.
func fields(pairs ...string) url.Values {
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return form
}

// computed waits until a page is not being computed any more.
func (s *story) computed(t *testing.T, b *pagetest.Browser, path string) {
	t.Helper()
	for range 600 {
		if w := b.Get(t, path); !strings.Contains(w.Body.String(), `class="computing"`) {
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatalf("%s is not there after twelve seconds", path)
}

// readings is a readings file of a piece on a bench.
func readings(piece string) string {
	var b strings.Builder
	b.WriteString("# " + certificate.Invented + "\n# piece: " + piece + "\n# unit: mm\n# size: 914 x 1473 mm\n# face: top\n# support: bench\n# instrument: QH-D2\n# u: 0.003 mm\nx,y,z\n")
	for _, x := range []string{"-430", "-215", "0", "215", "430"} {
		for y := -700; y <= 700; y += 175 {
			b.WriteString(x + "," + strconv.Itoa(y) + "," + strconv.FormatFloat(float64(y*y)/1e7, 'f', 5, 64) + "\n")
		}
	}
	return b.String()
}

// layUp is a filled form of laying a set up.
func layUp(more ...string) url.Values {
	form := fields(append([]string{"_entry", entry(), "instrument", "QH-D2", "u", "0.01", "bench", "QH-B1", "support", "bench"}, more...)...)
	for joint := range 2 {
		for at := range 5 {
			form.Set("step."+strconv.Itoa(joint)+"."+strconv.Itoa(at), "0.04")
		}
	}
	return form
}

// written are the routes that take a form, as their method says.
func written(routes []shell.Route) []shell.Route {
	return slices.DeleteFunc(slices.Clone(routes), func(r shell.Route) bool { return r.Method == http.MethodGet })
}
