package certificate

import "slatewright/bed"

// The format of bodies that this package writes and reads.
const (
	Format  = "slatewright certificate"
	Version = 1
)

// Invented is the mark of a body whose data are not of real stone.
const Invented = "invented data, not a real certificate"

// What a certificate rests on.
const (
	BasisPredicted = "predicted from three pieces"
	BasisLaidUp    = "laid up and measured"
)

// Body is what is sealed: who answers for what, what was found, and everything it was found from. The fields stand in this
// order in the file. They are the file's own: they do not change when a struct of another package does.
type Body struct {
	Format   string `json:"format"`
	Version  int    `json:"version"`
	Program  string `json:"program"` // name and version of the program that made the body
	Mark     string `json:"mark"`    // Invented or empty
	Mill     string `json:"mill"`    // who answers for it
	Set      string `json:"set"`
	DateCode string `json:"date_code"`
	Issued   string `json:"issued"` // YYYY-MM-DD, or empty
	Found    Found  `json:"found"`
	Given    Given  `json:"given"`
}

// Demo tells whether the body says that its data are invented.
func (b Body) Demo() bool { return b.Mark != "" }

// Given is all that is computed from.
type Given struct {
	Question   Question      `json:"question"`
	Spec       Spec          `json:"specification"`
	Simulation Simulation    `json:"simulation"`
	LayUp      *LayUp        `json:"lay_up"`   // null: the set was not laid up
	Readings   List[Reading] `json:"readings"` // of the three faces, in the order in which they were given
}

// Found is all that is computed. It follows from Given and the date of issue alone.
type Found struct {
	Verdict    string          `json:"verdict"`    // conforms, does not conform, cannot tell
	DecidedBy  string          `json:"decided_by"` // the result that decides
	Basis      string          `json:"basis"`      // BasisPredicted or BasisLaidUp
	Results    List[Result]    `json:"results"`
	Next       Step            `json:"next_step"`
	Hindrances List[Hindrance] `json:"hindrances"` // what keeps results from being told
	Warnings   List[string]    `json:"warnings"`
	Support    Support         `json:"support"`
	Doubt      Doubt           `json:"doubt"`
	Pieces     List[Piece]     `json:"pieces"` // head, centre, foot
	Seating    Seating         `json:"seating"`
	Shims      ShimCard        `json:"shim_card"`
	Levels     List[Level]     `json:"levels"`
	LaidUp     *LaidUp         `json:"laid_up"` // null: not laid up
	Method     List[string]    `json:"method"`
	NotChecked List[Unchecked] `json:"not_checked"`
}

// Simulation says how the doubt is to be found.
type Simulation struct {
	Seed  uint64 `json:"seed,string"`
	Draws int    `json:"draws"`
}

// Result is one characteristic as it was judged.
type Result struct {
	Name        string      `json:"name"`
	Verdict     string      `json:"verdict"`
	Value       Length      `json:"value_mm"` // read, less noise, plus between
	U           Length      `json:"u_mm"`     // standard uncertainty
	Limit       Length      `json:"limit_mm"`
	AtLeast     bool        `json:"at_least"`  // the limit is the least that conforms, else the most
	Accept      Length      `json:"accept_mm"` // up to here (at_least: from here on) conformity is proven
	Reject      Length      `json:"reject_mm"` // beyond here the opposite is proven
	Margin      Length      `json:"margin_mm"` // how far the value is on the good side of accept
	Guard       Length      `json:"guard_mm"`  // guard factor times u
	Probability Probability `json:"conformance_probability"`
	Read        Length      `json:"read_mm"`    // as the readings have it
	Noise       Length      `json:"noise_mm"`   // bias taken off: what errors of readings are expected to have added
	Between     Length      `json:"between_mm"` // put on: what may lie between the readings
	Lean        Length      `json:"lean_mm"`    // by how much the value may be on the bad side of the best estimate, for caution
	Parts       List[Part]  `json:"u_parts"`    // u is the root of the sum of their squares
	Missing     bool        `json:"missing"`    // nothing was read
	Reason      string      `json:"reason"`     // why it cannot be told
}

// Part is one standard uncertainty.
type Part struct {
	Name string `json:"part"`
	U    Length `json:"u_mm"`
}

