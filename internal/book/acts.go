package book

import (
	"encoding/json"
	"time"
)

// Act is what was done to one or more things. Each act is a struct of its own; its JSON is the body of a journal entry. Lengths
// are mm, masses kg, temperatures °C, moisture and relative humidity per cent. What a single field may hold stands in its tags,
// which package field checks; their ranges are wide enough for any mill and narrow enough for a slipped unit: common practice, no source.
type Act interface {
	Word() string    // the act's word in the journal
	Validate() error // what can be seen from the act alone; errors name the field
}

// TakeIn takes a thing into the book that comes from outside: a layer that is opened, an instrument, a batch, an order, bought
// stone. The part that describes the thing's kind must be there, the others must not. A person is taken in by Appoint.
type TakeIn struct {
	Thing      Ref              `json:"thing" doc:"What is taken in, as kind:number" example:"instrument:DIAL-2" kinds:"layer,block,slab,piece,instrument,bench,disc,bit-set,room,board-batch,glue-batch,order"`
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
	ThicknessMM float64 `json:"thickness_mm" minimum:"0" maximum:"100000"`
	DensityKgM3 float64 `json:"density_kg_m3,omitempty" minimum:"0" maximum:"4000"`
}

// StoneFacts describe a block, slab or piece. Zero is "not known".
type StoneFacts struct {
	From        string  `json:"from,omitempty" doc:"Number of the layer, block or slab it came from, if the book has it" form:"id"`
	LengthMM    float64 `json:"length_mm,omitempty" minimum:"0" doc:"The longer side" maximum:"20000"`
	WidthMM     float64 `json:"width_mm,omitempty" minimum:"0" maximum:"20000"`
	ThicknessMM float64 `json:"thickness_mm,omitempty" minimum:"0" maximum:"3000"`
	MassKg      float64 `json:"mass_kg,omitempty" minimum:"0" maximum:"60000"`
	MarkedOn    Surface `json:"marked_on,omitempty" doc:"Where its number stands" enum:"top,bottom,edge,lining,nowhere"`
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
	Sort         string     `json:"sort" doc:"dial, opposed-dials, straightedge, level, scanner, tape, scale, caliper, hygrometer, moisture-meter, bench" minLength:"1" maxLength:"60"`
	UMM          float64    `json:"u_mm,omitempty" minimum:"0" doc:"Standard uncertainty of one reading, mm" maximum:"10"`
	IntervalDays int        `json:"interval_days" minimum:"0" doc:"Days between calibrations; 0 for one that needs none" maximum:"7300"`
	CalibratedAt *time.Time `json:"calibrated_at,omitempty" doc:"Last calibration, if there was one before it came"`
}

// ToolFacts describe a disc or a bit set.
type ToolFacts struct {
	DiameterMM float64 `json:"diameter_mm,omitempty" minimum:"0" maximum:"10000"`
	Grit       string  `json:"grit,omitempty"`
	Bits       int     `json:"bits,omitempty" minimum:"0" maximum:"1000"`
}

// RoomFacts describe a seasoning room.
type RoomFacts struct {
	Places int `json:"places,omitempty" minimum:"0" doc:"Pieces it holds" maximum:"100000"`
}

// BatchFacts describe a batch of boards or glue.
type BatchFacts struct {
	Sort            string     `json:"sort" doc:"MDF moisture resistant, PUR, epoxy …" minLength:"1" maxLength:"100"`
	ThicknessMM     float64    `json:"thickness_mm,omitempty" minimum:"0" maximum:"200"`
	MoisturePercent float64    `json:"moisture_percent,omitempty" minimum:"0" maximum:"40"`
	UseBefore       *time.Time `json:"use_before,omitempty"`
}

// OrderFacts describe an order of sets.
type OrderFacts struct {
	Size  string    `json:"size" enum:"7 ft,8 ft,9 ft,12 ft" minLength:"1" maxLength:"20"`
	Class string    `json:"class,omitempty" maxLength:"40"`
	Sets  int       `json:"sets" minimum:"1" maximum:"10000"`
	Due   time.Time `json:"due"`
}

