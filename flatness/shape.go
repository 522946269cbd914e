package flatness

import (
	"fmt"
	"math"
	"strings"

	"slatewright/trouble"
)

// Shape is the simple shape of a piece, fitted by least squares over its readings:
//
//	z = height + tilt in x·x + tilt in y·y + A·(1−(2x/Lx)²) + B·(1−(2y/Ly)²) + T·(2x/Lx)·(2y/Ly)
//
// with Lx, Ly the size of the piece, whatever part of it was read. A term that the readings cannot tell is NaN, as is its
// standard error, and a warning names it. Standard errors come from the scatter of the readings about the fit, taken as
// independent: ripple and steps that the formula does not know make them too small as often as too large. They are NaN if
// there are no readings to spare.
type Shape struct {
	BowAlong  float64 // mm; A, rise of the middle above the −x and +x edges: + is crown, − is dish
	BowAcross float64 // mm; B, the same between the −y and +y edges
	Twist     float64 // mm; 4T, gap under the fourth corner with three touching; + if the (+,+) and (−,−) corners are high

	BowAlongSE, BowAcrossSE, TwistSE float64 // mm; standard errors

	// RollOff is how much lower than the rest the readings of the outer ring lie, against the shape that is fitted together
	// with it: the fit's seventh term, minus one height for the ring. + is an edge that falls away. The ring is every
	// reading within 20 mm of the outermost reading on any of the four sides: on a grid the outer stations, on a scan a
	// strip of 20 mm. It says nothing of stone farther out than the readings go: EdgeUnread.
	RollOff, RollOffSE float64 // mm
	EdgeUnread         float64 // mm; largest distance of an edge of the piece from the outermost readings beside it

	// Remainder is what is left when the shape (without roll-off) is taken away, peak to valley: the highest reading above the
	// fit less the lowest below it. Its standard error is that of the difference of these two; that they stand out, which
	// chance alone makes some readings do, is not in it.
	Remainder, RemainderSE float64 // mm

	Warnings []string
}

// ringWidth is how far the outer ring reaches in from the outermost readings, mm: common practice, no source. Grinding
// discs round off about this much (the invented mill's last 20 mm do).
const ringWidth = 20

// FitShape fits the shape to readings in the piece's frame (origin in its middle, mm); sizeX and sizeY are its size, mm.
//
// At least four points, sizes above 0; otherwise, or if a coordinate is not finite, the error is a *trouble.Trouble.
func FitShape(p Points, sizeX, sizeY float64) (Shape, error) {
	if err := p.check(4); err != nil {
		return Shape{}, err
	}
	if !(sizeX > 0 && sizeY > 0) || !finite(vector{sizeX, sizeY, 0}) {
		return Shape{}, trouble.Data("no-size", "", "the size of the piece is not known, so bow and twist are not either",
			"state it, for example: # size: 914 x 1473 mm")
	}
	if err := p.finite(); err != nil {
		return Shape{}, err
	}
	d := newDesign(p, sizeX, sizeY)
	var s Shape
	d.warn(&s)
	normal := d.normal()
	d.fitShape(&s, normal)
	d.fitRing(&s, normal)
	return s, nil
}

func (d *design) fitShape(s *Shape, normal equations) {
	f := normal.solve(shapeColumns)
	r := d.refine(f)
	se := f.errors(r.sum, d.p.Len())
	s.BowAlong, s.BowAlongSE = 0-f.value(columnUU), se[columnUU]
	s.BowAcross, s.BowAcrossSE = 0-f.value(columnVV), se[columnVV]
	s.Twist, s.TwistSE = 4*f.value(columnUV), 4*se[columnUV]
	s.Remainder = r.most - r.least
	s.RemainderSE = f.differenceError(d.row(r.highest), d.row(r.lowest), r.sum, d.p.Len())
	for _, together := range f.mixed {
		s.Warnings = append(s.Warnings, cannotTell(together))
	}
	if d.p.Len() <= len(f.kept) {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d readings for %d terms of shape leave none to judge the fit by: "+
			"no standard errors", d.p.Len(), len(f.kept)))
	}
}

func (d *design) fitRing(s *Shape, normal equations) {
	f := normal.solve(columns)
	r := d.refine(f)
	s.RollOff, s.RollOffSE = 0-f.value(columnRing), f.errors(r.sum, d.p.Len())[columnRing]
	if math.IsNaN(s.RollOff) {
		s.Warnings = append(s.Warnings, "edge roll-off cannot be told: too few stations inside the outer ring")
	}
}

// cannotTell names the terms that only together fit the readings.
func cannotTell(together []int) string {
	var names []string
	for _, c := range together {
		if c != columnOne {
			names = append(names, columnName[c])
		}
	}
	if len(names) == 1 {
		return names[0] + " cannot be told from these readings: there are stations missing that would show it"
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1] +
		" cannot be told apart from these readings: only a mixture of them is seen"
}
