// Package disc keeps a surfacing disc with its many bits true and quiet: how far it is out of balance, whether that meets a balance grade, the
// fewest swaps of bits that bring it back, the best arrangement of a ring that is weighed in, and which bits stand proud.
//
// The places of the disc and the bits in them are the mill's data. Unbalance is reckoned in one plane (ISO 21940-11, a disc-shaped rotor); Couple
// tells what a second plane would see. The package adds no balance weights, knows nothing of the spindle's own state or of what the machine's frame
// answers to a shaking force, and is never a safety device: a disc's burst speed is not in its numbers. It uses functions that differ in their last
// bits between processors, so nothing that is sealed may rest on it. Every sum runs over the places in their order, the body first.
package disc

import (
	"fmt"
	"math"
	"slices"

	"slatewright/trouble"
)

// Vector is an unbalance, g·mm: towards the heavy side, X at angle 0 and Y at 90°.
type Vector struct{ X, Y float64 }

// Size is the length of v, g·mm.
func (v Vector) Size() float64 { return math.Hypot(v.X, v.Y) }

// Angle is where the heavy side lies, degrees from 0 up to 360; 0 for no unbalance.
func (v Vector) Angle() float64 {
	a := math.Atan2(v.Y, v.X) * 180 / math.Pi
	if a < 0 {
		a += 360
	}
	return a
}

func (v Vector) plus(w Vector) Vector { return Vector{v.X + w.X, v.Y + w.Y} }

// Polar is the vector of a size, g·mm, at an angle, degrees.
func Polar(size, degrees float64) Vector {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return Vector{size * cos, size * sin}
}

// Place is a seat on the disc. A spare's place is beside the disc: its radius is 0, and what lies there unbalances nothing.
type Place struct {
	Name    string
	Degrees float64 // from the disc's mark, anticlockwise as seen from the side that cuts
	Radius  float64 // mm
	Runout  float64 // mm, how far the seat itself stands out towards the stone, by a dial on the turning disc; 0 if it was not read
	Spare   bool
}

// Bit is one diamond segment as weighed and calipered. A place without a bit has one of mass 0.
type Bit struct {
	Name   string
	Mass   float64 // g
	Height float64 // mm, its own, without the seat's run-out
	New    bool    // put in since the disc was last balanced
}

func (b Bit) none() bool { return b.Mass == 0 }

// Ring is a disc: bit i lies in place i before anything is moved. Spares stand behind the places of the disc.
type Ring struct {
	Places []Place
	Bits   []Bit
	Body   Vector // of the bare disc
	at     []Vector
}

// Most is the largest number of places and spares.
const Most = 400

// NewRing checks a disc. Errors are *trouble.Trouble: bad-disc.
func NewRing(places []Place, bits []Bit, body Vector) (*Ring, error) {
	bad := func(what, next string) (*Ring, error) { return nil, trouble.Data("bad-disc", "", what, next) }
	r := &Ring{Places: places, Bits: bits, Body: body}
	on := r.on()
	switch {
	case len(places) != len(bits):
		return bad("there are not as many bits as places", "give each place its bit, of mass 0 where there is none")
	case on < 2:
		return bad("the disc has fewer than two places", "give one row a place: position, angle, radius, mass and height")
	case len(places) > Most:
		return bad(fmt.Sprintf("more than %d places and spares", Most), "give one disc only")
	}
	if !slices.ContainsFunc(bits[:on], func(b Bit) bool { return b.Mass > 0 }) {
		return bad("no place holds a bit", "weigh the bits and write their masses in g")
	}
	names, seats := map[string]bool{}, map[[2]float64]string{}
	for i, p := range places {
		b := bits[i]
		if names[p.Name] {
			return bad("the position "+p.Name+" stands twice", "give each place and each spare its own name")
		}
		names[p.Name] = true
		if p.Spare != (i >= on) || p.Spare != (p.Radius == 0) {
			return bad("the place "+p.Name+" has no radius above 0", "give the distance of the bit's middle from the axis, mm")
		}
		if !(p.Radius >= 0 && p.Radius <= 5000) || !(math.Abs(p.Degrees) <= 3600) || !(math.Abs(p.Runout) <= 100) {
			return bad("the place "+p.Name+" is out of reach", "write the radius in mm, the angle in degrees and the run-out in mm")
		}
		if !(b.Mass >= 0 && b.Mass <= 1e5) || !(b.none() || b.Height > 0 && b.Height <= 1000) {
			return bad("the bit in "+p.Name+" has no mass in g or no height in mm", "weigh it and put the caliper on it; an empty place has the mass 0")
		}
		seat := [2]float64{math.Mod(math.Mod(p.Degrees, 360)+360, 360), p.Radius}
		if other, taken := seats[seat]; taken && !p.Spare {
			return bad("the places "+other+" and "+p.Name+" are one: same angle, same radius", "look at the two rows")
		}
		seats[seat] = p.Name
		r.at = append(r.at, Polar(p.Radius, p.Degrees))
	}
	return r, nil
}

