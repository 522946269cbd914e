package measured

import (
	"context"
	"fmt"
	"math"

	"slatewright/face"
	"slatewright/internal/measured/ground"
	"slatewright/internal/measured/kept"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/facemap"
	"slatewright/internal/picture/look"
)

// Thickness is how thick a piece is: where it was gauged, and between these places when its two faces could be tied together. Places
// are counted from the middle of the piece as its top is read.
type Thickness struct {
	Piece    string   `json:"piece"`
	Mark     string   `json:"mark"`
	Gauged   []Gauged `json:"gauged"` // caliper readings
	LeastMM  *float64 `json:"least_mm"`
	MeanMM   *float64 `json:"mean_mm"`
	Untied   string   `json:"untied"` // why there is no map: a code of this package, "" when there is one
	Why      string   `json:"why"`    // the same in a sentence, with what to do
	Tie      *Tie     `json:"tie"`    // null when untied
	Map      *Plate   `json:"map"`    // null when untied
	Warnings []string `json:"warnings"`
}

// Gauged is one caliper reading.
type Gauged struct {
	X      float64  `json:"x_mm"`
	Y      float64  `json:"y_mm"`
	T      float64  `json:"thickness_mm"`
	Beside *float64 `json:"beside_mm"` // how much more it is than the map says; null without a map
}

// Tie is how the caliper readings hold the two faces together: one height and two tilts are found from them.
type Tie struct {
	Places     int     `json:"places"`
	ResidualMM float64 `json:"residual_mm"` // standard deviation of the caliper readings about the map; 0 with three places, which leave none to tell
	CornerSE   float64 `json:"corner_u_mm"` // standard uncertainty that the tie leaves at the worst corner
}

// Plate is a map of thickness over equal cells; cell (i, j) is number i·rows + j.
type Plate struct {
	Edges   [4]float64  `json:"edges_mm"` // −x, +x, −y, +y
	Columns int         `json:"columns"`
	Rows    int         `json:"rows"`
	T       Micrometres `json:"thickness_um"`
	LowMM   float64     `json:"low_mm"`
	HighMM  float64     `json:"high_mm"`
}

// Why there may be no map of thickness.
const (
	UntiedNoFaces  = "no-faces" // one of the two faces was not read
	UntiedSides    = "sides"    // not a top and a bottom
	UntiedPieces   = "pieces"   // of two pieces, or of pieces of two sizes
	UntiedSupport  = "support"  // not both on a bench: gravity bent the piece, and is not computed
	UntiedFew      = "few"      // fewer than three caliper readings where both faces were read
	UntiedLine     = "one-line" // they lie too near to one line
	UntiedDisagree = "disagree" // they contradict the faces
	UntiedNoSize   = "no-size"  // where the faces lie over each other is not known
)

// Thickness of a piece from its two faces and the caliper readings in their files. Two faces alone give no thickness: after
// turning over, one height and two tilts between them are unknown, and the caliper readings must tie them. With bottom "" there are
// the caliper readings only.
func (r *Room) Thickness(ctx context.Context, top, bottom string) (Thickness, error) {
	return kept.Get(ctx, r.shelf, thicknessKey(top, bottom), r.thicknessWork(top, bottom))
}

// AskThickness is Thickness for a page.
func (r *Room) AskThickness(top, bottom string) Asked[Thickness] {
	return kept.Ask(r.shelf, thicknessKey(top, bottom), r.options.Patience, r.thicknessWork(top, bottom))
}

func thicknessKey(top, bottom string) string { return "thickness " + top + " " + bottom }

func (r *Room) thicknessWork(top, bottom string) kept.Work[Thickness] {
	return kept.Work[Thickness]{
		Bytes: func(t Thickness) int64 {
			bytes := 4096 + 48*int64(len(t.Gauged))
			if t.Map != nil {
				bytes += 8 * int64(len(t.Map.T))
			}
			return bytes
		},
		Do: func(ctx context.Context) (Thickness, error) {
			up, err := r.surface(ctx, top)
			if err != nil {
				return Thickness{}, err
			}
			t := Thickness{Piece: up.head.Piece, Mark: up.flat.Mark, Gauged: []Gauged{}, Warnings: []string{}}
			t.gauge(up, 1)
			if bottom == "" {
				t.untied(UntiedNoFaces, "the bottom was not read: where nobody gauged the thickness is not known; read the bottom on the bench, turned over about the y axis")
				return t.summed(), nil
			}
			down, err := r.surface(ctx, bottom)
			if err != nil {
				return Thickness{}, err
			}
			t.gauge(down, -1)
			return turn(ctx, r, light, func() (Thickness, error) {
				t.tie(up, down)
				return t.summed(), nil
			})
		},
	}
}

