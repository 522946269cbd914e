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
)

// Map is a face, or a bed, for a screen: no more than its width of pixels can show, and no extreme lost. In JSON it has the form that the
// scripts of the pages read. Places are mm from the middle of the piece or bed (of a bottom face as it was read, turned over about the
// y axis), heights are over the middle of the zone.
type Map struct {
	Title    string       `json:"title"`
	Frame    string       `json:"frame"` // piece or bed
	State    string       `json:"state"`
	Support  string       `json:"support,omitempty"`
	Datum    string       `json:"datum"`    // what heights are counted from, in English
	Invented bool         `json:"invented"` // the data say so of themselves
	ZoneMM   float64      `json:"zone_mm"`
	Width    int          `json:"width_px"` // what it was made for
	Low      Micrometre   `json:"low_um"`   // of all readings
	High     Micrometre   `json:"high_um"`
	Grids    []Grid       `json:"grids"` // one for each piece
	Outline  [][2]float64 `json:"outline_mm,omitempty"`
	Contacts []Spot       `json:"contacts"`         // of the zone
	Readings []Spot       `json:"readings"`         // all, where they are few; else the lowest and the highest
	Points   int          `json:"points"`           // how many there are
	Between  string       `json:"between_readings"` // how heights between the readings were found
	// Edges say which side of the table is where: x- x+ y- y+ are head, foot, left or right, for the page to say in its language.
	Edges    map[string]string `json:"edges"`
	Warnings []string          `json:"warnings"`
}

// Grid is heights at even places: x runs first. Least and Most are the extremes of the surface and of the readings around each place;
// they are left out where every reading is listed.
type Grid struct {
	Name  string      `json:"name,omitempty"` // of a piece of a bed: its place
	X0    float64     `json:"x0_mm"`
	Y0    float64     `json:"y0_mm"`
	DX    float64     `json:"dx_mm"`
	DY    float64     `json:"dy_mm"`
	NX    int         `json:"nx"`
	NY    int         `json:"ny"`
	Z     Micrometres `json:"z_um"`
	Least Micrometres `json:"least_um,omitempty"`
	Most  Micrometres `json:"most_um,omitempty"`
}

// Spot is a place with its height. Side says of a contact whether it holds the plane above or below; Row of a reading that it is of a
// joint row.
type Spot struct {
	X    float64    `json:"x_mm"`
	Y    float64    `json:"y_mm"`
	Z    Micrometre `json:"z_um"`
	Side string     `json:"side,omitempty"`
	Row  bool       `json:"row,omitempty"`
}

// The sides of a contact.
const (
	Above = "above"
	Below = "below"
)

func sideOf(upper bool) string {
	if upper {
		return Above
	}
	return Below
}

const (
	cellPixels = 6      // a finger covers more
	mostCells  = 40_000 // whatever the width
	mostListed = 2_000  // readings that are sent one by one
	datum      = "over the middle of the zone"
)

// widths are the widths that maps are made for: asked for any, the next below is made, so that few are kept.
var widths = []int{240, 320, 480, 640, 800, 960, 1280, 1600}

func widthFor(pixels int) int {
	width := widths[0]
	for _, w := range widths {
		if w <= pixels {
			width = w
		}
	}
	return width
}

// Map is a face for a screen on which it is so many pixels wide.
func (r *Room) Map(ctx context.Context, digest string, width int) (Map, error) {
	return kept.Get(ctx, r.shelf, mapKey(digest, width), r.mapWork(digest, widthFor(width)))
}

// AskMap is Map for a page.
func (r *Room) AskMap(digest string, width int) Asked[Map] {
	return kept.Ask(r.shelf, mapKey(digest, width), r.options.Patience, r.mapWork(digest, widthFor(width)))
}

func mapKey(digest string, width int) string {
	return fmt.Sprintf("map %d %s", widthFor(width), digest)
}

