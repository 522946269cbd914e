package replay

import (
	"math"

	"slatewright/bed/program/gcode"
)

// straightOn is the turn up to which a control is taken to run on from one move to the next without a stop, rad.
const straightOn = 10 * math.Pi / 180

// stretch is moves that run on without a stop: one, or cuts at one feed that follow one another without a corner.
type stretch struct {
	least float64 // s, at full speed
	full  float64 // s, with a start and a stop
	wet   bool
}

// times adds up how long the program runs.
func (r *replay) times() {
	moves := r.c.Moves
	known := r.m.Accelerate.XY > 0
	var wetLeast, wetFull float64
	for i := 0; i < len(moves); {
		n := i + 1
		for n < len(moves) && runsOn(moves[n-1], moves[n]) {
			n++
		}
		s := r.stretch(moves[i:n])
		r.out.Least += s.least
		r.out.Seconds += s.full
		if s.wet {
			wetLeast, wetFull = wetLeast+s.least, wetFull+s.full
		}
		i = n
	}
	waits := float64(r.out.Changes)*r.m.ChangeTime + float64(r.c.Starts)*r.m.SpindleTime + r.c.Dwell
	r.out.Least += waits
	r.out.Seconds += waits
	r.out.Wet = wetFull
	if !known {
		r.out.Seconds, r.out.Wet = 0, wetLeast
	}
	r.out.Litres = r.out.Wet / 60 * r.m.Flow
}

// runsOn reports whether a cut goes on from another without a corner.
func runsOn(a, b gcode.Move) bool {
	if a.Rapid || b.Rapid || a.Feed != b.Feed || a.Straight() || b.Straight() || a.Water != b.Water {
		return false
	}
	return turn(a, b) <= straightOn
}

func (r *replay) stretch(moves []gcode.Move) stretch {
	first := moves[0]
	s := stretch{wet: first.Water}
	if !first.Rapid {
		l := 0.0
		for _, m := range moves {
			l += m.Length()
		}
		a := r.m.Accelerate.XY
		if first.Straight() {
			a = r.m.Accelerate.Z
		}
		s.least, s.full = lasts(l, first.Feed/60, a)
		return s
	}
	over, overFull := lasts(first.Way.Length(), r.m.Rapid.XY/60, r.m.Accelerate.XY)
	up, upFull := lasts(math.Abs(first.To.Z-first.From.Z), r.m.Rapid.Z/60, r.m.Accelerate.Z)
	s.least, s.full = math.Max(over, up), math.Max(overFull, upFull)
	return s
}

// lasts is how long a way takes at a speed, and from rest to rest with an acceleration; both are the same where that is 0.
func lasts(way, speed, a float64) (least, full float64) {
	least = way / speed
	switch {
	case a == 0 || way == 0:
		return least, least
	case speed*speed/a >= way: // full speed is not reached
		return least, 2 * math.Sqrt(way/a)
	}
	return least, least + speed/a
}
