package lining

import (
	"math"
	"slices"

	"slatewright/plate"
)

// rise is a bow: along and across the table in the middle of the piece, and peak to valley of its face; mm, + for crown.
type rise struct{ along, across, peak float64 }

func (r rise) times(f float64) rise { return rise{r.along * f, r.across * f, r.peak * f} }

// full is the bow of a piece with one board under all of it that shrinks by 1: a shallow cup, curved alike both ways, so that each layer's E/(1−ν)
// stands for E. Away from the edges this is exact for thin plates.
func full(x, y float64, p stiff) rise {
	k := plate.TwoLayer(p.stone, p.eStone/(1-stonePoisson), p.board, p.eBoard/(1-boardPoisson), 1)
	r := rise{along: plate.Rise(k, x), across: plate.Rise(k, y)}
	r.peak = r.along + r.across
	return r
}

// sections is the bow by one beam along and one across the table: at each station all boards that lie there share the stone's width, each with the share
// of its strain that its length lets through. What one direction does to the other is left out.
func sections(x, y float64, patches []Patch, p stiff) rise {
	turned := make([]Patch, len(patches))
	for i, q := range patches {
		turned[i] = Patch{q.Y0, q.Y1, q.X0, q.X1}
	}
	r := rise{along: beam(x, y, patches, p), across: beam(y, x, turned, p)}
	r.peak = r.along + r.across
	return r
}

// beam is the bow over a length along the patches' first direction of a stone of some width, mm.
func beam(length, width float64, patches []Patch, p stiff) float64 {
	at := []float64{-length / 2, 0, length / 2}
	for _, q := range patches {
		at = append(at, q.X0, q.X1)
	}
	slices.Sort(at)
	at = slices.Compact(at)
	slope, z := 0.0, make([]float64, len(at))
	for i := 1; i < len(at); i++ {
		step := at[i] - at[i-1]
		k := curvatureAt((at[i]+at[i-1])/2, width, patches, p)
		z[i] = z[i-1] + slope*step - k*step*step/2
		slope -= k * step
	}
	chord := z[len(z)-1] / length
	most := 0.0
	for i := range at {
		most = math.Max(most, z[i]-chord*(at[i]-at[0]))
	}
	return most
}

// curvatureAt is that of the section at a station, 1/mm, for boards that shrink by 1.
func curvatureAt(at, width float64, patches []Patch, p stiff) float64 {
	var covered, pull float64
	for _, q := range patches {
		if q.X0 < at && at < q.X1 {
			covered += q.Y1 - q.Y0
			pull += (q.Y1 - q.Y0) * transfer(q.X1-q.X0, p)
		}
	}
	if covered == 0 {
		return 0
	}
	return pull / covered * plate.TwoLayer(p.stone, p.eStone, p.board, p.eBoard*covered/width, 1)
}

// cells is how many cells of the plate lie along its longer side: their error is below half a percent of the bow (see the tests).
const cells = 48

// plates is the bow by plate elements: each board with the share of its strain that its sides let through, along and across the table.
func plates(x, y float64, patches []Patch, p stiff, cells int) (rise, error) {
	layers := map[[2]float64]int{} // by size
	q := plate.Piece{Outline: plate.Rectangle(x, y), Thickness: plate.Even(p.stone), Elastic: plate.Isotropic(p.eStone, stonePoisson), Density: weightless}
	for _, a := range patches {
		size := [2]float64{math.Round(1e6 * (a.X1 - a.X0)), math.Round(1e6 * (a.Y1 - a.Y0))}
		i, there := layers[size]
		if !there {
			i = len(q.Layers)
			layers[size] = i
			q.Layers = append(q.Layers, plate.Layer{Elastic: plate.Isotropic(p.eBoard, boardPoisson), Thickness: p.board, Strain: [2]float64{-transfer(a.X1-a.X0, p), -transfer(a.Y1-a.Y0, p)}})
		}
		q.Layers[i].Parts = append(q.Layers[i].Parts, [4]float64{a.X0, a.X1, a.Y0, a.Y1})
	}
	places := []plate.Point{{}, {X: -x / 2}, {X: x / 2}, {Y: -y / 2}, {Y: y / 2}}
	const grid = 12
	for i := range grid + 1 {
		for j := range grid + 1 {
			places = append(places, plate.Point{X: x * (float64(i)/grid - 0.5), Y: y * (float64(j)/grid - 0.5)})
		}
	}
	z, err := plate.Bow(q, places, math.Max(x, y)/float64(cells))
	if err != nil {
		return rise{}, err
	}
	return rise{along: z[0] - (z[1]+z[2])/2, across: z[0] - (z[3]+z[4])/2, peak: slices.Max(z) - slices.Min(z)}, nil
}

// weightless is the density of a piece whose own weight is not asked for, kg/m³.
const weightless = 1e-9

// gain is a bow for boards that shrink by one unit of length (see Board.length), with the limits that thicknesses and moduli leave.
type gain struct{ along, across, peak Span }

// gain works it out: in the middle of what is known by plate elements (a full board by its closed form), and at every corner of what is not known of the
// stiffness by how the beams' answer changes from the middle. The error is a *trouble.Trouble.
func (c *Case) gain(l Layout) (g gain, err error) {
	x, y := c.Piece.X, c.Piece.Y
	patches := l.Patches(x, y)
	of := func(p stiff) rise {
		if l.Kind == Full {
			return full(x, y, p).times(c.Board.per(p))
		}
		return sections(x, y, patches, p).times(c.Board.per(p))
	}
	centre := c.stiffness(0, true)
	beams := of(centre)
	middle := beams
	if l.Kind != Full {
		if middle, err = plates(x, y, patches, centre, cells); err != nil {
			return g, err
		}
		middle = middle.times(c.Board.per(centre))
	}
	g = gain{Exactly(middle.along), Exactly(middle.across), Exactly(middle.peak)}
	margin := 0.0
	if l.Kind != Full {
		margin = beamsMiss
	}
	for corner := range corners {
		r := of(c.stiffness(corner, false))
		g.along = g.along.with(middle.along * r.along / beams.along * (1 - margin)).with(middle.along * r.along / beams.along * (1 + margin))
		g.across = g.across.with(middle.across * r.across / beams.across * (1 - margin)).with(middle.across * r.across / beams.across * (1 + margin))
		g.peak = g.peak.with(middle.peak * r.peak / beams.peak * (1 - margin)).with(middle.peak * r.peak / beams.peak * (1 + margin))
	}
	return g, nil
}

// with widens the span to hold v.
func (s Span) with(v float64) Span {
	s.Low, s.High = math.Min(s.Low, v), math.Max(s.High, v)
	return s
}

// beamsMiss is how far the beams may be off in saying how a bow changes with the stiffness, from corner to corner: held by a test.
const beamsMiss = 0.04

// corners of five spans and of how a coupon bends.
const corners = 64

// stiffness is one corner of the thicknesses and moduli, or their values.
func (c *Case) stiffness(corner int, middle bool) stiff {
	pick := func(bit int, s Span) float64 {
		switch {
		case middle:
			return s.Value
		case corner>>bit&1 == 1:
			return s.High
		}
		return s.Low
	}
	return stiff{stone: pick(0, c.Piece.Thickness), eStone: pick(1, c.Piece.Modulus), board: pick(2, c.Board.Thickness), eBoard: pick(3, c.Board.Modulus),
		shear: pick(4, c.Board.Shear), bond: c.Board.Bond, narrow: !middle && corner>>5 == 1}
}