// Survey is a look at a layer or a block before it is cut: cracks, veins, measures.
type Survey struct {
	Thing       Ref      `json:"thing" doc:"A layer or a block" kinds:"layer,block"`
	Instruments []string `json:"instruments,omitempty" form:"id" uniqueItems:"true"`
	Cracks      int      `json:"cracks" minimum:"0" maximum:"10000"`
	ClearMM     float64  `json:"clear_mm,omitempty" minimum:"0" doc:"Longest clear length found" maximum:"100000"`
	Blob        string   `json:"blob,omitempty" doc:"Digest of the map, photograph or scan" form:"digest"`
	Note        string   `json:"note,omitempty" maxLength:"2000"`
}

// Lift takes a block out of a layer.
type Lift struct {
	Block string     `json:"block" form:"id"`
	Layer string     `json:"layer" form:"id"`
	Stone StoneFacts `json:"stone"`
	Note  string     `json:"note,omitempty" maxLength:"500"`
}

// Slice makes slabs of a block, by saw or by splitting. Last says that nothing of the block is left.
type Slice struct {
	Block string     `json:"block" form:"id"`
	How   string     `json:"how" enum:"sawn,cleaved"`
	Disc  string     `json:"disc,omitempty" form:"id"`
	Slabs []NewStone `json:"slabs" minItems:"1" maxItems:"40"`
	Last  bool       `json:"last"`
}

// NewStone is a slab or a piece that comes into being by a cut.
type NewStone struct {
	ID    string     `json:"id" form:"id"`
	Stone StoneFacts `json:"stone"`
}

// Cut makes pieces of a slab. Last says that nothing of the slab is left.
type Cut struct {
	Slab   string     `json:"slab" form:"id"`
	Disc   string     `json:"disc,omitempty" form:"id"`
	Pieces []NewStone `json:"pieces" minItems:"1" maxItems:"40"`
	Last   bool       `json:"last"`
}

// Reject takes a block, slab or piece out of the way of good stone, with its cause.
type Reject struct {
	Thing Ref    `json:"thing" doc:"A block, slab or piece" kinds:"block,slab,piece"`
	Cause string `json:"cause" enum:"crack,vein,thickness,flatness,joint,hole,pocket,chip,glue,mark"`
	Note  string `json:"note,omitempty" maxLength:"2000"`
}

// Surfaced is a pass or more of the surfacing machine over one face; its word is surface.
type Surfaced struct {
	Piece    string  `json:"piece" form:"id"`
	Machine  string  `json:"machine" minLength:"1" maxLength:"60"`
	Face     string  `json:"face" enum:"top,bottom"`
	Stage    string  `json:"stage" enum:"rough,middle,fine"`
	DepthMM  float64 `json:"depth_mm" minimum:"0" doc:"Depth asked for" maximum:"200"`
	FeedMMin float64 `json:"feed_m_min,omitempty" minimum:"0" maximum:"100"`
	Disc     string  `json:"disc,omitempty" form:"id"`
	Bits     string  `json:"bits,omitempty" doc:"Number of the bit set" form:"id"`
	MarkNow  Surface `json:"mark_now,omitempty" doc:"Where the number now stands; needed when the face carried it" enum:"top,bottom,edge,lining,nowhere"`
}

// Mark puts a piece's number on it, or says where it now stands. A piece that had lost its number is marked again by a person
// other than the one who searched for it.
type Mark struct {
	Piece      string  `json:"piece" form:"id"`
	On         Surface `json:"on" enum:"top,bottom,edge,lining,nowhere"`
	SearchedBy string  `json:"searched_by,omitempty" doc:"Who ranked the candidates; needed when the number was lost" form:"id"`
	Note       string  `json:"note,omitempty" maxLength:"500"`
}

