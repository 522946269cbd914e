package bending

import (
	"fmt"
	"math"

	"slatewright/measure"
	"slatewright/plate"
	"slatewright/plate/contact"
	"slatewright/stone"

	"slatewright/internal/cli/verb"
)

// sagReport is the answer. Its names are a contract with other programs.
type sagReport struct {
	SizeMM          [2]float64      `json:"size_mm"`
	ThicknessMM     float64         `json:"thickness_mm"` // in the middle
	ThicknessFitMM  *float64        `json:"thickness_fit_mm"`
	MassKG          float64         `json:"mass_kg"`
	Pattern         *string         `json:"pattern"`
	Support         string          `json:"support"`
	PeakToValleyMM  float64         `json:"peak_to_valley_mm"`
	MaxMM           float64         `json:"max_mm"`
	MinMM           float64         `json:"min_mm"`
	MaxAtMM         [2]float64      `json:"max_at_mm"`
	MinAtMM         [2]float64      `json:"min_at_mm"`
	ErrorEstimateMM float64         `json:"error_estimate_mm"`
	Moduli          []modulusReport `json:"moduli"`
	Stress          stressReport    `json:"stress"`
	Slip            *slipReport     `json:"slip"`
	Supports        []supportReport `json:"supports"`
	Load            *loadReport     `json:"load"`
	Free            *freeReport     `json:"free"`
	Mesh            meshReport      `json:"mesh"`
	Proof           contact.Proof   `json:"proof"`
	Warnings        []string        `json:"warnings"`

	piece  plate.Piece
	under  plate.Under
	known  known
	bent   *plate.Bent
	status verb.Outcome
}

// modulusReport is the sag of a stone of another modulus; both moduli change alike where there are two.
type modulusReport struct {
	ModulusGPa     float64 `json:"modulus_gpa"`
	PeakToValleyMM float64 `json:"peak_to_valley_mm"`
}

type stressReport struct {
	MPa         float64    `json:"mpa"`
	AtMM        [2]float64 `json:"at_mm"`
	Top         bool       `json:"pulled_at_top"`
	StrengthMPa float64    `json:"strength_mpa"` // the least that ASTM C629 asks of slate indoors
	Factor      float64    `json:"factor"`
}

type slipReport struct {
	SlipMM         float64 `json:"slip_mm"`
	PeakToValleyMM float64 `json:"peak_to_valley_mm"`
	CostsMM        float64 `json:"costs_mm"`
}

// supportReport is a point, or a bar (its axis and place).
type supportReport struct {
	XMM      *float64 `json:"x_mm"`
	YMM      *float64 `json:"y_mm"`
	ForceN   float64  `json:"force_n"`
	GapMM    float64  `json:"gap_mm"` // largest, along a bar
	LiftsOff bool     `json:"lifts_off"`
	Touches  float64  `json:"touches"` // share of a bar that the piece touches
}

type loadReport struct {
	KG           float64   `json:"mass_kg"`
	At           []float64 `json:"at_mm"`
	DeflectionMM float64   `json:"deflection_mm"`
	ErrorMM      float64   `json:"error_mm"`
	DialMM       *float64  `json:"dial_mm"`
	ModulusGPa   *float64  `json:"modulus_gpa"`
	ModulusUGPa  *float64  `json:"modulus_u_gpa"`
}

type meshReport struct {
	Nodes    int     `json:"nodes"`
	Unknowns int     `json:"unknowns"`
	CellMM   float64 `json:"cell_mm"`
	Steps    int     `json:"contact_steps"`
}

// Outcome is Done, or CannotTell where the free shape of a face was asked for and is hidden.
func (r *sagReport) Outcome() verb.Outcome { return r.status }

func (r *sagReport) warn(text string) { r.Warnings = append(r.Warnings, text) }

// describe fills in what is said of the sag.
func (r *sagReport) describe(name string, b *plate.Bent) {
	o := r.piece.Outline
	r.SizeMM, r.ThicknessMM, r.ThicknessFitMM = [2]float64{o.X, o.Y}, r.piece.Thickness.At(0, 0), r.known.fit
	r.MassKG = b.WeightN() / plate.Gravity
	if name != "" {
		r.Pattern = &name
	}
	r.Support = r.under.Words()
	r.PeakToValleyMM, r.MaxMM, r.MinMM, r.ErrorEstimateMM = b.PeakToValley, b.Highest, b.Lowest, b.Error
	r.MaxAtMM, r.MinAtMM = first(b, b.Highest), first(b, b.Lowest)
	for _, e := range []float64{30, 48, 70, 90} {
		r.Moduli = append(r.Moduli, modulusReport{e, b.PeakToValley * r.piece.Elastic.Along / 1000 / e})
	}
	s := b.WorstStress()
	_, least := stone.LeastStrength()
	r.Stress = stressReport{MPa: s.MPa, AtMM: [2]float64{s.At.X, s.At.Y}, Top: s.Top, StrengthMPa: least}
	if s.MPa > 0 {
		r.Stress.Factor = least / s.MPa
	}
	r.Mesh = meshReport{b.Nodes, b.Unknowns, b.Step, b.Steps}
	r.Proof = b.Proof
	r.list(b)
	r.Warnings = []string{}
	if n := len(r.under.Points); n > 3 {
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
func (r *sagReport) list(b *plate.Bent) {
	r.Supports = []supportReport{}
	n := len(r.under.Points)
	for i, q := range r.under.Points {
		r.Supports = append(r.Supports, supportReport{XMM: ptr(q.X), YMM: ptr(q.Y), ForceN: b.Force[i], GapMM: b.Gap[i], LiftsOff: !b.Carries[i], Touches: share(b.Carries[i : i+1])})
	}
	for _, l := range r.under.Lines {
		bar := supportReport{}
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
func (r *sagReport) slipped(by float64) error {
	s, err := r.bent.Slipped(r.under, by)
	if err != nil {
		r.warn(fmt.Sprintf("a support %s beside its mark lets the piece tip over", measure.FormatLength(by, measure.MM)))
		return nil
	}
	r.Slip = &slipReport{SlipMM: by, PeakToValleyMM: s.PeakToValley, CostsMM: math.Max(0, s.PeakToValley-r.PeakToValleyMM)}
	return nil
}