// on is the number of places on the disc.
func (r *Ring) on() int {
	n := 0
	for n < len(r.Places) && !r.Places[n].Spare {
		n++
	}
	return n
}

// Arrangement says which bit lies in which place: element p is the number of the bit in place p.
type Arrangement []int

// AsListed is the arrangement before anything is moved.
func (r *Ring) AsListed() Arrangement {
	a := make(Arrangement, len(r.Bits))
	for i := range a {
		a[i] = i
	}
	return a
}

// Unbalance is that of the disc with its bits arranged so.
func (r *Ring) Unbalance(a Arrangement) Vector {
	u := r.Body
	for p, b := range a {
		u.X += r.Bits[b].Mass * r.at[p].X
		u.Y += r.Bits[b].Mass * r.at[p].Y
	}
	return u
}

// Couple is Σ m r z over the bits, g·mm²: what one plane does not see. z is how far a bit's middle stands off the plane in which the bits' mass lies,
// run-out included.
func (r *Ring) Couple(a Arrangement) float64 {
	z := func(p, b int) float64 { return r.Places[p].Runout + r.Bits[b].Height/2 }
	var mass, sum float64
	for p := range r.on() {
		mass += r.Bits[a[p]].Mass
		sum += r.Bits[a[p]].Mass * z(p, a[p])
	}
	if mass == 0 {
		return 0
	}
	var c Vector
	for p, b := range a {
		c.X += r.Bits[b].Mass * (z(p, b) - sum/mass) * r.at[p].X
		c.Y += r.Bits[b].Mass * (z(p, b) - sum/mass) * r.at[p].Y
	}
	return c.Size()
}

// Mass is that of the bits on the disc, g.
func (r *Ring) Mass(a Arrangement) (g float64) {
	for p := range r.on() {
		g += r.Bits[a[p]].Mass
	}
	return g
}

// Duty is what a disc must be balanced for.
type Duty struct {
	Speed float64 // revolutions a minute
	Grade float64 // mm/s, the number behind the G
	Rotor float64 // kg, all that turns: disc, bits, flange, spindle where it belongs to it
}

// Check returns trouble bad-duty.
func (d Duty) Check() error {
	if !(d.Speed > 0 && d.Speed <= 1e5) || !(d.Grade > 0 && d.Grade <= 4000) || !(d.Rotor > 0 && d.Rotor <= 1e5) {
		return trouble.Data("bad-duty", "", "the speed, the grade and the rotor's mass must be above 0", "give them such as 1400 rpm, 6.3 and 12 kg")
	}
	return nil
}

// Permissible is the largest residual unbalance, g·mm: U = 1000·G·m/ω with ω = 2πn/60, which is 9549·G·m/n (ISO 21940-11).
func (d Duty) Permissible() float64 { return 30000 / math.Pi * d.Grade * d.Rotor / d.Speed }

// GradeOf is the grade, mm/s, that an unbalance of u g·mm would just meet.
func (d Duty) GradeOf(u float64) float64 { return u * d.Speed * math.Pi / 30000 / d.Rotor }

// Reach is the sum of the places' radii, mm.
func (r *Ring) Reach() (mm float64) {
	for _, p := range r.Places {
		mm += p.Radius
	}
	return mm
}

// Uneven is the share of Reach that is left when the places are added as vectors: 0 where they are spread evenly.
func (r *Ring) Uneven() float64 {
	var sum Vector
	for _, at := range r.at {
		sum = sum.plus(at)
	}
	return sum.Size() / r.Reach()
}
