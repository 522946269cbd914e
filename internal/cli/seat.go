package cli

import (
	"slatewright/bed"
	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/seating"
	"slatewright/trouble"
)

// seatVerb lays three measured pieces together.
type seatVerb struct {
	Head     string       `arg:"" help:"Top face of the head piece, CSV or PLY; - is standard input."`
	Centre   string       `arg:"" help:"Top face of the centre piece."`
	Foot     string       `arg:"" help:"Top face of the foot piece."`
	Spec     string       `placeholder:"FILE" help:"Specification of the table: edge band, supports, shims, limits (YAML)."`
	MaxStep  *verb.Length `name:"max-step" placeholder:"LENGTH" help:"Largest step over a joint; the flattest bed is sought. Without it the specification's, or 0.127 mm."`
	MaxZone  *verb.Length `name:"max-zone" placeholder:"LENGTH" help:"Largest zone of the bed; the smallest steps are sought instead."`
	Book     string       `placeholder:"PLACE" help:"The mill's book: its answers are printed with the numbers."`
	AnyPlace bool         `name:"any-place" help:"The pieces may change places: try every order."`
}

func (seatVerb) About() verb.About {
	return verb.About{
		Text: `Moves three rigid pieces in height and tilt until the bed is as flat as it gets while the steps over both joints keep
			within a limit; or, with --max-zone, until the steps are as small as they get while the bed keeps within a zone. Among
			beds that are equally good the larger step, then the smaller step, then the moves of the corners are made small. Each piece
			is also tried turned end for end, unless its file says '# turn: fixed'; with --any-place every order is tried too.

			Each file needs the size of its piece ('# size: 914 x 1473 mm', x along the table by y across it). The head's +x edge meets the
			centre's -x edge. The steps come from joint rows (column row, read within 15 mm of the arris at nine places or more); without
			them the face is carried on to its edge, and the answer says that the joint is not measured there.

			Heights and tilts are what is added to the turned piece. Starting packs of shims are given where the specification names the
			supports and the files give the thickness over them. They are for a true frame: the frame is levelled first.

			Exit status 1: the limit cannot be met; the answer is then the nearest that can.`,
		Examples: []verb.Example{
			{"slatewright seat head.csv centre.csv foot.csv", "the flattest bed with steps within 0.127 mm (0.005 in)"},
			{"slatewright seat a.csv b.csv c.csv --any-place --max-step 2thou", "in any order, with smaller steps"},
			{"slatewright seat a.csv b.csv c.csv --max-zone 0.25mm --spec nine-foot.yaml", "the smallest steps within a zone, with shims and level readings"},
		},
	}
}

// seatReport is the answer. Its names are a contract with other programs.
type seatReport struct {
	Feasible     bool              `json:"feasible"`
	ZoneMM       float64           `json:"zone_mm"`
	ZoneBoundMM  *float64          `json:"zone_bound_mm"` // no moves of these pieces in these places do better; null when steps were sought
	StepBoundMM  *float64          `json:"step_bound_mm"`
	StepMM       [2]float64        `json:"step_mm"` // largest at each joint: head to centre, centre to foot
	Joints       [2]seatJoint      `json:"joints"`
	LengthwiseMM float64           `json:"lengthwise_mm"`
	AcrossMM     float64           `json:"across_mm"`
	MaxStepMM    *float64          `json:"max_step_mm"`
	MaxZoneMM    *float64          `json:"max_zone_mm"`
	EdgeBandMM   float64           `json:"edge_band_mm"`
	Pieces       []seatPiece       `json:"pieces"`
	Contacts     []seatContact     `json:"contacts"`
	Shims        []seatShim        `json:"shims"`
	NoShims      string            `json:"no_shims"` // why there are none
	Rounded      *seatRounded      `json:"on_rounded_packs"`
	Levels       []seatLevel       `json:"levels"`
	Tried        int               `json:"tried"`             // arrangements
	Answers      map[string]string `json:"answers,omitempty"` // the mill's own, when a book was named
	Warnings     []string          `json:"warnings"`
	divisions    []bed.Level
}

