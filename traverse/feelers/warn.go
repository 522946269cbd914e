package feelers

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/trouble"
)

// loose names the lines that nothing ties to the others. Two lines through one station are a plane; a line with two stations on it
// belongs to it. What the largest such plane does not reach is loose.
func (s *Set) loose() []string {
	on := make([]map[int]bool, len(s.Lines)) // places that bind a line
	for i := range on {
		on[i] = map[int]bool{}
	}
	for _, c := range s.claims() {
		if !math.IsInf(c.high, 1) {
			on[c.line][c.place] = true
		}
	}
	var best []bool
	most := 0
	for a := range s.Lines {
		for b := a; b < len(s.Lines); b++ {
			if a != b && shared(on[a], on[b]) == 0 {
				continue
			}
			in, n := s.grow(on, a, b)
			if n > most {
				best, most = in, n
			}
		}
	}
	var names []string
	for i, l := range s.Lines {
		if !best[i] {
			names = append(names, l.Mark)
		}
	}
	return names
}

func shared(a, b map[int]bool) (n int) {
	for place := range a {
		if b[place] {
			n++
		}
	}
	return n
}

// grow adds to the plane of two lines every line that two of its places hold.
func (s *Set) grow(on []map[int]bool, a, b int) (in []bool, n int) {
	in = make([]bool, len(s.Lines))
	places := map[int]bool{}
	take := func(i int) {
		in[i] = true
		n++
		for place := range on[i] {
			places[place] = true
		}
	}
	take(a)
	if a != b {
		take(b)
	}
	for grown := true; grown; {
		grown = false
		for i := range on {
			if !in[i] && shared(on[i], places) >= 2 {
				take(i)
				grown = true
			}
		}
	}
	return in, n
}

// open lists the readings of stations where nothing that was tried stopped, under any line.
func (s *Set) open() (list []int) {
	bounded := map[int]bool{}
	for _, c := range s.claims() {
		if !math.IsInf(c.high, 1) {
			bounded[c.place] = true
		}
	}
	for k, r := range s.Readings {
		if !bounded[r.Place] {
			list = append(list, k)
		}
	}
	return list
}

// rocking lists the laid lines whose edge may touch near its middle and has a gap at one of its ends, as on a crowned face.
func (s *Set) rocking() (names []string) {
	for i, l := range s.Lines {
		middle, end := false, false
		for _, c := range s.claims() {
			if c.line != i {
				continue
			}
			r := s.Readings[c.reading]
			if math.Abs(c.t) < 0.25 {
				middle = middle || math.IsNaN(r.Passes) || r.Passes-s.Limits.Strips <= 0
			} else if math.Abs(c.t) > 0.4 {
				end = end || !math.IsNaN(r.Passes) && r.Passes-s.Limits.Strips > 0
			}
		}
		if middle && end {
			names = append(names, l.Mark)
		}
	}
	return names
}

// swapped tells whether every strip that passes is thicker than the one that stops: two columns took each other's place.
func (s *Set) swapped() bool {
	both := 0
	for _, r := range s.Readings {
		if r.Passes < r.Stops {
			return false
		}
		if r.Passes > r.Stops {
			both++
		}
	}
	return both > 1
}

// warn adds what every output must show.
func (s *Set) warn(b *Bounds) {
	say := func(format string, args ...any) { b.Warnings = append(b.Warnings, fmt.Sprintf(format, args...)) }
	say("the zone is that of the %d stations read: what the face does between them is not in it", b.Stations)
	if b.Straightness {
		say("all stations lie on one line: the zone is the straightness of that line, not a flatness")
	}
	if b.problem != nil {
		if said := b.problem.frame.Doubtful(b.Low); said != "" {
			b.Warnings = append(b.Warnings, said)
		}
	}
	if s.Laid {
		say("an edge laid on a crowned face rocks and shows nothing: these bounds hold only where the edge lay still while its line was read; two equal blocks settle it")
		if names := s.rocking(); len(names) > 0 {
			say("line %s: the readings look like a crown, with a gap at an end and the edge near the stone in the middle: read it again on two equal blocks", strings.Join(names, ", "))
		}
	}
	if len(b.Contradictions) > 0 {
		say("%s: no face agrees with all readings, so there are no bounds", trouble.Count(len(b.Contradictions), "contradiction", "contradictions"))
		if s.swapped() {
			say("at every reading a thicker strip passes than stops: are the columns passes and stops in each other's place?")
		}
	}
	if len(b.Loose) > 0 {
		say("nothing ties line %s to the other lines: its edge may have lain at any height or tilt, so the zone has no upper bound. "+
			"Lines are tied by stations that both have; a line needs two", strings.Join(b.Loose, ", "))
	}
	if b.Twist {
		say("the lines run in two directions only: a twist of the whole face stays straight under every one of them, so the zone has no upper bound. " +
			"A line across the others, such as a diagonal, over two stations of them settles it")
	}
	if len(b.Open) > 0 {
		rows := make([]string, 0, len(b.Open))
		for _, k := range b.Open[:min(6, len(b.Open))] {
			rows = append(rows, fmt.Sprint(s.Readings[k].Row))
		}
		say("nothing that was tried stopped at the reading in line %s of the file: the stone there may lie at any depth, so the zone has no upper bound", strings.Join(rows, ", "))
	}
	if !math.IsInf(b.High, 1) && !math.IsNaN(b.High) && !b.HighIsExact {
		say("the upper bound is proven, and perhaps not reached: there are too many shapes to try them all")
	}
	b.Warnings = slices.Compact(b.Warnings)
}
