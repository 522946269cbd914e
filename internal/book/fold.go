package book

import (
	"slices"
	"time"
)

// held is a thing in the hand: its row and its decoded state. A thing that does not exist has no state.
type held struct {
	Thing
	state state
}

func (h *held) found() bool { return h.state != nil }

// doing is an act at its place: what is done, by which entry, and where things then stand.
type doing struct {
	Entry
	at  time.Time // effective time
	act Act
	to  Station // where the route sends what the act moves; "" is nowhere

	told bool // the entry's own station is one where the route has such acts done
}

// gathered is where something stands that lay at a station and is laid up once more with the others: where the entry says that it was done;
// when it does not say (it was written down in the office), at least as far as a lay-up leads.
func (d doing) gathered(stood Station) Station {
	order := Stations()
	switch {
	case d.told:
		return d.Station
	case slices.Index(order, stood) < slices.Index(order, d.to):
		return d.to
	}
	return stood
}

// fold derives the state of one thing after an act from the state before and the act alone.
func (h *held) fold(d doing) {
	if !h.found() {
		h.state = newState(h.Kind)
		h.Station, h.Since = birthplace(h.Kind), d.at
		h.state.common().BornMS = d.at.UnixMilli()
	}
	switch s := h.state.(type) {
	case *LayerState:
		s.fold(d)
	case *BlockState:
		h.stone(&s.StoneState, d)
		if a, ok := d.act.(*Survey); ok {
			s.Cracks = a.Cracks
		}
	case *SlabState:
		h.stone(&s.StoneState, d)
	case *PieceState:
		h.stone(&s.StoneState, d)
		s.fold(d, h.ID)
	case *SetState:
		s.fold(d)
	default:
		h.foldOther(d)
	}
	h.settle(d)
}

// settle moves the thing and notes what it met.
func (h *held) settle(d doing) {
	switch h.Kind {
	case KindLayer, KindBlock, KindSlab, KindPiece, KindSet:
		c := h.state.common()
		c.Met = meet(c.Met, used(d.act), d.at.UnixMilli())
	}
	if to := h.stands(d); to != "" && to != h.Station {
		h.Station, h.Since = to, d.at
	}
	h.At, h.Seq = d.at, d.Seq
}

// stands returns where the thing stands after the act; "" where it stood.
func (h *held) stands(d doing) Station {
	if s, ok := h.state.(*SetState); ok {
		return s.stands()
	}
	if s := stone(h.state); s != nil && (s.UsedUp || s.Rejected != "") {
		return Heap
	}
	if a, ok := d.act.(*LayUp); ok && h.Kind == KindPiece && h.state.(*PieceState).again(a) {
		return d.gathered(h.Station)
	}
	if creates(d.act, h.Ref) || h.Kind == KindPiece || h.Kind == KindBlock || h.Kind == KindSlab {
		if parent(d.act) != h.Ref {
			return d.to
		}
	}
	return ""
}

// parent is the stone that an act takes other stone from.
func parent(a Act) Ref {
	switch a := a.(type) {
	case *Lift:
		return Ref{KindLayer, a.Layer}
	case *Slice:
		return Ref{KindBlock, a.Block}
	case *Cut:
		return Ref{KindSlab, a.Slab}
	}
	return Ref{}
}

// birthplace is where a thing stands when the route does not say.
func birthplace(k Kind) Station {
	switch k {
	case KindLayer:
		return Quarry
	case KindBlock, KindSlab:
		return Saw
	case KindPiece, KindDisc, KindBitSet:
		return Surfacing
	case KindRoom:
		return Room
	case KindBoardBatch, KindGlueBatch:
		return Lining
	case KindInstrument, KindBench:
		return Bench
	case KindShipment:
		return Away
	}
	return Office
}

