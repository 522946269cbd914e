package freight

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func newHash() hash.Hash { return sha256.New() }

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// mill is a ledger in memory. It admits what refuse lets pass and derives nothing but what was taken in; the engines are
// exercised elsewhere.
type mill struct {
	book.Ledger // what freight does not ask panics
	site        string
	journal     []book.Placed
	things      map[book.Kind][]book.Thing
	refuse      func(book.Entry) error
	restoring   book.Digest // head of the restore that is under way
	failAt      int64       // a restore fails before this entry
	asked       int         // questions for entries
}

func newMill() *mill {
	return &mill{site: "quern-hollow", things: map[book.Kind][]book.Thing{}, refuse: func(book.Entry) error { return nil }}
}

func (m *mill) Site() string { return m.site }

func (m *mill) AppendAll(_ context.Context, list []book.Submission, dry bool) ([]book.Receipt, []error, error) {
	faults := make([]error, len(list))
	refused := false
	for i, s := range list {
		faults[i] = m.refuse(s.Entry)
		refused = refused || faults[i] != nil
	}
	if refused || dry {
		return nil, faults, nil
	}
	for _, s := range list {
		e := s.Entry
		e.Seq = int64(len(m.journal)) + 1
		if len(m.journal) > 0 {
			e.Prev = m.journal[len(m.journal)-1].Hash
		}
		e.Hash = book.HashOf(e)
		m.apply(e)
	}
	return make([]book.Receipt, len(list)), faults, nil
}

func (m *mill) apply(e book.Entry) {
	m.journal = append(m.journal, book.Placed{Entry: e, At: e.At})
	var body struct{ Thing book.Ref }
	if e.Act == "take-in" && json.Unmarshal(e.Body, &body) == nil {
		m.things[body.Thing.Kind] = append(m.things[body.Thing.Kind],
			book.Thing{Ref: body.Thing, Station: e.Station, Since: e.At, Seq: e.Seq, At: e.At, State: e.Body})
	}
}

func (m *mill) Entries(_ context.Context, after int64, limit int) ([]book.Placed, error) {
	m.asked++
	if after >= int64(len(m.journal)) {
		return nil, nil
	}
	return m.journal[after:min(after+int64(limit), int64(len(m.journal)))], nil
}

func (m *mill) Entry(_ context.Context, id string) (book.Placed, error) {
	for _, e := range m.journal {
		if e.ID == id {
			return e, nil
		}
	}
	return book.Placed{}, trouble.Data("no-such-thing", id, "there is none", "")
}

func (m *mill) Things(_ context.Context, f book.Filter, cursor string, _ int) (book.Page[book.Thing], error) {
	i := 0
	fmt.Sscan(cursor, &i)
	list := m.things[f.Kind]
	end := min(i+2, len(list)) // pages of two
	page := book.Page[book.Thing]{Items: list[i:end]}
	if end < len(list) {
		page.Next = fmt.Sprint(end)
	}
	return page, nil
}

func (m *mill) BeginRestore(_ context.Context, _ int64, head book.Digest) (int64, error) {
	if len(m.journal) > 0 && m.restoring != head {
		return 0, trouble.Data("not-empty", "", "the place is not empty", "restore into a new one")
	}
	m.restoring = head
	return int64(len(m.journal)), nil
}

var errStopped = errors.New("stopped half-way")

func (m *mill) Restore(_ context.Context, list []book.Entry) error {
	for _, e := range list {
		if e.Seq == m.failAt {
			return errStopped
		}
		m.apply(e)
	}
	return nil
}

func (m *mill) EndRestore(_ context.Context, entries int64, head book.Digest) error {
	if int64(len(m.journal)) != entries || entries > 0 && m.journal[entries-1].Hash != head {
		return trouble.Data("broken-chain", "", "another end", "")
	}
	m.restoring = book.Digest{}
	return nil
}

// store keeps blobs in memory. A blob in broken does not verify.
type store struct {
	blobs  map[string][]byte
	broken string
}

func newStore() *store { return &store{blobs: map[string][]byte{}} }

func (s *store) Put(_ context.Context, r io.Reader, limit int64) (string, int64, error) {
	b, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return "", 0, err
	}
	if int64(len(b)) > limit {
		return "", 0, trouble.Data("too-large", "", "too large", "")
	}
	sum := sha256.Sum256(b)
	digest := hex.EncodeToString(sum[:])
	s.blobs[digest] = b
	return digest, int64(len(b)), nil
}

