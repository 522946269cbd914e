// Package feelers bounds the flatness of a face that was read with a straightedge and feeler strips.
//
// At stations along lines, the thickest strip that passes under the edge and the thinnest that stops bound the gap; the edge rests on
// two equal blocks on the stone, or is laid on the face. Nobody knows how high and how tilted the edge lay, so each line has these two
// unknowns; lines that share a station hold each other. Bound finds, over all heights that agree with every reading widened by its
// limits, the smallest and the largest minimum zone of the stations read. Both are optima of linear programs (package lowlp), with
// proof; the heights themselves are eliminated, so that the unknowns stay few. It names readings that cannot all be true, lines that
// nothing ties, and the next reading that narrows the bounds most.
//
// It gives no heights, no best guess and no probability: every shape between the bounds agrees with the readings. It says nothing of
// the stone between the stations, and does not use that a laid edge touches the stone somewhere, for that may be between them.
// Products are not wrapped: not on the sealing path.
package feelers

import (
	"fmt"
	"math"
	"slices"

	"slatewright/lowlp"
	"slatewright/traverse"
	"slatewright/trouble"
)

// Line is one place of the edge.
type Line struct {
	Mark   string
	origin [2]float64 // middle of its stations
	along  [2]float64 // direction, divided by its length: places are counted in lengths of the line
}

// Reading is one row of the sheet. Lengths are mm.
type Reading struct {
	Row    int // line of the file
	Line   int
	Place  int
	Passes float64 // thickest strip that passes; NaN where none was tried or none passed
	Stops  float64 // thinnest strip that stops; NaN where nothing thicker was tried
	Block  bool    // a block stands here
}

// Set is a sheet as read.
type Set struct {
	Name     string
	At       [][2]float64 // places, mm
	Read     []bool       // whether the place is a station of the zone; else only a block stands there
	Lines    []Line
	Readings []Reading
	Laid     bool    // the edge lay on the face; else on blocks
	Block    float64 // height of the blocks
	Limits   Limits
	Warnings []string
	// Stop is asked now and then while the bounds are looked for; once it says true, Bound and Next end soon with a trouble whose code is
	// lowlp.Stopped. Many lines can take some seconds. nil never stops.
	Stop func() bool
}

// Limits are the stated limits by which readings are widened, mm.
type Limits struct {
	Strips   float64 // of each strip
	Blocks   float64 // of each block
	Straight float64 // the edge's lower side keeps between two straight lines this far apart
	Sag      float64 // the edge on its two blocks hangs through by this in the middle; laid, by at most this
}

// claim says that the edge's straight line, less the height of the stone, is from low to high at a place.
type claim struct {
	reading   int
	place     int
	line      int
	t         float64 // where on the line, in lengths of the line from its middle
	low, high float64
	block     bool // that a block stands there, not a strip
}

// Bounds is the answer.
type Bounds struct {
	Low, High      float64 // mm, of the minimum zone of the stations; High is +Inf where nothing bounds it, both NaN under a contradiction
	HighIsExact    bool    // some heights that agree with every reading have that zone; else High is a proven bound above them
	Shapes         int     // linear programs solved for High
	Stations       int
	Straightness   bool     // all stations lie on one line: the zone is the straightness of that line
	Loose          []string // lines that nothing ties to the others
	Twist          bool     // the lines run in two directions only, under which no twist of the face shows
	Open           []int    // readings (numbers) without an upper bound, which leave the zone open
	Contradictions []Contradiction
	Warnings       []string

	problem *problem
	low     lowest
	high    highest
}