func (r *Room) mapWork(digest string, width int) kept.Work[Map] {
	return kept.Work[Map]{
		Bytes: Map.bytes,
		Do: func(ctx context.Context) (Map, error) {
			s, err := r.surface(ctx, digest)
			if err != nil {
				return Map{}, err
			}
			f, err := r.Face(ctx, digest)
			if err != nil {
				return Map{}, err
			}
			return turn(ctx, r, readingsWeight(f), func() (Map, error) { return s.screen(f, width), nil })
		},
	}
}

func (m Map) bytes() int64 {
	n := 4096 + 48*len(m.Readings)
	for _, g := range m.Grids {
		n += 8 * (len(g.Z) + len(g.Least) + len(g.Most))
	}
	return int64(n)
}

func (s *surface) screen(f *face.Face, width int) Map {
	b := s.box
	m := Map{Title: s.title(), Frame: "piece", State: s.flat.State, Support: s.flat.Support, Datum: datum, Invented: s.flat.Mark != "", ZoneMM: s.flat.ZoneMM,
		Width: width, Points: f.Len(), Between: s.mesh.Method, Edges: edgesOf(s.head.Side), Contacts: []Spot{}, Readings: []Spot{},
		Outline: [][2]float64{{b.MinX, b.MinY}, {b.MaxX, b.MinY}, {b.MaxX, b.MaxY}, {b.MinX, b.MaxY}}, Warnings: append([]string{}, s.flat.Warnings...)}
	if !s.sized {
		m.Warnings = append(m.Warnings, unsized)
	}
	for _, c := range s.contacts() {
		m.Contacts = append(m.Contacts, Spot{X: c.X, Y: c.Y, Z: Micrometre(c.Z), Side: sideOf(c.Upper)})
	}
	m.list(s, f)
	m.Grids = []Grid{s.cells(f, gridFor(b, width))}
	return m
}

// title is the piece with the face.
func (s *surface) title() string {
	if s.head.Piece == "" {
		return s.head.Side.String()
	}
	return s.head.Piece + ", " + s.head.Side.String()
}

// edgesOf is which side of the table is where on a face. The bottom is seen turned over about the y axis.
func edgesOf(side face.Side) map[string]string {
	if side == face.Bottom {
		return map[string]string{"x-": "foot", "x+": "head", "y-": "left", "y+": "right"}
	}
	return map[string]string{"x-": "head", "x+": "foot", "y-": "left", "y+": "right"}
}

// contacts are the contact points of the zone, heights over its middle.
func (s *surface) contacts() []Contact {
	list := s.flat.Places()
	n := s.flat.Normal
	for i, c := range s.flat.Contacts {
		list[i].Z = n[0]*c[0] + n[1]*c[1] + n[2]*c[2] - s.plane
	}
	return list
}

// gridFor is the cells of a map.
func gridFor(b ground.Box, width int) ground.Grid {
	cell := (b.MaxX - b.MinX) * cellPixels / float64(width)
	cell = math.Max(cell, math.Sqrt((b.MaxX-b.MinX)*(b.MaxY-b.MinY)/mostCells))
	return ground.Grid{Box: b, NX: max(2, int((b.MaxX-b.MinX)/cell)), NY: max(2, int((b.MaxY-b.MinY)/cell))}
}

// screenGrid is heights over cells in the order of the screen.
func screenGrid(g ground.Grid) Grid {
	w, h := g.Cell()
	return Grid{X0: g.MinX + w/2, Y0: g.MinY + h/2, DX: w, DY: h, NX: g.NX, NY: g.NY}
}

// byRows puts what was counted by columns into the order of the screen.
func byRows(g ground.Grid, z []float64) Micrometres {
	out := make(Micrometres, len(z))
	for i := range g.NX {
		for j := range g.NY {
			out[j*g.NX+i] = z[i*g.NY+j]
		}
	}
	return out
}

