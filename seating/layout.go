package seating

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/face"
)

// Layout is what three measured faces say about a bed before anything is moved: the heights to look at, the stations of the
// joints and the undersides over the supports. It is what elastic levelling begins with.
type Layout struct {
	Pieces   [3]Measured // head, centre, foot
	Joints   [2][]Station
	JointX   []float64  // bed frame
	Middle   [3]float64 // x of the middle of each piece, bed frame
	Warnings []string

	bench *bench
	laid  arrangement
}

// Measured is one piece in the frame of the piece as it lies: turned, if it is. Heights are about the piece's own mean plane, mm.
type Measured struct {
	Name         string
	SizeX, SizeY float64
	Turned       bool
	Support      face.Support // places counted from the middle of the piece as its file has them, not turned
	Thickness    float64      // mean of the caliper readings of the stone; 0: none
	X, Y, Z      []float64    // readings inside the edge band; of a scan, means over cells of 25 mm
	Undersides   []Underside  // one for each support of the specification
}

// Underside is the bottom of a piece (of its lining, if it has one) over a support.
type Underside struct {
	X, Y, Z float64 // mm; Z on the scale of the face's heights
	Read    bool    // thickness was read near by; else Z is that of an evenly thick piece
}

// Station is one place of a joint, with the height of either edge there.
type Station struct {
	Y    float64 // bed frame
	Head Spot    // on the piece on the head side, in the frame of that piece as it lies
	Foot Spot
}

// Spot is a height of a face at a place, mm.
type Spot struct{ X, Y, Z float64 }

// Lay lays out three faces in the order head, centre, foot, those that are marked turned by half a turn. Errors are those of Seat.
func Lay(faces [3]*face.Face, spec bed.Spec, turned [3]bool) (*Layout, error) {
	b, err := newBench(Question{Faces: faces, Spec: spec})
	if err != nil {
		return nil, err
	}
	a := arrangement{index: orders[0], turned: turned}
	l := &Layout{JointX: b.jointX(a), Middle: b.middleX(a), Warnings: b.sizes(), bench: b, laid: a}
	for place, p := range b.pieces {
		l.Warnings = append(l.Warnings, p.warnings...)
		l.Pieces[place] = b.measuredPiece(a, place)
	}
	for j := range 2 {
		list, measured, err := stationsOf(&b.pieces, a, j)
		if err != nil {
			return nil, err
		}
		for _, st := range list {
			l.Joints[j] = append(l.Joints[j], Station{st.y, b.spot(a, j, st.head), b.spot(a, j+1, st.foot)})
		}
		for side, ok := range measured {
			if p := b.pieces[j+side]; !ok {
				l.Warnings = append(l.Warnings, fmt.Sprintf("%s: the joint between %s and %s is not measured at the edge of this piece: %s",
					p.name, bed.Place(j), bed.Place(j+1), p.edge(1-side, turned[j+side]).how))
			}
		}
	}
	return l, nil
}

// Height reads the face of the piece at a place, (x, y) in the frame of the piece as it lies, between its readings; ok is false
// where the face was not read.
func (l *Layout) Height(place bed.Place, x, y float64) (z float64, ok bool) {
	p, sign := l.bench.pieces[place], l.laid.sign(int(place))
	x, y = float64(sign*x), float64(sign*y)
	if z, ok = p.surface.height(x, y); !ok {
		return 0, false
	}
	return moved(z, x, y, p.start[:]), true
}

// spot is the knot's height about the mean plane of its piece, in the frame of the piece as it lies.
func (b *bench) spot(a arrangement, place int, k knot) Spot {
	p, sign := b.pieces[place], a.sign(place)
	return Spot{float64(sign*k.x) + 0, float64(sign*k.y) + 0, moved(k.z(p.face.Z), k.x, k.y, p.start[:])}
}

func (b *bench) measuredPiece(a arrangement, place int) Measured {
	p, sign := b.pieces[place], a.sign(place)
	m := Measured{Name: p.name, SizeX: p.sizeX, SizeY: p.sizeY, Turned: a.turned[place], Support: p.face.Support, Thickness: mean(p.face.Thickness)}
	add := func(x, y, z float64) {
		m.X, m.Y, m.Z = append(m.X, float64(sign*x)+0), append(m.Y, float64(sign*y)+0), append(m.Z, moved(z, x, y, p.start[:]))
	}
	if s := p.surface; s.scan {
		for i, z := range s.z {
			if !math.IsNaN(z) {
				add(s.xs[i/len(s.ys)], s.ys[i%len(s.ys)], z)
			}
		}
	} else {
		for i, z := range p.z {
			add(p.x[i], p.y[i], z)
		}
	}
	for _, at := range b.spec.Supports[place] {
		m.Undersides = append(m.Undersides, b.underside(p, sign, at))
	}
	return m
}

// underside is the face over a support less the thickness there: the nearest reading of it, else the mean or nominal one.
func (b *bench) underside(p *piece, sign float64, at [2]float64) Underside {
	x, y := float64(sign*at[0]), float64(sign*at[1])
	t, read := p.thicknessAt(x, y, b.spec.Lining > 0)
	if !read {
		t = b.assumed(p, x, y)
	}
	u := Underside{X: at[0], Y: at[1], Z: -t}
	if z, ok := p.surface.height(x, y); ok {
		u.Z, u.Read = moved(z, x, y, p.start[:])-t, read
	}
	return u
}

// assumed is the thickness of a piece, with its lining, where it was not read: that of the stone near by, or its mean, or
// what the specification asks for, and the lining's nominal one.
func (b *bench) assumed(p *piece, x, y float64) float64 {
	if m := mean(p.face.Lined); b.spec.Lining > 0 && m > 0 {
		return m
	}
	if t, ok := p.thicknessAt(x, y, false); ok {
		return t + b.spec.Lining
	}
	if m := mean(p.face.Thickness); m > 0 {
		return m + b.spec.Lining
	}
	return b.spec.ThicknessMin + b.spec.Lining
}

func mean(list []face.Thickness) float64 {
	if len(list) == 0 {
		return 0
	}
	s := 0.0
	for _, c := range list {
		s += c.T
	}
	return s / float64(len(list))
}
