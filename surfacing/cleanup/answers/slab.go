package answers

import (
	"fmt"
	"slices"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/surfacing/cleanup"
)

// Slab is the answer for one slab; its JSON is a contract.
type Slab struct {
	Name     string   `json:"slab"`
	Verdict  string   `json:"verdict"` // possible, not possible, cannot tell
	Top      *Face    `json:"top"`     // null: not read
	Bottom   *Face    `json:"bottom"`
	OneFace  bool     `json:"one_face"`
	UnseenMM *float64 `json:"unseen_mm"` // of one face: what the other may take off between its caliper places
	Tie      Tie      `json:"tie"`

	ThicknessMM  float64    `json:"thickness_mm"` // the thickest pair of parallel planes inside the slab
	IntervalMM   [2]float64 `json:"thickness_interval_mm"`
	NoiseMM      float64    `json:"noise_bias_mm"` // by how much noise makes the planes thinner, about; the upper limit counts it
	AlongMMPerM  float64    `json:"tilt_along_mm_per_m"`
	AcrossMMPerM float64    `json:"tilt_across_mm_per_m"`
	Governing    []Contact  `json:"governing"`
	CostsMM      []float64  `json:"governing_costs_mm"` // of each: by how much thicker the planes could be without it
	ProofOK      bool       `json:"proof_ok"`
	Proof        Proof      `json:"proof"`
	Allowances   Allowances `json:"allowances"`
	AvailableMM  float64    `json:"available_mm"` // what can be left in the end: the planes less damage and movement
	AvailableIn  [2]float64 `json:"available_interval_mm"`
	NeedMM       *float64   `json:"need_mm"`
	MissingMM    *float64   `json:"missing_mm"`
	CutToMM      float64    `json:"cut_to_mm"`
	FinishMM     float64    `json:"finish_mm"`
	OffTop       Off        `json:"off_top_mm"`
	OffBottom    Off        `json:"off_bottom_mm"`
	Equal        bool       `json:"off_equal"`
	Left         *Left      `json:"left"`     // null: no least thickness is asked for
	LastCut      bool       `json:"last_cut"` // after it less than a light pass is left above the reserve
	Warnings     []string   `json:"warnings"`
	planes       *cleanup.Planes
	plan         cleanup.Plan
	limits       cleanup.Limits
	body         cleanup.Slab
	size         [2]float64
	calipers     []cleanup.Caliper
	u, uDepth    float64
}

// Face is one face as it was read.
type Face struct {
	File      string   `json:"file"`
	Readings  int      `json:"readings"`
	State     string   `json:"state"` // free, or as read
	UMM       *float64 `json:"u_mm"`
	GravityMM *float64 `json:"gravity_mm"` // peak to valley of what was taken off
}

// Tie says what lays the faces over each other: thickness, zero, frame, or bounds.
type Tie struct {
	By       string    `json:"by"`
	Calipers int       `json:"calipers"`
	Spare    int       `json:"spare"`
	Fit      float64   `json:"doubt_factor"` // by how much the doubt was made larger since the calipers disagree
	Left     []Caliper `json:"residuals"`
	left     []float64
}

// Caliper is a thickness beside the tied maps.
type Caliper struct {
	X, Y, T, ReadsMore float64
}

// MarshalJSON writes [x, y, thickness, how much more the caliper reads than the maps].
func (c Caliper) MarshalJSON() ([]byte, error) { return numbers(c.X, c.Y, c.T, c.ReadsMore) }

// Contact is a reading that governs.
type Contact struct {
	X, Y float64
	Face string
}

// MarshalJSON writes [x, y, "top"] or [x, y, "bottom"].
func (c Contact) MarshalJSON() ([]byte, error) { return numbers(c.X, c.Y, c.Face) }

// Off is how much comes off a face, normal to the planes, over its readings.
type Off struct {
	Min  float64 `json:"min"`
	Max  float64 `json:"max"`
	Mean float64 `json:"mean"`
}

