package book

import (
	"encoding/json"
	"time"
)

// Act is what was done to one or more things. Each act is a struct of its own; its JSON is the body of a journal entry. Lengths
// are mm, masses kg, temperatures °C, moisture and relative humidity per cent.
type Act interface {
	Word() string    // the act's word in the journal
	Validate() error // what can be seen from the act alone; errors name the field
}

// TakeIn takes a thing into the book that comes from outside: a layer that is opened, an instrument, a batch, an order, bought
// stone. The part that describes the thing's kind must be there, the others must not. A person is taken in by Appoint.
type TakeIn struct {
	Thing      Ref              `json:"thing" doc:"What is taken in, as kind:number" example:"instrument:DIAL-2"`
	Note       string           `json:"note,omitempty" maxLength:"500"`
	Layer      *LayerFacts      `json:"layer,omitempty"`
	Stone      *StoneFacts      `json:"stone,omitempty" doc:"For a block, slab or piece that was bought or is found in stock"`
	Instrument *InstrumentFacts `json:"instrument,omitempty" doc:"For an instrument or a bench"`
	Tool       *ToolFacts       `json:"tool,omitempty" doc:"For a disc or a bit set"`
	Room       *RoomFacts       `json:"room,omitempty"`
	Batch      *BatchFacts      `json:"batch,omitempty" doc:"For a board batch or a glue batch"`
	Order      *OrderFacts      `json:"order,omitempty"`
}

// LayerFacts describe a layer of the quarry.
type LayerFacts struct {
	ThicknessMM float64 `json:"thickness_mm" minimum:"0"`
	DensityKgM3 float64 `json:"density_kg_m3,omitempty" minimum:"0"`
}

// StoneFacts describe a block, slab or piece. Zero is "not known".
type StoneFacts struct {
	From        string  `json:"from,omitempty" doc:"Number of the layer, block or slab it came from, if the book has it"`
	LengthMM    float64 `json:"length_mm,omitempty" minimum:"0" doc:"The longer side"`
	WidthMM     float64 `json:"width_mm,omitempty" minimum:"0"`
	ThicknessMM float64 `json:"thickness_mm,omitempty" minimum:"0"`
	MassKg      float64 `json:"mass_kg,omitempty" minimum:"0"`
	MarkedOn    Surface `json:"marked_on,omitempty" doc:"Where its number stands"`
}

// Surface is a place on a piece where a number can stand.
type Surface string

// The surfaces of a piece: its faces, its four edges, and nowhere.
const (
	OnTop    Surface = "top"
	OnBottom Surface = "bottom"
	OnEdge   Surface = "edge"
	OnLining Surface = "lining"
	Nowhere  Surface = "nowhere" // the number is gone and must be put on again
)

// InstrumentFacts describe an instrument or a bench.
type InstrumentFacts struct {
	Sort         string     `json:"sort" doc:"dial, opposed-dials, straightedge, level, scanner, tape, scale, caliper, hygrometer, moisture-meter, bench"`
	UMM          float64    `json:"u_mm,omitempty" minimum:"0" doc:"Standard uncertainty of one reading, mm"`
	IntervalDays int        `json:"interval_days" minimum:"0" doc:"Days between calibrations; 0 for one that needs none"`
	CalibratedAt *time.Time `json:"calibrated_at,omitempty" doc:"Last calibration, if there was one before it came"`
}

// ToolFacts describe a disc or a bit set.
type ToolFacts struct {
	DiameterMM float64 `json:"diameter_mm,omitempty" minimum:"0"`
	Grit       string  `json:"grit,omitempty"`
	Bits       int     `json:"bits,omitempty" minimum:"0"`
}

// RoomFacts describe a seasoning room.
type RoomFacts struct {
	Places int `json:"places,omitempty" minimum:"0" doc:"Pieces it holds"`
}

// BatchFacts describe a batch of boards or glue.
type BatchFacts struct {
	Sort            string     `json:"sort" doc:"MDF moisture resistant, PUR, epoxy …"`
	ThicknessMM     float64    `json:"thickness_mm,omitempty" minimum:"0"`
	MoisturePercent float64    `json:"moisture_percent,omitempty" minimum:"0" maximum:"40"`
	UseBefore       *time.Time `json:"use_before,omitempty"`
}

// OrderFacts describe an order of sets.
type OrderFacts struct {
	Size  string    `json:"size" doc:"7 ft, 8 ft, 9 ft, 12 ft"`
	Class string    `json:"class,omitempty"`
	Sets  int       `json:"sets" minimum:"1"`
	Due   time.Time `json:"due"`
}

