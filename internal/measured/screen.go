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

// Map is a face for a screen: no more than its width of pixels can show, and no extreme lost. Places are mm from the middle of the
// piece (of a bottom face as it was read, turned over about the y axis); heights are over the middle of the zone.
type Map struct {
	Piece     string     `json:"piece"`
	Face      string     `json:"face"`
	Mark      string     `json:"mark"` // of invented data
	State     string     `json:"state"`
	Support   string     `json:"support"`
	ZoneMM    float64    `json:"zone_mm"`
	Width     int        `json:"width_px"` // what it was made for
	Edges     [4]float64 `json:"edges_mm"` // −x, +x, −y, +y
	EdgesRead bool       `json:"edges_are_readings"`
	Between   string     `json:"between_readings"` // how heights between the readings were found

	// Cells lie over the edges, columns along x and rows along y; cell (i, j) is number i·rows + j. Mid is the surface in its
	// middle, Low and High the extremes of it and of the readings in the cell. They are null where every reading is listed.
	Columns int         `json:"columns"`
	Rows    int         `json:"rows"`
	Mid     Micrometres `json:"mid_um"`
	Low     Micrometres `json:"low_um"`
	High    Micrometres `json:"high_um"`

	Readings []Reading    `json:"readings"` // all of them, where they are few
	Points   int          `json:"points"`   // how many there are
	Contacts []MapContact `json:"contacts"` // of the zone
	Lowest   MapPlace     `json:"lowest"`
	Highest  MapPlace     `json:"highest"`

	Levels  []float64 `json:"levels_mm"`
	StepMM  float64   `json:"level_step_mm"`
	Bands   []Band    `json:"bands"` // from the lowest up, each painted over the one before
	Lines   []MapLine `json:"lines"`
	Warning []string  `json:"warnings"`
}

// Reading is one reading with its height over the middle of the zone.
type Reading struct {
	X     float64 `json:"x_mm"`
	Y     float64 `json:"y_mm"`
	Z     float64 `json:"z_mm"`
	Joint bool    `json:"joint_row,omitempty"`
}

// MapPlace is a place with its height.
type MapPlace struct {
	X float64 `json:"x_mm"`
	Y float64 `json:"y_mm"`
	Z float64 `json:"z_mm"`
}

// MapContact is a place that carries the zone.
type MapContact struct {
	MapPlace
	Upper bool `json:"upper"`
}

// Band is the part of a map at a level or above.
type Band struct {
	Share float64 `json:"share"` // of its tint: −1 lowest, 0 the middle, 1 highest
	Rings []Track `json:"rings"`
}

// MapLine is a contour line. The line is left out beneath its labels: Parts is what remains to be drawn.
type MapLine struct {
	LevelMM float64    `json:"level_mm"`
	Figure  string     `json:"figure"`
	Parts   []Track    `json:"parts"`
	Labels  []MapLabel `json:"labels"`
}

// MapLabel is where a figure stands on its line: its middle, and how far it is turned, clockwise on the screen.
type MapLabel struct {
	X     float64 `json:"x_mm"`
	Y     float64 `json:"y_mm"`
	Angle float64 `json:"angle_rad"`
}

const (
	cellPixels  = 6      // a finger covers more
	mostCells   = 40_000 // whatever the width
	mostListed  = 2_000  // readings that are sent one by one
	pixel       = 25.4 / 96
	labelPoints = 9.0 // 12 pixels
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
			return turn(ctx, r, light, func() (Map, error) { return s.screen(f, width), nil })
		},
	}
}

func (m Map) bytes() int64 {
	n := 4096 + 8*len(m.Mid) + 8*len(m.Low) + 8*len(m.High) + 32*len(m.Readings)
	for _, b := range m.Bands {
		for _, t := range b.Rings {
			n += 8*len(t) + 24
		}
	}
	for _, l := range m.Lines {
		for _, t := range l.Parts {
			n += 8*len(t) + 24
		}
		n += 64 + 24*len(l.Labels)
	}
	return int64(n)
}

