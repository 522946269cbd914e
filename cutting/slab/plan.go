package slab

// Piece is a piece where it is cut.
type Piece struct {
	Kind          int     // type
	At            Point   // the corner nearest to the frame's origin, in the slab's coordinates
	Along, Across float64 // rough size along the frame's x and y, mm
	Quarter       int     // quarter turns of the piece in the frame, anticlockwise
	Over          bool    // turned over: the slab's bottom becomes its playing face
}

// Cut is one way of the saw: the middle of the kerf from A to B, from edge to edge of the part that it divides.
type Cut struct {
	A, B  Point
	Along bool    // along the frame's x
	At    float64 // where the middle of the kerf lies in the frame: y when it runs along x, x otherwise
}

// Plan is an answer: what it is worth, what no plan can exceed, and how it is cut.
type Plan struct {
	Value, Bound int64
	Proven       bool
	Angle        float64 // of the frame, degrees
	Kerf         float64 // as planned with: up to the grid
	Corner       Point   // lower left corner of the frame around the slab, in the frame, mm
	Size         Point   // of the frame around the slab, mm
	Pieces       []Piece
	Cuts         []Cut   // in an order in which they can be made
	Used         float64 // share of the slab's area that becomes pieces, rough
	Work         int64
}

// Gap is the share of the bound that a better plan might still gain.
func (p *Plan) Gap() float64 {
	if p.Bound <= p.Value {
		return 0
	}
	return float64(p.Bound-p.Value) / float64(p.Bound)
}

// Corners are the piece's corners on the slab.
func (p Piece) Corners(angle float64) [4]Point {
	f := NewFrame(angle)
	o := f.In(p.At)
	at := func(x, y float64) Point { return f.Out(Point{o.X + x, o.Y + y}) }
	return [4]Point{p.At, at(p.Along, 0), at(p.Along, p.Across), at(0, p.Across)}
}
