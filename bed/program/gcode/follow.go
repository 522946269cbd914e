package gcode

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/bed/pattern/shape"
)

// Place is where the tip of the tool stands, in the places of the work, mm.
type Place struct{ X, Y, Z float64 }

// State is what holds while a tool moves.
type State struct {
	Tool     int     // in the spindle; 0: none was called
	Speed    float64 // of the spindle, as last set
	Turning  bool
	Water    bool
	Measured bool   // the tool's length is taken in
	Work     string // word of the work's zero; "": none was given
}

// Move is one stretch of the way of a tool. An arc is at most half a turn; longer ones are given in parts.
type Move struct {
	Line     int
	Rapid    bool
	From, To Place
	Way      shape.Segment // in plan; From and To are one point where the tool goes straight up or down
	Feed     float64       // mm/min; 0 where Rapid
	Unplaced bool          // X or Y was not given yet: where the tool stands in plan is not known, and 0 is written for it
	State
}

// Straight reports whether the tool moves only up or down.
func (m Move) Straight() bool { return m.From.X == m.To.X && m.From.Y == m.To.Y && m.Way.Radius == 0 }

// Length is the way, mm.
func (m Move) Length() float64 {
	return math.Hypot(m.Way.Length(), m.To.Z-m.From.Z)
}

// Course is what a program does.
type Course struct {
	Moves   []Move
	Changes []int   // lines on which a tool is changed
	Starts  int     // how often the spindle is started
	Pauses  []int   // lines on which the operator is waited for
	Dwell   float64 // s
	Ended   bool    // by a word that ends the program
}

// mostMoves bounds the work that a text can ask for; a piece of a bed takes some thousands.
const mostMoves = 50000

// follower runs a program block by block.
type follower struct {
	p        *Program
	c        Course
	s        State
	at       Place
	known    [3]bool // which axes have been given
	feed     float64
	motion   string // modal: G0 … G3, G81, G83
	initial  float64
	toR      bool // G99
	cycle    [3]float64
	hasCycle bool
	mm, abs  bool
	next     int // tool that T has called
}

// Follow runs a program. The error is a *trouble.Trouble with the line that cannot be followed.
func Follow(p *Program) (*Course, error) {
	f := &follower{p: p}
	for _, b := range p.Blocks {
		if f.c.Ended {
			return nil, p.Bad(b.Line, "the program goes on behind its end", "take the lines behind M2 or M30 away")
		}
		if err := f.block(b); err != nil {
			return nil, err
		}
		if len(f.c.Moves) > mostMoves {
			return nil, p.Bad(b.Line, fmt.Sprintf("the program has more than %d moves", mostMoves), "give the program of one piece")
		}
	}
	return &f.c, nil
}

// modes are the G words that set something and need nothing else.
var modes = []string{"G17", "G40", "G49", "G61", "G64", "G90", "G94", "G21", "G43", "G80", "G98", "G99"}

func (f *follower) block(b Block) error {
	if v, ok := b.Value('F'); ok {
		f.feed = v
	}
	if v, ok := b.Value('S'); ok {
		f.s.Speed = v
	}
	if v, ok := b.Value('T'); ok {
		f.next = int(v)
	}
	motion, dwell, ends := "", false, false
	for _, w := range b.Words {
		if w.Letter != 'G' {
			continue
		}
		switch name := w.String(); name {
		case "G0", "G1", "G2", "G3", "G81", "G83":
			if motion != "" {
				return f.p.Bad(b.Line, motion+" and "+name+" stand in one line", "keep one motion in a line")
			}
			motion = name
		case "G4":
			dwell = true
		case "G54", "G55", "G56", "G57", "G58", "G59":
			f.s.Work = name
		default:
			if !slices.Contains(modes, name) {
				return f.p.Bad(b.Line, name+" cannot be followed", "write the program without it; followed are G0 to G4, "+strings.Join(modes, ", ")+", G54 to G59, G81 and G83")
			}
			f.mode(name)
		}
	}
	ends = f.switches(b)
	if err := f.moves(b, motion, dwell); err != nil {
		return err
	}
	f.c.Ended = ends
	return nil
}

