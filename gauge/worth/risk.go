package worth

import (
	"math"
	"slices"

	"slatewright/chance"
)

// Risk is what an instrument does to the pieces, as shares of all pieces and of parts of them (JCGM 106:2012, 9.5, global risks).
type Risk struct {
	Accepted         float64 // of all pieces
	Bad              float64 // of all pieces, truly beyond the limit
	FalseAccept      float64 // of all pieces: bad and accepted
	FalseReject      float64 // of all pieces: good and stopped
	BadAmongAccepted float64
	GoodStopped      float64 // of the good ones
}

// spread is a fitted truth: normal, lognormal, or values of equal weight.
type spread struct {
	log           bool
	middle, sigma float64 // of the value or of its logarithm
	values        []float64
}

// at is the true value that lies z standard deviations from the middle; from is the other way round.
func (s spread) at(z float64) float64 {
	if v := s.middle + s.sigma*z; !s.log {
		return v
	} else {
		return math.Exp(v)
	}
}

func (s spread) from(value float64) float64 {
	if !s.log {
		return (value - s.middle) / s.sigma
	}
	if value <= 0 {
		return math.Inf(-1)
	}
	return (math.Log(value) - s.middle) / s.sigma
}

// reach is how many standard deviations of the truth are looked at: 2e-19 of the pieces lie beyond.
const reach = 9.0

// risk integrates over the true value: a piece of true value η is accepted with probability Φ((accept − η)/u).
func (s spread) risk(limit, accept, u float64) Risk {
	var r Risk
	passes := func(value float64) float64 { return chance.Cumulative((accept - value) / u) }
	if s.values != nil {
		share := 1 / float64(len(s.values))
		for _, v := range s.values {
			r.add(share, v > limit, passes(v))
		}
		return r.shares()
	}
	border := s.from(limit)
	for _, panel := range s.panels(border, accept, u) {
		for k, node := range gaussNodes {
			z := (panel[0]+panel[1])/2 + node*(panel[1]-panel[0])/2
			weight := gaussWeights[k] * (panel[1] - panel[0]) / 2 * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
			r.add(weight, z > border, passes(s.at(z)))
		}
	}
	return r.shares()
}

// panels part the line where the integrand bends: at the limit and about the value up to which pieces are accepted.
func (s spread) panels(border, accept, u float64) (list [][2]float64) {
	cuts := []float64{-reach, reach, border}
	for _, k := range []float64{-8, -4, -2, -1, 0, 1, 2, 4, 8} {
		cuts = append(cuts, s.from(accept+k*u))
	}
	for i := range cuts {
		cuts[i] = min(max(cuts[i], -reach), reach)
	}
	slices.Sort(cuts)
	for i, from := range cuts[:len(cuts)-1] {
		n := math.Ceil((cuts[i+1] - from) / 0.75)
		for k := range int(n) {
			width := (cuts[i+1] - from) / n
			list = append(list, [2]float64{from + float64(k)*width, from + float64(k+1)*width})
		}
	}
	return list
}

// Nodes and weights of Gauss and Legendre's rule with eight points (standard table).
var (
	gaussNodes = [...]float64{-0.9602898564975363, -0.7966664774136267, -0.5255324099163290, -0.1834346424956498,
		0.1834346424956498, 0.5255324099163290, 0.7966664774136267, 0.9602898564975363}
	gaussWeights = [...]float64{0.1012285362903763, 0.2223810344533745, 0.3137066458778873, 0.3626837833783620,
		0.3626837833783620, 0.3137066458778873, 0.2223810344533745, 0.1012285362903763}
)

func (r *Risk) add(share float64, bad bool, passes float64) {
	r.Accepted += share * passes
	if bad {
		r.Bad += share
		r.FalseAccept += share * passes
	} else {
		r.FalseReject += share * (1 - passes)
	}
}

func (r Risk) shares() Risk {
	if r.Accepted > 0 {
		r.BadAmongAccepted = r.FalseAccept / r.Accepted
	}
	if r.Bad < 1 {
		r.GoodStopped = r.FalseReject / (1 - r.Bad)
	}
	return r
}

// conforms is the probability that a piece which read this value conforms, given how the mill's pieces are spread (JCGM 106:2012, 7 and 8).
func (s spread) conforms(read, limit, u float64) float64 {
	density := func(value float64) float64 { return math.Exp(-(read - value) * (read - value) / (2 * u * u)) }
	var good, all float64
	if s.values != nil {
		for _, v := range s.values {
			all += density(v)
			if v <= limit {
				good += density(v)
			}
		}
		return part(good, all, read <= limit)
	}
	border := s.from(limit)
	for _, panel := range s.panels(border, read, u) {
		for k, node := range gaussNodes {
			z := (panel[0]+panel[1])/2 + node*(panel[1]-panel[0])/2
			weight := gaussWeights[k] * (panel[1] - panel[0]) * math.Exp(-z*z/2) * density(s.at(z))
			all += weight
			if z <= border {
				good += weight
			}
		}
	}
	return part(good, all, read <= limit)
}

// part is good/all; where the reading is so far from everything that nothing is left of either, the reading itself decides.
func part(good, all float64, within bool) float64 {
	switch {
	case all > 0:
		return good / all
	case within:
		return 1
	}
	return 0
}

// Conforms is the probability that a piece which the instrument reads so conforms, given the mill's own spread.
func (q Question) Conforms(in Instrument, read float64) float64 {
	s, _ := q.Truth.spread()
	return s.conforms(read, q.Limit, in.U)
}