// Read is a reading of any kind. Face readings carry the file as a blob; a single value stands in Value.
type Read struct {
	Thing           Ref      `json:"thing" doc:"What was read: a piece, set, slab, block, board batch, room or bench; of a study, the instrument" kinds:"piece,set,slab,block,board-batch,glue-batch,room,bench,disc,bit-set,instrument"`
	What            string   `json:"what" enum:"top,bottom,thickness,straightedge,level,gap,moisture,climate,bit-height,study,other"`
	Instruments     []string `json:"instruments" minItems:"1" form:"id" uniqueItems:"true"`
	Bench           string   `json:"bench,omitempty" form:"id"`
	Support         string   `json:"support,omitempty" doc:"As in a readings file: bench, lines 0.22, points …"`
	TopC            *float64 `json:"top_c,omitempty" doc:"Temperature of the top face" minimum:"-40" maximum:"80"`
	BottomC         *float64 `json:"bottom_c,omitempty" minimum:"-40" maximum:"80"`
	HumidityPercent *float64 `json:"humidity_percent,omitempty" minimum:"0" maximum:"100"`
	Value           *float64 `json:"value,omitempty" maximum:"1000000"`
	Unit            string   `json:"unit,omitempty"`
	Blob            string   `json:"blob,omitempty" doc:"Digest of the readings file or scan" form:"digest"`
	Wet             bool     `json:"wet,omitempty"`
}

// Match proposes that three pieces become a set. Nothing moves yet. Turned is an empty list where none of the pieces is turned,
// and nil where nobody said how they lie.
type Match struct {
	Pieces []string `json:"pieces" minItems:"2" maxItems:"7" doc:"From head to foot" form:"id" uniqueItems:"true"`
	StepMM float64  `json:"step_mm,omitempty" minimum:"0" doc:"Largest predicted step" maximum:"50"`
	ZoneMM float64  `json:"zone_mm,omitempty" minimum:"0" maximum:"50"`
	Order  string   `json:"order,omitempty" form:"id"`
	Turned []string `json:"turned,omitzero" maxItems:"7" doc:"Which of the pieces are to lie turned end for end; an empty list: none" form:"id" uniqueItems:"true"`
}

// LayUp lays the pieces dry on the bench as one bed and reads the steps; from then on the set exists. Turned is as in Match.
type LayUp struct {
	Set         string    `json:"set" form:"id"`
	Pieces      []string  `json:"pieces" minItems:"2" maxItems:"7" doc:"From head to foot" form:"id" uniqueItems:"true"`
	Bench       string    `json:"bench,omitempty" form:"id"`
	Instruments []string  `json:"instruments,omitempty" form:"id" uniqueItems:"true"`
	StepsMM     []float64 `json:"steps_mm" maxItems:"6" doc:"Largest step of each joint, as read" minimum:"-50" maximum:"50"`
	Blob        string    `json:"blob,omitempty" doc:"Digest of the lay-up file" form:"digest"`
	Order       string    `json:"order,omitempty" form:"id"`
	Turned      []string  `json:"turned,omitzero" maxItems:"7" doc:"Which of the pieces lie turned end for end; an empty list: none" form:"id" uniqueItems:"true"`
}

// DressJoint takes stone off an edge by hand so that a joint closes.
type DressJoint struct {
	Piece   string  `json:"piece"`
	Joint   string  `json:"joint" enum:"head,foot" doc:"Which edge of the piece: the one toward the head or toward the foot"`
	DepthMM float64 `json:"depth_mm" minimum:"0" maximum:"200"`
	Tool    string  `json:"tool,omitempty"`
	MarkNow Surface `json:"mark_now,omitempty" enum:"top,bottom,edge,lining,nowhere" doc:"Where the number now stands; when it stood on that edge"`
}

// PartSet ends a set; its pieces are free again.
type PartSet struct {
	Set string `json:"set" form:"id"`
	Why string `json:"why" minLength:"1" maxLength:"2000"`
}

// Resize cuts a piece for a smaller bed.
type Resize struct {
	Piece    string  `json:"piece" form:"id"`
	To       string  `json:"to" enum:"7 ft,8 ft,9 ft"`
	LengthMM float64 `json:"length_mm" exclusiveMinimum:"0" maximum:"20000"`
	WidthMM  float64 `json:"width_mm" exclusiveMinimum:"0" maximum:"20000"`
	Disc     string  `json:"disc,omitempty" form:"id"`
	MarkNow  Surface `json:"mark_now,omitempty" doc:"Where the number now stands; needed when an edge carried it" enum:"top,bottom,edge,lining,nowhere"`
}