// Step is the one thing to do next that helps most.
type Step struct {
	Code   string `json:"code"`
	Text   string `json:"text"`
	Reason string `json:"reason"`
	Number Length `json:"number"` // the figure in Text
	Unit   string `json:"unit"`   // its unit, or empty
}

// Hindrance keeps results from being told.
type Hindrance struct {
	Code   string       `json:"code"`
	Of     string       `json:"of"` // which pieces
	Reason string       `json:"reason"`
	Next   string       `json:"next"`
	On     List[string] `json:"on"` // results that it leaves untold
}

// Support is what the way the pieces were held can prove.
type Support struct {
	State  string       `json:"state"` // free, laid, or as read
	Proven List[string] `json:"proven"`
	Lines  bool         `json:"on_two_lines"`
	Reason string       `json:"reason"`
}

// Doubt is what the simulation found.
type Doubt struct {
	GuardFactor Share        `json:"guard_factor"`
	ReadingU    [3]Length    `json:"reading_u_mm"` // standard uncertainty of one reading of each face
	BenchU      Length       `json:"bench_u_mm"`
	Spreads     List[Spread] `json:"spreads"`
}

// Spread is what happens to a figure when the readings are disturbed once more: how wrong it then is (mean and standard deviation)
// about the bed that is laid by them, and how much more it reads.
type Spread struct {
	Name  string `json:"name"`
	Shift Length `json:"shift_mm"`
	SD    Length `json:"sd_mm"`
	Rise  Length `json:"rise_mm"`
}

// Piece is one piece as measured, and how it lies.
type Piece struct {
	Place       bed.Place `json:"place"`
	Reading     int       `json:"reading"` // which of the readings, from 0
	Piece       string    `json:"piece"`   // its mark
	Turned      bool      `json:"turned"`  // by half a turn about z
	Height      Length    `json:"height_mm"`
	TiltX       Angle     `json:"tilt_x_mm_per_mm"`
	TiltY       Angle     `json:"tilt_y_mm_per_mm"`
	Points      int       `json:"points"`
	Instrument  string    `json:"instrument"`
	U           Length    `json:"u_mm"` // standard uncertainty of one reading as the file states it; 0: not stated
	Support     string    `json:"support"`
	SupportText string    `json:"support_as_written"`
	WidestGap   Length    `json:"widest_gap_mm"` // diameter of the widest circle without a reading
	DrySince    string    `json:"dry_since"`
	Date        string    `json:"date"`
	TempTop     *Amount   `json:"temperature_top_c"`
	TempBottom  *Amount   `json:"temperature_bottom_c"`
	TempEach    bool      `json:"temperature_of_each_face"` // false: one temperature for the piece, if any
	Thickness   Thickness `json:"stone_thickness"`
	Mass        *Amount   `json:"mass_kg"` // computed, lining included; null where the thickness is not known
}

// Thickness sums up where the stone was gauged.
type Thickness struct {
	Points int     `json:"points"`
	Least  *Length `json:"least_mm"`
	Mean   *Length `json:"mean_mm"`
}

// Seating is how the pieces lie best together.
type Seating struct {
	Feasible   bool          `json:"feasible"` // whether the limit asked for could be kept
	Zone       Length        `json:"zone_mm"`
	ZoneBound  Length        `json:"zone_bound_mm"` // proven: no less is possible
	StepBound  Length        `json:"step_bound_mm"`
	Lengthwise Line          `json:"lengthwise"`
	Across     Line          `json:"across"`
	Joints     List[Joint]   `json:"joints"`   // head to centre, centre to foot
	Contacts   List[Contact] `json:"contacts"` // upper side first
	Tried      int           `json:"arrangements_tried"`
}

// Line is the worst line of one direction. Without lines the value means nothing.
type Line struct {
	Value    Length       `json:"value_mm"`
	At       Length       `json:"at_mm"` // its y (lengthwise) or x (across)
	Lines    int          `json:"lines"`
	Short    int          `json:"lines_too_short"`
	Cells    bool         `json:"means_of_cells"`   // judged on means over cells of a scan
	Contacts [3][3]Length `json:"contact_point_mm"` // two on one side, then one on the other
}