// gauge takes up the caliper readings of a face; turn is −1 for a face that was read turned over.
func (t *Thickness) gauge(s *surface, turn float64) {
	for _, k := range s.head.Thickness {
		t.Gauged = append(t.Gauged, Gauged{X: turn * (k.X + s.offset[0]), Y: k.Y + s.offset[1], T: k.T})
	}
}

func (t Thickness) summed() Thickness {
	if n := len(t.Gauged); n > 0 {
		least, sum := math.Inf(1), 0.0
		for _, g := range t.Gauged {
			least, sum = min(least, g.T), sum+g.T
		}
		mean := sum / float64(n)
		t.LeastMM, t.MeanMM = &least, &mean
	}
	return t
}

func (t *Thickness) untied(code, why string) { t.Untied, t.Why = code, why }

// fit tells whether the two faces are of one piece and can be laid over each other, else why not.
func (t *Thickness) fit(up, down *surface) bool {
	a, b := up.head, down.head
	switch {
	case a.Side != face.Top || b.Side != face.Bottom:
		t.untied(UntiedSides, fmt.Sprintf("the files say %s and %s where top and bottom are needed; correct the line '# face:'", a.Side, b.Side))
	case a.Piece != "" && b.Piece != "" && a.Piece != b.Piece:
		t.untied(UntiedPieces, fmt.Sprintf("the top is of %s and the bottom of %s; choose the faces of one piece", a.Piece, b.Piece))
	case !up.sized || !down.sized:
		t.untied(UntiedNoSize, "a file does not state the size of the piece, so that nothing says which places lie over each other; add a line such as '# size: 914 x 1473 mm'")
	case math.Abs(a.SizeX-b.SizeX) > 1 || math.Abs(a.SizeY-b.SizeY) > 1:
		t.untied(UntiedPieces, fmt.Sprintf("the top is %g x %g mm and the bottom %g x %g mm; choose the faces of one piece as it is now", a.SizeX, a.SizeY, b.SizeX, b.SizeY))
	case a.Support.Kind != face.SupportBench || b.Support.Kind != face.SupportBench:
		t.untied(UntiedSupport, "both faces must be read on a bench that carries the piece everywhere: between bars or on points gravity bends it, and turned over it bends the "+
			"other way, which would look like thickness; gravity is not computed between two readings")
	default:
		return true
	}
	return false
}

// Limits of a tie, mm; common practice, no source.
const (
	mostCornerU  = 0.05 // standard uncertainty at a corner; more is no map that shows tenths
	mostResidual = 0.10 // of the caliper readings about the map; more is another shape
	muchResidual = 0.03 // from where on it is warned of
	carryOn      = 40.0 // how far beyond their readings the faces are carried on to a caliper reading, straight
)

// tie finds the height and the two tilts between the faces, and the map.
func (t *Thickness) tie(up, down *surface) {
	if !t.fit(up, down) {
		return
	}
	var eq plane
	rest := make([]float64, len(t.Gauged)) // what the sum of both faces leaves of a caliper reading
	carried := 0
	for i := range t.Gauged {
		g := &t.Gauged[i]
		a, carriedA := carriedHeight(up.mesh, g.X, g.Y)
		b, carriedB := carriedHeight(down.mesh, -g.X, g.Y)
		rest[i] = g.T - a - b
		if carriedA || carriedB {
			carried++
		}
		if !math.IsNaN(rest[i]) {
			eq.add(g.X, g.Y, rest[i])
		}
	}
	if eq.n < 3 {
		t.untied(UntiedFew, fmt.Sprintf("%d caliper readings lie where both faces were read, and three at least are needed to tie the faces; gauge the thickness at eight places all around", int(eq.n)))
		return
	}
	c, corner, ok := eq.solve(up.box)
	if !ok || corner > mostCornerU {
		t.untied(UntiedLine, "the places of the caliper readings lie too near to one line or to each other to tie the faces; gauge the thickness all around the piece")
		return
	}
	tie := Tie{Places: int(eq.n), CornerSE: corner}
	if tie.ResidualMM = eq.scatter(t.Gauged, rest, c); tie.ResidualMM > mostResidual {
		t.untied(UntiedDisagree, fmt.Sprintf("the caliper readings are %.2f mm beside what the two faces give (standard deviation): a face was read in another shape, is of another day, "+
			"or a reading is wrong; gauge again, and read both faces again", tie.ResidualMM))
		return
	}
	t.Tie = &tie
	t.Map = plateOf(up, down, c)
	for i := range t.Gauged {
		if g := &t.Gauged[i]; !math.IsNaN(rest[i]) {
			beside := rest[i] - c.at(g.X, g.Y)
			g.Beside = &beside
		}
	}
	t.warn(tie, carried)
}

