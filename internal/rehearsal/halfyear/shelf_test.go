package halfyear

import (
	"cmp"
	"slices"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

// shelf is a book in memory: what book.Admit says is written down, and nothing checked.
type shelf struct {
	entries   []book.Entry // by sequence, from 1
	numbers   map[string]int64
	things    map[book.Ref]book.Thing
	touches   map[book.Ref][]book.Touch
	standings map[int64]book.Standing
	reach     map[book.Ref]book.TargetReach
	conflicts []book.Entry
}

func newShelf() *shelf {
	return &shelf{numbers: map[string]int64{}, things: map[book.Ref]book.Thing{}, touches: map[book.Ref][]book.Touch{},
		standings: map[int64]book.Standing{}, reach: map[book.Ref]book.TargetReach{}}
}

func (s *shelf) placed(t book.Touch) book.Placed {
	return book.Placed{Entry: s.entries[t.Seq-1], At: t.At, Part: t.Part, Standing: s.standings[t.Seq]}
}

func (s *shelf) which(r book.Ref, conflict bool) (list []book.Placed, err error) {
	for _, t := range s.touches[r] {
		if p := s.placed(t); (p.Standing.State == "conflict") == conflict {
			list = append(list, p)
		}
	}
	slices.SortFunc(list, func(a, b book.Placed) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	return list, nil
}

func (s *shelf) Thing(r book.Ref) (book.Thing, bool, error) {
	t, found := s.things[r]
	return t, found, nil
}

func (s *shelf) History(r book.Ref) ([]book.Placed, error)   { return s.which(r, false) }
func (s *shelf) Conflicts(r book.Ref) ([]book.Placed, error) { return s.which(r, true) }

func (s *shelf) Entry(id string) (book.Placed, bool, error) {
	seq, found := s.numbers[id]
	if !found {
		return book.Placed{}, false, nil
	}
	e := s.entries[seq-1]
	return book.Placed{Entry: e, At: e.At, Standing: s.standings[seq]}, true, nil
}

func (s *shelf) Children(parent book.Ref) (list []book.Ref, err error) {
	for r, t := range s.things {
		if t.Parent == parent {
			list = append(list, r)
		}
	}
	slices.SortFunc(list, func(a, b book.Ref) int { return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID)) })
	return list, nil
}

func (s *shelf) ReachOf(target book.Ref) (list []book.Reach, err error) {
	for _, origin := range s.reach[target].Origins {
		list = append(list, book.Reach{Origin: origin, Target: target, Rank: s.reach[target].Rank})
	}
	return list, nil
}

// append hands an entry in.
func (s *shelf) append(x book.Submission) (book.Outcome, error) {
	x.Entry.Seq = int64(len(s.entries) + 1)
	o, err := book.Admit(s, x.Entry, x.Caller, x.Late)
	if err != nil {
		return o, err
	}
	s.entries = append(s.entries, o.Entry)
	s.numbers[o.Entry.ID] = o.Entry.Seq
	for _, seq := range o.Untouch {
		for r, list := range s.touches {
			s.touches[r] = slices.DeleteFunc(list, func(t book.Touch) bool { return t.Seq == seq })
		}
	}
	for _, t := range o.Touches {
		s.touches[t.Ref] = append(s.touches[t.Ref], t)
	}
	for _, t := range o.Things {
		s.things[t.Ref] = t
	}
	for _, r := range o.Gone {
		delete(s.things, r)
	}
	for _, st := range o.Standings {
		s.standings[st.Seq] = st
	}
	for _, r := range o.Reach {
		s.reach[r.Target] = r
	}
	return o, nil
}

// admit hands everything in; only the act that is meant to may be kept in conflict, and none refused.
func admit(t *testing.T, all func(yield func(book.Submission) bool)) *shelf {
	t.Helper()
	s := newShelf()
	refused := 0
	for x := range all {
		o, err := s.append(x)
		if err != nil {
			t.Errorf("%v: %s %s is refused: %v", x.Entry.At, x.Entry.Act, x.Entry.Body, err)
			if refused++; refused == 10 {
				t.Fatal("and so on")
			}
		}
		if o.Conflict != nil {
			s.conflicts = append(s.conflicts, o.Entry)
		}
	}
	return s
}

// admitted is the book of the demonstration; read only.
var admitted *shelf

func theShelf(t *testing.T) *shelf {
	t.Helper()
	if admitted == nil {
		admitted = admit(t, theDemo(t).Submissions())
	}
	return admitted
}