// Bound finds the bounds. The error is a *trouble.Trouble.
func Bound(s *Set) (*Bounds, error) {
	b := &Bounds{Low: math.NaN(), High: math.NaN(), Warnings: slices.Clone(s.Warnings)}
	p := s.problem()
	b.Stations, b.Straightness = len(p.stations), len(p.frame.Basis) == 2
	if least := map[bool]int{true: 3, false: 4}[b.Straightness]; b.Stations < least {
		return nil, trouble.Data("too-few-stations", s.Name, fmt.Sprintf("%s read; a zone needs four, or three on a line", trouble.Count(b.Stations, "station is", "stations are")),
			"read more stations")
	}
	defer s.warn(b)
	var err error
	if b.Contradictions, err = p.contradictions(); err != nil || len(b.Contradictions) > 0 {
		return b, err
	}
	b.problem = p
	if b.low, err = p.low(true); err != nil {
		return nil, err
	}
	if b.high, err = p.high(); err != nil {
		return nil, err
	}
	b.Low = p.upright(b.low.bound)
	b.High, b.HighIsExact, b.Shapes = b.high.value, b.high.exact, b.high.solved
	if math.IsInf(b.High, 1) {
		b.Open, b.Twist = s.open(), p.twist()
		if !b.Twist {
			b.Loose = s.loose()
		}
	}
	return b, nil
}

// upright turns a zone measured square to the plane of the edges into a lower bound of the zone in any orientation, by the argument of
// package flatness: planes that hold all stations and are at most V apart are tilted by at most 2·atan(V/W) from those found.
func (p *problem) upright(v float64) float64 {
	w := p.frame.Width
	if w == 0 {
		w = p.frame.Length
	}
	r := v / w
	return math.Max(0, v*(1-r*r)/(1+r*r))
}

// problem is a set as linear programs see it.
type problem struct {
	set      *Set
	claims   []claim
	at       [][]int // claims at each place
	stations []int   // places that are read
	frame    traverse.Frame
	ties     [][2]int // claims about the same stone under different edges: the first's upper bound, the second's lower one
	held     hold
}

func (s *Set) problem() *problem {
	p := &problem{set: s, claims: s.claims()}
	p.index()
	var at [][2]float64
	for i, read := range s.Read {
		if read {
			p.stations = append(p.stations, i)
			at = append(at, s.At[i])
		}
	}
	if len(at) > 0 {
		p.frame = traverse.FrameOf(at)
		p.held = p.hold()
	}
	return p
}

// index lists the claims at each place, and what ties them.
func (p *problem) index() {
	p.at = make([][]int, len(p.set.At))
	for k, c := range p.claims {
		p.at[c.place] = append(p.at[c.place], k)
	}
	p.ties = nil
	for _, claims := range p.at {
		for _, a := range claims {
			for _, b := range claims {
				if p.claims[a].line != p.claims[b].line && !math.IsInf(p.claims[a].high, 1) {
					p.ties = append(p.ties, [2]int{a, b})
				}
			}
		}
	}
}

// grain is by how much, mm, every claim is widened beyond its limits: decimals are not exact in floats, and readings that just agree
// must not contradict each other by the last bit.
const grain = 1e-9

// claims turns the readings into claims about the edge's line.
func (s *Set) claims() []claim {
	var list []claim
	half := s.Limits.Straight / 2
	for k, r := range s.Readings {
		line := s.Lines[r.Line]
		t := (s.At[r.Place][0]-line.origin[0])*line.along[0] + (s.At[r.Place][1]-line.origin[1])*line.along[1]
		c := claim{reading: k, place: r.Place, line: r.Line, t: t}
		if r.Block && !s.Laid {
			block := c
			block.block, block.low, block.high = true, s.Block-half-s.Limits.Blocks-grain, s.Block+half+s.Limits.Blocks+grain
			list = append(list, block)
		}
		if math.IsNaN(r.Passes) && math.IsNaN(r.Stops) {
			continue
		}
		sag := s.sag(r.Line, t)
		c.low, c.high = -half+sag, math.Inf(1) // an edge does not go into the stone
		if !math.IsNaN(r.Passes) {
			c.low = max(0, r.Passes-s.Limits.Strips) - half + sag
		}
		if !math.IsNaN(r.Stops) {
			c.high = r.Stops + s.Limits.Strips + half + sag
			if s.Laid {
				c.high += s.Limits.Sag // where it rests is not known, so neither is where it hangs
			}
		}
		c.low, c.high = c.low-grain, c.high+grain
		list = append(list, c)
	}
	return list
}