// Joint is one joint of the seated bed.
type Joint struct {
	Largest  Length         `json:"largest_step_mm"`
	Measured [2]bool        `json:"measured_at_edge"` // head side, foot side
	Stations List[Position] `json:"stations"`         // y, signed step: + when the foot side stands proud
}

// Position is a pair of lengths: two places, or a place and a height.
type Position [2]Length

// Contact is a reading that touches one of the planes of the zone; bed frame.
type Contact struct {
	Place bed.Place `json:"place"`
	Upper bool      `json:"upper"`
	Point [3]Length `json:"point_mm"`
}

// ShimCard lists starting packs for a true frame, or says why there are none.
type ShimCard struct {
	NotGiven string     `json:"not_given"`
	Shims    List[Shim] `json:"shims"`
	Rounded  *Rounded   `json:"with_shims_that_exist"`
}

// Shim is the pack under one support.
type Shim struct {
	Place  bed.Place    `json:"place"`
	At     Position     `json:"at_mm"` // frame of the piece as it lies
	Height Length       `json:"height_mm"`
	Pack   List[Length] `json:"pack_mm"` // shims that exist, thickest first
}

// Rounded is how the bed lies on packs of shims that exist.
type Rounded struct {
	Zone       Length   `json:"zone_mm"`
	Steps      Position `json:"step_mm"`
	Lengthwise Length   `json:"lengthwise_mm"`
	Across     Length   `json:"across_mm"`
}

// LayUp is what was read on the set laid dry on the bench, shimmed as planned.
type LayUp struct {
	Name       string            `json:"name"`    // of the file it came from
	Remarks    List[string]      `json:"remarks"` // what stands in its header and has no meaning here
	Pieces     [3]string         `json:"pieces"`  // their marks: head, centre, foot
	Support    string            `json:"support"`
	Instrument string            `json:"instrument"`
	Date       string            `json:"date"`
	U          Length            `json:"u_mm"` // standard uncertainty of one step; 0: not given
	Warnings   List[string]      `json:"warnings"`
	Joints     [2]List[Position] `json:"stations"` // of each joint, y ascending: y, signed step
}

// LaidUp compares the lay-up with what the seating predicts.
type LaidUp struct {
	Joints     [2]List[Compared] `json:"stations"`
	Largest    Position          `json:"largest_step_mm"`       // measured, at each joint
	Difference Length            `json:"largest_difference_mm"` // between prediction and measurement
	// Misfit is, at each joint, the difference that no move of rigid pieces explains, where that is furthest beyond what the
	// uncertainties allow there.
	Misfit  Position `json:"misfit_mm"`
	Allowed Position `json:"misfit_allowed_mm"`
}

// Compared is one place on a joint of the lay-up.
type Compared struct {
	Y         Length `json:"y_mm"`
	Predicted Length `json:"predicted_mm"`
	Measured  Length `json:"measured_mm"`
}

// Level is what a level should read at one place of the seated bed.
type Level struct {
	Place     bed.Place      `json:"place"`
	At        Position       `json:"at_mm"` // bed frame
	Along     bool           `json:"along"` // along the table, else across
	Base      Length         `json:"base_mm"`
	Slope     Angle          `json:"slope_mm_per_mm"` // + rises to the foot, or to the right
	Divisions List[Division] `json:"divisions"`
}

// Division is the reading in divisions of one of the mechanic's levels.
type Division struct {
	Division string `json:"division"`
	Reading  Amount `json:"reading"`
}

// Unchecked is a clause of the tournament text that the certificate says nothing about.
type Unchecked struct {
	Subject string `json:"subject"`
	Demand  string `json:"demand"`
	Why     string `json:"why"`
}

// Question is what the seating was asked. One of the limits is 0.
type Question struct {
	MaxStep  Length `json:"max_step_mm"`
	MaxZone  Length `json:"max_zone_mm"`
	AnyPlace bool   `json:"any_place"`
}

// Reading is what was measured on one face, as CSV in mm with its header lines. Lines end with a line feed each, which is
// not written here.
type Reading struct {
	Name     string       `json:"name"`       // of the file it came from
	Digest   string       `json:"csv_sha256"` // of the lines, hexadecimal
	Warnings List[string] `json:"warnings"`   // what was in doubt when the file was read
	CSV      List[string] `json:"csv"`
}
