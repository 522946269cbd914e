package learn

import (
	"encoding/hex"
	"math"
	"strconv"

	"slatewright/chance"
	"slatewright/cores"
	"slatewright/wholeface"
	"slatewright/wholeface/scan"
)

// rehearsal is one reading of one scan: what the model said, and how far the truth lay from it.
type rehearsal struct {
	scan     int
	features []float64
	miss     float64 // log true zone − mean log drawn zone
}

// stage is where scans are rehearsed: the whole grid or every second column of it, with the bows of other scans or not.
type stage struct {
	prior  *wholeface.Prior
	scans  []Scan
	fields *wholeface.Fields
	plan   Plan
	every  int
	rebow  bool
}

// look reads every scan in every turn, and learns the correction.
func (g stage) look() (wholeface.Look, error) {
	turns := g.plan.Rehearsals
	list := make([]rehearsal, len(g.scans)*turns)
	errs := make([]error, len(list))
	cores.Share(len(list), 1, func(from, to int) {
		for k := from; k < to; k++ {
			list[k], errs[k] = g.one(k/turns, k%turns)
		}
	})
	for _, err := range errs {
		if err != nil {
			return wholeface.Look{}, err
		}
	}
	return look(list, len(g.scans), len(Stations(g.plan, g.scans[0], g.every))), nil
}

// one reads scan i once. The first turn reads the grid as it is and the face as it was; further turns move the lines of the grid about
// and give the face the bow of another scan (see rebowed).
func (g stage) one(i, turn int) (rehearsal, error) {
	s, plan := g.scans[i], g.plan
	draw := chance.NewStream(plan.Seed).Split("rehearsal").Split(hex.EncodeToString(s.Digest[:8])).Split(strconv.Itoa(g.every)).Split(strconv.Itoa(turn))
	u := plan.U[(i+turn)%len(plan.U)] // not by the turn alone: the first one is read with all of them too
	q := wholeface.Question{SizeX: s.SizeX, SizeY: s.SizeY, Band: s.Band, Cutoff: s.Cutoff, U: u, Draws: plan.Draws, Seed: plan.Seed, Fields: g.fields}
	places := Stations(plan, s, g.every)
	if turn > 0 {
		move(places, plan, s, draw)
		if g.rebow {
			s = rebowed(s, g.scans[partner(i, turn, len(g.scans))])
		}
	}
	for _, at := range places {
		x, y, z, known := s.read(at[0], at[1])
		q.Readings = append(q.Readings, wholeface.Reading{X: x, Y: y, Z: z + math.Sqrt(math.Max(0, u*u-known))*draw.Normal()})
	}
	live, err := wholeface.Start(q, g.prior)
	if err != nil {
		return rehearsal{}, err
	}
	truth, err := s.Zone()
	if err != nil {
		return rehearsal{}, err
	}
	f := live.Features()
	return rehearsal{scan: i, features: f, miss: math.Log(math.Max(truth, 1e-6)) - f[0]}, nil
}

// Stations are the places of the grid, column by column; every second column only when every is 2 (the outer ones stay when
// their number is odd).
func Stations(plan Plan, s Scan, every int) (list [][2]float64) {
	wx, wy := s.SizeX/2-s.Band-plan.Inset, s.SizeY/2-s.Band-plan.Inset
	long := plan.NY >= plan.NX // columns are taken along the side with more stations
	for i := range plan.NX {
		for j := range plan.NY {
			k := i
			if long {
				k = j
			}
			if k%every == 0 {
				list = append(list, [2]float64{wx * (2*float64(i)/float64(plan.NX-1) - 1), wy * (2*float64(j)/float64(plan.NY-1) - 1)})
			}
		}
	}
	return list
}

// stray is how far a line of stations may be moved, as a share of the pitch: far enough to meet or miss another ridge or chip, and
// no farther, because faces differ near their edges and the stations must stay in the part of the face that they stand for.
const stray = 0.15

// move shifts the inner lines of a grid, all of one direction by as much: so a ridge along a line is met by all of its stations or by none, and the
// lines stay a pitch apart but at the ends. Lines that stray each by itself leave wider gaps than the grid that will be read, and more is missed
// in these. The outermost lines stay where they are.
func move(places [][2]float64, plan Plan, s Scan, draw *chance.Stream) {
	wide := [2]float64{s.SizeX/2 - s.Band - plan.Inset, s.SizeY/2 - s.Band - plan.Inset}
	for k, n := range [2]int{plan.NX, plan.NY} {
		shift := stray * 2 * wide[k] / float64(n-1) * (2*draw.Float64() - 1)
		for i := range places {
			if line := math.Round((places[i][k]/wide[k] + 1) / 2 * float64(n-1)); line > 0 && line < float64(n-1) {
				places[i][k] += shift
			}
		}
	}
}

// around is how many probes of a scan tell the height between them.
const around = 5

// read is what a probe finds at a place, and the variance that the scanner's own noise has in it: the height there of the plane
// through the nearest probes, by least squares. A face that is taken as it stands is read at its nearest point.
func (s Scan) read(x, y float64) (rx, ry, z, variance float64) {
	var near [around]int
	var far [around]float64
	n := 0
	for i, px := range s.Probes.X {
		dx := px - x
		if n == around && dx*dx >= far[n-1] {
			continue
		}
		dy := s.Probes.Y[i] - y
		d := dx*dx + dy*dy
		if n < around {
			n++
		} else if d >= far[n-1] {
			continue
		}
		k := n - 1
		for ; k > 0 && far[k-1] > d; k-- {
			near[k], far[k] = near[k-1], far[k-1]
		}
		near[k], far[k] = i, d
	}
	if w, ok := s.plane(x, y, near[:n]); s.Filtered && ok {
		for k, i := range near[:n] {
			z += w[k] * s.Probes.Z[i]
			variance += w[k] * w[k] * s.U * s.U
		}
		return x, y, z, variance
	}
	at := near[0]
	return s.Probes.X[at], s.Probes.Y[at], s.Probes.Z[at], s.U * s.U
}

// plane has the weights with which the heights of some probes make the height at (x, y) of the plane through them. It is not ok
// where they lie on a line or all far away.
func (s Scan) plane(x, y float64, near []int) (w []float64, ok bool) {
	a := [][]float64{{0, 0, 0, 1}, {0, 0, 0, 0}, {0, 0, 0, 0}}
	term := func(i int) [3]float64 {
		return [3]float64{1, (s.Probes.X[i] - x) / scan.CoarsePitch, (s.Probes.Y[i] - y) / scan.CoarsePitch}
	}
	for _, i := range near {
		f := term(i)
		for p := range 3 {
			for q := range 3 {
				a[p][q] += f[p] * f[q]
			}
		}
	}
	c := solve(a)
	total := 0.0
	for _, i := range near {
		f := term(i)
		v := c[0]*f[0] + c[1]*f[1] + c[2]*f[2]
		w = append(w, v)
		total += v * v
	}
	return w, total < 2 // also false when it is not a number
}
