package halfyear

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

// end is when the half year of these tests ends: a Wednesday, in the afternoon.
var end = time.Date(2026, time.November, 25, 15, 0, 0, 0, time.UTC)

func story(t testing.TB, seed uint64, until time.Time) *Story {
	t.Helper()
	s, err := New(seed, until, "slatewright, in a test")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// demo is the half year of the demonstration, told once for all tests.
var demo = sync.OnceValues(func() (*Story, error) { return New(rehearsal.DemoSeed, end, "slatewright, in a test") })

func theDemo(t testing.TB) *Story {
	t.Helper()
	s, err := demo()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *Story) sum() [32]byte {
	h := sha256.New()
	for x := range s.Submissions() {
		fmt.Fprintf(h, "%+v\n", x)
	}
	for b := range s.Blobs() {
		h.Write(b)
	}
	return [32]byte(h.Sum(nil))
}

func TestSameSeedSameBytes(t *testing.T) {
	first := theDemo(t).sum()
	if again := story(t, rehearsal.DemoSeed, end).sum(); again != first {
		t.Error("the same seed and end tell another story")
	}
}

// Entries come as they were handed in, within the half year and the mill's hours, under numbers of their own time, by people of
// the mill, and nobody does two things at once.
func TestEveryEntryIsPlausible(t *testing.T) {
	s := theDemo(t)
	last := time.Time{}
	numbers := map[string]bool{}
	busy := map[string]map[time.Time]bool{}
	role := map[string]book.Role{}
	for _, w := range crew() {
		role[w.name], busy[w.name] = w.role, map[time.Time]bool{}
	}
	late := 0
	for i, p := range s.pages {
		x := p.submission()
		at := x.Entry.At
		switch {
		case p.sent.Before(last):
			t.Errorf("entry %d was handed in before the one before it", i)
		case at.Before(end.AddDate(0, -6, -1)) || at.After(end) || p.sent.After(end):
			t.Errorf("entry %d is of %v, outside the half year", i, at)
		case closed(at) || !withinShift(at):
			t.Errorf("entry %d is of %v, when the mill rests", i, at)
		case numbers[x.Entry.ID] || len(x.Entry.ID) != 26:
			t.Errorf("entry %d has the number %s", i, x.Entry.ID)
		case x.Caller.Role == "" || x.Caller.Role != role[x.Entry.Person] || x.Caller.Person != x.Entry.Person:
			t.Errorf("entry %d is by %+v", i, x.Caller)
		case busy[x.Entry.Person][at]:
			t.Errorf("entry %d: %s does two things at %v", i, x.Entry.Person, at)
		case x.Entry.Site != Site || x.Entry.Station == "" || at != at.Truncate(time.Millisecond):
			t.Errorf("entry %d: %+v", i, x.Entry)
		}
		if x.Late {
			late++
		}
		last = p.sent
		numbers[x.Entry.ID], busy[x.Entry.Person][at] = true, true
	}
	if late != 2 {
		t.Errorf("%d entries came late, not the two of the quarry's tablet", late)
	}
	if first := s.pages[0].at; first.After(end.AddDate(0, -6, 4)) || last.Before(end.AddDate(0, 0, -1)) {
		t.Errorf("the story goes from %v to %v", first, last)
	}
}

func withinShift(t time.Time) bool {
	in := t.Sub(midnight(t))
	return slices.ContainsFunc(shifts[:], func(s struct{ from, to time.Duration }) bool { return in > s.from && in <= s.to })
}

func TestEveryActOccurs(t *testing.T) {
	count := map[string]int{}
	for x := range theDemo(t).Submissions() {
		count[x.Entry.Act]++
	}
	for _, a := range book.Acts() {
		if count[a.Word()] == 0 {
			t.Errorf("nobody does %q", a.Word())
		}
	}
	if len(count) != len(book.Acts()) || len(count) < 30 {
		t.Errorf("%d acts of %d: %v", len(count), len(book.Acts()), count)
	}
}

// Every file that an entry names is there, every file is named, and every one says that it is invented.
func TestFiles(t *testing.T) {
	s := theDemo(t)
	there := map[string]bool{}
	for b := range s.Blobs() {
		if name := digest(b); there[name] {
			t.Errorf("the file %s is there twice", name)
		}
		there[digest(b)] = true
		if !strings.Contains(string(b), rehearsal.Notice) {
			t.Errorf("a file does not say that it is invented: %.200s", b)
		}
	}
	named := map[string]bool{}
	for x := range s.Submissions() {
		var act struct{ Blob string }
		if err := json.Unmarshal(x.Entry.Body, &act); err != nil {
			t.Fatal(err)
		}
		if act.Blob != "" && !there[act.Blob] {
			t.Errorf("%s names a file that is not there: %s", x.Entry.Act, x.Entry.Body)
		}
		named[act.Blob] = true
	}
	delete(named, "")
	if len(there) < 150 || len(there) != len(named) {
		t.Errorf("%d files, %d of them named", len(there), len(named))
	}
}

func TestTheBookSaysThatItIsInvented(t *testing.T) {
	for x := range theDemo(t).Submissions() {
		var s book.Settle
		if x.Entry.Act != s.Word() {
			t.Fatalf("the first entry is %s", x.Entry.Act)
		}
		if err := json.Unmarshal(x.Entry.Body, &s); err != nil || !s.Demo || s.Note != rehearsal.Notice || s.Name != rehearsal.MillName {
			t.Errorf("the mill settles %+v (%v)", s, err)
		}
		return
	}
	t.Fatal("no entry")
}

// Each certificate verifies, is the one that its entry names, is issued on the day of its entry, and rests on the last readings of its pieces.
func TestCertificates(t *testing.T) {
	s := theDemo(t)
	files := map[string][]byte{}
	for b := range s.Blobs() {
		files[digest(b)] = b
	}
	key := s.Key().Public()
	readings := map[string]string{}
	count := 0
	for x := range s.Submissions() {
		var read book.Read
		var act book.Certify
		switch x.Entry.Act {
		case read.Word():
			if json.Unmarshal(x.Entry.Body, &read); read.What == "top" {
				readings[read.Thing.ID] = read.Blob
			}
			continue
		case act.Word():
		default:
			continue
		}
		count++
		if err := json.Unmarshal(x.Entry.Body, &act); err != nil {
			t.Fatal(err)
		}
		report, err := certificate.Check{Program: "slatewright, in a test", Key: &key}.Verify(act.Certificate, files[act.Blob])
		if err != nil || !report.OK() || !report.Demo || report.Set != act.Set || report.Verdict != "conforms" || report.KeyID != act.Key {
			t.Errorf("%s: %+v, %v", act.Certificate, report, err)
		}
		c, err := certificate.Parse(act.Certificate, files[act.Blob])
		if err != nil {
			t.Fatal(err)
		}
		if d, err := c.Body.Digest(); err != nil || d != act.Digest || c.Body.Issued != x.Entry.At.Format(time.DateOnly) {
			t.Errorf("%s: digest %s of %s, issued on %s at %v (%v)", act.Certificate, d, act.Digest, c.Body.Issued, x.Entry.At, err)
		}
		for _, p := range c.Body.Found.Pieces {
			if given := c.Body.Given.Readings[p.Reading]; readings[p.Piece] != given.Digest {
				t.Errorf("%s: %s was last read in %s, the certificate has %s", act.Certificate, p.Piece, readings[p.Piece], given.Digest)
			}
		}
		if !x.Caller.Reaffirmed {
			t.Errorf("%s was certified without the passphrase", act.Certificate)
		}
	}
	if count < 4 {
		t.Errorf("%d certificates", count)
	}
}