func (s *LayerState) fold(d doing) {
	switch a := d.act.(type) {
	case *TakeIn:
		s.ThicknessMM, s.DensityKgM3 = a.Layer.ThicknessMM, a.Layer.DensityKgM3
	case *Survey:
		s.Cracks, s.ClearMM, s.Map = a.Cracks, a.ClearMM, a.Blob
	}
}

// stone folds what happens to any stone.
func (h *held) stone(s *StoneState, d doing) {
	switch a := d.act.(type) {
	case *TakeIn:
		h.born(s, *a.Stone, parentKind(h.Kind))
	case *Lift:
		h.born(s, a.Stone, KindLayer)
		h.Parent = Ref{KindLayer, a.Layer}
	case *Slice:
		h.bornOf(s, a.Slabs, Ref{KindBlock, a.Block}, a.Last)
	case *Cut:
		h.bornOf(s, a.Pieces, Ref{KindSlab, a.Slab}, a.Last)
	case *Reject:
		s.Rejected = a.Cause
	case *Weigh:
		s.MassKg = a.MassKg
	case *Read:
		if a.Wet {
			expire(s.Readings, d)
		}
		s.Readings = remember(s.Readings, reading(a, d))
		if a.What == "thickness" && a.Value != nil && a.Unit == "mm" {
			s.ThicknessMM, s.Reckoned = *a.Value, false
		}
	}
}

// parentKind is the kind of stone that a kind of stone is taken from.
func parentKind(k Kind) Kind {
	return map[Kind]Kind{KindPiece: KindSlab, KindSlab: KindBlock, KindBlock: KindLayer}[k]
}

func (h *held) born(s *StoneState, f StoneFacts, from Kind) {
	s.LengthMM, s.WidthMM, s.ThicknessMM, s.MassKg = f.LengthMM, f.WidthMM, f.ThicknessMM, f.MassKg
	if f.From != "" {
		h.Parent = Ref{from, f.From}
	}
	if p, ok := h.state.(*PieceState); ok {
		p.MarkedOn = f.MarkedOn
	}
}

// bornOf makes a slab or piece of its parent, or uses the parent up.
func (h *held) bornOf(s *StoneState, list []NewStone, parent Ref, last bool) {
	if h.Ref == parent {
		s.UsedUp = s.UsedUp || last
		return
	}
	for _, n := range list {
		if n.ID == h.ID {
			h.born(s, n.Stone, parent.Kind)
			h.Parent = parent
		}
	}
}

func reading(a *Read, d doing) Reading {
	return Reading{Entry: d.ID, What: a.What, AtMS: d.at.UnixMilli(), Instruments: a.Instruments, Bench: a.Bench, Support: a.Support,
		Blob: a.Blob, Value: a.Value, Unit: a.Unit, Wet: a.Wet}
}

// remember adds a reading and forgets the oldest that no longer count when there are too many.
func remember(list []Reading, r Reading) []Reading {
	list = append(list, r)
	if len(list) > mostReadings {
		list = slices.Delete(list, 0, len(list)-mostReadings)
	}
	return list
}

// expire ends the use of readings for certification.
func expire(list []Reading, d doing) {
	for i := range list {
		if list[i].ExpiredBy == "" {
			list[i].ExpiredBy, list[i].ExpiredAct, list[i].ExpiredMS = d.ID, d.act.Word(), d.at.UnixMilli()
		}
	}
}

// again reports whether a lay-up lays up the set that the piece is already in.
func (s *PieceState) again(a *LayUp) bool { return s.Set == a.Set && s.laid }