func (f *follower) mode(name string) {
	switch name {
	case "G21":
		f.mm = true
	case "G90":
		f.abs = true
	case "G43":
		f.s.Measured = true
	case "G49":
		f.s.Measured = false
	case "G80":
		f.motion, f.hasCycle = "", false
	case "G98":
		f.toR = false
	case "G99":
		f.toR = true
	}
}

// switches follows the M words; they work before the block moves, but for the end of the program.
func (f *follower) switches(b Block) (ends bool) {
	for _, w := range b.Words {
		if w.Letter != 'M' {
			continue
		}
		name := w.String()
		does := func(text string) bool { return slices.Contains(strings.Fields(text), name) }
		switch c := f.p.Control; {
		case name == "M6":
			f.s.Tool = f.next
			f.s.Measured = c.Length == ""
			f.c.Changes = append(f.c.Changes, b.Line)
		case name == "M2" || name == "M30":
			ends = true
			f.s.Turning, f.s.Water = false, false
		case name == "M3" || does(c.Start):
			if !f.s.Turning {
				f.c.Starts++
			}
			f.s.Turning = true
		case name == "M5" || does(c.Stop):
			f.s.Turning = false
		case name == "M7" || name == "M8" || does(c.Water):
			f.s.Water = true
		case name == "M9" || does(c.Dry):
			f.s.Water = false
		case name == "M0" || name == "M1" || does(c.Pause):
			f.c.Pauses = append(f.c.Pauses, b.Line)
		}
	}
	return ends
}

// moves runs the motion of a block.
func (f *follower) moves(b Block, motion string, dwell bool) error {
	if dwell {
		v, ok := b.Value('P')
		if !ok || v < 0 || motion != "" {
			return f.p.Bad(b.Line, "G4 has no time behind P, or stands beside a motion", "write it like G4 P2.0, on a line of its own")
		}
		f.c.Dwell += v
		return nil
	}
	to, named := f.at, false
	for i, axis := range []struct {
		letter byte
		into   *float64
	}{{'X', &to.X}, {'Y', &to.Y}, {'Z', &to.Z}} {
		v, ok := b.Value(axis.letter)
		if !ok {
			continue
		}
		if !(math.Abs(v) <= 1e5) {
			return f.p.Bad(b.Line, fmt.Sprintf("%c%g is no place on a machine", axis.letter, v), "give places in mm")
		}
		*axis.into, named = v, true
		if !f.known[i] {
			f.known[i] = true
			if motion == "G81" || motion == "G83" {
				continue // Z is a depth there
			}
			switch axis.letter { // where the tool came from is not known: this axis counts from here
			case 'X':
				f.at.X = v
			case 'Y':
				f.at.Y = v
			default:
				f.at.Z = v
			}
		}
	}
	if motion != "" {
		f.motion = motion
	}
	if !named && motion == "" {
		return nil
	}
	if !f.mm || !f.abs {
		return f.p.Bad(b.Line, "it moves before G21 and G90 were given", "state millimetres and absolute places first")
	}
	switch f.motion {
	case "G0", "G1":
		if f.motion == "G1" && !(f.feed > 0) {
			return f.p.Bad(b.Line, "G1 has no feed", "give F in mm/min first")
		}
		f.line(b.Line, to, f.motion == "G0")
		return nil
	case "G2", "G3":
		return f.arc(b, to)
	case "G81", "G83":
		return f.hole(b, to)
	}
	return f.p.Bad(b.Line, "a place is given and no motion holds", "write G0, G1, G2 or G3 before it")
}

// line moves straight to a place.
func (f *follower) line(line int, to Place, rapid bool) {
	m := Move{Line: line, Rapid: rapid, From: f.at, To: to, State: f.s, Unplaced: !f.known[0] || !f.known[1],
		Way: shape.NewSegment(shape.Point{X: f.at.X, Y: f.at.Y}, shape.Point{X: to.X, Y: to.Y}, 0)}
	if !rapid {
		m.Feed = f.feed
	}
	f.c.Moves = append(f.c.Moves, m)
	f.at = to
}

// roundArc is how far the two radii of an arc may differ by rounding, mm.
const roundArc = 0.01

