package answers

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/seating/levelling"
)

// Bed is the answer. Its names are a contract with other programs. Lengths are mm, forces N.
type Bed struct {
	LengthwiseMM     float64            `json:"lengthwise_mm"`
	AcrossMM         float64            `json:"across_mm"`
	ZoneMM           float64            `json:"zone_mm"`
	StepMM           [2]float64         `json:"step_mm"` // largest at each joint: head to centre, centre to foot
	Range            Range              `json:"range"`   // of the same packs, for the moduli that the stone may have
	Share            float64            `json:"share"`   // the worst of the four as a share of its limit
	ShareBound       *float64           `json:"share_bound"`
	Ideal            Figures            `json:"ideal"` // with shims of any height
	Limits           Limits             `json:"limits"`
	Verdict          string             `json:"verdict"`
	Shims            []Shim             `json:"shims"`
	Work             []Stage            `json:"work"` // in order
	LoadDeflectionMM float64            `json:"load_deflection_mm"`
	LoadLimitMM      float64            `json:"load_limit_mm"`
	LoadKG           float64            `json:"load_kg"`
	StressMPa        [3]float64         `json:"stress_mpa"`  // largest in head, centre, foot
	ModulusGPa       [3]float64         `json:"modulus_gpa"` // taken, lowest, highest
	Frame            string             `json:"frame"`       // "the specification's", or the name of the pattern that is assumed
	Warnings         []string           `json:"warnings"`
	Says             judge.Verdict      `json:"-"`
	Result           levelling.Result   `json:"-"`
	Question         levelling.Question `json:"-"`
}

// Figures are the numbers of a bed that are judged.
type Figures struct {
	LengthwiseMM float64    `json:"lengthwise_mm"`
	AcrossMM     float64    `json:"across_mm"`
	ZoneMM       float64    `json:"zone_mm"`
	StepMM       [2]float64 `json:"step_mm"`
}

// Range is from the smallest to the largest of each figure.
type Range struct {
	LengthwiseMM [2]float64 `json:"lengthwise_mm"`
	AcrossMM     [2]float64 `json:"across_mm"`
	ZoneMM       [2]float64 `json:"zone_mm"`
	StepMM       [2]float64 `json:"step_mm"` // of the larger one
}

// Limits are what must be kept.
type Limits struct {
	LengthwiseMM float64 `json:"lengthwise_mm"`
	AcrossMM     float64 `json:"across_mm"`
	ZoneMM       float64 `json:"zone_mm"`
	StepMM       float64 `json:"step_mm"`
}

// Shim is a pack under one support.
type Shim struct {
	Piece    string    `json:"piece"` // head, centre or foot
	XMM      float64   `json:"x_mm"`  // frame of the piece as it lies
	YMM      float64   `json:"y_mm"`
	HeightMM float64   `json:"height_mm"`
	PackMM   []float64 `json:"pack_mm"`
	AskedMM  float64   `json:"asked_mm"`  // of the ideal bed
	LiftsOff bool      `json:"lifts_off"` // it carries nothing
	GapMM    float64   `json:"gap_mm"`
	ForceN   float64   `json:"force_n"` // + pushes up
}

// Stage is one step of the mechanic's work.
type Stage struct {
	Piece  string   `json:"piece"`
	StepMM *float64 `json:"step_mm"` // largest along the joint that is new; null for the first piece
	Levels []Level  `json:"levels"`
}

// Level is what a level should read.
type Level struct {
	XMM       float64   `json:"x_mm"` // bed frame
	YMM       float64   `json:"y_mm"`
	Direction string    `json:"direction"` // along or across
	BaseMM    float64   `json:"base_mm"`
	MMPerM    float64   `json:"mm_per_m"`  // + rises towards +x or +y
	Divisions []float64 `json:"divisions"` // of each level of the specification
}

func (b *Bed) warn(text string) { b.Warnings = append(b.Warnings, text) }