// cells fills a grid. Every reading that is not listed widens the extremes of its cell.
func (s *surface) cells(f *face.Face, g ground.Grid) Grid {
	out, mid := screenGrid(g), g.Sampled(s.fine)
	if f.Len() <= mostListed {
		out.Z = byRows(g, mid)
		return out
	}
	least, most := append([]float64{}, mid...), append([]float64{}, mid...)
	for i := range f.Z {
		x, y, z := s.place(f, i)
		k := g.Number(x, y)
		switch {
		case k < 0: // beyond the edges; the file's reader has warned of it
		case math.IsNaN(mid[k]):
			mid[k], least[k], most[k] = z, z, z
		default:
			least[k], most[k] = min(least[k], z), max(most[k], z)
		}
	}
	out.Z, out.Least, out.Most = byRows(g, mid), byRows(g, least), byRows(g, most)
	return out
}

// list lists the readings, or the lowest and the highest of many.
func (m *Map) list(s *surface, f *face.Face) {
	low, high := Spot{Z: Micrometre(math.Inf(1))}, Spot{Z: Micrometre(math.Inf(-1))}
	for i := range f.Z {
		x, y, z := s.place(f, i)
		spot := Spot{X: x, Y: y, Z: Micrometre(z), Row: f.Row != nil && f.Row[i] != face.NoRow}
		if spot.Z < low.Z {
			low = spot
		}
		if spot.Z > high.Z {
			high = spot
		}
		if f.Len() <= mostListed {
			m.Readings = append(m.Readings, spot)
		}
	}
	if f.Len() > mostListed {
		m.Readings = []Spot{low, high}
	}
	m.Low, m.High = low.Z, high.Z
}

// picture is the face ready for drawing, without words.
func (s *surface) picture() facemap.Map {
	m := facemap.Map{MinX: s.box.MinX, MaxX: s.box.MaxX, MinY: s.box.MinY, MaxY: s.box.MaxY, Bottom: s.head.Side == face.Bottom,
		Mesh: s.mesh, Words: facemap.English()}
	for _, c := range s.contacts() {
		m.Contacts = append(m.Contacts, facemap.Contact{X: c.X, Y: c.Y, Upper: c.Upper})
	}
	return m
}

// screen is the seated bed for a screen.
func (b *Bed) screen(width int) (Map, error) {
	p := b.Picture
	m := Map{Title: p.Title, Frame: "bed", State: b.Body.Found.Support.State, Datum: datum, Invented: p.Mark != "", ZoneMM: p.Zone, Width: width,
		Low: Micrometre(math.Inf(1)), High: Micrometre(math.Inf(-1)), Edges: edgesOf(face.Top), Contacts: []Spot{}, Readings: []Spot{}, Warnings: []string{}}
	for _, c := range p.Contacts {
		m.Contacts = append(m.Contacts, Spot{X: c.X, Y: c.Y, Z: Micrometre(c.Z), Side: sideOf(c.Upper)})
	}
	for _, piece := range p.Pieces {
		mesh, err := contour.Interpolate(contour.Points{X: piece.X, Y: piece.Y, Z: piece.Z}, spacing)
		if err != nil {
			return m, err
		}
		box := ground.Box{MinX: piece.MinX, MaxX: piece.MaxX, MinY: -p.SizeY / 2, MaxY: p.SizeY / 2}
		cells := gridFor(box, max(1, int(float64(width)*(box.MaxX-box.MinX)/p.SizeX)))
		g := screenGrid(cells)
		g.Name, g.Z, m.Between = piece.Place, byRows(cells, cells.Sampled(mesh)), mesh.Method
		m.Grids, m.Points = append(m.Grids, g), m.Points+len(piece.Z)
		for i, z := range piece.Z {
			m.Low, m.High = min(m.Low, Micrometre(z)), max(m.High, Micrometre(z))
			if len(piece.Z) <= mostListed {
				m.Readings = append(m.Readings, Spot{X: piece.X[i], Y: piece.Y[i], Z: Micrometre(z)})
			}
		}
	}
	return m, nil
}