// arc moves on a circle about I, J from where it begins, in parts of at most half a turn.
func (f *follower) arc(b Block, to Place) error {
	i, hasI := b.Value('I')
	j, hasJ := b.Value('J')
	if _, r := b.Value('R'); r || !hasI && !hasJ {
		return f.p.Bad(b.Line, "an arc has no middle", "give I and J; arcs by their radius are not followed")
	}
	if !(f.feed > 0) {
		return f.p.Bad(b.Line, f.motion+" has no feed", "give F in mm/min first")
	}
	if !(math.Abs(i) <= 1e5 && math.Abs(j) <= 1e5) {
		return f.p.Bad(b.Line, "the middle of an arc is no place on a machine", "give I and J in mm")
	}
	c := shape.Point{X: f.at.X + i, Y: f.at.Y + j}
	r, q := math.Hypot(i, j), math.Hypot(to.X-c.X, to.Y-c.Y)
	if r < 1e-9 || math.Abs(r-q) > roundArc {
		return f.p.Bad(b.Line, fmt.Sprintf("an arc begins %.4f mm from its middle and ends %.4f mm from it", r, q), "mend its end, or I and J")
	}
	start, end := math.Atan2(f.at.Y-c.Y, f.at.X-c.X), math.Atan2(to.Y-c.Y, to.X-c.X)
	sweep := end - start
	if f.motion == "G3" && sweep <= 1e-9 {
		sweep += 2 * math.Pi
	} else if f.motion == "G2" && sweep >= -1e-9 {
		sweep -= 2 * math.Pi
	}
	parts := math.Ceil(math.Abs(sweep) / (math.Pi * 1.0000001))
	from := f.at
	for k := 1.0; k <= parts; k++ {
		next := to
		if k < parts {
			sin, cos := math.Sincos(start + sweep*k/parts)
			next = Place{c.X + r*cos, c.Y + r*sin, from.Z + (to.Z-from.Z)*k/parts}
		}
		m := Move{Line: b.Line, From: f.at, To: next, Feed: f.feed, State: f.s,
			Way: shape.NewSegment(shape.Point{X: f.at.X, Y: f.at.Y}, shape.Point{X: next.X, Y: next.Y}, math.Tan(sweep/parts/4))}
		f.c.Moves = append(f.c.Moves, m)
		f.at = next
	}
	return nil
}

// gap is how far above the last depth G83 goes down rapidly, mm; controls have their own, of this size.
const gap = 0.5

// mostPecks bounds the work that one line can ask for.
const mostPecks = 10000

// hole runs one canned cycle.
func (f *follower) hole(b Block, to Place) error {
	if !f.hasCycle {
		f.initial = f.at.Z
	}
	for i, letter := range []byte{'Z', 'R', 'Q'} {
		if v, ok := b.Value(letter); ok {
			f.cycle[i] = v
		} else if !f.hasCycle && (letter != 'Q' || f.motion == "G83") {
			return f.p.Bad(b.Line, fmt.Sprintf("the cycle %s has no %c", f.motion, letter), "give it on the first line of the cycle")
		}
	}
	bottom, top, peck := f.cycle[0], f.cycle[1], f.cycle[2]
	switch {
	case !(f.feed > 0):
		return f.p.Bad(b.Line, f.motion+" has no feed", "give F in mm/min first")
	case !(math.Abs(top) <= 1e5) || bottom > top:
		return f.p.Bad(b.Line, fmt.Sprintf("a cycle goes from R%g up to Z%g", top, bottom), "give Z below R")
	case f.motion == "G83" && !(peck > 0 && (top-bottom)/peck < mostPecks):
		return f.p.Bad(b.Line, fmt.Sprintf("G83 has steps of Q%g", peck), "give a depth above zero")
	}
	f.hasCycle = true
	up := func(z float64, rapid bool) { f.line(b.Line, Place{f.at.X, f.at.Y, z}, rapid) }
	if f.at.Z < top {
		up(top, true)
	}
	f.line(b.Line, Place{to.X, to.Y, f.at.Z}, true)
	up(top, true)
	if f.motion == "G83" {
		for depth := top - peck; depth > bottom; depth -= peck {
			up(depth, false)
			up(top, true)
			up(math.Min(top, depth+gap), true)
		}
	}
	up(bottom, false)
	if f.toR {
		up(top, true)
	} else {
		up(math.Max(top, f.initial), true)
	}
	return nil
}