// Survey is a look at a layer or a block before it is cut: cracks, veins, measures.
type Survey struct {
	Thing       Ref      `json:"thing" doc:"A layer or a block"`
	Instruments []string `json:"instruments,omitempty"`
	Cracks      int      `json:"cracks" minimum:"0"`
	ClearMM     float64  `json:"clear_mm,omitempty" minimum:"0" doc:"Longest clear length found"`
	Blob        string   `json:"blob,omitempty" doc:"Digest of the map, photograph or scan"`
	Note        string   `json:"note,omitempty" maxLength:"2000"`
}

// Lift takes a block out of a layer.
type Lift struct {
	Block string     `json:"block"`
	Layer string     `json:"layer"`
	Stone StoneFacts `json:"stone"`
	Note  string     `json:"note,omitempty" maxLength:"500"`
}

// Slice makes slabs of a block, by saw or by splitting. Last says that nothing of the block is left.
type Slice struct {
	Block string     `json:"block"`
	How   string     `json:"how" enum:"sawn,cleaved"`
	Disc  string     `json:"disc,omitempty"`
	Slabs []NewStone `json:"slabs" minItems:"1" maxItems:"40"`
	Last  bool       `json:"last"`
}

// NewStone is a slab or a piece that comes into being by a cut.
type NewStone struct {
	ID    string     `json:"id"`
	Stone StoneFacts `json:"stone"`
}

// Cut makes pieces of a slab. Last says that nothing of the slab is left.
type Cut struct {
	Slab   string     `json:"slab"`
	Disc   string     `json:"disc,omitempty"`
	Pieces []NewStone `json:"pieces" minItems:"1" maxItems:"40"`
	Last   bool       `json:"last"`
}

// Reject takes a block, slab or piece out of the way of good stone, with its cause.
type Reject struct {
	Thing Ref    `json:"thing" doc:"A block, slab or piece"`
	Cause string `json:"cause" enum:"crack,vein,thickness,flatness,joint,hole,pocket,chip,glue,mark"`
	Note  string `json:"note,omitempty" maxLength:"2000"`
}

// Surfaced is a pass or more of the surfacing machine over one face; its word is surface.
type Surfaced struct {
	Piece    string  `json:"piece"`
	Machine  string  `json:"machine"`
	Face     string  `json:"face" enum:"top,bottom"`
	Stage    string  `json:"stage" enum:"rough,middle,fine"`
	DepthMM  float64 `json:"depth_mm" minimum:"0" doc:"Depth asked for"`
	FeedMMin float64 `json:"feed_m_min,omitempty" minimum:"0"`
	Disc     string  `json:"disc,omitempty"`
	Bits     string  `json:"bits,omitempty" doc:"Number of the bit set"`
	MarkNow  Surface `json:"mark_now,omitempty" doc:"Where the number now stands; needed when the face carried it"`
}

// Mark puts a piece's number on it, or says where it now stands. A piece that had lost its number is marked again by a person
// other than the one who searched for it.
type Mark struct {
	Piece      string  `json:"piece"`
	On         Surface `json:"on"`
	SearchedBy string  `json:"searched_by,omitempty" doc:"Who ranked the candidates; needed when the number was lost"`
	Note       string  `json:"note,omitempty" maxLength:"500"`
}

// Read is a reading of any kind. Face readings carry the file as a blob; a single value stands in Value.
type Read struct {
	Thing           Ref      `json:"thing" doc:"What was read: a piece, set, slab, block, board batch, room or bench"`
	What            string   `json:"what" enum:"top,bottom,thickness,straightedge,level,gap,moisture,climate,bit-height,other"`
	Instruments     []string `json:"instruments" minItems:"1"`
	Bench           string   `json:"bench,omitempty"`
	Support         string   `json:"support,omitempty" doc:"As in a readings file: bench, lines 0.22, points …"`
	TopC            *float64 `json:"top_c,omitempty" doc:"Temperature of the top face"`
	BottomC         *float64 `json:"bottom_c,omitempty"`
	HumidityPercent *float64 `json:"humidity_percent,omitempty" minimum:"0" maximum:"100"`
	Value           *float64 `json:"value,omitempty"`
	Unit            string   `json:"unit,omitempty"`
	Blob            string   `json:"blob,omitempty" doc:"Digest of the readings file or scan"`
	Wet             bool     `json:"wet,omitempty"`
}

