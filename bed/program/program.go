// Package program writes the drilling and cutting program of one piece of a bed: which tool makes what, in which order, on which way and how fast.
//
// The order keeps the stone strong to the last and is the same on every machine:
//
//  1. what does not go through: counterbores, countersinks and blind holes, in stone that is whole;
//  2. holes through the stone;
//  3. all cuts (pockets), each down to a web that still carries;
//  4. the cuts through, the smallest first, so that the largest removals come last.
//
// Within each of them tools are changed as seldom as can be, and each tool visits its places on a short tour (package tour), with a bound beside it. Where a
// tool comes out of the stone it cuts into a board at a share of its feed, or it goes half way in from each face.
//
// The package makes no drawing, knows no clamps and is no safety device: a program must be run dry, above the stone, by a qualified operator under local
// rules first, and says so in its head. Package replay follows what is written, without knowing how it came about.
package program

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
	"slatewright/bed/program/tour"
	"slatewright/trouble"
)

// Leg is one tool's tour within a stage.
type Leg struct {
	Stage  int // 1 to 4
	Tool   int
	Places int
	Travel float64 // between the places, mm
	Bound  float64 // no order has less
	Proven bool    // no order has less
}

// Program is a program with what was decided.
type Program struct {
	Setup   *setup.Setup
	Text    []byte
	Legs    []Leg
	Changes int      // of tools, the first among them
	Notes   []string // what a person must know
}

// Stages says what each stage does, in its order.
func Stages() []string {
	return []string{"what does not go through", "holes through the stone", "cuts down to a web", "cuts through, the smallest first"}
}

// Write makes the program of a setup. The error is a *trouble.Trouble where no tool of the machine can make a target.
func Write(s *setup.Setup, m *machine.Machine) (*Program, error) {
	if len(s.Targets) == 0 {
		return nil, trouble.Data("bad-job", s.Job.Piece, "nothing of this piece is made from the face that is up", "name a piece that is drilled or cut")
	}
	w := &writer{Writer: gcode.NewWriter(m.Control), m: m, s: s, p: &Program{Setup: s}}
	ops, err := w.operations()
	if err != nil {
		return nil, err
	}
	legs := w.order(ops)
	w.head(legs)
	for _, l := range legs {
		w.leg(l)
	}
	w.end()
	w.p.Text = w.Bytes()
	return w.p, nil
}

// writer carries a program as it grows.
type writer struct {
	*gcode.Writer
	m     *machine.Machine
	s     *setup.Setup
	p     *Program
	tool  *machine.Tool
	began bool
	fresh bool // the tool was changed: where its tip stands is not known
}

// z is the height of a depth in the places of the work.
func (w *writer) z(depth float64) float64 { return w.s.Top - depth }

// bottom is how deep a tool goes for a target.
func (w *writer) bottom(t *setup.Target) float64 {
	if t.Breaks > 0 && w.m.Break.Way == machine.OnBoard {
		return t.Depth + w.m.Break.Into
	}
	return t.Depth
}

// slow is the depth from which a target is cut slowly; +Inf where it does not come out here.
func (w *writer) slow(t *setup.Target) float64 {
	if t.Breaks == 0 {
		return math.Inf(1)
	}
	return math.Max(0, t.Breaks-w.m.Break.Last)
}

func (w *writer) note(format string, values ...any) {
	if n := fmt.Sprintf(format, values...); !slices.Contains(w.p.Notes, n) {
		w.p.Notes = append(w.p.Notes, n)
	}
}

// head writes what a person at the machine must know, and the words that every program of this control begins with.
func (w *writer) head(legs []leg) {
	for _, line := range w.m.Control.Header {
		if line == "%" || strings.HasPrefix(line, "O") {
			w.Raw(line)
		}
	}
	j := w.s.Job
	w.Comment(fmt.Sprintf("%s, revision %s", j.Pattern, j.Revision))
	w.Comment(fmt.Sprintf("Piece: %s", j.Piece))
	w.Comment(fmt.Sprintf("Face up: %s", w.s.Up))
	w.Comment(fmt.Sprintf("Machine: %s", w.m.Name))
	for _, text := range Warnings() {
		w.Comment("! " + strings.TrimSuffix(text, "."))
	}
	if w.m.Invented {
		w.Comment("! Invented machine: not for use")
	}
	for _, text := range w.lying() {
		w.Comment(text)
	}
	for i, text := range Stages() {
		if slices.ContainsFunc(legs, func(l leg) bool { return l.stage == i+1 }) {
			w.Comment(fmt.Sprintf("Stage %d: %s", i+1, text))
		}
	}
	var seen []int
	for _, l := range legs {
		if t := l.tool; !slices.Contains(seen, t.Number) {
			seen = append(seen, t.Number)
			w.Comment(fmt.Sprintf("Tool %d: %s, %s %s mm, cuts %s mm deep", t.Number, t.Name, t.Kind, plain(t.Diameter), plain(t.Reach)))
		}
	}
	for _, n := range w.p.Notes {
		w.Comment("Note: " + n)
	}
	for _, line := range w.m.Control.Header {
		if line != "%" && !strings.HasPrefix(line, "O") {
			w.Words(line)
		}
	}
	w.Words(w.m.Work)
}

