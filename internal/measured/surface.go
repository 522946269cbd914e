package measured

import (
	"context"
	"math"
	"strings"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/flat"
	"slatewright/internal/measured/ground"
	"slatewright/internal/measured/kept"
	"slatewright/internal/picture/contour"
)

const (
	// spacing is the distance of mesh nodes, mm: 13 pixels on a screen that shows a nine-foot piece 900 pixels wide.
	spacing = 13.0
	// fineSpacing is the same where a scan is looked at along a line.
	fineSpacing = 4.0
	// dense is from how many readings on a face is a scan, shown by means over cells. It is the rule of package contour.
	dense = 20_000
)

// surface is a face made ready for looking at: its heights over the middle of its zone, as meshes. It does not hold the readings.
type surface struct {
	head   face.Header
	flat   Flat
	offset [2]float64 // from the file's frame to the piece's
	plane  float64    // the middle of the zone along its normal
	box    ground.Box // the edges, counted from the middle of the piece
	sized  bool
	mesh   contour.Mesh // for maps
	fine   contour.Mesh // for lines; of few readings the same
}

func (r *Room) surface(ctx context.Context, digest string) (*surface, error) {
	return kept.Get(ctx, r.shelf, surfaceKey(digest), r.surfaceWork(digest))
}

func (r *Room) askSurface(digest string) Asked[*surface] {
	return kept.Ask(r.shelf, surfaceKey(digest), r.options.Patience, r.surfaceWork(digest))
}

func surfaceKey(digest string) string { return "surface " + digest }

func (r *Room) surfaceWork(digest string) kept.Work[*surface] {
	return kept.Work[*surface]{
		Bytes: func(s *surface) int64 { return 4096 + 24*int64(len(s.mesh.Z)+len(s.fine.Z)) },
		Do: func(ctx context.Context) (*surface, error) {
			found, err := r.Flat(ctx, digest)
			if err != nil {
				return nil, err
			}
			f, err := r.Face(ctx, digest)
			if err != nil {
				return nil, err
			}
			return turn(ctx, r, readingsWeight(f), func() (*surface, error) { return newSurface(f, found) })
		},
	}
}

func newSurface(f *face.Face, found Flat) (*surface, error) {
	s := &surface{head: f.Header, flat: found, sized: f.SizeX > 0 && found.Middle != nil}
	if found.Middle != nil {
		s.offset = [2]float64{-found.Middle[0], -found.Middle[1]}
	}
	s.plane = middleOfZone(f, found.Normal)
	s.box = ground.Box{MinX: -f.SizeX / 2, MaxX: f.SizeX / 2, MinY: -f.SizeY / 2, MaxY: f.SizeY / 2}
	p := s.points(f)
	if !s.sized {
		s.box = extent(p)
	}
	var err error
	if s.mesh, err = contour.Interpolate(p, spacing); err != nil {
		return nil, flat.Refusal(err, f)
	}
	if s.fine = s.mesh; f.Len() > dense {
		s.fine, err = contour.Interpolate(p, fineSpacing)
	}
	return s, flat.Refusal(err, f)
}

// place is a reading counted from the middle of the piece, its height from the middle of the zone.
func (s *surface) place(f *face.Face, i int) (x, y, z float64) {
	n := s.flat.Normal
	return f.X[i] + s.offset[0], f.Y[i] + s.offset[1], n[0]*f.X[i] + n[1]*f.Y[i] + n[2]*f.Z[i] - s.plane
}

// points are all readings by their places.
func (s *surface) points(f *face.Face) contour.Points {
	p := contour.Points{X: f.X, Y: f.Y, Z: make([]float64, f.Len())}
	if s.offset != [2]float64{} {
		p.X, p.Y = make([]float64, f.Len()), make([]float64, f.Len())
	}
	for i := range p.Z {
		x, y, z := s.place(f, i)
		if p.Z[i] = z; s.offset != [2]float64{} {
			p.X[i], p.Y[i] = x, y
		}
	}
	return p
}

// middleOfZone is how far along the normal the middle of the zone lies, joint rows left aside.
func middleOfZone(f *face.Face, n [3]float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range f.Z {
		if f.Row == nil || f.Row[i] == face.NoRow {
			d := n[0]*f.X[i] + n[1]*f.Y[i] + n[2]*f.Z[i]
			low, high = math.Min(low, d), math.Max(high, d)
		}
	}
	return (low + high) / 2
}

func extent(p contour.Points) ground.Box {
	b := ground.Box{MinX: math.Inf(1), MaxX: math.Inf(-1), MinY: math.Inf(1), MaxY: math.Inf(-1)}
	for i := range p.X {
		b.MinX, b.MaxX = math.Min(b.MinX, p.X[i]), math.Max(b.MaxX, p.X[i])
		b.MinY, b.MaxY = math.Min(b.MinY, p.Y[i]), math.Max(b.MaxY, p.Y[i])
	}
	return b
}

// markOf is the mark of a file that says of itself that it is invented.
func markOf(h face.Header) string {
	for _, o := range h.Other {
		if strings.Contains(strings.ToLower(o.Key+o.Value), certificate.Invented) {
			return certificate.Invented
		}
	}
	return ""
}

// unsized warns of a face whose edges are not known.
const unsized = "the size of the piece is not known: what is drawn ends where the readings end"