func (s *store) Open(_ context.Context, digest string) (io.ReadCloser, int64, error) {
	if digest == s.broken {
		return nil, 0, trouble.IO("broken-blob", digest, "the blob is not what its digest says", "take it from a backup")
	}
	b := s.blobs[digest]
	return blob{onlyReader{bytes.NewReader(b)}}, int64(len(b)), nil
}

func (s *store) List(_ context.Context, each func(string, int64, time.Time) error) error {
	digests := make([]string, 0, len(s.blobs))
	for digest := range s.blobs {
		digests = append(digests, digest)
	}
	slices.Sort(digests)
	for _, digest := range digests {
		if err := each(digest, int64(len(s.blobs[digest])), noon); err != nil {
			return err
		}
	}
	return nil
}

// blob gives nothing but Read, as files that are verified do; io.Copy then looks for a way past Write.
type blob struct{ io.Reader }

func (blob) Close() error { return nil }

// signs are credentials in memory.
type signs struct{ text string }

func (s *signs) Dump(_ context.Context, w io.Writer) error {
	_, err := io.WriteString(w, s.text)
	return err
}

func (s *signs) Load(_ context.Context, r io.Reader) error {
	b, err := io.ReadAll(r)
	s.text = string(b)
	return err
}

// filled is a mill with some hundred entries, and bodies with everything that can be written wrongly.
func filled(t testing.TB, n int) (*mill, *store) {
	t.Helper()
	m, blobs := newMill(), newStore()
	var list []book.Submission
	for i := range n {
		act := book.Act(&book.Weigh{Thing: book.Ref{Kind: book.KindPiece, ID: fmt.Sprintf("Q-%d", i)}, Scale: "S-1", MassKg: 90 + float64(i)/8})
		if i%3 == 0 {
			act = &book.TakeIn{Thing: book.Ref{Kind: book.KindPiece, ID: fmt.Sprintf("Q-%d", i)}, Stone: &book.StoneFacts{MassKg: 90},
				Note: cmp.Or([]string{"=HYPERLINK(\"x\")", "two\nlines, \"quoted\"", "<é> & µm", "-1,5; ''", ""}[i/3%5])}
		}
		word, body, err := book.Encode(act)
		if err != nil {
			t.Fatal(err)
		}
		e := book.Entry{Site: m.site, At: noon.Add(time.Duration(i) * time.Minute), Person: "hand-1", Station: book.Bench, Act: word, Body: body}
		e.ID = rowID(e, true)
		list = append(list, book.Submission{Entry: e})
	}
	if _, _, err := m.AppendAll(t.Context(), list, false); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"x,y,z\n1,2,3\n", "", strings.Repeat("scan ", 20000)} {
		if _, _, err := blobs.Put(t.Context(), strings.NewReader(text), 1<<20); err != nil {
			t.Fatal(err)
		}
	}
	return m, blobs
}

// code is the code of trouble.
func code(err error) string {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		return t.Code
	}
	return fmt.Sprint(err)
}

// into is a place in memory.
func into(m *mill, b *store, c Credentials) OpenPlace {
	return func(_ context.Context, manifest Manifest) (Place, error) {
		m.site = manifest.Site
		return Place{m, b, c}, nil
	}
}

// sameBook holds a restored book against the first one, byte for byte.
func sameBook(t *testing.T, want, got *mill, blobs, gotBlobs *store) {
	t.Helper()
	if len(want.journal) != len(got.journal) {
		t.Fatalf("%d entries, not %d", len(got.journal), len(want.journal))
	}
	for i := range want.journal {
		if a, b := lineOf(nil, want.journal[i].Entry), lineOf(nil, got.journal[i].Entry); !bytes.Equal(a, b) {
			t.Fatalf("entry %d:\n%s%s", i+1, a, b)
		}
	}
	if len(blobs.blobs) != len(gotBlobs.blobs) {
		t.Fatalf("%d blobs, not %d", len(gotBlobs.blobs), len(blobs.blobs))
	}
	for digest, b := range blobs.blobs {
		if !bytes.Equal(b, gotBlobs.blobs[digest]) {
			t.Errorf("blob %s differs", digest)
		}
	}
}
