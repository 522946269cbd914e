// Package answers puts the question how a piece sags to package plate, and gives the answer in the form that programs read: the JSON of
// 'slatewright sag', whose names are a contract, and what pages show.
//
// It computes nothing of its own, reads no file, and showing an answer to people is the caller's affair.
package answers

import (
	"fmt"
	"math"

	"slatewright/measure"
	"slatewright/plate"
	"slatewright/plate/contact"
	"slatewright/stone"
	"slatewright/trouble"
)

// Question is a piece on what it lies on.
type Question struct {
	Piece        plate.Piece
	Under        plate.Under
	Pattern      string   // name of the supports; empty: none
	SlipMM       float64  // how far a support may lie beside its mark; 0: not asked
	Share        float64  // doubt that is good enough, as a share of peak to valley; 0: that of package plate
	UThicknessMM float64  // standard uncertainty of the thickness
	ThicknessFit *float64 // standard deviation of caliper readings from the surface put through them, mm
	Load         *Load
}

// Load is a weight laid on, on a square of a side or on a point.
type Load struct {
	KG, XMM, YMM, SideMM float64
	DialMM               float64 // how far a dial beside it went down; 0: none
	UDialMM              float64 // its standard uncertainty
}

// SagOf answers. The error is a *trouble.Trouble.
func SagOf(q Question) (*Sag, error) {
	r := &Sag{question: q}
	b, err := plate.Bend(q.Piece, q.Under, q.Share)
	if err != nil {
		return nil, err
	}
	r.bent = b
	r.describe(b)
	if q.Under.Bench == nil && q.SlipMM > 0 {
		r.slipped(q.SlipMM)
	}
	if q.Load != nil {
		if err := r.load(*q.Load); err != nil {
			return nil, err
		}
	}
	if !b.Good {
		r.warn(fmt.Sprintf("the finest mesh leaves a doubt of %s mm, more than was asked for", measure.Decimal(b.Error, 4)))
	}
	return r, nil
}

// Bent is the piece at rest, for maps and single heights.
func (r *Sag) Bent() *plate.Bent { return r.bent }

// Sag is the answer. Its names are a contract with other programs.
type Sag struct {
	SizeMM          [2]float64    `json:"size_mm"`
	ThicknessMM     float64       `json:"thickness_mm"` // in the middle
	ThicknessFitMM  *float64      `json:"thickness_fit_mm"`
	MassKG          float64       `json:"mass_kg"`
	Pattern         *string       `json:"pattern"`
	Support         string        `json:"support"`
	PeakToValleyMM  float64       `json:"peak_to_valley_mm"`
	MaxMM           float64       `json:"max_mm"`
	MinMM           float64       `json:"min_mm"`
	MaxAtMM         [2]float64    `json:"max_at_mm"`
	MinAtMM         [2]float64    `json:"min_at_mm"`
	ErrorEstimateMM float64       `json:"error_estimate_mm"`
	Moduli          []Modulus     `json:"moduli"`
	Stress          Stress        `json:"stress"`
	Slip            *Slip         `json:"slip"`
	Supports        []Support     `json:"supports"`
	Load            *Loaded       `json:"load"`
	Mesh            Mesh          `json:"mesh"`
	Proof           contact.Proof `json:"proof"`
	Warnings        []string      `json:"warnings"`

	question Question
	bent     *plate.Bent
}

// Modulus is the sag of a stone of another modulus; both moduli change alike where there are two.
type Modulus struct {
	ModulusGPa     float64 `json:"modulus_gpa"`
	PeakToValleyMM float64 `json:"peak_to_valley_mm"`
}

// Stress is the largest pull in the stone, and how many times as much sound slate bears.
type Stress struct {
	MPa         float64    `json:"mpa"`
	AtMM        [2]float64 `json:"at_mm"`
	Top         bool       `json:"pulled_at_top"`
	StrengthMPa float64    `json:"strength_mpa"` // the least that ASTM C629 asks of slate indoors
	Factor      float64    `json:"factor"`
}

// Slip is what it costs when a support lies beside its mark.
type Slip struct {
	SlipMM         float64 `json:"slip_mm"`
	PeakToValleyMM float64 `json:"peak_to_valley_mm"`
	CostsMM        float64 `json:"costs_mm"`
}

// Support is a point, or a bar (its axis and place).
type Support struct {
	XMM      *float64 `json:"x_mm"`
	YMM      *float64 `json:"y_mm"`
	ForceN   float64  `json:"force_n"`
	GapMM    float64  `json:"gap_mm"` // largest, along a bar
	LiftsOff bool     `json:"lifts_off"`
	Touches  float64  `json:"touches"` // share of a bar that the piece touches
}

// Loaded is what a weight that was laid on does, and the modulus that a dial beside it gives.
type Loaded struct {
	KG           float64    `json:"mass_kg"`
	At           [2]float64 `json:"at_mm"`
	DeflectionMM float64    `json:"deflection_mm"`
	ErrorMM      float64    `json:"error_mm"`
	DialMM       *float64   `json:"dial_mm"`
	ModulusGPa   *float64   `json:"modulus_gpa"`
	ModulusUGPa  *float64   `json:"modulus_u_gpa"`
}

// Mesh is what the plate was computed on.
type Mesh struct {
	Nodes    int     `json:"nodes"`
	Unknowns int     `json:"unknowns"`
	CellMM   float64 `json:"cell_mm"`
	Steps    int     `json:"contact_steps"`
}

func (r *Sag) warn(text string) { r.Warnings = append(r.Warnings, text) }