func (s *PieceState) fold(d doing, id string) {
	if disturbs(d.act) != "" {
		expire(s.Readings, d)
		s.CheckGood = nil
	}
	if surface, now := takesAway(d.act); now != "" {
		s.MarkedOn = now
	} else if surface != "" && surface == s.MarkedOn {
		s.MarkedOn = Nowhere
	}
	s.work(d)
	switch a := d.act.(type) {
	case *Mark:
		s.MarkedOn = a.On
	case *LayUp:
		s.laid = s.Set == a.Set
		s.Set = a.Set
	case *PartSet:
		s.Set, s.Sets = "", append(s.Sets, a.Set)
	case *EnterRoom:
		s.Room, s.InRoomMS, s.Released = a.Room, d.at.UnixMilli(), ""
	case *LeaveRoom:
		s.Seasoned = float64(d.at.UnixMilli()-s.InRoomMS) / dayMS
		s.Room, s.InRoomMS, s.Released, s.LeftRoomMS = "", 0, a.Released, d.at.UnixMilli()
	}
}

const dayMS = 24 * 3600 * 1000

// work folds the work done to a piece.
func (s *PieceState) work(d doing) {
	switch a := d.act.(type) {
	case *Surfaced:
		s.Surfaced++
		s.surface(a.DepthMM)
		if a.Face == "top" {
			s.FacedMS = d.at.UnixMilli()
		}
	case *Resize:
		s.Size, s.LengthMM, s.WidthMM = a.To, a.LengthMM, a.WidthMM
	case *Drill:
		s.Pattern = a.Pattern
	case *Check:
		s.CheckGood = &a.Good
	case *GlueLining:
		s.Lined, s.GluedMS = true, d.at.UnixMilli()
	case *Ream:
		s.Reamed = true
	case *Finish:
		s.Finished = true
	case *Repair:
		s.Repairs++
	}
}

func (s *SetState) fold(d doing) {
	if id := pieceOf(d.act); id != "" {
		s.pieceChanged(id, d)
		return
	}
	switch a := d.act.(type) {
	case *LayUp:
		s.layUp(a, d)
	case *PartSet:
		s.Parted, s.PartedMS = a.Why, d.at.UnixMilli()
	case *Read:
		s.Readings = remember(s.Readings, reading(a, d))
	case *Weigh:
		s.MassKg = a.MassKg
	case *Judge:
		s.Verdict, s.Next, s.JudgedMS, s.JudgedBy, s.Stale = a.Verdict, a.Next, d.at.UnixMilli(), d.ID, ""
		s.Answers = a.Answers
	case *Certify:
		s.Certificate, s.CertifiedBy = a.Certificate, d.ID
	case *Pack:
		s.Packed = true
		s.move(d.to)
	case *Ship:
		s.Shipment = a.Shipment
		s.move(d.to)
	case *Return:
		s.Complaints = append(s.Complaints, a.Complaint)
		s.Shipment, s.Packed, s.Stale = "", false, d.act.Word()
		s.move(d.to)
	}
}

func (s *SetState) layUp(a *LayUp, d doing) {
	if s.Pieces == nil {
		s.Pieces, s.At = a.Pieces, make([]Station, len(a.Pieces))
		s.move(d.to)
	} else {
		for i, at := range s.At {
			s.At[i] = d.gathered(at)
		}
	}
	expire(s.LayUps, d)
	s.StepsMM, s.Turned = a.StepsMM, a.Turned
	if a.Order != "" {
		s.Order = a.Order
	}
	s.LayUps = remember(s.LayUps, Reading{Entry: d.ID, What: "lay-up", AtMS: d.at.UnixMilli(), Instruments: a.Instruments, Bench: a.Bench, Blob: a.Blob})
}

// move takes the set and its pieces to a station.
func (s *SetState) move(to Station) {
	if to == "" {
		return
	}
	for i := range s.At {
		s.At[i] = to
	}
}

// pieceChanged follows what is done to one of the set's pieces.
func (s *SetState) pieceChanged(id string, d doing) {
	if i := slices.Index(s.Pieces, id); i >= 0 && d.to != "" {
		s.At[i] = d.to
	}
	if disturbs(d.act) == "" {
		return
	}
	expire(s.LayUps, d)
	if s.Verdict != "" && s.Stale == "" {
		s.Stale = d.act.Word()
	}
	s.Certificate, s.Packed = "", false
}