// Match proposes that three pieces become a set. Nothing moves yet.
type Match struct {
	Pieces []string `json:"pieces" minItems:"2" maxItems:"7" doc:"From head to foot"`
	StepMM float64  `json:"step_mm,omitempty" minimum:"0" doc:"Largest predicted step"`
	ZoneMM float64  `json:"zone_mm,omitempty" minimum:"0"`
	Order  string   `json:"order,omitempty"`
}

// LayUp lays the pieces dry on the bench as one bed and reads the steps; from then on the set exists.
type LayUp struct {
	Set         string    `json:"set"`
	Pieces      []string  `json:"pieces" minItems:"2" maxItems:"7" doc:"From head to foot"`
	Bench       string    `json:"bench,omitempty"`
	Instruments []string  `json:"instruments,omitempty"`
	StepsMM     []float64 `json:"steps_mm" doc:"Largest step of each joint, as read"`
	Blob        string    `json:"blob,omitempty" doc:"Digest of the lay-up file"`
	Order       string    `json:"order,omitempty"`
}

// DressJoint takes stone off an edge by hand so that a joint closes.
type DressJoint struct {
	Piece   string  `json:"piece"`
	Joint   string  `json:"joint" enum:"head,foot" doc:"Which edge of the piece: the one toward the head or toward the foot"`
	DepthMM float64 `json:"depth_mm" minimum:"0"`
	Tool    string  `json:"tool,omitempty"`
}

// PartSet ends a set; its pieces are free again.
type PartSet struct {
	Set string `json:"set"`
	Why string `json:"why" minLength:"1" maxLength:"2000"`
}

// Resize cuts a piece for a smaller bed.
type Resize struct {
	Piece    string  `json:"piece"`
	To       string  `json:"to" enum:"7 ft,8 ft,9 ft"`
	LengthMM float64 `json:"length_mm" minimum:"0"`
	WidthMM  float64 `json:"width_mm" minimum:"0"`
	Disc     string  `json:"disc,omitempty"`
	MarkNow  Surface `json:"mark_now,omitempty" doc:"Where the number now stands; needed when an edge carried it"`
}

// Drill makes the holes and pockets of a piece.
type Drill struct {
	Piece   string  `json:"piece"`
	Pattern string  `json:"pattern" doc:"Name and revision of the bed specification"`
	Holes   int     `json:"holes" minimum:"0"`
	Pockets int     `json:"pockets" minimum:"0"`
	Bits    string  `json:"bits,omitempty"`
	MarkNow Surface `json:"mark_now,omitempty"`
}

// Check compares holes, pockets, size or lining of a piece with its drawing.
type Check struct {
	Piece       string   `json:"piece"`
	What        string   `json:"what" enum:"holes,pockets,size,lining,chips"`
	Instruments []string `json:"instruments,omitempty"`
	WorstMM     float64  `json:"worst_mm" minimum:"0" doc:"Largest deviation found"`
	Good        bool     `json:"good"`
	Note        string   `json:"note,omitempty" maxLength:"2000"`
}

// Weigh reads the mass of a block, slab, piece or set.
type Weigh struct {
	Thing  Ref     `json:"thing"`
	Scale  string  `json:"scale" doc:"Number of the instrument"`
	MassKg float64 `json:"mass_kg" minimum:"0"`
}

// EnterRoom takes a piece into a seasoning room.
type EnterRoom struct {
	Piece string `json:"piece"`
	Room  string `json:"room"`
}

// LeaveRoom takes a piece out of its room. Released says why the lead lets it go before its time.
type LeaveRoom struct {
	Piece    string `json:"piece"`
	Released string `json:"released,omitempty" maxLength:"2000"`
}

// GlueLining glues the lining under a piece.
type GlueLining struct {
	Piece           string   `json:"piece"`
	BoardBatch      string   `json:"board_batch"`
	GlueBatch       string   `json:"glue_batch"`
	Layout          string   `json:"layout,omitempty" doc:"full, strips, pads"`
	MoisturePercent float64  `json:"moisture_percent,omitempty" minimum:"0" maximum:"40"`
	AirC            *float64 `json:"air_c,omitempty"`
	HumidityPercent *float64 `json:"humidity_percent,omitempty" minimum:"0" maximum:"100"`
	PressMinutes    float64  `json:"press_minutes,omitempty" minimum:"0"`
	MarkNow         Surface  `json:"mark_now,omitempty" doc:"Where the number now stands; needed when the bottom carried it"`
}

