package book_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// tester is a test of either kind.
type tester interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
	Errorf(string, ...any)
}

// memory is a book kept in maps, as simply as can be. It implements book.View.
type memory struct {
	journal   []book.Entry
	things    map[book.Ref]book.Thing
	touches   map[book.Ref][]book.Touch
	standings map[int64]book.Standing
	reach     map[book.Ref]book.TargetReach
	corrected map[string]bool // entries that stand in another's place, by id
}

func newMemory() *memory {
	return &memory{things: map[book.Ref]book.Thing{}, touches: map[book.Ref][]book.Touch{}, standings: map[int64]book.Standing{}, reach: map[book.Ref]book.TargetReach{}, corrected: map[string]bool{}}
}

func (m *memory) Thing(r book.Ref) (book.Thing, bool, error) { t, ok := m.things[r]; return t, ok, nil }

func (m *memory) History(r book.Ref) (list []book.Placed, err error) {
	for _, t := range m.touches[r] {
		list = append(list, book.Placed{Entry: m.journal[t.Seq-1], At: t.At, Part: t.Part, Standing: m.standings[t.Seq]})
	}
	slices.SortFunc(list, func(a, b book.Placed) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	return list, nil
}

func (m *memory) Entry(id string) (book.Placed, bool, error) {
	i := slices.IndexFunc(m.journal, func(e book.Entry) bool { return e.ID == id })
	if i < 0 {
		return book.Placed{}, false, nil
	}
	p := book.Placed{Entry: m.journal[i], At: m.journal[i].At, Standing: m.standings[m.journal[i].Seq]}
	for _, list := range m.touches {
		for _, t := range list {
			if t.Seq == p.Seq {
				p.At = t.At
			}
		}
	}
	return p, true, nil
}

func (m *memory) Children(parent book.Ref) (list []book.Ref, err error) {
	for r, t := range m.things {
		if t.Parent == parent {
			list = append(list, r)
		}
	}
	slices.SortFunc(list, compareRefs)
	return list, nil
}

func (m *memory) Conflicts(r book.Ref) ([]book.Placed, error) {
	list, err := m.History(r)
	return slices.DeleteFunc(list, func(p book.Placed) bool { return p.Standing.State != book.InConflict }), err
}

func (m *memory) ReachOf(target book.Ref) (list []book.Reach, err error) {
	t := m.reach[target]
	for _, o := range t.Origins {
		list = append(list, book.Reach{Origin: o, Target: target, Rank: t.Rank})
	}
	return list, nil
}

func compareRefs(a, b book.Ref) int {
	return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID))
}

// take writes an outcome down.
func (m *memory) take(o book.Outcome) {
	m.journal = append(m.journal, o.Entry)
	m.corrected[o.Entry.ID] = o.Entry.Act == "correct"
	for _, seq := range o.Untouch {
		for r, list := range m.touches {
			m.touches[r] = slices.DeleteFunc(list, func(t book.Touch) bool { return t.Seq == seq })
		}
	}
	for _, t := range o.Touches {
		m.touches[t.Ref] = append(m.touches[t.Ref], t)
	}
	for _, t := range o.Things {
		m.things[t.Ref] = t
	}
	for _, r := range o.Gone {
		delete(m.things, r)
	}
	for _, s := range o.Standings {
		if m.standings[s.Seq] = s; s.State == "" {
			delete(m.standings, s.Seq)
		}
	}
	for _, t := range o.Reach {
		if m.reach[t.Target] = t; len(t.Origins) == 0 {
			delete(m.reach, t.Target)
		}
	}
}

// hand hands an entry in as a ledger does.
func (m *memory) hand(e book.Entry, c book.Caller, late bool) (*book.Standing, error) {
	if p, known, _ := m.Entry(e.ID); known {
		if p.Standing.State == book.InConflict {
			return &p.Standing, nil
		}
		return nil, nil
	}
	e.Seq = int64(len(m.journal)) + 1
	o, err := book.Admit(m, e, c, late)
	if err != nil {
		return nil, err
	}
	m.take(o)
	return o.Conflict, nil
}

// conflicts lists the ids of the entries in conflict.
func (m *memory) conflicts() (ids []string) {
	for seq, s := range m.standings {
		if s.State == book.InConflict {
			ids = append(ids, m.journal[seq-1].ID)
		}
	}
	slices.Sort(ids)
	return ids
}

// tables writes the derived tables of what is applied, so that two books can be compared whatever the order of their journals: rows name
// entries by id. What a correction only names, for the
// history of what it struck out, is left out: a book that never had it knows nothing of it.
func (m *memory) tables() (rows []string) {
	id := func(seq int64) string { return m.journal[seq-1].ID }
	for _, t := range m.things {
		rows = append(rows, fmt.Sprintf("thing %s at %s since %s of %s last %s %s: %s", t.Ref, t.Station, stamp(t.Since), t.Parent, id(t.Seq), stamp(t.At), relied.ReplaceAll(t.State, nil)))
	}
	for r, list := range m.touches {
		for _, t := range list {
			if m.standings[t.Seq].State == "" && !(t.Part == book.Uses && m.corrected[t.ID]) {
				rows = append(rows, fmt.Sprintf("touch %s %s %s %s", r, stamp(t.At), t.ID, t.Part))
			}
		}
	}
	for _, t := range m.reach {
		rows = append(rows, fmt.Sprintf("reach %s rank %d: %v", t.Target, t.Rank, t.Origins))
	}
	slices.Sort(rows)
	return rows
}

