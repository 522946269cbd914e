// Package passes plans how a piece is surfaced: in which order its faces are cut and how they are held, in how many passes and how deep by stage,
// what that takes in minutes, bits, water and power, and how thick and how flat the piece will be.
//
// The plan is the cheapest under the limits (see search.go for what is searched, and why nothing cheaper is missed), and a plan by the
// rule of thumb stands beside it. Where prices are missing the fewest minutes win, and among those the least worn bits; no money is invented.
//
// What a pass does ([Cutter]): power is specific energy times removal rate; the force normal to the face bends the loop of disc, machine
// and bed, so that a share of what was set is left, and a spark-out pass leaves the same share of that again; the bits wear by volume over G,
// so that the face rises from the start of a pass to its end. What the stone does: skin stress that goes off with a face bows the
// piece (after Stoney), and a bow that was pressed flat returns (package plate).
//
// Depths and lengths are mm, times minutes, speeds mm/s, forces N. What is the matter with a question is a *trouble.Trouble; a question that
// no plan meets is none: the answer says which limit stops it.
//
// The package finds no clean-up planes (package cleanup does) and learns nothing (package worked does). It does not know the heat of the cut,
// chatter, clamping marks or a batch of pieces, and it is no part of a machine's control and no safety device.
package passes

import (
	"fmt"
	"math"

	"slatewright/stone"
	"slatewright/surfacing/machine"
	"slatewright/trouble"
)

// Face is one of a piece's two faces.
type Face int

// The faces: the top is the playing face.
const (
	Top Face = iota
	Bottom
)

// String returns the face's word.
func (f Face) String() string { return [...]string{"top", "bottom"}[f] }

// Question is what is to be planned. Zero values mean what is said beside them.
type Question struct {
	Machine *machine.Machine
	X, Y    float64 // size of the piece, mm; it lies with its longer side along the feed
	// Take is what must come off each face at least, down to the clean-up planes.
	Take [2]Stock
	// Thickness between the clean-up planes and its standard uncertainty; 0: not known.
	Thickness, ThicknessU float64
	Missing               float64 // what the slab lacks to the thickness that its clean-up was asked for
	Final                 float64 // thickness that is wanted; 0: what the clean-up leaves
	Flat                  float64 // flatness that is allowed on the top, mm
	FlatBottom            float64 // and on the bottom; 0: the same
	Share                 float64 // of Flat that the wear of a face's last pass may take; 0: UsualShare
	Rounds                int     // passes over both faces together at least; 0: UsualRounds; below 0: none asked
	// BottomStage is the last stage of the bottom, counted from 1; 0: the machine's last, as on the top.
	BottomStage int
	Least       float64 // thinnest piece that is allowed; 0: not known
	Reserve     float64 // what must stay above it for a later re-grind
	Bow         *float64
	// Stress that is locked into both skins, MPa: + pulls. Not said: UsualStress.
	Stress machine.Known
	Stone  stone.Stone
}

// What is taken where nothing is said. All three are common practice or an estimate, and no source was seen.
const (
	UsualShare  = 0.2 // of the flatness for the wear of the last pass
	UsualRounds = 6   // "at least six rounds of surfacing in all"
	UsualFlat   = 0.254
)

// UsualStress is that of a skin of which nothing is known: none, give or take half a megapascal. An estimate, not a measurement.
func UsualStress() machine.Known { return machine.Known{U: 0.5} }

// mostUnits is the greatest depth off one face in units of the finest setting.
const mostUnits = 4000