// Proof is what shows that no thicker pair fits.
type Proof struct {
	LowMM       float64 `json:"low_mm"` // a pair so far apart holds
	HighMM      float64 `json:"high_mm"`
	ViolationMM float64 `json:"violation_mm"`
	Passes      int     `json:"passes"` // over all readings, the turning and the tying included
}

// Allowances are what was asked beside the readings, mm.
type Allowances struct {
	DamageTop    float64  `json:"damage_top_mm"`
	DamageBottom float64  `json:"damage_bottom_mm"`
	Movement     float64  `json:"movement_mm"`
	Finish       *float64 `json:"finish_mm"`
	Least        *float64 `json:"least_mm"`
	Reserve      float64  `json:"reserve_mm"`
	LightPass    float64  `json:"light_pass_mm"`
}

// Left is what stays above the least thickness.
type Left struct {
	LeftMM float64  `json:"left_mm"` // by the planes
	XMM    *float64 `json:"x_mm"`    // the thinnest caliper place; null without calipers
	YMM    *float64 `json:"y_mm"`
	ReadMM *float64 `json:"caliper_mm"`
	HereMM *float64 `json:"left_here_mm"` // what the caliper says is left there
	UMM    *float64 `json:"u_mm"`
	Words  string   `json:"words"`
}

func ptr(v float64) *float64 { return &v }