// relied is a hint that may be later than it must: see Common.
var relied = regexp.MustCompile(`"relied_ms":[0-9]+,?`)

// strikes tells whether an entry only strikes another out.
func (m *memory) strikes(seq int64) bool {
	a, err := book.Decode(m.journal[seq-1].Act, m.journal[seq-1].Body)
	c, ok := a.(*book.Correct)
	return err == nil && ok && c.Act == ""
}

func stamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000") }

// afresh is the slow second way: a new book of everything that is applied, act by act in the order of time, each as if it came in order.
func (m *memory) afresh(t tester) *memory {
	t.Helper()
	var applied []book.Entry
	for _, e := range m.journal {
		if m.standings[e.Seq].State != "" || m.strikes(e.Seq) {
			continue
		}
		if a, err := book.Decode(e.Act, e.Body); err != nil {
			t.Fatal(err)
		} else if c, ok := a.(*book.Correct); ok {
			p, _, _ := m.Entry(e.ID)
			e.At, e.Act, e.Body = p.At, c.Act, c.Body
		}
		applied = append(applied, e)
	}
	slices.SortFunc(applied, func(a, b book.Entry) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	fresh := newMemory()
	for i, e := range applied {
		e.Seq = int64(i) + 1
		o, err := book.Replay(fresh, book.OpenEntry(e))
		if err != nil {
			t.Fatal(err)
		}
		if o.Conflict != nil {
			t.Fatalf("%s %s at %s is applied, and in order it could not be: %s", e.Act, e.Body, stamp(e.At), o.Conflict.Why)
		}
		fresh.take(o)
		fresh.corrected[e.ID] = m.corrected[e.ID]
	}
	return fresh
}

// same wants two books to have the same tables.
func same(t tester, what string, a, b *memory) {
	t.Helper()
	x, y := a.tables(), b.tables()
	if slices.Equal(x, y) {
		return
	}
	var diff []string
	for _, r := range x {
		if !slices.Contains(y, r) {
			diff = append(diff, "- "+r)
		}
	}
	for _, r := range y {
		if !slices.Contains(x, r) {
			diff = append(diff, "+ "+r)
		}
	}
	slices.SortFunc(diff, func(a, b string) int {
		return cmp.Or(cmp.Compare(a[2:min(40, len(a))], b[2:min(40, len(b))]), cmp.Compare(a, b))
	})
	t.Fatalf("%s: the tables differ:\n%s", what, strings.Join(diff, "\n"))
}

// replayed is the book derived again from its journal in the order of its sequence.
func (m *memory) replayed(t tester) *memory {
	t.Helper()
	again := newMemory()
	for _, e := range m.journal {
		o, err := book.Replay(again, book.OpenEntry(e))
		if err != nil {
			t.Fatal(err)
		}
		again.take(o)
	}
	return again
}

// identical wants two books to be the same in every row, conflicts and sequence numbers too.
func identical(t tester, what string, a, b *memory) {
	t.Helper()
	same(t, what, a, b)
	if !reflect.DeepEqual(a.things, b.things) || !reflect.DeepEqual(a.reach, b.reach) || !maps.Equal(a.standings, b.standings) {
		t.Fatalf("%s: rows differ:\n%v\n%v", what, a.standings, b.standings)
	}
}

// The people and clock of the tests.
var (
	opening = time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)
	leader  = book.Caller{Person: "lead-1", Role: book.Lead, Reaffirmed: true}
	program = book.Caller{Person: "lead-1", Role: book.Lead, System: true}
)

// numberOf is the n-th entry id of a test: in the order of n when the times are the same.
func numberOf(at time.Time, n int) string {
	var id ulid.ULID
	if err := id.SetTime(ulid.Timestamp(at)); err != nil {
		panic(err)
	}
	id[12], id[13], id[14], id[15] = byte(n>>24), byte(n>>16), byte(n>>8), byte(n)
	return id.String()
}

// entry makes an entry of an act.
func entry(n int, at time.Time, person string, a book.Act) book.Entry {
	word, body, err := book.Encode(a)
	if err != nil {
		panic(fmt.Sprintf("%s %+v: %v", a.Word(), a, err))
	}
	return book.Entry{ID: numberOf(at, n), Site: "quern-hollow", At: at, Person: person, Station: book.Office, Act: word, Body: body}
}

// scene is a book and its clock, for tests that tell a story.
type scene struct {
	t tester
	*memory
	now time.Time
	n   int
}

// open makes a book with its people, instruments, batches and one layer.
func open(t tester) *scene {
	s := &scene{t: t, memory: newMemory(), now: opening}
	for i, a := range furniture() {
		c := leader
		if i < 2 {
			c = program
		}
		if _, err := s.by(c, a); err != nil {
			t.Fatalf("%s: %v", a.Word(), err)
		}
	}
	return s
}