func (t *Thickness) warn(tie Tie, carried int) {
	say := func(format string, args ...any) { t.Warnings = append(t.Warnings, fmt.Sprintf(format, args...)) }
	say("each face was read as the piece lay on the bench, once on either side; where the bench pressed it into another shape, the difference is in the map")
	if tie.Places == 3 {
		say("three caliper readings tie the faces and none is left to check the tie: gauge the thickness at more places")
	}
	if tie.ResidualMM > muchResidual {
		say("the caliper readings are %.3f mm beside the map (standard deviation), more than a caliper's own doubt", tie.ResidualMM)
	}
	if carried > 0 {
		say("%d of the caliper readings lie beyond the readings of a face, which was carried on to them straight", carried)
	}
}

// carriedHeight is the height of a mesh at a place; a little beyond its readings it is carried on straight, towards the place from
// the middle of the piece. NaN farther out.
func carriedHeight(m contour.Mesh, x, y float64) (z float64, carried bool) {
	if z = ground.HeightAt(m, x, y); !math.IsNaN(z) {
		return z, false
	}
	from := math.Hypot(x, y)
	for back := 2.0; back <= carryOn && back < from; back += 2 {
		near := 1 - back/from
		far := math.Max(0, 1-(back+carryOn)/from)
		a, b := ground.HeightAt(m, near*x, near*y), ground.HeightAt(m, far*x, far*y)
		if !math.IsNaN(a) && !math.IsNaN(b) && near > far {
			return a + (a-b)*(1-near)/(near-far), true
		}
	}
	return math.NaN(), false
}

// plateOf adds the faces over each other: the bottom's x runs the other way.
func plateOf(up, down *surface, c coefficients) *Plate {
	b := up.box
	g := ground.Grid{Box: b, NX: max(1, int((b.MaxX-b.MinX)/spacing)), NY: max(1, int((b.MaxY-b.MinY)/spacing))}
	under := ground.Grid{Box: ground.Box{MinX: -b.MaxX, MaxX: -b.MinX, MinY: b.MinY, MaxY: b.MaxY}, NX: g.NX, NY: g.NY}
	a, z := g.Sampled(up.mesh), under.Sampled(down.mesh)
	p := &Plate{Edges: [4]float64{b.MinX, b.MaxX, b.MinY, b.MaxY}, Columns: g.NX, Rows: g.NY, T: make(Micrometres, len(a)), LowMM: math.Inf(1), HighMM: math.Inf(-1)}
	for i := range g.NX {
		for j := range g.NY {
			x, y := g.Middle(i, j)
			k := i*g.NY + j
			p.T[k] = a[k] + z[(g.NX-1-i)*g.NY+j] + c.at(x, y)
			if !math.IsNaN(p.T[k]) {
				p.LowMM, p.HighMM = min(p.LowMM, p.T[k]), max(p.HighMM, p.T[k])
			}
		}
	}
	return p
}

// DrawThickness draws the map of thickness as SVG. Without a map it is an error that says why.
func (r *Room) DrawThickness(ctx context.Context, top, bottom string, p Picture) ([]byte, error) {
	t, err := r.Thickness(ctx, top, bottom)
	if err != nil {
		return nil, err
	}
	return t.svg(p)
}

// mesh is the map as a mesh with its nodes in the middles of the cells.
func (p *Plate) mesh() contour.Mesh {
	g := ground.Grid{Box: ground.Box{MinX: p.Edges[0], MaxX: p.Edges[1], MinY: p.Edges[2], MaxY: p.Edges[3]}, NX: p.Columns, NY: p.Rows}
	m := contour.Mesh{NX: g.NX, NY: g.NY, Z: p.T}
	for i := range g.NX {
		for j := range g.NY {
			x, y := g.Middle(i, j)
			m.X, m.Y = append(m.X, x), append(m.Y, y)
		}
	}
	return m
}

func (t Thickness) svg(p Picture) ([]byte, error) {
	if t.Map == nil {
		return nil, t.refusal()
	}
	e := t.Map.Edges
	d := facemap.Map{Title: t.Piece, Mark: t.Mark, MinX: e[0], MaxX: e[1], MinY: e[2], MaxY: e[3], Mesh: t.Map.mesh(), Unsigned: true,
		Middle: (t.Map.LowMM + t.Map.HighMM) / 2, Words: facemap.English(), Warnings: t.Warnings}
	d.About = fmt.Sprintf("Thickness of the stone, from both faces, tied by %d caliper readings, seen from the top; from %s to %s.", t.Tie.Places, look.Both(t.Map.LowMM), look.Both(t.Map.HighMM))
	d.Words.Height, d.Words.Read = "thickness, mm", "gauged here"
	for _, g := range t.Gauged {
		d.Readings = append(d.Readings, contour.Point{X: g.X, Y: g.Y})
	}
	return p.svg(p.onto(d))
}
