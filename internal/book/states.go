package book

import (
	"encoding/json"
	"fmt"
)

// Common is the part of a state that every kind of thing has.
type Common struct {
	BornMS int64     `json:"born_ms,omitempty"`   // when it came into the book
	Relied int64     `json:"relied_ms,omitempty"` // no entry after this time relied on it without changing it; it may be later than the last that did
	Met    []Meeting `json:"met,omitempty"`       // instruments, tools, rooms, batches and orders that touched it; sorted
}

func (c *Common) common() *Common { return c }

// state is what every state type has.
type state interface{ common() *Common }

// Reading is one reading of a thing, and what ended its use for certification.
type Reading struct {
	Entry       string   `json:"entry"`
	What        string   `json:"what"` // as in Read, or "lay-up"
	AtMS        int64    `json:"at_ms"`
	Instruments []string `json:"instruments,omitempty"`
	Bench       string   `json:"bench,omitempty"`
	Support     string   `json:"support,omitempty"`
	Blob        string   `json:"blob,omitempty"`
	Value       *float64 `json:"value,omitempty"`
	Unit        string   `json:"unit,omitempty"`
	Wet         bool     `json:"wet,omitempty"`
	ExpiredBy   string   `json:"expired_by,omitempty"` // the entry that took stone, wetted, glued, drilled or seasoned
	ExpiredAct  string   `json:"expired_act,omitempty"`
	ExpiredMS   int64    `json:"expired_ms,omitempty"`
}

// StoneState is what layers, blocks, slabs and pieces share. Lengths in mm, mass in kg; zero is not known.
type StoneState struct {
	LengthMM    float64   `json:"length_mm,omitempty"`
	WidthMM     float64   `json:"width_mm,omitempty"`
	ThicknessMM float64   `json:"thickness_mm,omitempty"`
	Reckoned    bool      `json:"thickness_reckoned,omitempty"` // the thickness was not read since a pass took stone off
	MassKg      float64   `json:"mass_kg,omitempty"`
	Rejected    string    `json:"rejected,omitempty"` // the cause
	UsedUp      bool      `json:"used_up,omitempty"`  // nothing is left of it
	Readings    []Reading `json:"readings,omitempty"` // the last of each kind and the expired ones before, at most mostReadings
}

// mostReadings bounds what a state remembers; the journal has all.
const mostReadings = 40

// LayerState is a layer of the quarry.
type LayerState struct {
	Common
	ThicknessMM float64 `json:"thickness_mm,omitempty"`
	DensityKgM3 float64 `json:"density_kg_m3,omitempty"`
	Cracks      int     `json:"cracks,omitempty"`
	ClearMM     float64 `json:"clear_mm,omitempty"`
	Map         string  `json:"map,omitempty"` // blob of the last survey
}

// BlockState is a block.
type BlockState struct {
	Common
	StoneState
	Cracks int `json:"cracks,omitempty"`
}

// SlabState is a slab or leaf.
type SlabState struct {
	Common
	StoneState
}

// PieceState is a piece of a bed.
type PieceState struct {
	Common
	StoneState
	MarkedOn   Surface  `json:"marked_on,omitempty"` // "" when nobody said; Nowhere when it must be put on again
	Size       string   `json:"size,omitempty"`      // 9 ft …, when it was resized
	Set        string   `json:"set,omitempty"`
	Sets       []string `json:"former_sets,omitempty"` // that were parted
	laid       bool     // the last lay-up laid up the set it was already in
	Room       string   `json:"room,omitempty"` // while it is in one
	InRoomMS   int64    `json:"in_room_ms,omitempty"`
	Seasoned   float64  `json:"seasoned_days,omitempty"` // days in a room, the last stay
	Released   string   `json:"released,omitempty"`      // why the lead let it go early
	Pattern    string   `json:"pattern,omitempty"`       // it is drilled to this
	Lined      bool     `json:"lined,omitempty"`
	GluedMS    int64    `json:"glued_ms,omitempty"` // the lining cures since
	Reamed     bool     `json:"reamed,omitempty"`
	Finished   bool     `json:"finished,omitempty"`
	Repairs    int      `json:"repairs,omitempty"`
	Surfaced   int      `json:"surfacings,omitempty"`
	FacedMS    int64    `json:"faced_ms,omitempty"`     // the last pass over its playing face
	LeftRoomMS int64    `json:"left_room_ms,omitempty"` // when it last left a room
	CheckGood  *bool    `json:"check_good,omitempty"`   // of the last check
}

