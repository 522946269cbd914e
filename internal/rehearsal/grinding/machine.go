// Package grinding is an invented surfacing machine: a disc of bits on a spindle that may lean, be out of balance and wear, led over a piece
// track by track by a bridge that may be bowed, above a bed that may lean or wave.
//
// It makes faces by removing stone: for each place of the face it looks at every moment at which a bit passes over it, and the lowest of them is what
// is left. No formula for what a fault leaves behind is in it, so that who looks for faults in a face can be tried on it. Everything is
// invented; sizes are common practice from memory, no source. It measures nothing and judges nothing.
//
// Frame of the machine, mm: s along the feed, t across it, z up, the origin under the middle of the piece.
package grinding

import "math"

// Machine is one machine as it stands on one day.
type Machine struct {
	Diameter float64 // over the bits
	Rim      float64 // width of the ring of bits, inwards from the rim
	Bits     int     // evenly round the ring
	Pitch    float64 // from track to track
	First    float64 // t of the first track's middle
	Tracks   int
	Travel   float64 // s of the disc's middle goes from −Travel to Travel
	Feed     float64 // along the feed for one turn of the disc
	OneWay   bool    // the disc returns lifted; otherwise every second track is cut on the way back
	Backward bool    // the tracks are cut from the last to the first

	Along, Across float64                    // lean of the spindle, rad: + with the disc lower at +s, and lower at +t
	Wear          float64                    // by how much the disc stands higher at the end of the last track than at the beginning of the first
	Runout        float64                    // amplitude by which the disc, out of balance, leans round with its turning
	Bridge        func(s float64) float64    // height of the spindle over its way
	Bed           func(s, t float64) float64 // height of the bed; a piece is pressed down on it and springs back
	Angle         []float64                  // by how many bits the disc is turned when it begins a track; nil = 0
	Setting       []float64                  // height of each track, beside all others; nil = 0
}

// step is how finely the disc's way over a place is looked at, beside the moments at which a rim passes, mm.
const step = 4.0

// Cut returns the height that is left at the places (s[i], t[i]), above the bed's plane.
func (m *Machine) Cut(s, t []float64) []float64 {
	z := make([]float64, len(s))
	wobble := m.wobble()
	for i := range z {
		z[i] = math.Inf(1)
		for k := range m.Tracks {
			z[i] = min(z[i], m.pass(k, s[i], t[i]-m.First-float64(k)*m.Pitch, wobble))
		}
		if m.Bed != nil {
			z[i] -= m.Bed(s[i], t[i])
		}
	}
	return z
}

// wobble is how much higher each bit stands than the lowest.
func (m *Machine) wobble() []float64 {
	if m.Runout == 0 {
		return nil
	}
	list := make([]float64, m.Bits)
	for j := range list {
		list[j] = m.Runout * (1 - math.Cos(2*math.Pi*float64(j)/float64(m.Bits)))
	}
	return list
}

// pass is the lowest that track k leaves at a place v beside its middle; +Inf where the disc does not reach.
func (m *Machine) pass(k int, s, v float64, wobble []float64) float64 {
	outer, inner := m.Diameter/2, m.Diameter/2-m.Rim
	if math.Abs(v) >= outer {
		return math.Inf(1)
	}
	far, near := math.Sqrt(outer*outer-v*v), 0.0
	if math.Abs(v) < inner {
		near = math.Sqrt(inner*inner - v*v)
	}
	low := math.Inf(1)
	for _, span := range [2][2]float64{{near, far}, {-far, -near}} { // the ring's half in front of the disc's middle, and the one behind
		if wobble == nil {
			low = min(low, m.smooth(k, s, v, span))
		} else {
			low = min(low, m.bitwise(k, s, v, span, wobble))
		}
	}
	return low
}

// smooth lets the ring pass with bits so many that each moment has one over the place.
func (m *Machine) smooth(k int, s, v float64, span [2]float64) float64 {
	low := min(m.height(k, s, span[0], v), m.height(k, s, span[1], v))
	for u := span[0] + step; u < span[1]; u += step {
		low = min(low, m.height(k, s, u, v))
	}
	return low
}

// bitwise lets one bit after the other pass: while the ring is over the place, bit after bit comes by as the disc turns.
func (m *Machine) bitwise(k int, s, v float64, span [2]float64, wobble []float64) float64 {
	low := math.Inf(1)
	n := float64(m.Bits)
	every := m.Feed / n // of the disc's way, from one bit to the next
	middle := (span[0] + span[1]) / 2
	azimuth := math.Atan2(v, middle) / (2 * math.Pi) * n // in bits
	if m.Angle != nil {
		azimuth += m.Angle[k]
	}
	first := math.Ceil((span[0] - s) / every)
	j := int(math.Mod(math.Round(azimuth)+first, n)) // the disc's middle is at c = −q·every, and has turned by q bits
	for q := first; q*every <= span[1]-s; q++ {
		if j < 0 {
			j += m.Bits
		}
		low = min(low, m.height(k, s, s+q*every, v)+wobble[j])
		if j++; j == m.Bits {
			j = 0
		}
	}
	return low
}

// height is that of the disc's plane over the place s while the disc's middle stands u before it (the place is u ahead of it).
func (m *Machine) height(k int, s, u, v float64) float64 {
	c := s - u
	z := -m.Along*u - m.Across*v
	if m.Bridge != nil {
		const d = 150 // half the distance of the slides, which average the way and lean with it
		front, back := m.Bridge(c+d), m.Bridge(c-d)
		z += (front+back)/2 + (front-back)/(2*d)*u
	}
	if m.Setting != nil {
		z += m.Setting[k]
	}
	if m.Wear != 0 {
		n := k
		if m.Backward {
			n = m.Tracks - 1 - k
		}
		way := (c + m.Travel) / (2 * m.Travel)
		if !m.OneWay && n%2 == 1 {
			way = 1 - way
		}
		z += m.Wear * (float64(n) + min(max(way, 0), 1)) / float64(m.Tracks)
	}
	return z
}
