package answers

import (
	"fmt"
	"math"

	"slatewright/measure"
	"slatewright/surfacing/toolmarks"
)

// said is what is said of one mark.
type said struct {
	says, correct, formula string
	alike, first           []string
}

// perMetre prints a lean, µm/m.
func perMetre(rad float64) string { return measure.Decimal(math.Abs(rad)*1e6, 0) + " µm/m" }

// towards is the side of an axis that a lean is lower at.
func towards(rad float64, axis string) string {
	if rad >= 0 {
		return "+" + axis
	}
	return "−" + axis
}

// exact says how far the correction is sure.
func exact(m toolmarks.Mark) string {
	percent := measure.Decimal(math.Ceil(100*min(m.Doubt(), 9.99)), 0)
	if m.Settled() {
		return fmt.Sprintf("to %s %%, in nine cases of ten", percent)
	}
	return fmt.Sprintf("in doubt by %s %%: read more pieces or more lines before you correct", percent)
}

// words says what a mark is, what to correct, what else looks alike, and what to try first.
func words(m toolmarks.Mark, q Question) said {
	switch m.Cause {
	case toolmarks.LeanAlong:
		return leanAlong(m, q)
	case toolmarks.LeanAcross:
		return leanAcross(m, q)
	case toolmarks.LeanBoth:
		return leanBoth(m, q)
	case toolmarks.Bed:
		return bedWedge(m, q)
	case toolmarks.Wear:
		return said{says: "the pieces are higher where they were cut last: the bits wear from the first track to the last",
			correct: fmt.Sprintf("the pieces rise by %s µm from the side that is cut first to the other", measure.Decimal(m.Strength.Value*1000, 0)),
			alike:   []string{"a bed that leans leaves the same wedge in every piece, whichever end is cut first", "a spindle that grows warm goes the other way: the pieces are lower where they were cut last"},
			first:   []string{"take less in the last pass, or add a pass without depth", "cut every second piece from the other end, so that the wedge does not add up in a set"}}
	case toolmarks.Wedge:
		return said{says: "every piece is thicker on one side: the bed leans, or the bits wear from the first track to the last",
			correct: "bed or wear: it cannot be told which",
			alike:   []string{"both leave a wedge; pieces cut from the other end tell them apart", "dirt under one side of a piece"},
			first:   []string{"cut the next two pieces from the other end and measure their thickness at eight places", "clean the bed"}}
	case toolmarks.BedWave:
		return said{says: "the same wave is in every piece laid at this place: the bed is not flat there",
			correct: fmt.Sprintf("the bed departs from its plane by %s µm under a piece, beside bow and twist", measure.Decimal(m.Strength.Value*1000, 0)),
			alike:   []string{"a bridge that is not straight leaves a wave that is the same in every track", "grit that lies under every piece"},
			first:   []string{"clean the bed and sweep it with a dial from the spindle", "lay a piece half a metre farther on: a wave of the bed stays where it was on the bed"}}
	case toolmarks.BridgeWave:
		return said{says: "the same wave is in every track of every piece: the disc's way is not straight",
			correct: fmt.Sprintf("the wave that the way leaves in a face is %s µm, beside its bow", measure.Decimal(m.Strength.Value*1000, 0)),
			alike:   []string{"a bed with humps right across the feed", "a piece pressed flat that springs back alike every time, where the wave is one long bow"},
			first:   []string{"sweep a straightedge on the bed with a dial on the spindle, along the feed", "look for dirt and wear on the slides at the places where the wave is high"}}
	case toolmarks.Unbalance:
		return said{says: "a ripple comes back with every turn of the disc: it leans round as it turns, out of balance or with one bit proud",
			correct: fmt.Sprintf("balance the disc; the ripple is %s µm", measure.Decimal(m.Strength.Value*1000, 1)),
			alike:   []string{"one proud bit scores the face at the same distance", "play in the spindle's bearing"},
			first:   []string{"measure the heights of the bits and the run-out of the disc's face", "weigh the bits and balance the disc (slatewright disc)"}}
	}
	return said{}
}

func leanAlong(m toolmarks.Mark, q Question) said {
	s := said{says: "every track is hollow: the spindle leans along the feed",
		correct: "how far it leans cannot be told without the disc's diameter",
		formula: "depth = (R − √(R² − (w/2)²)) · sin(lean)",
		alike:   []string{"outer bits worn round leave a ridge between tracks that is narrow, not a hollow from edge to edge", "a spindle that leans across the feed as well hides behind the hollow until this is corrected"},
		first:   []string{"sweep a dial on the spindle round over the bed: it should show the lean; which edge is low the face does not show"}}
	if len(m.Leans) == 2 {
		s.correct = fmt.Sprintf("tilt the spindle by %s along the feed: %s µm over the disc's diameter", perMetre(m.Leans[0].Value), measure.Decimal(m.Leans[0].Value*q.Facts.Diameter*1000, 0))
	}
	return s
}

func leanAcross(m toolmarks.Mark, q Question) said {
	s := said{says: "there is a step between tracks: the spindle leans across the feed",
		correct: "how far it leans cannot be told without the pitch",
		formula: "step = lean · pitch",
		alike:   []string{"bits that wear from track to track leave steps too, but a wedge as well, which thicknesses show", "tracks set to different heights leave steps that are not alike"},
		first:   []string{"sweep a dial on the spindle round over the bed and look at the two sides of the feed"}}
	if len(m.Leans) == 2 {
		s.correct = fmt.Sprintf("tilt the spindle by %s across the feed: the disc stands low towards %s", perMetre(m.Leans[1].Value), towards(m.Leans[1].Value, otherAxis(q.Feed)))
	}
	return s
}

func leanBoth(m toolmarks.Mark, q Question) said {
	s := said{says: "tracks are hollow with a step between them: the spindle leans along the feed and across it",
		correct: "how far it leans cannot be told without the disc's diameter",
		formula: "depth = (R − √(R² − (w/2)²)) · sin(lean along); step = lean across · pitch",
		alike:   []string{"hollow tracks with bits that wear from track to track"},
		first:   []string{"sweep a dial on the spindle round over the bed, correct along the feed first, cut a piece and look again"}}
	if len(m.Leans) == 2 {
		s.correct = fmt.Sprintf("tilt the spindle by %s along the feed and by %s across it: the disc stands low towards %s", perMetre(m.Leans[0].Value), perMetre(m.Leans[1].Value),
			towards(m.Leans[1].Value, otherAxis(q.Feed)))
	}
	return s
}

func bedWedge(m toolmarks.Mark, q Question) said {
	s := said{says: "every piece is thicker on one side, whichever end is cut first: the bed is not parallel to the disc's way",
		alike: []string{"bits that wear from the first track to the last: then the thick side changes with the end that is cut first", "dirt under one side of a piece"},
		first: []string{"clean the bed, then sweep it with a dial from the spindle along and across the feed"}}
	if len(m.Leans) == 2 {
		along, across := m.Leans[0], m.Leans[1]
		a, x, b, y := perMetre(along.Value), towards(along.Value, q.Feed), perMetre(across.Value), towards(across.Value, otherAxis(q.Feed))
		switch sure := func(i toolmarks.Interval) bool { return i.Low > 0 || i.High < 0 }; {
		case !sure(along):
			s.correct = fmt.Sprintf("lift the bed by %s towards %s", b, y)
		case !sure(across):
			s.correct = fmt.Sprintf("lift the bed by %s towards %s", a, x)
		default:
			s.correct = fmt.Sprintf("lift the bed by %s towards %s and by %s towards %s", a, x, b, y)
		}
	}
	return s
}
