package halfyear

import (
	"bytes"
	"fmt"
	"slices"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/seating"
	"slatewright/sets/beds"
)

// stage is how far a set has come.
type stage int

// The stages, in order. A set that came to its stage waits there.
const (
	laidUp stage = iota
	drilled
	inRoom
	lined
	finished
	judged
	certified
	packed
	shipped
	returned
	parted
)

// plan says when a set is matched, in days before the end, and how far it comes.
type plan struct {
	days int
	goal stage
}

// plans are the twelve sets, in the order in which they are matched. Fifty days bring a set into its crate.
var plans = []plan{{128, returned}, {115, shipped}, {100, shipped}, {58, parted}, {54, packed}, {53, certified}, {51, judged}, {49, finished}, {45, lined}, {28, inRoom}, {9, drilled}, {5, laidUp}}

// set is three pieces that were matched.
type set struct {
	number string
	pieces [3]*piece // head, centre, foot
	goal   stage
	order  string
	e      *errand
	moves  [3]rehearsal.Move
	body   *judgement
}

// stockSize is how many pieces are looked at for a set.
const stockSize = 8

// makeSets matches and lays up each set, and takes it as far as it comes.
func (m *mill) makeSets() error {
	var again []*piece // of the set that was parted
	for i, pl := range plans {
		s := &set{number: fmt.Sprintf("QH-S%d", 101+i), goal: pl.goal, e: m.errand(m.before(pl.days))}
		for _, o := range orders {
			if m.day(o.day + 1).Before(s.e.at) {
				s.order = o.id
			}
		}
		if err := m.match(s, again); err != nil {
			return err
		}
		again = nil
		if pl.goal == parted {
			again = m.part(s)
			continue
		}
		if err := m.follow(s); err != nil {
			return err
		}
	}
	return nil
}

// stock picks the pieces that are tried: those that must be in the set, then any that are ready.
func (m *mill) stock(at time.Time, must []*piece) []*piece {
	var ready []*piece
	for _, p := range m.pieces {
		if !p.ready.IsZero() && p.ready.Before(at) && !slices.Contains(must, p) {
			ready = append(ready, p)
		}
	}
	for i := range ready { // the order of drawing
		j := m.draw.IntN(i + 1)
		ready[i], ready[j] = ready[j], ready[i]
	}
	all := append(slices.Clone(must), ready...)
	return all[:min(len(all), stockSize)]
}

// match chooses three pieces by the program's own reckoning, proposes them, and lays them up.
func (m *mill) match(s *set, must []*piece) error {
	stock := m.stock(s.e.at, must)
	room := judge.Factor(m.spec.Decision) * judge.FirstDoubt(m.spec)
	best, found, err := m.choose(stock, len(must), room)
	if err != nil {
		return err
	}
	if !found {
		return fmt.Errorf("halfyear: %d pieces are too few to match %s", len(stock), s.number)
	}
	for place, i := range best.Index {
		s.pieces[place] = stock[i]
		if best.Turned[place] {
			stock[i].turn()
		}
	}
	s.e.do(30, book.Sets, &book.Match{Pieces: s.numbers(), StepMM: micrometres(best.Step), ZoneMM: micrometres(best.Zone), Order: s.order}, inspectors[1])
	s.e.wait(1)
	return m.layUp(s, max(0, m.spec.Limits.Step-room))
}

// loose is far beyond what a bed may be, mm: a set is laid up even where none is expected to conform.
const loose = 10

// choose is the best bed of a stock with its first pieces in it: one that is expected to conform before any other, then the one of the least cost.
func (m *mill) choose(stock []*piece, must int, room float64) (best beds.Bed, found bool, err error) {
	l := m.spec.Limits
	classes := []beds.Limits{{MaxStep: max(0, l.Step-room), Zone: l.Zone - room, Lengthwise: l.Lengthwise - room, Across: l.Across - room}, {MaxStep: loose, Zone: loose, Lengthwise: loose, Across: loose}}
	pieces := make([]beds.Piece, len(stock))
	for i, p := range stock {
		pieces[i] = beds.Piece{Face: p.face, Ways: beds.AnyWay()}
	}
	ready, err := beds.New(pieces, m.spec, classes, beds.Weights{Step: 1 / l.Step, Zone: 1 / l.Zone})
	if err != nil {
		return best, false, err
	}
	for k := range stock {
		for j := range k {
			for i := range j {
				b := ready.Price(i, j, k)
				if b.Serves == 0 || !contains(b, must) {
					continue
				}
				good, better := b.Serves&1 == 1, best.Serves&1 == 1
				if !found || good && !better || good == better && b.Cost < best.Cost {
					best, found = b, true
				}
			}
		}
	}
	return best, found, nil
}

