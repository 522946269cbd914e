// Package stock asks several slabs at once: the thickest finish that all pieces of a set can have in common, and which of a list of finished thicknesses
// each slab of a stock can still give.
//
// It finds no planes (package cleanup does), and does not say which pieces belong together (package sets does).
package stock

import "slatewright/surfacing/cleanup"

// Piece is a slab whose planes are known.
type Piece struct {
	Name      string
	Planes    *cleanup.Planes
	Low, High float64 // limits of the planes' thickness
	Limits    cleanup.Limits
}

// available is what can be left in the end, with its limits.
func (p Piece) available() (value, low, high float64) {
	l := p.Limits
	l.Finish = 0
	q := l.Plan(p.Planes, p.Low, p.High)
	return q.Available, q.Low, q.High
}

// Set is what several pieces have in common.
type Set struct {
	Finish, Low, High float64 // the thickest finish that all can have, and its limits
	Thinnest          int     // the piece that holds it
	Answer            cleanup.Answer
	Plans             []cleanup.Plan // of each piece, to that finish
}

// Common is the thickest finish that all pieces can have: that of the piece with the least to give. Each piece is then planned to it; one that has
// more to give loses more, as equally from both faces as it can. A wanted finish in the limits is held against it. There must be a piece.
func Common(pieces []Piece) Set {
	var s Set
	for i, p := range pieces {
		value, low, high := p.available()
		if i == 0 || value < s.Finish {
			s.Finish, s.Thinnest = value, i
		}
		if i == 0 || low < s.Low {
			s.Low = low
		}
		if i == 0 || high < s.High {
			s.High = high
		}
	}
	for _, p := range pieces {
		asked := p.Limits.Plan(p.Planes, p.Low, p.High)
		s.Answer = worse(s.Answer, asked.Answer)
		l := p.Limits
		if l.Finish == 0 || l.Finish > s.Finish {
			l.Finish = s.Finish
		}
		s.Plans = append(s.Plans, l.Plan(p.Planes, p.Low, p.High))
	}
	return s
}

// worse is the answer of two slabs together: not possible, where one cannot; cannot tell, where one cannot be told.
func worse(a, b cleanup.Answer) cleanup.Answer {
	switch {
	case a == cleanup.Impossible || b == cleanup.Impossible:
		return cleanup.Impossible
	case a == cleanup.Unsure || b == cleanup.Unsure:
		return cleanup.Unsure
	}
	return cleanup.Possible
}

// Gives is what a slab says to each finish of a list, in its order; best is the number of the thickest that is surely possible, −1 without one.
func Gives(low, high float64, l cleanup.Limits, sizes []float64) (answers []cleanup.Answer, best int) {
	best = -1
	less := l.DamageTop + l.DamageBottom + l.Movement + l.Reserve
	for i, size := range sizes {
		a := cleanup.Hold(low-less, high-less, size)
		answers = append(answers, a)
		if a == cleanup.Possible && (best < 0 || size > sizes[best]) {
			best = i
		}
	}
	return answers, best
}