type seatPiece struct {
	Place        string  `json:"place"`
	File         string  `json:"file"`
	Piece        string  `json:"piece"`
	Turned       bool    `json:"turned"`
	HeightMM     float64 `json:"height_mm"`
	TiltXMMPerM  float64 `json:"tilt_x_mm_per_m"`
	TiltYMMPerM  float64 `json:"tilt_y_mm_per_m"`
	TurnWasFixed bool    `json:"turn_fixed"`
}

type seatJoint struct {
	YMM       []float64 `json:"y_mm"`
	StepMM    []float64 `json:"step_mm"` // + where the foot-side piece stands proud
	LargestMM float64   `json:"largest_mm"`
	Measured  bool      `json:"measured_at_edge"`
}

type seatContact struct {
	Place string     `json:"place"`
	At    [3]float64 `json:"at_mm"` // bed frame
	Upper bool       `json:"upper"`
}

type seatShim struct {
	Piece    string    `json:"piece"` // head, centre or foot
	XMM      float64   `json:"x_mm"`  // frame of the piece as it lies
	YMM      float64   `json:"y_mm"`
	HeightMM float64   `json:"height_mm"` // of shims that exist, where the specification names any
	AskedMM  float64   `json:"asked_mm"`  // before rounding
	PackMM   []float64 `json:"pack_mm"`
}

type seatRounded struct {
	ZoneMM       float64    `json:"zone_mm"`
	StepMM       [2]float64 `json:"step_mm"`
	LengthwiseMM float64    `json:"lengthwise_mm"`
	AcrossMM     float64    `json:"across_mm"`
}

type seatLevel struct {
	Place     string    `json:"place"`
	XMM       float64   `json:"x_mm"` // bed frame
	YMM       float64   `json:"y_mm"`
	Direction string    `json:"direction"` // along or across
	BaseMM    float64   `json:"base_mm"`
	MMPerM    float64   `json:"mm_per_m"`  // + rises towards +x or +y
	Divisions []float64 `json:"divisions"` // of each level of the specification
}

// Run seats the pieces.
func (v seatVerb) Run(s *verb.Session) (verb.Report, error) {
	spec, err := v.spec(s)
	if err != nil {
		return nil, err
	}
	q, err := v.question(s, spec)
	if err != nil {
		return nil, err
	}
	r, err := seating.Seat(q)
	if err != nil {
		return nil, err
	}
	rep := v.report(q, r)
	rep.Answers, err = millAnswers(s, v.Book)
	return rep, err
}

// spec is the specification named, or one that knows no more than the trade: no edge band, supports or shims.
func (v seatVerb) spec(s *verb.Session) (bed.Spec, error) {
	if v.Spec != "" {
		return readSpec(s, v.Spec)
	}
	spec := bed.NineFoot()
	spec.EdgeBand, spec.Lining = 0, 0
	spec.Supports, spec.Shims = [3][][2]float64{}, nil
	return spec, nil
}

func (v seatVerb) question(s *verb.Session, spec bed.Spec) (seating.Question, error) {
	q := seating.Question{Spec: spec, MaxStep: spec.Limits.Step, AnyPlace: v.AnyPlace}
	if v.MaxStep != nil && v.MaxZone != nil {
		return q, trouble.Usage("two-limits", "slatewright seat", "--max-step and --max-zone ask two different questions", "give one of them")
	}
	if v.MaxStep != nil {
		if q.MaxStep = v.MaxStep.MM; q.MaxStep < 0 {
			return q, trouble.Usage("bad-limit", "slatewright seat", "--max-step must not be negative", "give the largest step allowed, such as 0.127mm")
		}
	}
	if v.MaxZone != nil {
		if q.MaxZone = v.MaxZone.MM; q.MaxZone <= 0 {
			return q, trouble.Usage("bad-limit", "slatewright seat", "--max-zone must be more than 0", "give the largest zone allowed, such as 0.25mm")
		}
	}
	var err error
	q.Faces, err = threeFaces(s, v.Head, v.Centre, v.Foot)
	return q, err
}