// sag is how far the edge on its blocks hangs through at t: a uniform beam carried at two places, w·(16/5)(ξ−2ξ³+ξ⁴) with ξ from block to
// block (any table of beams).
func (s *Set) sag(line int, t float64) float64 {
	if s.Laid || s.Limits.Sag == 0 {
		return 0
	}
	ends := s.blocks(line)
	x := (t - ends[0]) / (ends[1] - ends[0])
	return s.Limits.Sag * 16 / 5 * (x - 2*x*x*x + x*x*x*x)
}

// blocks is where the two blocks of a line stand on it.
func (s *Set) blocks(line int) (ends [2]float64) {
	n := 0
	for _, r := range s.Readings {
		if r.Line == line && r.Block && n < 2 {
			l := s.Lines[line]
			ends[n] = (s.At[r.Place][0]-l.origin[0])*l.along[0] + (s.At[r.Place][1]-l.origin[1])*l.along[1]
			n++
		}
	}
	return ends
}

// system is the rows of a linear program with what each says: the claim whose upper end and the claim whose lower end it uses, −1 for
// none.
type system struct {
	lowlp.Dense
	says [][2]int
}

// add adds a row, widened by up to another grain, each by another part of it: strips come in steps and crossings in grids, so that very many
// rows would meet in one point, where the simplex method goes round in circles.
func (m *system) add(b float64, row []float64, high, low int) {
	m.Add(b+grain*part(len(m.says)), row...)
	m.says = append(m.says, [2]int{high, low})
}

// part is a fixed number from 0 to 1 that looks drawn.
func part(k int) float64 {
	h := uint64(k+1) * 0x9E3779B97F4A7C15
	h = (h ^ h>>32) * 0xD6E8FEB86659FD93
	return float64((h^h>>32)>>11) / (1 << 53)
}

// edge adds c times the height of the claim's edge line to a row.
func (p *problem) edge(row []float64, k int, c float64) {
	row[2*p.claims[k].line] += c
	row[2*p.claims[k].line+1] += c * p.claims[k].t
}

// lowest is the answer to the smallest zone.
type lowest struct {
	bound  float64
	active []int // claims that hold it
}

// low finds the smallest zone: with the planes at ± h/2 (any plane can be taken off everything), the stone at each station has room
// between the lower bounds and the upper ones.
func (p *problem) low(proven bool) (lowest, error) {
	d := 2*len(p.set.Lines) + 1
	m := &system{Dense: lowlp.Dense{D: d}}
	h := d - 1
	zero := make([]float64, d)
	zero[h] = -1
	m.add(0, zero, -1, -1)
	for _, t := range p.ties {
		row := make([]float64, d)
		p.edge(row, t[0], 1)
		p.edge(row, t[1], -1)
		m.add(p.claims[t[0]].high-p.claims[t[1]].low, row, t[0], t[1])
	}
	for _, place := range p.stations {
		for _, k := range p.at[place] {
			c := p.claims[k]
			if !math.IsInf(c.high, 1) {
				row := make([]float64, d)
				p.edge(row, k, 1)
				row[h] = -0.5
				m.add(c.high, row, k, -1)
			}
			row := make([]float64, d)
			p.edge(row, k, -1)
			row[h] = -0.5
			m.add(-c.low, row, -1, k)
		}
	}
	q := lowlp.Problem{Cost: make([]float64, d), Rows: m, Stop: p.set.Stop}
	q.Cost[h] = 1
	s, err := lowlp.Solve(q)
	if err != nil {
		return lowest{}, err
	}
	if s.Status != lowlp.Optimal {
		return lowest{bound: math.NaN()}, nil
	}
	s.Bound = s.Value
	if proven {
		if err := lowlp.Prove(q, &s); err != nil {
			return lowest{}, err
		}
	}
	l := lowest{bound: max(0, s.Bound)}
	for _, i := range s.Active {
		for _, k := range m.says[i] {
			if k >= 0 && !slices.Contains(l.active, k) {
				l.active = append(l.active, k)
			}
		}
	}
	return l, nil
}