// SetState is a set of matched pieces.
type SetState struct {
	Common
	Pieces      []string          `json:"pieces"` // from head to foot
	At          []Station         `json:"pieces_at"`
	StepsMM     []float64         `json:"steps_mm"`
	Turned      []string          `json:"turned,omitzero"` // pieces that lay turned end for end at the last lay-up; nil: it did not say
	Order       string            `json:"order,omitempty"`
	LayUps      []Reading         `json:"lay_ups,omitempty"`
	Readings    []Reading         `json:"readings,omitempty"`
	MassKg      float64           `json:"mass_kg,omitempty"`
	Verdict     string            `json:"verdict,omitempty"`
	JudgedMS    int64             `json:"judged_ms,omitempty"`
	Answers     map[string]string `json:"verdict_answers,omitempty"` // the mill's answers that the verdict used
	JudgedBy    string            `json:"judged_by,omitempty"`       // the entry; a reading that was written down or corrected after it was not judged
	CertifiedBy string            `json:"certified_by,omitempty"`    // the entry
	Stale       string            `json:"verdict_stale,omitempty"`   // the act that changed a piece after the verdict
	Next        string            `json:"next,omitempty"`
	Certificate string            `json:"certificate,omitempty"`
	Packed      bool              `json:"packed,omitempty"`
	Shipment    string            `json:"shipment,omitempty"`
	Complaints  []string          `json:"complaints,omitempty"`
	Parted      string            `json:"parted,omitempty"` // why
	PartedMS    int64             `json:"parted_ms,omitempty"`
}

// CertificateState is a certificate.
type CertificateState struct {
	Common
	Set    string `json:"set"`
	Digest string `json:"digest"`
	Blob   string `json:"blob"`
	Key    string `json:"key"`
	AtMS   int64  `json:"at_ms"`
}

// ShipmentState is a shipment.
type ShipmentState struct {
	Common
	Sets  []string `json:"sets"`
	Order string   `json:"order,omitempty"`
	To    string   `json:"to,omitempty"`
}

// Calibration is one calibration of an instrument.
type Calibration struct {
	AtMS  int64 `json:"at_ms"`
	DueMS int64 `json:"due_ms"`
	Good  bool  `json:"good"`
}

// InstrumentState is an instrument or a bench.
type InstrumentState struct {
	Common
	Sort         string        `json:"sort"`
	UMM          float64       `json:"u_mm,omitempty"`
	IntervalDays int           `json:"interval_days"`
	Calibrations []Calibration `json:"calibrations,omitempty"` // the last mostReadings
	Studies      []Reading     `json:"studies,omitempty"`      // of how well it repeats: the last mostReadings
}

// ToolState is a disc or a bit set.
type ToolState struct {
	Common
	ToolFacts
	HeightMM float64 `json:"bit_height_mm,omitempty"` // as last read
}

// RoomState is a seasoning room.
type RoomState struct {
	Common
	RoomFacts
	Readings []Reading `json:"readings,omitempty"` // the last mostReadings of its climate
}

// BatchState is a batch of boards or glue.
type BatchState struct {
	Common
	BatchFacts
	Weighed   string `json:"weighed,omitempty"`    // digest of the last list that was read of it: the air, a weighed sample board, and what is asked of them
	WeighedMS int64  `json:"weighed_ms,omitempty"` // when
}

// OrderState is an order.
type OrderState struct {
	Common
	OrderFacts
}

// PersonState is a person, called by what the person does.
type PersonState struct {
	Common
	Role   Role   `json:"role"`
	Called string `json:"called,omitempty"`
	Gone   bool   `json:"gone,omitempty"`
}

// MillState holds the mill's answers and its route.
type MillState struct {
	Common
	Name    string            `json:"name"`
	Answers map[string]string `json:"answers"`
	Route   Route             `json:"route"`
	Demo    bool              `json:"demo,omitempty"`
	Leads   []string          `json:"leads,omitempty"` // persons who are leads now; sorted
}

// newState makes an empty state of a kind.
func newState(k Kind) state {
	switch k {
	case KindMill:
		return &MillState{}
	case KindPerson:
		return &PersonState{}
	case KindLayer:
		return &LayerState{}
	case KindBlock:
		return &BlockState{}
	case KindSlab:
		return &SlabState{}
	case KindPiece:
		return &PieceState{}
	case KindSet:
		return &SetState{}
	case KindCertificate:
		return &CertificateState{}
	case KindShipment:
		return &ShipmentState{}
	case KindInstrument, KindBench:
		return &InstrumentState{}
	case KindDisc, KindBitSet:
		return &ToolState{}
	case KindRoom:
		return &RoomState{}
	case KindBoardBatch, KindGlueBatch:
		return &BatchState{}
	case KindOrder:
		return &OrderState{}
	}
	panic("book: no state for " + string(k))
}

// StateOf decodes the state of a thing into the type of its kind: *PieceState, *SetState …; a bench has an *InstrumentState, a
// bit set a *ToolState.
func StateOf(t Thing) (any, error) { return decodeState(t) }

func decodeState(t Thing) (state, error) {
	s := newState(t.Kind)
	if err := json.Unmarshal(t.State, s); err != nil {
		return nil, fmt.Errorf("book: the state of %s cannot be read: %w", t.Ref, err)
	}
	return s, nil
}

// stone returns the stone's part of a state, nil when it has none.
func stone(s state) *StoneState {
	switch s := s.(type) {
	case *BlockState:
		return &s.StoneState
	case *SlabState:
		return &s.StoneState
	case *PieceState:
		return &s.StoneState
	}
	return nil
}
