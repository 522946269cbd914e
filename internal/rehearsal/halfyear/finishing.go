package halfyear

import (
	"time"

	"slatewright/internal/book"
)

// follow takes a set from its lay-up as far as it comes.
func (m *mill) follow(s *set) error {
	if s.goal >= drilled {
		m.each(s, m.drill)
	}
	if s.goal >= inRoom {
		m.each(s, m.season)
	}
	if s.goal >= lined {
		m.each(s, m.line)
	}
	if s.goal >= finished {
		m.each(s, m.finish)
	}
	if s.goal >= judged {
		if err := m.judge(s); err != nil {
			return err
		}
	}
	for at, act := range []func(*set){certified: m.certify, packed: m.pack, shipped: m.ship, returned: m.takeBack} {
		if act != nil && s.goal >= stage(at) && s.body.conforms() {
			act(s)
		}
	}
	return nil
}

// each does a piece of work on the three pieces of a set, and goes on when all of them are done.
func (m *mill) each(s *set, work func(s *set, place int, e *errand)) {
	own := make([]*errand, len(s.pieces))
	for place := range s.pieces {
		own[place] = m.errand(s.e.at)
		own[place].over = s.e.over
		work(s, place, own[place])
	}
	s.e.join(own)
}

// pockets of the head, centre and foot piece.
var pockets = [3]int{2, 2, 2}

// drill makes the holes and pockets of a piece, after its joint was dressed where the lay-up asked for it, and has them checked.
func (m *mill) drill(s *set, place int, e *errand) {
	p := s.pieces[place]
	if place == 1 && s.goal == shipped {
		e.do(30, book.Sets, &book.DressJoint{Piece: p.number, Joint: "foot", DepthMM: 0.03, Tool: "hand block"}, atBench...)
	}
	e.do(25, book.Drilling, &book.Drill{Piece: p.number, Pattern: m.spec.Pattern, Holes: 8, Pockets: pockets[place], Bits: m.latest(bits["drill"], e.at)}, atDrilling...)
	e.do(15, book.Drilling, &book.Check{Piece: p.number, What: "holes", Instruments: []string{caliper}, WorstMM: float64(m.between(20, 60)) / 100, Good: true}, inspectors...)
}

// daysInRoom is how long a piece stays in the room, and daysReleased how long the pieces of a set that the lead released stayed.
const (
	daysInRoom   = 31
	daysReleased = 25
)

// season keeps a piece in the room and weighs it every week; it loses less water each time.
func (m *mill) season(s *set, place int, e *errand) {
	p := s.pieces[place]
	e.wait(1)
	e.do(10, book.Room, &book.EnterRoom{Piece: p.number, Room: room}, atLining...)
	entered, stay := e.at, daysInRoom
	leave := &book.LeaveRoom{Piece: p.number}
	by := atLining
	if s.goal == finished {
		stay, by = daysReleased, []worker{lead}
		leave.Released = "three weighings within the scale's step, and the order is due"
	}
	for week := 0; 7*(week+1) <= stay; week++ {
		water := 0.3 / (1 + float64(week*week)) // kg; an invented curve
		e.do(6, book.Room, &book.Weigh{Thing: ref(book.KindPiece, p.number), Scale: floorScale, MassKg: tenths(p.dry() + water)}, atLining...)
		e.at = midnight(entered).AddDate(0, 0, 7*(week+1)).Add(shifts[0].from)
	}
	e.at = entered.AddDate(0, 0, stay)
	e.do(10, book.Room, leave, by...)
}

// line glues the lining under a piece, and clears the holes through it when the glue has cured.
func (m *mill) line(s *set, place int, e *errand) {
	p := s.pieces[place]
	e.wait(1)
	air, wet := float64(m.between(195, 205))/10, float64(m.between(480, 530))/10
	glue := &book.GlueLining{Piece: p.number, BoardBatch: m.latest(boards, e.at), GlueBatch: m.latest(glues, e.at), Layout: "full",
		MoisturePercent: float64(m.between(70, 80)) / 10, AirC: &air, HumidityPercent: &wet, PressMinutes: float64(m.between(40, 60))}
	e.do(45, book.Lining, glue, atLining...)
	if s.goal == lined {
		return
	}
	e.at = e.at.Add(26 * time.Hour)
	e.do(12, book.Lining, &book.Ream{Piece: p.number, Holes: 8}, atLining...)
	e.do(8, book.Lining, &book.Check{Piece: p.number, What: "lining", Instruments: []string{caliper}, WorstMM: 0.2, Good: true}, inspectors...)
}

// finish chamfers and cleans a piece, and mends what chipped.
func (m *mill) finish(s *set, place int, e *errand) {
	p := s.pieces[place]
	e.do(20, book.Bench, &book.Finish{Piece: p.number, MarkNow: book.OnLining}, atBench...)
	p.mark = book.OnLining
	if s.goal == certified && place == 2 {
		e.do(15, book.Bench, &book.Repair{Piece: p.number, What: "chip at a pocket filled and rubbed down", GlueBatch: epoxy.id}, atBench...)
		e.wait(2)
	}
	e.do(8, book.Bench, &book.Check{Piece: p.number, What: "chips", WorstMM: 0, Good: true}, inspectors...)
}

// pack reads the codes of the pieces and puts the set into its crate.
func (m *mill) pack(s *set) {
	s.e.wait(1)
	whole := 0.0
	for place := range s.pieces {
		whole += s.body.mass(place)
	}
	s.e.do(10, book.Shipping, &book.Weigh{Thing: ref(book.KindSet, s.number), Scale: floorScale, MassKg: tenths(whole)}, atShipping...)
	s.e.do(35, book.Shipping, &book.Pack{Set: s.number, Codes: s.numbers(), MassKg: tenths(whole + 62)}, atShipping...)
}

// ship sends a set away.
func (m *mill) ship(s *set) {
	s.e.wait(2)
	s.e.do(20, book.Shipping, &book.Ship{Shipment: "SH-" + s.number[len("QH-S"):], Sets: []string{s.number}, Order: s.order, To: "the harbour"}, atShipping...)
}

// takeBack takes a set back that a customer complains of.
func (m *mill) takeBack(s *set) {
	s.e.wait(60)
	s.e.do(15, book.Shipping, &book.Return{Set: s.number,
		Complaint: "a ball rolls off towards the foot; the level readings that came with the complaint are asked for again, frame and room unknown"}, lead)
}