// stands is where the set stands: where the least advanced of its pieces does.
func (s *SetState) stands() Station {
	if s.Parted != "" {
		return Heap
	}
	order := Stations()
	least := len(order) - 1
	for _, at := range s.At {
		least = min(least, max(0, slices.Index(order, at)))
	}
	return order[least]
}

// foldOther folds what is not stone.
func (h *held) foldOther(d doing) {
	switch s := h.state.(type) {
	case *InstrumentState:
		s.fold(d)
	case *ToolState:
		switch a := d.act.(type) {
		case *TakeIn:
			s.ToolFacts = *a.Tool
		case *Read:
			if a.What == "bit-height" && a.Value != nil {
				s.HeightMM = *a.Value
			}
		}
	case *RoomState:
		switch a := d.act.(type) {
		case *TakeIn:
			s.RoomFacts = *a.Room
		case *Read:
			s.Readings = remember(s.Readings, reading(a, d))
		}
	case *BatchState:
		switch a := d.act.(type) {
		case *TakeIn:
			s.BatchFacts = *a.Batch
		case *Read:
			if a.What == "moisture" && a.Value != nil {
				s.MoisturePercent = *a.Value
			}
			if a.What == "moisture" && a.Blob != "" {
				s.Weighed, s.WeighedMS = a.Blob, d.at.UnixMilli()
			}
		}
	default:
		h.foldPaper(d)
	}
}

// foldPaper folds what the office keeps.
func (h *held) foldPaper(d doing) {
	switch s := h.state.(type) {
	case *OrderState:
		if a, ok := d.act.(*TakeIn); ok {
			s.OrderFacts = *a.Order
		}
	case *CertificateState:
		if a, ok := d.act.(*Certify); ok {
			s.Set, s.Digest, s.Blob, s.Key, s.AtMS = a.Set, a.Digest, a.Blob, a.Key, d.at.UnixMilli()
			h.Parent = set(a.Set)
		}
	case *ShipmentState:
		if a, ok := d.act.(*Ship); ok {
			s.Sets, s.Order, s.To = a.Sets, a.Order, a.To
		}
	case *PersonState:
		if a, ok := d.act.(*Appoint); ok {
			s.Role, s.Gone = a.Role, a.Gone
			if a.Called != "" {
				s.Called = a.Called
			}
		}
	case *MillState:
		s.fold(d)
	}
}

func (s *InstrumentState) fold(d doing) {
	switch a := d.act.(type) {
	case *TakeIn:
		s.Sort, s.UMM, s.IntervalDays = a.Instrument.Sort, a.Instrument.UMM, a.Instrument.IntervalDays
		if at := a.Instrument.CalibratedAt; at != nil {
			s.Calibrations = []Calibration{{AtMS: at.UnixMilli(), DueMS: at.AddDate(0, 0, s.IntervalDays).UnixMilli(), Good: true}}
		}
	case *Read:
		if a.What == Study {
			s.Studies = remember(s.Studies, reading(a, d))
		}
	case *Calibrate:
		s.Calibrations = append(s.Calibrations, Calibration{d.at.UnixMilli(), a.Due.UnixMilli(), a.Good})
		if len(s.Calibrations) > mostReadings {
			s.Calibrations = slices.Delete(s.Calibrations, 0, len(s.Calibrations)-mostReadings)
		}
	}
}

func (s *MillState) fold(d doing) {
	switch a := d.act.(type) {
	case *Settle:
		s.settle(a)
	case *Appoint:
		i, there := slices.BinarySearch(s.Leads, a.Person)
		switch lead := a.Role == Lead && !a.Gone; {
		case lead && !there:
			s.Leads = slices.Insert(s.Leads, i, a.Person)
		case !lead && there:
			s.Leads = slices.Delete(s.Leads, i, i+1)
		}
	}
}