// threeFaces reads the faces of a set; at most one may come from standard input.
func threeFaces(s *verb.Session, names ...string) (faces [3]*face.Face, err error) {
	piped := 0
	for _, name := range names {
		if name == "-" {
			piped++
		}
	}
	if piped > 1 {
		return faces, trouble.Usage("one-input", "slatewright", "standard input can hold one face only", "name the other files")
	}
	for k, name := range names {
		if faces[k], err = readFace(s, name); err != nil {
			return faces, err
		}
	}
	return faces, nil
}

func (v seatVerb) report(q seating.Question, r seating.Result) *seatReport {
	out := &seatReport{
		Feasible: r.Feasible, ZoneMM: r.Zone, LengthwiseMM: r.Lengthwise.Value, AcrossMM: r.Across.Value, EdgeBandMM: q.Spec.EdgeBand,
		NoShims: r.NoShims, Tried: r.Tried, Warnings: append([]string{}, r.Warnings...), Contacts: []seatContact{}, Shims: []seatShim{},
		Levels:    []seatLevel{},
		divisions: q.Spec.Levels,
	}
	out.setBounds(q, r)
	for j, joint := range r.Joints {
		out.StepMM[j] = joint.Largest
		out.Joints[j] = seatJoint{joint.Y, joint.Step, joint.Largest, joint.Measured == [2]bool{true, true}}
	}
	for _, p := range r.Pieces {
		f := q.Faces[p.Index]
		out.Pieces = append(out.Pieces, seatPiece{p.Place.String(), f.Name, f.Piece, p.Turned, p.Height, 1000 * p.TiltX, 1000 * p.TiltY, f.TurnFixed})
	}
	for _, c := range r.Contacts {
		out.Contacts = append(out.Contacts, seatContact{c.Place.String(), [3]float64{c.X, c.Y, c.Z}, c.Upper})
	}
	out.setShims(q, r)
	for _, l := range r.Levels {
		out.Levels = append(out.Levels, level(l, q.Spec.Levels))
	}
	return out
}

// setBounds tells which limit was asked for and what is proven. When the limit could not be met the other wish came first.
func (out *seatReport) setBounds(q seating.Question, r seating.Result) {
	zoneFirst := (q.MaxZone == 0) == r.Feasible
	switch {
	case !r.Proven: // a warning says so
	case zoneFirst:
		out.ZoneBoundMM = &r.ZoneBound
	default:
		out.StepBoundMM = &r.StepBound
	}
	if q.MaxZone > 0 {
		out.MaxZoneMM = &q.MaxZone
	} else {
		out.MaxStepMM = &q.MaxStep
	}
}

func (out *seatReport) setShims(q seating.Question, r seating.Result) {
	for _, sh := range r.Shims {
		shim := seatShim{Piece: sh.Place.String(), XMM: sh.X, YMM: sh.Y, HeightMM: sh.Height, AskedMM: sh.Height, PackMM: []float64{}}
		if len(q.Spec.Shims) > 0 {
			shim.HeightMM = sh.Pack.Height
			shim.PackMM = append(shim.PackMM, sh.Pack.Shims...)
		}
		out.Shims = append(out.Shims, shim)
	}
	if f := r.Rounded; f != nil {
		out.Rounded = &seatRounded{f.Zone, f.Steps, f.Lengthwise, f.Across}
	}
}

func level(l seating.LevelReading, kinds []bed.Level) seatLevel {
	out := seatLevel{Place: l.Place.String(), XMM: l.X, YMM: l.Y, Direction: "across", BaseMM: l.Foot, MMPerM: 1000 * l.Slope, Divisions: []float64{}}
	if l.Along {
		out.Direction = "along"
	}
	for _, k := range kinds {
		out.Divisions = append(out.Divisions, k.Divisions(l.Slope))
	}
	return out
}

func (out *seatReport) Outcome() verb.Outcome {
	if !out.Feasible {
		return verb.Refused
	}
	return verb.Done
}