// Ream clears the holes of a lined piece through the lining.
type Ream struct {
	Piece string `json:"piece"`
	Holes int    `json:"holes" minimum:"0"`
}

// Finish chamfers and cleans a piece by hand.
type Finish struct {
	Piece   string  `json:"piece"`
	Note    string  `json:"note,omitempty" maxLength:"500"`
	MarkNow Surface `json:"mark_now,omitempty"`
}

// Repair mends a chip or a crack.
type Repair struct {
	Piece     string `json:"piece"`
	What      string `json:"what" minLength:"1" maxLength:"500"`
	GlueBatch string `json:"glue_batch,omitempty"`
}

// Judge is a verdict on a set, with the evidence it rests on.
type Judge struct {
	Set     string            `json:"set"`
	Verdict string            `json:"verdict" enum:"conforms,does not conform,cannot tell"`
	Next    string            `json:"next,omitempty" maxLength:"500"`
	Blob    string            `json:"blob,omitempty" doc:"Digest of the full judgement"`
	Answers map[string]string `json:"answers,omitempty" doc:"The mill's answers that the verdict used"`
}

// Certify seals the verdict on a set. It needs the inspector's passphrase again.
type Certify struct {
	Set         string            `json:"set"`
	Certificate string            `json:"certificate" doc:"Number of the certificate"`
	Digest      string            `json:"digest" doc:"Digest that the certificate's seal signs"`
	Blob        string            `json:"blob" doc:"Digest of the certificate file"`
	Key         string            `json:"key" doc:"Id of the key that signed it"`
	Answers     map[string]string `json:"answers,omitempty"`
}

// Pack puts a set in its crate: the codes of all its pieces were read.
type Pack struct {
	Set    string   `json:"set"`
	Codes  []string `json:"codes" minItems:"2" maxItems:"7" doc:"The pieces' numbers as read from their marks, in any order"`
	MassKg float64  `json:"mass_kg,omitempty" minimum:"0"`
}

// Ship sends packed sets away.
type Ship struct {
	Shipment string   `json:"shipment"`
	Sets     []string `json:"sets" minItems:"1" maxItems:"60"`
	Order    string   `json:"order,omitempty"`
	To       string   `json:"to,omitempty" maxLength:"200" doc:"Place, not a person"`
}

// Return takes a shipped set back.
type Return struct {
	Set       string `json:"set"`
	Complaint string `json:"complaint" minLength:"1" maxLength:"2000"`
}

// Calibrate records a calibration of an instrument or a bench.
type Calibrate struct {
	Thing   Ref       `json:"thing" doc:"An instrument or a bench"`
	Good    bool      `json:"good"`
	ErrorMM float64   `json:"error_mm,omitempty"`
	Due     time.Time `json:"due" doc:"When the next one is due"`
	Blob    string    `json:"blob,omitempty"`
	By      string    `json:"by,omitempty" maxLength:"200" doc:"Laboratory or method"`
}

// Correct says that an earlier entry was wrong and why. With Act and Body it stands in that entry's place, at that entry's
// time or at At; without them the entry is struck out.
type Correct struct {
	Entry string          `json:"entry" doc:"Id of the entry it corrects"`
	Why   string          `json:"why" minLength:"1" maxLength:"2000"`
	Act   string          `json:"act,omitempty"`
	Body  json.RawMessage `json:"body,omitempty"`
	At    *time.Time      `json:"at,omitempty"`
}

// Appoint takes a person into the book or changes the person's role. Persons are called by what they do.
type Appoint struct {
	Person string `json:"person"`
	Role   Role   `json:"role" enum:"visitor,hand,inspector,lead"`
	Called string `json:"called,omitempty" maxLength:"80" doc:"As shown: first hand at the saw"`
	Gone   bool   `json:"gone,omitempty" doc:"Has left the mill and may do nothing more"`
}

// Settle writes down the mill's own answers and its route. The first entry of every book is one.
type Settle struct {
	Name    string            `json:"name" minLength:"1" maxLength:"80"`
	Answers map[string]string `json:"answers"`
	Route   *Route            `json:"route,omitempty" doc:"The whole route; nothing keeps the one in force"`
	Demo    bool              `json:"demo,omitempty" doc:"Invented data; can never be taken back"`
	Note    string            `json:"note,omitempty" maxLength:"500"`
}