// describe fills in what is said of the sag.
func (r *Sag) describe(b *plate.Bent) {
	o := r.question.Piece.Outline
	r.SizeMM, r.ThicknessMM, r.ThicknessFitMM = [2]float64{o.X, o.Y}, r.question.Piece.Thickness.At(0, 0), r.question.ThicknessFit
	r.MassKG = b.WeightN() / plate.Gravity
	if name := r.question.Pattern; name != "" {
		r.Pattern = &name
	}
	r.Support = r.question.Under.Words()
	r.PeakToValleyMM, r.MaxMM, r.MinMM, r.ErrorEstimateMM = b.PeakToValley, b.Highest, b.Lowest, b.Error
	r.MaxAtMM, r.MinAtMM = first(b, b.Highest), first(b, b.Lowest)
	for _, e := range []float64{30, 48, 70, 90} {
		r.Moduli = append(r.Moduli, Modulus{e, b.PeakToValley * r.question.Piece.Elastic.Along / 1000 / e})
	}
	s := b.WorstStress()
	_, least := stone.LeastStrength()
	r.Stress = Stress{MPa: s.MPa, AtMM: [2]float64{s.At.X, s.At.Y}, Top: s.Top, StrengthMPa: least}
	if s.MPa > 0 {
		r.Stress.Factor = least / s.MPa
	}
	r.Mesh = Mesh{b.Nodes, b.Unknowns, b.Step, b.Steps}
	r.Proof = b.Proof
	r.list(b)
	r.Warnings = []string{}
	if n := len(r.question.Under.Points); n > 3 {
		r.warn("more than three points share the weight only where their heights agree to a few hundredths of a millimetre: the numbers hold for supports in one plane")
	}
	if t := r.ThicknessMM; t > math.Min(o.X, o.Y)/10 {
		r.warn("the piece is thicker than a tenth of its short side: thin plates are stiffer than it is, by more than a percent")
	}
}

// first is the first place of a height, as far as it is known.
func first(b *plate.Bent, height float64) [2]float64 {
	for i, h := range b.Heights {
		if math.Abs(h-height) <= 1e-7+b.Error/10 {
			return [2]float64{b.Places[i].X, b.Places[i].Y}
		}
	}
	return [2]float64{}
}

// list says what each support carries.
func (r *Sag) list(b *plate.Bent) {
	r.Supports = []Support{}
	n := len(r.question.Under.Points)
	for i, q := range r.question.Under.Points {
		r.Supports = append(r.Supports, Support{XMM: ptr(q.X), YMM: ptr(q.Y), ForceN: b.Force[i], GapMM: b.Gap[i], LiftsOff: !b.Carries[i], Touches: share(b.Carries[i : i+1])})
	}
	for _, l := range r.question.Under.Lines {
		bar := Support{}
		var on []bool
		for ; n < len(b.Supports); n++ {
			s := b.Supports[n]
			if l.Axis == 'y' && s.Y != l.At || l.Axis == 'x' && s.X != l.At {
				break
			}
			bar.ForceN += b.Force[n]
			bar.GapMM = math.Max(bar.GapMM, b.Gap[n])
			on = append(on, b.Carries[n])
		}
		if l.Axis == 'y' {
			bar.YMM = ptr(l.At)
		} else {
			bar.XMM = ptr(l.At)
		}
		bar.Touches = share(on)
		bar.LiftsOff = bar.Touches < 1
		r.Supports = append(r.Supports, bar)
	}
}

func share(on []bool) float64 {
	n := 0
	for _, v := range on {
		if v {
			n++
		}
	}
	return float64(n) / math.Max(1, float64(len(on)))
}

// slipped says what a slip costs.
func (r *Sag) slipped(by float64) {
	s, err := r.bent.Slipped(r.question.Under, by)
	if err != nil {
		r.warn(fmt.Sprintf("a support %s beside its mark lets the piece tip over", measure.FormatLength(by, measure.MM)))
		return
	}
	r.Slip = &Slip{SlipMM: by, PeakToValleyMM: s.PeakToValley, CostsMM: math.Max(0, s.PeakToValley-r.PeakToValleyMM)}
}

// load answers for a weight laid on, and for the shop test.
func (r *Sag) load(l Load) error {
	q := r.question
	if !(l.KG > 0) || l.DialMM < 0 || l.UDialMM < 0 || l.SideMM < 0 {
		return trouble.Usage("bad-load", "load", fmt.Sprintf("a weight of %g kg, a dial of %g mm", l.KG, l.DialMM), "give the weight in kg and how far the dial went down")
	}
	where := plate.Point{X: l.XMM, Y: l.YMM}
	with, err := plate.Bend(q.Piece, q.Under, q.Share, plate.Load{X: l.XMM, Y: l.YMM, N: l.KG * plate.Gravity, SideX: l.SideMM, SideY: l.SideMM})
	if err != nil {
		return err
	}
	r.Load = &Loaded{KG: l.KG, At: [2]float64{l.XMM, l.YMM}, DeflectionMM: r.bent.Height(where) - with.Height(where), ErrorMM: r.bent.Error + with.Error}
	if l.DialMM == 0 {
		return nil
	}
	e := q.Piece.Elastic.Along * r.Load.DeflectionMM / l.DialMM / 1000
	r.Load.DialMM, r.Load.ModulusGPa = &l.DialMM, &e
	r.Load.ModulusUGPa = ptr(e * math.Hypot(l.UDialMM/l.DialMM, 3*q.UThicknessMM/q.Piece.Thickness.At(0, 0)))
	if q.Under.Bench != nil || lifts(r.bent) || lifts(with) {
		r.warn("the piece leaves a support, or lies on a bench: deflection does not go with 1/E there, and the modulus of the shop test is a rough one")
	}
	return nil
}

func lifts(b *plate.Bent) bool {
	for _, c := range b.Carries {
		if !c {
			return true
		}
	}
	return false
}

func ptr[T any](v T) *T { return &v }
