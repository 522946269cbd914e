package replica

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal/halfyear"
)

// list is a source that has all entries in memory.
type list []book.Entry

func (l list) Numbered(seqs []int64) (all []book.Entry, err error) {
	for _, s := range seqs {
		all = append(all, l[s-1])
	}
	return all, nil
}

func (l list) Called(id string) (book.Entry, bool, error) {
	for _, e := range l {
		if e.ID == id {
			return e, true, nil
		}
	}
	return book.Entry{}, false, nil
}

// rows writes every table down.
func rows(t *testing.T, r *Replica) (all []string) {
	t.Helper()
	for x, err := range r.Things() {
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, fmt.Sprintf("%+v %s", x.Ref, x.State))
	}
	for x := range r.Touches() {
		all = append(all, fmt.Sprintf("%+v", x))
	}
	for x := range r.Standings() {
		all = append(all, fmt.Sprintf("%+v", x))
	}
	for x := range r.Reach() {
		all = append(all, fmt.Sprintf("%+v", x))
	}
	return all
}

// replayed replays the first acts of the large mill, of which the calibrations come late, with a certain room in memory.
func replayed(t *testing.T, n, room int) (*Replica, list) {
	t.Helper()
	var journal list
	source := &journal
	r, err := New(source, 10, t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { r.Close() })
	r.spool.room = room
	var late []book.Entry
	take := func(e book.Entry) {
		e.Seq, e.Site = int64(len(journal)+1), halfyear.Site
		journal = append(journal, e)
		if err := r.Apply(book.OpenEntry(e)); err != nil {
			t.Fatal(err)
		}
	}
	i := 0
	for s := range halfyear.Million(5, n) {
		if i++; i > 100 && i%50 == 0 {
			late = append(late, s.Entry)
			continue
		}
		take(s.Entry)
	}
	for _, e := range late {
		take(e)
	}
	return r, journal
}

// What lies in the file and what lies in memory must make no difference.
func TestLittleRoomMakesNoDifference(t *testing.T) {
	const acts = 1500
	roomy, _ := replayed(t, acts, room)
	narrow, _ := replayed(t, acts, 20<<10)
	if narrow.spool.end == 0 || roomy.spool.end != 0 {
		t.Fatalf("%d bytes were laid down with little room, %d with much", narrow.spool.end, roomy.spool.end)
	}
	if narrow.spool.held > 40<<10 {
		t.Errorf("%d bytes in memory", narrow.spool.held)
	}
	want, got := rows(t, roomy), rows(t, narrow)
	if len(want) < acts || len(want) != len(got) {
		t.Fatalf("%d rows and %d", len(want), len(got))
	}
	for i := range want {
		if want[i] != got[i] {
			t.Fatalf("%s\nis with little room\n%s", want[i], got[i])
		}
	}
	if roomy.Acts() != acts {
		t.Errorf("%d acts", roomy.Acts())
	}
}

func TestTheFileHasNoName(t *testing.T) {
	folder := t.TempDir()
	r, err := New(list{}, 0, folder)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if left, err := os.ReadDir(folder); err != nil || len(left) > 0 {
		t.Errorf("%v, %v", left, err)
	}
	if _, err := New(list{}, 0, "/nowhere"); err == nil {
		t.Error("a file in a folder that is not there")
	}
}

// A spool gives back what was put last, whatever had to make room in between.
func TestSpoolKeepsEverything(t *testing.T) {
	s, err := newSpool(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	s.room = 4000
	draw := rand.New(rand.NewPCG(4, 4))
	kept, want := make([]stored, 60), make([][]byte, 60)
	for range 20000 {
		i := draw.IntN(len(kept))
		switch draw.IntN(5) {
		case 0, 1:
			want[i] = bytes.Repeat([]byte{byte(draw.IntN(256))}, 1+draw.IntN(400))
			if err := s.put(&kept[i], want[i]); err != nil {
				t.Fatal(err)
			}
		case 2:
			s.drop(&kept[i])
			want[i] = nil
		default:
			if want[i] == nil {
				continue
			}
			if got, err := s.get(&kept[i]); err != nil || !bytes.Equal(got, want[i]) {
				t.Fatalf("%d: %d bytes instead of %d, %v", i, len(got), len(want[i]), err)
			}
		}
		if s.held > s.room+400 {
			t.Fatalf("%d bytes in memory", s.held)
		}
	}
	if s.end == 0 {
		t.Error("nothing was laid down")
	}
}
