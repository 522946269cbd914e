package measured

import (
	"context"
	"fmt"
	"math"
	"slices"

	"slatewright/internal/measured/ground"
	"slatewright/trouble"
)

// Profile is the heights under a line on a face, and how a rigid straightedge would lie on the stone there. In JSON it has the form that
// the scripts of the pages read. Lengths are mm, places are counted from the middle of the piece, heights from the middle of the face's
// zone; what was not read is not a number.
type Profile struct {
	From     [2]float64    `json:"from_mm"`
	To       [2]float64    `json:"to_mm"`
	S        []float64     `json:"s_mm"` // distances from From, equally spaced
	Z        Micrometres   `json:"z_um"`
	EdgeZ    Micrometres   `json:"edge_um"` // of the straightedge's lower side
	Gap      Micrometre    `json:"largest_gap_um"`
	GapAt    float64       `json:"largest_gap_at_mm"` // distance from From
	Read     [][2]float64  `json:"read_mm"`           // from where to where the line runs over what was read
	Edge     *Straightedge `json:"straightedge"`      // null when the line runs over nothing that was read
	State    string        `json:"state"`
	Support  string        `json:"support"`
	Between  string        `json:"between_readings"` // how heights between the readings were found
	Warnings []string      `json:"warnings"`
}

// Straightedge is a rigid straightedge that is laid on the stone over all that was read under a line.
type Straightedge struct {
	Ends  [2]Place `json:"ends"`   // of its lower side
	Rests []Place  `json:"rests"`  // where it touches the stone: two places, or one
	Rocks bool     `json:"rocks"`  // it touches only about its middle, so that either end can be pressed down
	GapMM float64  `json:"gap_mm"` // the largest beneath it, at right angles to it
	Gap   Place    `json:"gap_at"` // the stone there
}

// Place is a place under a line.
type Place struct {
	AlongMM  float64    `json:"along_mm"`
	At       [2]float64 `json:"at_mm"`
	HeightMM float64    `json:"height_mm"`
}

// mostHeights is how many heights one profile has at most: more than a screen has columns.
const mostHeights = 4000

// Profile reads n heights along the line from one place to another, both counted from the middle of the piece.
func (r *Room) Profile(ctx context.Context, digest string, from, to [2]float64, n int) (Profile, error) {
	s, err := r.surface(ctx, digest)
	if err != nil {
		return Profile{}, err
	}
	return s.profile(from, to, n)
}

// AskProfile is Profile for a page.
func (r *Room) AskProfile(digest string, from, to [2]float64, n int) Asked[Profile] {
	s := r.askSurface(digest)
	a := Asked[Profile]{State: s.State, Err: s.Err, Done: s.Done}
	if s.State == Ready {
		if a.Value, a.Err = s.Value.profile(from, to, n); a.Err != nil {
			a.State = Failed
		}
	}
	return a
}

func (s *surface) profile(from, to [2]float64, n int) (Profile, error) {
	l := ground.NewLine(from, to)
	if !(l.Length >= 1) || math.IsInf(l.Length, 0) {
		return Profile{}, trouble.Data("short-line", "line", "the line is shorter than 1 mm", "draw it from one place to another")
	}
	if n < 2 || n > mostHeights {
		return Profile{}, trouble.Data("bad-count", "n", fmt.Sprintf("%d heights were asked for", n), fmt.Sprintf("ask for 2 to %d", mostHeights))
	}
	runs := l.Over(s.fine)
	p := Profile{From: from, To: to, Read: [][2]float64{}, State: s.flat.State, Support: s.flat.Support, Between: s.fine.Method,
		S: make([]float64, n), Z: make(Micrometres, n), EdgeZ: make(Micrometres, n), Warnings: []string{}}
	for k := range n {
		p.S[k] = l.Length * float64(k) / float64(n-1)
		p.Z[k], p.EdgeZ[k] = ground.HeightOn(runs, p.S[k]), math.NaN()
	}
	unread := 0.0
	for i, run := range runs {
		p.Read = append(p.Read, [2]float64{run[0].S, run[len(run)-1].S})
		if i > 0 {
			unread += run[0].S - p.Read[i-1][1]
		}
	}
	if len(runs) > 0 {
		p.lay(l, slices.Concat(runs...))
	}
	if unread > 0 {
		p.Warnings = append(p.Warnings, fmt.Sprintf("%.0f mm under the line lie between places that were read and were not read: the straightedge may rest there", unread))
	}
	return p, nil
}

// lay lays a straightedge over what was read under the line.
func (p *Profile) lay(l ground.Line, knots []ground.Knot) {
	place := func(k ground.Knot) Place { return Place{AlongMM: k.S, At: l.At(k.S), HeightMM: k.Z} }
	on := ground.Lay(knots)
	p.Edge = &Straightedge{Ends: [2]Place{place(on.Ends[0]), place(on.Ends[1])}, Rocks: on.Rocks, GapMM: on.Gap, Gap: place(on.GapAt)}
	for _, k := range on.Rests {
		p.Edge.Rests = append(p.Edge.Rests, place(k))
	}
	p.Gap, p.GapAt = Micrometre(on.Gap), on.GapAt.S
	for k, s := range p.S {
		p.EdgeZ[k] = on.At(s)
	}
}
