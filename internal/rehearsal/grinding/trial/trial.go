// Package trial counts how often package toolmarks finds what is wrong with invented machines.
//
// The faces come from package grinding, which removes stone bit by bit and shares no code with what it tries.
package trial

import (
	"math"

	"slatewright/internal/rehearsal/grinding"
	"slatewright/surfacing/toolmarks"
)

// Result is what became of one case.
type Result struct {
	Cause, Second grinding.Cause
	Told          toolmarks.Cause
	Right         bool
	Error         float64 // of the correction: relative; NaN where the cause is not right or none
	Probability   float64 // of the first mark
	Covered       bool    // its interval holds the truth
	Settled       bool    // it is said to be sure to a fifth
	Case          *grinding.Case
	Finding       *toolmarks.Finding
}

var names = map[toolmarks.Cause]grinding.Cause{toolmarks.None: grinding.Sound, toolmarks.LeanAlong: grinding.LeanAlong, toolmarks.LeanAcross: grinding.LeanAcross, toolmarks.Bed: grinding.BedWedge,
	toolmarks.Wear: grinding.WearWedge, toolmarks.BedWave: grinding.BedWave, toolmarks.BridgeWave: grinding.BridgeWave, toolmarks.Unbalance: grinding.Unbalance}

// Maps are a case's faces as the analyser takes them.
func Maps(c *grinding.Case) (maps []toolmarks.Map, facts toolmarks.Facts) {
	one := func(f grinding.Face, start int) toolmarks.Map {
		return toolmarks.Map{S: f.S, T: f.T, Z: f.Z, Size: c.Size, Calipers: f.Calipers, Start: start, Day: math.NaN()}
	}
	for i, f := range c.Faces {
		maps = append(maps, one(f, c.Starts[i]))
	}
	for _, f := range c.Lines {
		m := one(f, c.Starts[0])
		m.Calipers = nil
		maps = append(maps, m)
	}
	m := c.Machine
	facts = toolmarks.Facts{Diameter: m.Diameter, Turn: m.Feed, Order: toolmarks.Alternate, CaliperU: 0.008}
	if m.OneWay {
		facts.Order = toolmarks.OneWay
	}
	if c.PitchKnown {
		facts.Pitch = m.Pitch
	}
	return maps, facts
}

// Run makes a case and looks at it; few is how many of its pieces are looked at at most, 0: all.
func Run(cause grinding.Cause, seed uint64, n int, mixed bool, few int) (Result, error) {
	c := grinding.NewCase(cause, seed, n, mixed)
	if few > 0 && few < len(c.Faces) {
		c = c.First(few)
	}
	maps, facts := Maps(c)
	f, err := toolmarks.Look(maps, facts)
	if err != nil {
		return Result{}, err
	}
	r := Result{Cause: c.Cause, Second: c.Second, Told: f.First(), Error: math.NaN(), Case: c, Finding: f}
	told, ok := names[r.Told]
	r.Right = ok && told == c.Cause || r.Told == toolmarks.Wedge && (c.Cause == grinding.BedWedge || c.Cause == grinding.WearWedge) && !c.WedgeTold()
	if len(f.Marks) > 0 {
		r.Probability = f.Marks[0].Probability
	}
	if r.Right && r.Told != toolmarks.None {
		r.correction(f.Marks[0])
	}
	return r, nil
}

// correction compares what to correct with the truth: the lean, and for other causes the strength.
func (r *Result) correction(m toolmarks.Mark) {
	truth, got := r.Case.Strength, m.Correction()
	if m.Cause == toolmarks.LeanAlong || m.Cause == toolmarks.LeanAcross {
		truth = r.Case.Lean
	}
	r.Error = math.Abs(got.Value/truth - 1)
	r.Covered = got.Low <= truth && truth <= got.High
	r.Settled = m.Settled()
}