// check completes the question.
func (q *Question) check() error {
	m := q.Machine
	if m == nil {
		return trouble.Data("no-machine", "machine", "there is no machine", "give a machine file")
	}
	if err := m.Check(); err != nil {
		return err
	}
	bad := func(where, what, next string) error { return trouble.Data("bad-question", where, what, next) }
	if !(q.X > 0 && q.Y > 0) || math.IsInf(q.X*q.Y, 0) {
		return bad("size", "the piece has no size", "give it, such as 914 x 1473 mm")
	}
	if !(q.Flat > 0) || math.IsInf(q.Flat, 0) {
		return bad("flat", "the flatness is missing, or not above zero", "give what is allowed, such as 0.254 mm")
	}
	if q.FlatBottom == 0 {
		q.FlatBottom = q.Flat
	}
	if !(q.FlatBottom > 0) || math.IsInf(q.FlatBottom, 0) {
		return bad("flat-bottom", "the flatness of the bottom is not above zero", "give what is allowed, such as 0.5 mm")
	}
	if q.Share == 0 {
		q.Share = UsualShare
	}
	if !(q.Share > 0 && q.Share <= 1) {
		return bad("share", fmt.Sprintf("%g is no share", q.Share), "give the share of the flatness that wear may take, between 0 and 1")
	}
	if q.Rounds == 0 {
		q.Rounds = UsualRounds
	}
	q.Rounds = max(0, q.Rounds)
	if q.Rounds > 100 {
		return bad("rounds", fmt.Sprintf("%d rounds", q.Rounds), "at most 100 are asked for")
	}
	if q.BottomStage == 0 {
		q.BottomStage = len(m.Stages)
	}
	if q.BottomStage < 1 || q.BottomStage > len(m.Stages) {
		return bad("bottom-stage", "the machine has no such stage", "name one of its stages")
	}
	for _, v := range []struct {
		where string
		v     float64
	}{{"thickness", q.Thickness}, {"thickness", q.ThicknessU}, {"final", q.Final}, {"least", q.Least}, {"reserve", q.Reserve}, {"thickness", q.Missing}} {
		if !(v.v >= 0) || math.IsInf(v.v, 0) {
			return bad(v.where, fmt.Sprintf("%g mm", v.v), "give a length, zero or more")
		}
	}
	if q.Bow != nil && (math.IsNaN(*q.Bow) || math.Abs(*q.Bow) > 50) {
		return bad("bow", fmt.Sprintf("a bow of %g mm", *q.Bow), "give the bow of the free piece along its longer side, mm")
	}
	if q.Stone == (stone.Stone{}) {
		q.Stone = stone.Slate()
	}
	if !q.Stress.Said() {
		q.Stress = UsualStress()
	}
	if math.IsNaN(q.Stress.Value+q.Stress.U) || math.Abs(q.Stress.Value) > 100 || !(q.Stress.U >= 0 && q.Stress.U <= 100) {
		return bad("stress", fmt.Sprintf("a skin stress of %g MPa", q.Stress.Value), "give it in MPa with its standard uncertainty, such as 1 ± 0.5")
	}
	for f := range q.Take {
		if d := q.Take[f].Max / q.unit(); d > mostUnits {
			return bad("off-"+Face(f).String(), fmt.Sprintf("%g mm off the %s are %.0f settings of %g mm", q.Take[f].Max, Face(f), d, q.unit()),
				fmt.Sprintf("at most %d are planned; saw such a slab nearer to its thickness first, or set the machine's depth_step coarser", mostUnits))
		}
	}
	return q.Stone.Check()
}

// unit is the finest setting: the greatest length of which every stage's step and depths are multiples, in whole micrometres.
func (q *Question) unit() float64 {
	g := 0
	for _, s := range q.Machine.Stages {
		g = divisor(g, max(1, int(math.Round(s.Step*1000))))
		g = divisor(g, max(1, int(math.Round(s.DepthMin*1000))))
	}
	return float64(g) / 1000
}

func divisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// long and wide are the sides along and across the feed.
func (q *Question) long() float64 { return math.Max(q.X, q.Y) }
func (q *Question) wide() float64 { return math.Min(q.X, q.Y) }

// flat is the flatness that is allowed on a face.
func (q *Question) flat(f Face) float64 {
	if f == Bottom {
		return q.FlatBottom
	}
	return q.Flat
}

// final is the thickness that the plan leaves, 0 where it is not known.
func (q *Question) final() float64 {
	if q.Final > 0 {
		return q.Final
	}
	return q.Thickness
}

func nothing() error {
	return trouble.Data("bad-stock", "off", "nothing is to come off either face", "give what a clean-up takes off, or a wanted thickness below what is there")
}