func some(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

func (s *slab) warn(text string) { s.r.Warnings = append(s.r.Warnings, text) }

// ofFace warns of one face; what holds for both is said once. The text has a place for the name of the face.
func (s *slab) ofFace(side int, text string) {
	name := func(of string) string { return fmt.Sprintf(text, of) }
	if i := slices.Index(s.r.Warnings, name("the top")); side == 1 && i >= 0 {
		s.r.Warnings[i] = name("both faces")
		return
	}
	s.warn(name([]string{"the top", "the bottom"}[side]))
}

// faceOf describes a face.
func (s *slab) faceOf(f *face.Face, side int) *Face {
	r := &Face{File: f.Name, Readings: f.Len(), State: "as read", UMM: some(f.U)}
	if g := s.freed[side]; g != nil {
		r.State, r.GravityMM = "free", ptr(g.peak)
	}
	if f.SizeX > 0 {
		s.r.size = [2]float64{f.SizeX, f.SizeY}
	}
	return r
}

// lonely is what a single reading may cost, mm, before it is pointed at: more than a light pass or two (common practice, no source).
const lonely = 0.1

// noisy is how much thinner noise may make the planes, mm, before it is said: a fifth of a light pass.
const noisy = 0.01

// dense is how many readings are a scan that can be averaged; a grid read by hand is not.
const dense = 2000

// report fills the answer in.
func (s *slab) report(low, high float64) {
	r, p, q, l := s.r, s.r.planes, s.r.plan, s.q.Limits
	r.limits, r.body = l, s.body
	r.Verdict = q.Answer.String()
	r.ThicknessMM, r.IntervalMM = p.Thickness, [2]float64{low, high}
	if r.NoiseMM = p.Bias(s.u()); r.NoiseMM > noisy && s.body.Top.Len()+s.body.Bottom.Len() > dense {
		s.warn(fmt.Sprintf("the planes rest on the lowest of many readings: noise makes them about %s mm thinner, and the upper limit counts that; average a dense scan over cells of some millimetres first", mm(r.NoiseMM)))
	}
	r.AlongMMPerM, r.AcrossMMPerM = 1000*p.Along(), 1000*p.Across()
	for _, c := range p.Governing {
		r.Governing, r.CostsMM = append(r.Governing, Contact{c.X, c.Y, c.Face()}), append(r.CostsMM, c.Costs)
		if c.Costs > lonely {
			s.warn(fmt.Sprintf("the reading of the %s at (%.0f, %.0f) alone costs %s mm: look whether it is a chip, dirt or a slip of the gauge", c.Face(), c.X, c.Y, mm(c.Costs)))
		}
	}
	r.ProofOK = p.Proven
	r.Proof = Proof{p.Low, p.High, p.Violation, s.passes}
	r.AvailableMM, r.AvailableIn = q.Available, [2]float64{q.Low, q.High}
	r.NeedMM = some(q.Need)
	r.MissingMM = some(q.Missing)
	r.Allowances = Allowances{l.DamageTop, l.DamageBottom, l.Movement, some(l.Finish), some(l.Least), l.Reserve, l.Light()}
	for i, c := range s.calipers {
		if i < len(r.Tie.left) {
			r.Tie.Left = append(r.Tie.Left, Caliper{c.X, c.Y, c.T, r.Tie.left[i]})
		}
	}
	r.amounts(q)
	r.calipers, r.u, r.uDepth = s.calipers, s.q.UCaliper, s.q.UDepth
	r.stays()
	s.closing()
}

// amounts are what the plan takes.
func (r *Slab) amounts(q cleanup.Plan) {
	r.plan = q
	r.CutToMM, r.FinishMM, r.Equal = q.CutTo, q.Finish, q.Equal
	r.OffTop, r.OffBottom = Off{q.Top.Min, q.Top.Max, q.Top.Mean}, Off{q.Bottom.Min, q.Bottom.Max, q.Bottom.Mean}
	r.LastCut = q.Last
}

// stays says what is left above the least thickness, in the words of a re-grind.
func (r *Slab) stays() {
	l := r.limits
	if l.Least == 0 {
		return
	}
	r.Left = &Left{LeftMM: r.plan.Left}
	here := r.plan.Left
	if thin, ok := r.plan.Thinnest(l, r.calipers, r.Tie.left, r.u, r.uDepth); ok {
		r.Left.XMM, r.Left.YMM, r.Left.ReadMM, r.Left.HereMM, r.Left.UMM = ptr(thin.X), ptr(thin.Y), ptr(thin.T), ptr(thin.Above), ptr(thin.U)
		if !r.plan.TooThin {
			here = thin.Above
		}
	}
	switch {
	case r.plan.Answer == cleanup.Impossible && !r.plan.TooThin:
		r.Left.Words = "nothing is taken: no clean-up is possible"
	case here < -1e-9:
		r.Left.Words = fmt.Sprintf("it would leave %s mm less than the least thickness", mm(-here))
	case here < l.Reserve-1e-9:
		r.Left.Words = fmt.Sprintf("it would leave %s mm above the least thickness, and the mill keeps a reserve of %s mm", mm(here), mm(l.Reserve))
	case r.LastCut:
		r.Left.Words = fmt.Sprintf("it leaves %s mm above the least thickness; it is the last cut", mm(here))
	default:
		r.Left.Words = fmt.Sprintf("it leaves %s mm above the least thickness", mm(here))
	}
}

// mm prints a length to a micrometre.
func mm(v float64) string { return measure.Decimal(v, 3) }

// closing are the warnings that hold for the whole answer.
func (s *slab) closing() {
	r := s.r
	if r.LastCut && r.plan.Answer == cleanup.Possible {
		s.warn("After it less than a light pass is left above the reserve: it is the last cut.")
	}
	if s.q.Limits.DamageTop == 0 && s.q.Limits.DamageBottom == 0 {
		s.warn("no damage depth is taken off: after a coarse saw it is commonly 0.2 to 0.5 mm on each face")
	}
	for side, f := range []*face.Face{s.q.Top, s.q.Bottom} {
		if f != nil && f.U == 0 {
			s.ofFace(side, "how sure a reading is ('# u:') is not said of %s, and that doubt is not in the answer")
		}
	}
	s.warn("the planes clear the readings: what stands or is missing between them is not in the answer")
}