// Drill makes the holes and pockets of a piece.
type Drill struct {
	Piece   string  `json:"piece" form:"id"`
	Pattern string  `json:"pattern" doc:"Name and revision of the bed specification" minLength:"1" maxLength:"100"`
	Holes   int     `json:"holes" minimum:"0" maximum:"500"`
	Pockets int     `json:"pockets" minimum:"0" maximum:"50"`
	Bits    string  `json:"bits,omitempty" form:"id"`
	MarkNow Surface `json:"mark_now,omitempty" enum:"top,bottom,edge,lining,nowhere"`
}

// Check compares holes, pockets, size or lining of a piece with its drawing.
type Check struct {
	Piece       string   `json:"piece" form:"id"`
	What        string   `json:"what" enum:"holes,pockets,size,lining,chips"`
	Instruments []string `json:"instruments,omitempty" form:"id" uniqueItems:"true"`
	WorstMM     float64  `json:"worst_mm" minimum:"0" doc:"Largest deviation found" maximum:"100"`
	Good        bool     `json:"good"`
	Note        string   `json:"note,omitempty" maxLength:"2000"`
}

// Weigh reads the mass of a block, slab, piece or set.
type Weigh struct {
	Thing  Ref     `json:"thing" kinds:"block,slab,piece,set"`
	Scale  string  `json:"scale" doc:"Number of the instrument" form:"id"`
	MassKg float64 `json:"mass_kg" exclusiveMinimum:"0" maximum:"60000"`
}

// EnterRoom takes a piece into a seasoning room.
type EnterRoom struct {
	Piece string `json:"piece" form:"id"`
	Room  string `json:"room" form:"id"`
}

// LeaveRoom takes a piece out of its room. Released says why the lead lets it go before its time.
type LeaveRoom struct {
	Piece    string `json:"piece" form:"id"`
	Released string `json:"released,omitempty" maxLength:"2000"`
}

// GlueLining glues the lining under a piece.
type GlueLining struct {
	Piece           string   `json:"piece" form:"id"`
	BoardBatch      string   `json:"board_batch" form:"id"`
	GlueBatch       string   `json:"glue_batch" form:"id"`
	Layout          string   `json:"layout,omitempty" doc:"full, strips, pads"`
	MoisturePercent float64  `json:"moisture_percent,omitempty" minimum:"0" maximum:"40"`
	AirC            *float64 `json:"air_c,omitempty" minimum:"-40" maximum:"80"`
	HumidityPercent *float64 `json:"humidity_percent,omitempty" minimum:"0" maximum:"100"`
	PressMinutes    float64  `json:"press_minutes,omitempty" minimum:"0" maximum:"10080"`
	MarkNow         Surface  `json:"mark_now,omitempty" doc:"Where the number now stands; needed when the bottom carried it" enum:"top,bottom,edge,lining,nowhere"`
}

// Ream clears the holes of a lined piece through the lining.
type Ream struct {
	Piece string `json:"piece" form:"id"`
	Holes int    `json:"holes" minimum:"0" maximum:"500"`
}

// Finish chamfers and cleans a piece by hand.
type Finish struct {
	Piece   string  `json:"piece" form:"id"`
	Note    string  `json:"note,omitempty" maxLength:"500"`
	MarkNow Surface `json:"mark_now,omitempty" enum:"top,bottom,edge,lining,nowhere"`
}

// Repair mends a chip or a crack.
type Repair struct {
	Piece     string `json:"piece" form:"id"`
	What      string `json:"what" minLength:"1" maxLength:"500"`
	GlueBatch string `json:"glue_batch,omitempty" form:"id"`
}

// Judge is a verdict on a set, with the evidence it rests on.
type Judge struct {
	Set     string            `json:"set" form:"id"`
	Verdict string            `json:"verdict" enum:"conforms,does not conform,cannot tell"`
	Next    string            `json:"next,omitempty" maxLength:"500"`
	Blob    string            `json:"blob,omitempty" doc:"Digest of the full judgement" form:"digest"`
	Answers map[string]string `json:"answers,omitempty" doc:"The mill's answers that the verdict used"`
}