// Warnings are the words that every program begins with.
func Warnings() []string {
	return []string{
		"Dry run first: well above the stone, one block at a time, a hand on the stop.",
		"Only a qualified operator may run this, under the local rules for the machine, dust, water and lifting.",
		"No safety device: clamps, pods, hoses and people are not known here.",
	}
}

// lying says how the stone lies and from where places count.
func (w *writer) lying() (list []string) {
	s := w.s
	zero, height := "the middle of the piece", "its upper face"
	if w.m.ZeroXY == machine.Lower {
		zero = "the corner of least X and least Y"
	}
	if w.m.ZeroZ == machine.Board {
		height = "the upper face of the board under the stone"
	}
	list = append(list, fmt.Sprintf("Zero of X and Y is %s; zero of Z is %s", zero, height))
	if s.Up == pattern.Bottom {
		list = append(list, "Turned over end for end: the bottom face is up and X is mirrored, +X is the head's side")
	} else {
		list = append(list, "Playing face up, +X is the foot's side")
	}
	low, high := s.Stone.Bounds()
	list = append(list, fmt.Sprintf("Stone: X %s to %s, Y %s to %s, %s mm thick; measure it, a thicker one is not cut through",
		plain(low.X), plain(high.X), plain(low.Y), plain(high.Y), plain(s.Thickness)))
	b := w.m.Break
	if b.Way == machine.OnBoard {
		list = append(list, fmt.Sprintf("Lies flat on a board of %s mm, of which %s mm are cut into; the last %s mm of stone at %s %% of the feed", plain(b.Board), plain(b.Into), plain(b.Last), plain(100*b.Share)))
	} else if s.First {
		list = append(list, "Holes and cuts go half way in from this face; the stone is then turned over")
	} else {
		list = append(list, fmt.Sprintf("Holes and cuts meet those of the other face, %s mm past the middle; the last %s mm of stone at %s %% of the feed", plain(b.Overlap/2), plain(b.Last), plain(100*b.Share)))
	}
	if len(s.Job.Left) > 0 {
		list = append(list, "Not made here: "+strings.Join(s.Job.Left, ", "))
	}
	return list
}

// plain prints a number of mm with no more decimals than it needs, three at most.
func plain(v float64) string {
	s := strings.TrimRight(fmt.Sprintf("%.3f", v), "0")
	if s = strings.TrimSuffix(s, "."); s == "-0" {
		return "0"
	}
	return s
}

// change puts another tool in, with spindle and water off while it is done.
func (w *writer) change(t *machine.Tool) {
	c := w.m.Control
	number := func(words string) string { return strings.ReplaceAll(words, "{tool}", fmt.Sprint(t.Number)) }
	if w.began {
		w.Words(c.Dry)
		w.Words(c.Stop)
	}
	w.Words(number(c.Change))
	w.Words(fmt.Sprintf("S%.0f", t.Speed), c.Start)
	if c.Length != "" {
		w.Words(number(c.Length))
	}
	w.tool, w.fresh = t, true
	w.p.Changes++
	w.Anew()
}

// wet turns the water on when the tool stands over its first place.
func (w *writer) wet() { w.Words(w.m.Control.Water) }

// clear is the height of travel.
func (w *writer) clear() float64 { return w.z(-w.m.Clear) }

// over travels to above a place.
func (w *writer) over(p tour.Point) {
	if w.fresh { // the new tool may be longer: up first, then over
		w.Begin(gcode.Place{X: p.X, Y: p.Y, Z: w.clear()})
		w.began, w.fresh = true, false
		return
	}
	w.lift()
	w.Rapid(gcode.Place{X: p.X, Y: p.Y, Z: w.clear()})
}

func (w *writer) lift() {
	at := w.At()
	w.Rapid(gcode.Place{X: at.X, Y: at.Y, Z: w.clear()})
}

func (w *writer) end() {
	w.lift()
	w.Words(w.m.Control.Dry)
	w.Words(w.m.Control.Stop)
	for _, line := range w.m.Control.Footer {
		if line == "%" {
			w.Raw(line)
		} else {
			w.Words(line)
		}
	}
}