// The book takes every act of the half year in the order in which it was handed in, but for the one that came late from the quarry; and at
// the end there is of everything what the demonstration promises.
func TestTheBookTakesTheHalfYear(t *testing.T) {
	s := theShelf(t)
	conflicts := s.conflicts
	var reject book.Reject
	if len(conflicts) != 1 || conflicts[0].Act != reject.Word() {
		t.Errorf("in conflict are %v", conflicts)
	}
	count, at := map[book.Kind]int{}, map[book.Station]int{}
	for r, thing := range s.things {
		count[r.Kind]++
		if r.Kind == book.KindPiece {
			at[thing.Station]++
		}
	}
	for kind, want := range map[book.Kind]int{book.KindLayer: 2, book.KindBlock: 30, book.KindSet: 12, book.KindShipment: 3, book.KindRoom: 1, book.KindBench: 2,
		book.KindInstrument: 12, book.KindDisc: 5, book.KindBitSet: 9, book.KindBoardBatch: 3, book.KindGlueBatch: 4, book.KindOrder: 4, book.KindPerson: 14} {
		if count[kind] != want {
			t.Errorf("%d things of kind %s, want %d", count[kind], kind, want)
		}
	}
	inHouse := count[book.KindPiece] - at[book.Away] - at[book.Heap]
	if inHouse < 60 || at[book.Away] == 0 || at[book.Heap] == 0 || count[book.KindCertificate] < 4 || count[book.KindSlab] < 50 {
		t.Errorf("%d pieces in the house: %v; things: %v", inHouse, at, count)
	}
	for _, station := range []book.Station{book.Saw, book.Surfacing, book.Sets, book.Drilling, book.Room, book.Lining, book.Bench, book.Shipping} {
		if at[station] == 0 {
			t.Errorf("no piece stands at %s", station)
		}
	}
}

// Sets are in all the states that there are.
func TestSetsStandEverywhere(t *testing.T) {
	s := theShelf(t)
	seen := map[string]int{}
	for r, thing := range s.things {
		if r.Kind != book.KindSet {
			continue
		}
		state, err := book.StateOf(thing)
		if err != nil {
			t.Fatal(err)
		}
		seen[describe(thing, state.(*book.SetState))]++
	}
	for _, want := range []string{"parted", "returned", "shipped", "packed", "certified", "cannot tell", "at bench", "at lining", "at room", "at drilling", "at sets"} {
		if seen[want] == 0 {
			t.Errorf("no set is %s: %v", want, seen)
		}
	}
}

func describe(t book.Thing, s *book.SetState) string {
	switch {
	case s.Parted != "":
		return "parted"
	case len(s.Complaints) > 0:
		return "returned"
	case s.Shipment != "":
		return "shipped"
	case s.Packed:
		return "packed"
	case s.Certificate != "":
		return "certified"
	case s.Verdict != "":
		return s.Verdict
	}
	return "at " + string(t.Station)
}

// One dial is overdue at the end and nothing was read with it; one meter was calibrated late.
func TestCalibrations(t *testing.T) {
	s := theShelf(t)
	overdue, late := []string{}, []string{}
	for r, thing := range s.things {
		if r.Kind != book.KindInstrument && r.Kind != book.KindBench {
			continue
		}
		state, err := book.StateOf(thing)
		if err != nil {
			t.Fatal(err)
		}
		all := state.(*book.InstrumentState).Calibrations
		if len(all) == 0 {
			t.Fatalf("%s was never calibrated", r)
		}
		if all[len(all)-1].DueMS < end.UnixMilli() {
			overdue = append(overdue, r.ID)
		}
		for i, c := range all[1:] {
			if c.AtMS > all[i].DueMS {
				late = append(late, r.ID)
			}
		}
	}
	if !slices.Equal(overdue, []string{spareDial}) || !slices.Equal(late, []string{meter}) {
		t.Errorf("overdue is %v, calibrated late was %v", overdue, late)
	}
}

// Other seeds and other half years, some that begin or end when the mill rests, are as good a story.
func TestTheBookTakesOtherHalfYears(t *testing.T) {
	if testing.Short() {
		t.Skip("many stories")
	}
	for i, day := range []string{"2027-08-20", "2027-04-04"} {
		until, err := time.Parse(time.DateOnly, day)
		if err != nil {
			t.Fatal(err)
		}
		s := admit(t, story(t, uint64(i), until.Add(15*time.Hour)).Submissions())
		sets := 0
		for r := range s.things {
			if r.Kind == book.KindSet {
				sets++
			}
		}
		if len(s.conflicts) != 1 || sets < 11 {
			t.Errorf("until %s: %d sets, in conflict %v", day, sets, s.conflicts)
		}
	}
}

// The book takes every act of the large mill, whose stone goes all the way.
func TestTheBookTakesTheMillion(t *testing.T) {
	s := admit(t, Million(rehearsal.DemoSeed, 12_000))
	count := map[book.Kind]int{}
	for r := range s.things {
		count[r.Kind]++
	}
	if len(s.conflicts) > 0 || count[book.KindPiece] < 500 || count[book.KindSet] < 100 || count[book.KindCertificate] < 50 || count[book.KindShipment] < 20 {
		t.Errorf("in conflict %v; things %v", s.conflicts, count)
	}
}