// Certify seals the verdict on a set. It needs the inspector's passphrase again.
type Certify struct {
	Set         string            `json:"set" form:"id"`
	Certificate string            `json:"certificate" doc:"Number of the certificate" form:"id"`
	Digest      string            `json:"digest" doc:"Digest that the certificate's seal signs" minLength:"1" maxLength:"100"`
	Blob        string            `json:"blob" doc:"Digest of the certificate file" form:"digest"`
	Key         string            `json:"key" doc:"Id of the key that signed it" minLength:"1" maxLength:"100"`
	Answers     map[string]string `json:"answers,omitempty"`
}

// Pack puts a set in its crate: the codes of all its pieces were read.
type Pack struct {
	Set    string   `json:"set" form:"id"`
	Codes  []string `json:"codes" minItems:"2" maxItems:"7" doc:"The pieces' numbers as read from their marks, in any order" form:"id" uniqueItems:"true"`
	MassKg float64  `json:"mass_kg,omitempty" minimum:"0" maximum:"60000"`
}

// Ship sends packed sets away.
type Ship struct {
	Shipment string   `json:"shipment" form:"id"`
	Sets     []string `json:"sets" minItems:"1" maxItems:"60" form:"id" uniqueItems:"true"`
	Order    string   `json:"order,omitempty" form:"id"`
	To       string   `json:"to,omitempty" maxLength:"200" doc:"Place, not a person"`
}

// Return takes a shipped set back.
type Return struct {
	Set       string `json:"set" form:"id"`
	Complaint string `json:"complaint" minLength:"1" maxLength:"2000"`
}

// Calibrate records a calibration of an instrument or a bench.
type Calibrate struct {
	Thing   Ref       `json:"thing" doc:"An instrument or a bench" kinds:"instrument,bench"`
	Good    bool      `json:"good"`
	ErrorMM float64   `json:"error_mm,omitempty" minimum:"-100" maximum:"100"`
	UMM     float64   `json:"u_mm,omitempty" doc:"Standard uncertainty on the certificate: U divided by k" minimum:"0" maximum:"100"`
	Due     time.Time `json:"due" doc:"When the next one is due"`
	Blob    string    `json:"blob,omitempty" form:"digest"`
	By      string    `json:"by,omitempty" maxLength:"200" doc:"Laboratory or method"`
}

// Correct says that an earlier entry was wrong and why. With Act and Body it stands in that entry's place, at that entry's
// time or at At; without them the entry is struck out.
type Correct struct {
	Entry string          `json:"entry" doc:"Id of the entry it corrects" form:"id"`
	Why   string          `json:"why" minLength:"1" maxLength:"2000"`
	Act   string          `json:"act,omitempty"`
	Body  json.RawMessage `json:"body,omitempty"`
	At    *time.Time      `json:"at,omitempty"`
}

// Appoint takes a person into the book or changes the person's role. Persons are called by what they do.
type Appoint struct {
	Person string `json:"person" form:"id"`
	Role   Role   `json:"role" enum:"visitor,hand,inspector,lead"`
	Called string `json:"called,omitempty" maxLength:"80" doc:"As shown: first hand at the saw"`
	Gone   bool   `json:"gone,omitempty" doc:"Has left the mill and may do nothing more"`
}

// Settle writes down the mill's own answers and its route. The first entry of every book is one.
type Settle struct {
	Name    string            `json:"name" minLength:"1" maxLength:"80"`
	Answers map[string]string `json:"answers" doc:"To the mill's own questions; one that is not given stays as it was, an empty one is taken back"`
	Route   *Route            `json:"route,omitempty" doc:"The whole route; nothing keeps the one in force, and one that nobody edited follows the answers"`
	Demo    bool              `json:"demo,omitempty" doc:"Invented data; can never be taken back"`
	Note    string            `json:"note,omitempty" maxLength:"500"`
}