func report(a Ask, q levelling.Question, r levelling.Result) *Bed {
	l := a.Spec.Limits
	b := &Bed{LengthwiseMM: r.Lengthwise, AcrossMM: r.Across, ZoneMM: r.Zone, StepMM: r.Steps, Share: r.Share, Ideal: figures(r.Ideal),
		Limits: Limits{l.Lengthwise, l.Across, l.Zone, l.Step}, LoadDeflectionMM: r.TestSag, LoadLimitMM: TestLimit, LoadKG: TestKG,
		Frame: "the specification's", Warnings: append([]string{}, r.Warnings...), Result: r, Question: q, Shims: []Shim{}, Work: []Stage{}}
	if r.Proven {
		b.ShareBound = &r.Bound
	}
	if a.Frame != nil {
		b.Frame = a.Frame.Name
	}
	assumed := 0
	for k, feet := range r.Feet {
		b.StressMPa[k] = r.Stress[k].Pull
		for _, f := range feet {
			b.Shims = append(b.Shims, Shim{Piece: bed.Place(k).String(), XMM: f.X, YMM: f.Y, HeightMM: f.Pack.Height, PackMM: append([]float64{}, f.Pack.Shims...),
				AskedMM: f.Asked, LiftsOff: f.Lifts, GapMM: f.Gap, ForceN: f.Force})
			if f.Assumed {
				assumed++
			}
		}
	}
	for _, s := range r.Work {
		b.Work = append(b.Work, stage(s, a.Spec.Levels))
	}
	if assumed > 0 {
		b.warn(fmt.Sprintf("over %d of %d supports no thickness%s was read: there the shims are those of a piece that is as thick as near by, or on average",
			assumed, len(b.Shims), lined(a.Spec)))
	}
	if a.Spec.Lining > 0 {
		b.warn("the lining counts by its weight only: glued on in full it stiffens the stone, and the bed bends less than it says here")
	}
	b.warn("what is not known of the readings is not in the figures: the bed is judged when it is laid")
	return b
}

func lined(s bed.Spec) string {
	if s.Lining > 0 {
		return " of stone and lining"
	}
	return " of the stone"
}

func figures(f seating.Figures) Figures {
	return Figures{f.Lengthwise, f.Across, f.Zone, f.Steps}
}

func stage(s levelling.Stage, kinds []bed.Level) Stage {
	out := Stage{Piece: s.Place.String(), Levels: []Level{}}
	if s.Joint >= 0 {
		out.StepMM = &s.Joint
	}
	for _, l := range s.Levels {
		v := Level{XMM: l.X, YMM: l.Y, Direction: "across", BaseMM: l.Foot, MMPerM: 1000 * l.Slope, Divisions: []float64{}}
		if l.Along {
			v.Direction = "along"
		}
		for _, k := range kinds {
			v.Divisions = append(v.Divisions, k.Divisions(l.Slope))
		}
		out.Levels = append(out.Levels, v)
	}
	return out
}

// spread lays the bed on the same packs with the softest and the stiffest stone that it may be, and says what that makes of the verdict.
func (b *Bed) spread(a Ask, q levelling.Question, r levelling.Result) error {
	taken := (a.Stone.Along + a.Stone.Across) / 2
	b.ModulusGPa = [3]float64{taken / 1000, a.Stone.Low / 1000, a.Stone.High / 1000}
	beds := []seating.Figures{r.Figures}
	for _, e := range [2]float64{a.Stone.Low, a.Stone.High} {
		other, err := a.question(e)
		if err != nil {
			return err
		}
		frame, err := levelling.Prepare(other)
		if err != nil {
			return err
		}
		f, err := frame.On(r.Packs())
		if err != nil {
			return err
		}
		beds = append(beds, f)
	}
	inf := math.Inf(1)
	b.Range = Range{[2]float64{inf, 0}, [2]float64{inf, 0}, [2]float64{inf, 0}, [2]float64{inf, 0}}
	kept, all := 0, len(beds)
	for _, f := range beds {
		widen(&b.Range.LengthwiseMM, f.Lengthwise)
		widen(&b.Range.AcrossMM, f.Across)
		widen(&b.Range.ZoneMM, f.Zone)
		widen(&b.Range.StepMM, max(f.Steps[0], f.Steps[1]))
		if l := a.Spec.Limits; f.Lengthwise <= l.Lengthwise && f.Across <= l.Across && f.Zone <= l.Zone && max(f.Steps[0], f.Steps[1]) <= l.Step {
			kept++
		}
	}
	switch {
	case kept == 0 || b.LoadDeflectionMM > TestLimit:
		b.Says = judge.DoesNotConform
	case kept == all:
		b.Says = judge.Conforms
	default:
		b.Says = judge.CannotTell
		b.warn("whether the limits are kept hangs on how stiff the stone is: test a piece (20 kg at mid-span, the ends supported) and give its modulus")
	}
	b.Verdict = b.Says.String()
	return nil
}

func widen(r *[2]float64, v float64) { r[0], r[1] = min(r[0], v), max(r[1], v) }
