package seating

import (
	"fmt"

	"slatewright/bed"
)

// levelBase is the length of the level's base between the places where it stands, mm.
const levelBase = 200.0

// levels lists what a level should read on the seated bed, along and across the table: on the middle line of each piece, at
// its middle and a third of its width to either side.
func (b *bench) levels(r *Result, l *laid) {
	middle := b.middleX(l.arrangement)
	unread := 0
	for place := range 3 {
		p := b.pieces[l.index[place]]
		for _, share := range [3]float64{-1, 0, 1} {
			y := float64(share*p.sizeY) / 3
			for _, along := range [2]bool{true, false} {
				slope, ok := b.slope(l, place, 0, y, along)
				if !ok {
					unread++
					continue
				}
				r.Levels = append(r.Levels, LevelReading{Place: bed.Place(place), X: middle[place], Y: y, Along: along, Foot: levelBase, Slope: slope})
			}
		}
	}
	if unread > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("what a level should read cannot be said at %d of 18 marks: the face was not read there", unread))
	}
}

// slope is the rise per mm between the two ends of the level, at (x, y) in the frame of the piece as it lies.
func (b *bench) slope(l *laid, place int, x, y float64, along bool) (float64, bool) {
	dx, dy := levelBase/2, 0.0
	if !along {
		dx, dy = 0, levelBase/2
	}
	from, ok1 := b.seatedHeight(l, place, x-dx, y-dy)
	to, ok2 := b.seatedHeight(l, place, x+dx, y+dy)
	return (to - from) / levelBase, ok1 && ok2
}

func (b *bench) seatedHeight(l *laid, place int, x, y float64) (float64, bool) {
	p, sign := b.pieces[l.index[place]], l.sign(place)
	x, y = float64(sign*x), float64(sign*y)
	z, ok := p.surface.height(x, y)
	return moved(z, x, y, l.moves[3*place:3*place+3]), ok
}
