package passes

import (
	"math"

	"slatewright/plate"
	"slatewright/stone"
)

// Hold is how a piece lies while a face of it is cut.
type Hold int

// The holds.
const (
	Pressed Hold = iota // on the bed, pressed on it by the machine's vacuum, its clamps, or its weight alone
	Free                // on supports that touch it as it is: wedges, plaster, jacks
)

// String returns the hold in words.
func (h Hold) String() string { return [...]string{"pressed on the bed", "on free supports"}[h] }

// Skin is the bow, mm over a length, that a piece gets when a skin so deep goes off one of its faces with the stress that was locked in it, MPa:
//
//	6·stress·depth / (E·h²) · L²/8
//
// after Stoney, Proceedings of the Royal Society A 82 (1909) 172, for a thin layer on one face of a strip. The face that lost a skin which
// pulled comes out crowned.
func Skin(stress, depth, modulus, thickness, length float64) float64 {
	return 6 * stress * depth / (modulus * thickness * thickness) * length * length / 8
}

// pressedBow is the least bow that is asked about, mm: below it every hold presses a piece flat that ever does.
const pressedBow = 0.1

// PressedOut is the share of a bow along the longer side that a pressure (MPa) and the piece's own weight press out of it on a flat bed: what is
// pressed out comes back when the hold lets go. It is that of a crown, under which the middle of the piece is hollow; the piece is bent by package
// plate on a bed of the mirrored shape. The error is a *trouble.Trouble.
func PressedOut(s stone.Stone, x, y, thickness, bow, pressure float64) (float64, error) {
	bow = math.Max(pressedBow, math.Abs(bow))
	long := math.Max(x, y)
	crown := func(px, py float64) float64 {
		if x > y {
			py = px
		}
		return bow * (1 - 4*py*py/(long*long))
	}
	p, err := plate.New(plate.Piece{Outline: plate.Rectangle(x, y), Thickness: plate.Even(thickness), Density: s.Density,
		Elastic: plate.Elastic{Along: s.Along, Across: s.Across, Poisson: s.Poisson}}, long/14)
	if err != nil {
		return 0, err
	}
	var loads []plate.Load
	if pressure > 0 {
		loads = append(loads, plate.Load{N: pressure * x * y, SideX: x, SideY: y})
	}
	rest, _, err := p.OnBench(valley(crown), loads...)
	if err != nil {
		return 0, err
	}
	most, least := math.Inf(-1), math.Inf(1)
	const n = 20
	for i := range n + 1 {
		for j := range n + 1 {
			at := plate.Point{X: x * (float64(i)/n - 0.5), Y: y * (float64(j)/n - 0.5)}
			z := rest.Height(at) + crown(at.X, at.Y)
			most, least = math.Max(most, z), math.Min(least, z)
		}
	}
	return math.Max(0, math.Min(1, 1-(most-least)/bow)), nil
}

// valley is the bed that a level piece has to bend into to do what a crowned piece does on a level one.
type valley func(x, y float64) float64

func (v valley) At(x, y float64) float64 { return -v(x, y) }

// cause is what a bow comes from.
type cause int

const (
	ownBow    cause = iota // the piece's own, measured free
	firstFree              // supports under the first face
	lastFree               // supports under the last
	topSkin                // stress locked in the skins
	bottomSkin
	causes
)

// bow is a shape along the longer side, + for a crown of the top, as so much of each cause.
type bow [causes]float64

func (b bow) plus(f float64, o bow) bow {
	for i := range b {
		b[i] += f * o[i]
	}
	return b
}

// bent is a piece between two holds: the shapes of its faces as it lies free, both seen from the top.
type bent struct {
	top, bottom bow
	out         float64 // share of a bow that the bed presses out
	kappa       float64 // bow for a depth of 1 mm with a stress of 1 MPa
}

// cut cuts a face by a mean depth. The cut makes the face level as it is held; when it is let go, what was pressed out of the other face comes back in
// both, and the skin's stress has gone.
func (b *bent) cut(f Face, h Hold, depth float64, supports cause) {
	var level bow
	switch {
	case h == Free:
		level[supports] = 1
	case f == Top:
		level = bow{}.plus(b.out, b.bottom)
	default:
		level = bow{}.plus(b.out, b.top)
	}
	var skin bow
	if f == Top {
		b.top = level
		skin[topSkin] = b.kappa * depth
	} else {
		b.bottom = level
		skin[bottomSkin] = -b.kappa * depth
	}
	b.top, b.bottom = b.top.plus(1, skin), b.bottom.plus(1, skin)
}