func (s *surface) screen(f *face.Face, width int) Map {
	b := s.box
	m := Map{Piece: s.head.Piece, Face: s.head.Side.String(), Mark: s.flat.Mark, State: s.flat.State, Support: s.flat.Support, ZoneMM: s.flat.ZoneMM,
		Width: width, Edges: [4]float64{b.MinX, b.MaxX, b.MinY, b.MaxY}, EdgesRead: !s.sized, Between: s.mesh.Method, Points: f.Len(),
		Readings: []Reading{}, Contacts: []MapContact{}, Levels: []float64{}, Bands: []Band{}, Lines: []MapLine{}, Warning: append([]string{}, s.flat.Warnings...)}
	if !s.sized {
		m.Warning = append(m.Warning, unsized)
	}
	for _, c := range s.contacts() {
		m.Contacts = append(m.Contacts, MapContact{MapPlace{c.X, c.Y, c.Z}, c.Upper})
	}
	m.cells(s, f)
	m.extremes(s, f)
	m.relief(s, width)
	return m
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
	return ground.Grid{Box: b, NX: max(1, int((b.MaxX-b.MinX)/cell)), NY: max(1, int((b.MaxY-b.MinY)/cell))}
}

// cells fills the cells. Every reading is either listed or widens the extremes of its cell.
func (m *Map) cells(s *surface, f *face.Face) {
	g := gridFor(s.box, m.Width)
	m.Columns, m.Rows, m.Mid = g.NX, g.NY, g.Sampled(s.fine)
	if f.Len() <= mostListed {
		for i := range f.Z {
			x, y, z := s.place(f, i)
			m.Readings = append(m.Readings, Reading{x, y, z, f.Row != nil && f.Row[i] != face.NoRow})
		}
		return
	}
	m.Low, m.High = append(Micrometres{}, m.Mid...), append(Micrometres{}, m.Mid...)
	for i := range f.Z {
		x, y, z := s.place(f, i)
		k := g.Number(x, y)
		switch {
		case k < 0: // beyond the edges; the file's reader has warned of it
		case math.IsNaN(m.Mid[k]):
			m.Mid[k], m.Low[k], m.High[k] = z, z, z
		default:
			m.Low[k], m.High[k] = min(m.Low[k], z), max(m.High[k], z)
		}
	}
}

// extremes finds the lowest and the highest reading.
func (m *Map) extremes(s *surface, f *face.Face) {
	m.Lowest.Z, m.Highest.Z = math.Inf(1), math.Inf(-1)
	for i := range f.Z {
		x, y, z := s.place(f, i)
		if z < m.Lowest.Z {
			m.Lowest = MapPlace{x, y, z}
		}
		if z > m.Highest.Z {
			m.Highest = MapPlace{x, y, z}
		}
	}
}

// relief adds bands and lines, laid out for the width.
func (m *Map) relief(s *surface, width int) {
	picture := s.picture()
	scale := picture.Scale()
	m.Levels, m.StepMM = append(m.Levels, scale.Levels...), scale.Step
	view := picture.View(0, 0, float64(width)*pixel)
	track := func(l contour.Line) Track {
		t := make(Track, 0, 2*len(l.P)+2)
		for _, p := range l.P {
			t = append(t, p.X, p.Y)
		}
		if l.Closed {
			t = append(t, l.P[0].X, l.P[0].Y)
		}
		return t
	}
	const tolerance = 0.3 // of a pixel
	slack := tolerance * pixel / view.Scale
	for i := 0; i <= len(scale.Levels); i++ {
		level, band := math.Inf(-1), Band{Share: scale.Share(i), Rings: []Track{}}
		if i > 0 {
			level = scale.Levels[i-1]
		}
		for _, ring := range picture.Mesh.Region(level) {
			band.Rings = append(band.Rings, track(ring.Simplify(slack)))
		}
		m.Bands = append(m.Bands, band)
	}
	for _, l := range picture.Lines(view, scale, look.Level.Sized(labelPoints)) {
		line := MapLine{LevelMM: l.Level, Figure: l.Figure, Labels: []MapLabel{}}
		for _, part := range contour.Cut(l.Line, l.Labels) {
			line.Parts = append(line.Parts, track(part.Map(view.Back)))
		}
		for _, b := range l.Labels {
			at := view.Back(b.At)
			line.Labels = append(line.Labels, MapLabel{at.X, at.Y, b.Angle})
		}
		m.Lines = append(m.Lines, line)
	}
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
