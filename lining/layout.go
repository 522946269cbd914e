package lining

// Kind is how the lining lies under a piece.
type Kind string

// The kinds.
const (
	Full   Kind = "full"   // one board under the whole piece
	Strips Kind = "strips" // strips along the four edges, and more across the piece between them
	Pads   Kind = "pads"   // pads on a grid
)

// Layout is how the lining is cut. Lengths in mm.
type Layout struct {
	Kind   Kind
	Width  float64 // of strips; of pads their side along the table
	Length float64 // strips: of one length of strip, 0 for whole ones; pads: their side across the table
	Gap    float64 // between two lengths of strip
	More   int     // strips along the table between the edges
	Along  int     // pads: how many along and across the table
	Across int
}

// Patch is a rectangle of board under the piece, mm from its middle.
type Patch struct{ X0, X1, Y0, Y1 float64 }

// Patches cuts the layout for a piece of the given sides.
func (l Layout) Patches(x, y float64) (list []Patch) {
	switch l.Kind {
	case Strips:
		for _, side := range []float64{-1, 1} { // along the edges that lie across the table, their whole length
			list = append(list, l.cut(Patch{side*x/2 - max(side, 0)*l.Width, side*x/2 - min(side, 0)*l.Width, -y / 2, y / 2}, false)...)
		}
		inner := l.Width + l.Gap
		for i := range l.More + 2 { // along the table between those
			at := -y/2 + l.Width/2 + float64(i)*(y-l.Width)/float64(l.More+1)
			list = append(list, l.cut(Patch{-x/2 + inner, x/2 - inner, at - l.Width/2, at + l.Width/2}, true)...)
		}
	case Pads:
		for i := range l.Along {
			for j := range l.Across {
				cx, cy := place(i, l.Along, x, l.Width), place(j, l.Across, y, l.Length)
				list = append(list, Patch{cx - l.Width/2, cx + l.Width/2, cy - l.Length/2, cy + l.Length/2})
			}
		}
	default:
		list = []Patch{{-x / 2, x / 2, -y / 2, y / 2}}
	}
	return list
}

// place spreads n pads of a side over a length, the outer ones at its ends; one alone lies in the middle.
func place(i, n int, length, side float64) float64 {
	if n == 1 {
		return 0
	}
	return -length/2 + side/2 + float64(i)*(length-side)/float64(n-1)
}

// cut makes even lengths of a strip, none longer than Length, with gaps between them.
func (l Layout) cut(p Patch, along bool) (list []Patch) {
	from, to := p.Y0, p.Y1
	if along {
		from, to = p.X0, p.X1
	}
	n := 1
	if l.Length > 0 {
		for (to-from-float64(n-1)*l.Gap)/float64(n) > l.Length+1e-9 {
			n++
		}
	}
	each := (to - from - float64(n-1)*l.Gap) / float64(n)
	for i := range n {
		q, start := p, from+float64(i)*(each+l.Gap)
		if along {
			q.X0, q.X1 = start, start+each
		} else {
			q.Y0, q.Y1 = start, start+each
		}
		list = append(list, q)
	}
	return list
}

// Cover is the share of the piece that lies on board.
func (l Layout) Cover(x, y float64) (share float64) {
	for _, p := range l.Patches(x, y) {
		share += (p.X1 - p.X0) * (p.Y1 - p.Y0) / (x * y)
	}
	return share
}
