package seating

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/flatness"
	"slatewright/trouble"
)

// piece is a measured piece in its own frame, not turned. Turning changes only where it lies and which edge meets which.
type piece struct {
	face         *face.Face // centred
	name         string
	sizeX, sizeY float64
	at           []int     // readings that count for the zone
	x, y, z      []float64 // of those
	start        [3]float64
	surface      lattice
	edges        [2]profile // along the −x edge and the +x edge
	warnings     []string
}

const (
	minusEdge = 0
	plusEdge  = 1
)

func newPiece(f *face.Face, spec bed.Spec) (*piece, error) {
	if f.SizeX == 0 || f.SizeY == 0 {
		return nil, trouble.Data("no-size", f.Name, "the size of the piece is not given, so it is not known where its edges meet",
			"add a line such as '# size: 914 x 1473 mm' (x by y)")
	}
	if f.Side == face.Bottom {
		return nil, trouble.Data("bottom-face", f.Name, "this is a bottom face; a bed is seated by its playing faces",
			"give the readings of the top face, marked '# face: top'")
	}
	c, err := f.Centred()
	if err != nil {
		return nil, err
	}
	p := &piece{face: c, name: f.Name, sizeX: f.SizeX, sizeY: f.SizeY}
	p.warnings = append(p.warnings, f.Warnings...)
	p.keep(spec.EdgeBand)
	if len(p.at) < 4 {
		return nil, trouble.Data("too-few-points", f.Name,
			fmt.Sprintf("only %s inside the edge band of %g mm", trouble.Count(len(p.at), "reading lies", "readings lie"), spec.EdgeBand), "read at least four points of the face, not on one line")
	}
	if err := p.level(); err != nil {
		return nil, err
	}
	p.surface = newLattice(p.x, p.y, p.z)
	for _, edge := range []int{minusEdge, plusEdge} {
		p.edges[edge] = p.profile(edge, spec)
	}
	return p, nil
}

// keep takes the readings inside the edge band. Joint rows are for the steps only.
func (p *piece) keep(band float64) {
	const rounding = 1e-6 // mm: a reading on the line counts as inside
	mx, my := float64(p.sizeX/2)-band+rounding, float64(p.sizeY/2)-band+rounding
	out := 0
	f := p.face
	p.at = make([]int, 0, len(f.Z))
	p.x, p.y, p.z = make([]float64, 0, len(f.Z)), make([]float64, 0, len(f.Z)), make([]float64, 0, len(f.Z))
	for i := range f.Z {
		switch {
		case f.Row != nil && f.Row[i] != face.NoRow:
		case math.Abs(f.X[i]) > mx || math.Abs(f.Y[i]) > my:
			out++
		default:
			p.at = append(p.at, i)
			p.x, p.y, p.z = append(p.x, f.X[i]), append(p.y, f.Y[i]), append(p.z, f.Z[i])
		}
	}
	if out > 0 {
		p.warnings = append(p.warnings, fmt.Sprintf("%s: %d of %d readings lie in the edge band of %g mm and do not count for the zone", p.name, out, len(f.Z), band))
	}
}

// level finds the moves that put the face level about z = 0, as the place to start from.
func (p *piece) level() error {
	plane, err := flatness.LeastSquares(flatness.Points{X: p.x, Y: p.y, Z: p.z})
	if err != nil || plane.Normal[2] < 0.1 { // nearer to a wall than to a bed
		return trouble.Data("one-line", p.name, "seen from above the readings lie on one line, or their heights are no heights",
			"read the face all over: columns x, y, z with z upwards").Because(err)
	}
	n := plane.Normal
	tx, ty := -n[0]/n[2], -n[1]/n[2]
	if !(math.Sqrt(float64(tx*tx)+float64(ty*ty)) <= MaxTilt) {
		return trouble.Data("tilted", p.name, fmt.Sprintf("the map is tilted by %.3g mm/m along and %.3g mm/m across, more than %g mm/m",
			1000*tx, 1000*ty, 1000*MaxTilt), "take out the tilt of the bench or instrument before writing the file: heights are then the distance from one plane")
	}
	c := plane.Centroid
	p.start = [3]float64{-c[2] + float64(tx*c[0]) + float64(ty*c[1]), -tx, -ty}
	return nil
}

// moved is the height of the place (x, y), read as z, after the moves m = (height, tilt x, tilt y), all in the piece's own frame.
func moved(z, x, y float64, m []float64) float64 {
	return z + m[0] + float64(m[1]*x) + float64(m[2]*y)
}

// arrangement says which piece lies where, and how.
type arrangement struct {
	index  [3]int
	turned [3]bool
}

func (a arrangement) sign(place int) float64 {
	if a.turned[place] {
		return -1
	}
	return 1
}

// mirrored is the same bed seen from its other end: turned by half a turn as a whole.
func (a arrangement) mirrored() arrangement {
	return arrangement{[3]int{a.index[2], a.index[1], a.index[0]}, [3]bool{!a.turned[2], !a.turned[1], !a.turned[0]}}
}

var orders = [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}

// arrangements lists what may be tried, fewest turned pieces first among equals, no bed twice.
func arrangements(fixed [3]bool, anyPlace bool) []arrangement {
	perms := orders[:1]
	if anyPlace {
		perms = orders[:]
	}
	var list []arrangement
	seen := map[arrangement]bool{}
	for _, turns := range [8]int{0, 1, 2, 4, 3, 5, 6, 7} {
		for _, perm := range perms {
			a := arrangement{index: perm}
			allowed := true
			for k := range 3 {
				a.turned[k] = turns>>k&1 == 1
				allowed = allowed && !(a.turned[k] && fixed[perm[k]])
			}
			if !allowed || seen[a.mirrored()] {
				continue
			}
			seen[a] = true
			list = append(list, a)
		}
	}
	return list
}
