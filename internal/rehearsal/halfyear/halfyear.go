// Package halfyear is six months at Quern Hollow, the mill that does not exist, as acts for its book: what was quarried, sawn, surfaced,
// read, matched, drilled, seasoned, lined, judged, certified and shipped, by whom and when, with what went wrong on the way.
//
// A story is planned as a mill plans: every person has hours, an act takes its minutes and follows the one before, and what does not fit
// before the end is left where it stands. Faces come from package rehearsal; sets are matched, and certificates composed and signed, by
// the program's own reckoning and a trial key. The same seed and the same end give the same bytes on every machine.
//
// The package only writes entries and files down; it keeps no book and admits nothing: what may follow what is for package book to say.
// One entry is meant to be kept as a conflict. All it makes says that it is invented data, not a real certificate. [Million] is another
// story without files or shapes, for trying how a book carries many acts.
package halfyear

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"iter"
	"slices"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/chance"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

// Site is the mill's word in its book.
const Site = "quern-hollow"

// Story is half a year of entries and files.
type Story struct {
	pages []*page
	blobs [][]byte
	key   certificate.Key
	spec  bed.Spec
}

// New tells the half year that ends at a moment. The program's name and version stand in the certificates. Errors are our own.
func New(seed uint64, until time.Time, program string) (*Story, error) {
	root := chance.NewStream(seed)
	key, err := certificate.NewKey(letters{root.Split("trial key")}, true)
	if err != nil {
		return nil, err
	}
	until = until.UTC().Truncate(time.Millisecond)
	m := &mill{
		from: firstDay(until), until: until, program: program, seed: seed,
		draw: root.Split("half year"), ids: letters{root.Split("entries")}, key: key, spec: spec(),
		truth: rehearsal.Open(seed), diaries: map[string]*diary{}, files: map[string][]byte{},
	}
	if err := m.tell(); err != nil {
		return nil, err
	}
	slices.SortFunc(m.pages, func(a, b *page) int { return cmp.Or(a.sent.Compare(b.sent), cmp.Compare(a.id, b.id)) })
	return &Story{pages: m.pages, blobs: m.named(), key: key, spec: m.spec}, nil
}

// Submissions are the entries in the order in which they were handed in.
func (s *Story) Submissions() iter.Seq[book.Submission] {
	return func(yield func(book.Submission) bool) {
		for _, p := range s.pages {
			if !yield(p.submission()) {
				return
			}
		}
	}
}

// Len is the number of entries.
func (s *Story) Len() int { return len(s.pages) }

// Blobs are the files that the entries name by the SHA-256 of their content, each once. Whoever fills a book stores them first.
func (s *Story) Blobs() iter.Seq[[]byte] { return slices.Values(s.blobs) }

// Key is the trial key that signed the certificates.
func (s *Story) Key() certificate.Key { return s.key }

// Spec is the specification that the sets were made to.
func (s *Story) Spec() bed.Spec { return s.spec }

func spec() bed.Spec {
	s := bed.NineFoot()
	s.Pattern = "invented nine-foot bed"
	return s
}

// page is one entry of the story.
type page struct {
	id         string
	at, sent   time.Time // when it was done and when it was handed in
	by         worker
	station    book.Station
	act        book.Act
	reaffirmed bool
	system     bool
}

func (p *page) submission() book.Submission {
	word, body, err := book.Encode(p.act)
	if err != nil {
		panic("halfyear: an act that cannot be written: " + err.Error())
	}
	return book.Submission{
		Entry:  book.Entry{ID: p.id, Site: Site, At: p.at, Person: p.by.name, Station: p.station, Act: word, Body: body},
		Caller: book.Caller{Person: p.by.name, Role: p.by.role, Reaffirmed: p.reaffirmed, System: p.system},
		Late:   p.sent.After(p.at),
	}
}

// letters are a stream's bytes. They are good for entry numbers and trial keys only.
type letters struct{ stream *chance.Stream }

func (l letters) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(l.stream.Uint64() >> 56)
	}
	return len(p), nil
}

// number is the next entry number of that time.
func (l letters) number(at time.Time) string { return ulid.MustNew(ulid.Timestamp(at), l).String() }

// digest is the name of a file's content.
func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