func furniture() []book.Act {
	calibrated := opening.AddDate(0, 0, -10)
	useBefore := opening.AddDate(0, 2, 0)
	gauge := &book.InstrumentFacts{Sort: "dial", UMM: 0.005, IntervalDays: 180, CalibratedAt: &calibrated}
	take := func(k book.Kind, id string, a book.TakeIn) book.Act {
		a.Thing = book.Ref{Kind: k, ID: id}
		return &a
	}
	return []book.Act{
		&book.Settle{Name: "Quern Hollow", Answers: map[string]string{"state": "laid"}, Demo: true},
		&book.Appoint{Person: "lead-1", Role: book.Lead, Called: "lead"},
		&book.Appoint{Person: "inspector-1", Role: book.Inspector},
		&book.Appoint{Person: "saw-1", Role: book.Hand, Called: "first hand at the saw"},
		&book.Appoint{Person: "visitor-1", Role: book.Visitor},
		take(book.KindLayer, "L1", book.TakeIn{Layer: &book.LayerFacts{ThicknessMM: 900}}),
		take(book.KindInstrument, "DIAL", book.TakeIn{Instrument: gauge}),
		take(book.KindInstrument, "SCALE", book.TakeIn{Instrument: &book.InstrumentFacts{Sort: "scale"}}),
		take(book.KindInstrument, "METER", book.TakeIn{Instrument: &book.InstrumentFacts{Sort: "moisture-meter"}}),
		take(book.KindInstrument, "HYGRO", book.TakeIn{Instrument: &book.InstrumentFacts{Sort: "hygrometer"}}),
		take(book.KindBench, "BENCH", book.TakeIn{Instrument: gauge}),
		take(book.KindDisc, "DISC", book.TakeIn{Tool: &book.ToolFacts{DiameterMM: 1600}}),
		take(book.KindBitSet, "BITS", book.TakeIn{Tool: &book.ToolFacts{Bits: 24}}),
		take(book.KindRoom, "ROOM", book.TakeIn{Room: &book.RoomFacts{Places: 40}}),
		take(book.KindBoardBatch, "MDF", book.TakeIn{Batch: &book.BatchFacts{Sort: "MDF", UseBefore: &useBefore}}),
		take(book.KindGlueBatch, "PUR", book.TakeIn{Batch: &book.BatchFacts{Sort: "PUR", UseBefore: &useBefore}}),
		take(book.KindOrder, "O1", book.TakeIn{Order: &book.OrderFacts{Size: "9 ft", Sets: 2, Due: useBefore}}),
	}
}

// next makes the next entry, an hour later.
func (s *scene) next(a book.Act) book.Entry {
	s.n++
	s.now = s.now.Add(time.Hour)
	return entry(s.n, s.now, "lead-1", a)
}

// by hands in the next act for a caller.
func (s *scene) by(c book.Caller, a book.Act) (book.Entry, error) {
	e := s.next(a)
	e.Person = c.Person
	_, err := s.hand(e, c, false)
	return e, err
}

// do hands in acts that must be admitted and returns the last entry.
func (s *scene) do(acts ...book.Act) (last book.Entry) {
	s.t.Helper()
	for _, a := range acts {
		var err error
		if last, err = s.by(leader, a); err != nil {
			s.t.Fatalf("%s: %v", a.Word(), err)
		}
	}
	return last
}

// refused wants an act to be refused with a code, and the refusal to say something, where and what next.
func (s *scene) refused(code string, a book.Act, words ...string) {
	s.t.Helper()
	s.refusedBy(leader, code, a, words...)
}

func (s *scene) refusedBy(c book.Caller, code string, a book.Act, words ...string) {
	s.t.Helper()
	before := len(s.journal)
	_, err := s.by(c, a)
	wantTrouble(s.t, err, code, words...)
	if len(s.journal) != before {
		s.t.Fatalf("%s was refused and is in the journal", a.Word())
	}
}

func wantTrouble(t tester, err error, code string, words ...string) {
	t.Helper()
	tr, ok := err.(*trouble.Trouble)
	if !ok || tr.Code != code {
		t.Fatalf("want the refusal %s, got %v (%+v)", code, err, tr)
	}
	if tr.What == "" || tr.Next == "" {
		t.Errorf("%s says nothing: %+v", code, tr)
	}
	for _, w := range words {
		if !strings.Contains(tr.Error(), w) {
			t.Errorf("%s does not name %q: %v", code, w, tr)
		}
	}
}

// piece decodes the state of a piece.
func (m *memory) piece(t tester, id string) (book.Thing, *book.PieceState) {
	t.Helper()
	return decoded[book.PieceState](t, m, book.KindPiece, id)
}

func decoded[S any](t tester, m *memory, k book.Kind, id string) (book.Thing, *S) {
	t.Helper()
	thing, found := m.things[book.Ref{Kind: k, ID: id}]
	if !found {
		t.Fatalf("there is no %s %s", k, id)
	}
	s := new(S)
	if err := json.Unmarshal(thing.State, s); err != nil {
		t.Fatal(err)
	}
	return thing, s
}