// contains tells whether a bed takes the first n pieces of the stock.
func contains(b beds.Bed, n int) bool {
	for i := range n {
		if !slices.Contains(b.Index[:], i) {
			return false
		}
	}
	return true
}

func (s *set) numbers() []string {
	return []string{s.pieces[0].number, s.pieces[1].number, s.pieces[2].number}
}

// turn turns a piece end for end: its face is kept as it now lies.
func (p *piece) turn() {
	p.turned = !p.turned
	p.face = turned(p.face)
}

// turned is a face after half a turn about z.
func turned(f *face.Face) *face.Face {
	t := *f
	t.X, t.Y, t.Row = slices.Clone(f.X), slices.Clone(f.Y), slices.Clone(f.Row)
	for i := range t.X {
		t.X[i], t.Y[i] = 0-t.X[i], 0-t.Y[i]
		switch t.Row[i] {
		case face.JointMinus:
			t.Row[i] = face.JointPlus
		case face.JointPlus:
			t.Row[i] = face.JointMinus
		}
	}
	t.Thickness, t.Lined = slices.Clone(f.Thickness), slices.Clone(f.Lined)
	for _, list := range [][]face.Thickness{t.Thickness, t.Lined} {
		for i := range list {
			list[i].X, list[i].Y = 0-list[i].X, 0-list[i].Y
		}
	}
	return &t
}

// layUp lays the set dry on the bench as it was seated and reads its steps.
func (m *mill) layUp(s *set, maxStep float64) error {
	r, err := seating.Seat(seating.Question{Faces: [3]*face.Face{s.pieces[0].fixed(), s.pieces[1].fixed(), s.pieces[2].fixed()}, Spec: m.spec, MaxStep: maxStep})
	if err != nil {
		return err
	}
	for i, p := range r.Pieces {
		s.moves[i] = rehearsal.Move{Turned: s.pieces[i].turned, Height: p.Height, TiltX: p.TiltX, TiltY: p.TiltY}
	}
	text, largest := m.steps(s)
	s.e.do(60, book.Sets, &book.LayUp{Set: s.number, Pieces: s.numbers(), Bench: setBench, Instruments: []string{stepGauge}, StepsMM: largest,
		Blob: m.keep(text), Order: s.order}, inspectors[1])
	for _, p := range s.pieces {
		p.ready = time.Time{}
	}
	return nil
}

// steps reads the steps of a set that is laid up as its moves say: the file, and the largest step of each joint.
func (m *mill) steps(s *set) (text []byte, largest []float64) {
	laid := m.truth.LayUp([3]*rehearsal.Piece{s.pieces[0].stone, s.pieces[1].stone, s.pieces[2].stone}, s.moves)
	laid.Date = s.e.at.Format(time.DateOnly)
	var b bytes.Buffer
	if err := laid.WriteCSV(&b); err != nil {
		panic("halfyear: " + err.Error()) // a buffer takes everything
	}
	largest = make([]float64, 2)
	for _, step := range laid.Steps {
		joint := 0
		if step.Joint != laid.Steps[0].Joint {
			joint = 1
		}
		largest[joint] = max(largest[joint], step.Step, -step.Step)
	}
	return b.Bytes(), largest
}

// fixed is the face of a piece that can no longer be turned.
func (p *piece) fixed() *face.Face {
	f := *p.face
	f.TurnFixed = true
	return &f
}

// part ends a set whose centre piece chipped on the bench: the piece is cut for a smaller bed, the other two are matched again.
func (m *mill) part(s *set) []*piece {
	centre := s.pieces[1]
	s.e.do(20, book.Sets, &book.PartSet{Set: s.number, Why: "the centre piece chipped at the joint when it was lifted off the bench"}, lead)
	centre.ready = time.Time{}
	e := m.errand(s.e.at)
	e.wait(2)
	e.do(30, book.Saw, &book.Resize{Piece: centre.number, To: "8 ft", LengthMM: 1340, WidthMM: 813, Disc: discs["cut"], MarkNow: book.OnBottom}, atSaw...)
	e.do(20, book.Saw, &book.Repair{Piece: centre.number, What: "chip at the arris filled", GlueBatch: epoxy.id}, atBench...)
	again := []*piece{s.pieces[0], s.pieces[2]}
	for _, p := range again {
		p.ready = s.e.at
	}
	return again
}

// micrometres rounds a length to whole micrometres.
func micrometres(mm float64) float64 { return measure.Round(mm, 3) }
