package learn

import (
	"encoding/hex"
	"math"
	"slices"
	"strconv"

	"slatewright/chance"
	"slatewright/cores"
	"slatewright/wholeface"
)

// rehearsal is one reading of one scan: what the model said, and how far the truth lay from it.
type rehearsal struct {
	scan     int
	features []float64
	miss     float64 // log true zone − mean log drawn zone
}

// rehearse reads every scan on the grid, or on every second column of it, and learns the correction.
func rehearse(p *wholeface.Prior, scans []Scan, fields *wholeface.Fields, plan Plan, every int) (wholeface.Look, error) {
	list := make([]rehearsal, len(scans)*plan.Rehearsals)
	errs := make([]error, len(list))
	cores.Share(len(list), 1, func(from, to int) {
		for k := from; k < to; k++ {
			i, turn := k/plan.Rehearsals, k%plan.Rehearsals
			list[k], errs[k] = one(p, scans[i], fields, plan, every, turn)
			list[k].scan = i
		}
	})
	for _, err := range errs {
		if err != nil {
			return wholeface.Look{}, err
		}
	}
	n := len(Stations(plan, scans[0], every))
	return look(list, len(scans), n), nil
}

// one reads a scan once. The first turn reads the grid as it is; further turns move each station about.
func one(p *wholeface.Prior, s Scan, fields *wholeface.Fields, plan Plan, every, turn int) (rehearsal, error) {
	draw := chance.NewStream(plan.Seed).Split("rehearsal").Split(hex.EncodeToString(s.Digest[:8])).Split(strconv.Itoa(every)).Split(strconv.Itoa(turn))
	q := wholeface.Question{SizeX: s.SizeX, SizeY: s.SizeY, Band: s.Band, Cutoff: s.Cutoff, U: plan.U[turn%len(plan.U)],
		Draws: plan.Draws, Seed: plan.Seed, Fields: fields}
	for _, at := range Stations(plan, s, every) {
		if turn > 0 {
			at = moved(at, plan, s, draw)
		}
		x, y, z := s.read(at[0], at[1])
		q.Readings = append(q.Readings, wholeface.Reading{X: x, Y: y, Z: z + q.U*draw.Normal()})
	}
	live, err := wholeface.Start(q, p)
	if err != nil {
		return rehearsal{}, err
	}
	truth, err := s.Zone()
	if err != nil {
		return rehearsal{}, err
	}
	f := live.Features()
	return rehearsal{features: f, miss: math.Log(math.Max(truth, 1e-6)) - f[0]}, nil
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

// stray is how far a station may be moved, as a share of the pitch: far enough to meet or miss another ridge or chip, and no
// farther, because faces differ near their edges and the stations must stay in the part of the face that they stand for.
const stray = 0.15

// moved shifts a station; along an edge it stays on it.
func moved(at [2]float64, plan Plan, s Scan, draw *chance.Stream) [2]float64 {
	w := [2]float64{s.SizeX/2 - s.Band - plan.Inset, s.SizeY/2 - s.Band - plan.Inset}
	n := [2]int{plan.NX, plan.NY}
	for k := range at {
		by := stray * 2 * w[k] / float64(n[k]-1) * (2*draw.Float64() - 1)
		if math.Abs(at[k]) < w[k]-1 {
			at[k] += by
		}
	}
	return at
}

// read is what a probe finds nearest to a place.
func (s Scan) read(x, y float64) (rx, ry, z float64) {
	best := math.Inf(1)
	at := 0
	for i, px := range s.Probes.X {
		dx := px - x
		if dx*dx >= best {
			continue
		}
		dy := s.Probes.Y[i] - y
		if d := dx*dx + dy*dy; d < best {
			best, at = d, i
		}
	}
	return s.Probes.X[at], s.Probes.Y[at], s.Probes.Z[at]
}

const (
	firm  = 2.0 // ridge of the line for the centre, in rehearsed scans: holds coefficients that few scans tell near 0
	firm2 = 10  // the same for the spread, which is told less well
	knots = 99  // of the distribution of what remains
)

// look fits centre, spread and shape. The shape is that of misses whose centre and spread were foretold by lines that have not seen the scan:
// a line knows too well what it was fitted to, and the tails would come out too thin.
func look(list []rehearsal, scans, readings int) wholeface.Look {
	k := frame(list, readings)
	turns := float64(len(list)) / float64(scans)
	miss := func(i int) float64 { return list[i].miss }
	apart := make([]float64, len(list))
	for i, centre := range foretold(k, list, miss, firm*turns) {
		apart[i] = miss(i) - centre
	}
	size := func(i int) float64 { return math.Log(math.Abs(apart[i]) + 0.01) }
	rest := make([]float64, len(list))
	for i, spread := range foretold(k, list, size, firm2*turns) {
		rest[i] = apart[i] / math.Exp(spread)
	}
	k.Centre, k.Spread, k.Quantiles = ridge(k, list, miss, firm*turns), ridge(k, list, size, firm2*turns), quantiles(rest)
	return k
}

// foretold is what lines say of each rehearsal that have not seen its scan, by folds of whole scans.
func foretold(k wholeface.Look, list []rehearsal, want func(i int) float64, firm float64) []float64 {
	said := make([]float64, len(list))
	for fold := range folds {
		var seen []rehearsal
		var wanted []float64
		for i, r := range list {
			if r.scan%folds != fold {
				seen, wanted = append(seen, r), append(wanted, want(i))
			}
		}
		line := ridge(k, seen, func(i int) float64 { return wanted[i] }, firm)
		for i, r := range list {
			if r.scan%folds == fold {
				said[i] = value(line, k.Standard(r.features))
			}
		}
	}
	return said
}

// frame fills names, means and standard deviations of the features.
func frame(list []rehearsal, readings int) wholeface.Look {
	m := len(list[0].features)
	k := wholeface.Look{Readings: readings, Features: wholeface.FeatureNames, Mean: make([]float64, m), SD: make([]float64, m)}
	n := float64(len(list))
	for _, r := range list {
		for j, v := range r.features {
			k.Mean[j] += v / n
		}
	}
	for _, r := range list {
		for j, v := range r.features {
			k.SD[j] += (v - k.Mean[j]) * (v - k.Mean[j]) / n
		}
	}
	for j := range k.SD {
		k.SD[j] = math.Max(1e-3, math.Sqrt(k.SD[j]))
	}
	return k
}

func value(line, standard []float64) float64 {
	v := line[0]
	for j, s := range standard {
		v += line[1+j] * s
	}
	return v
}

// ridge fits a line by least squares with its coefficients, but not its constant, held towards 0.
func ridge(k wholeface.Look, list []rehearsal, want func(i int) float64, firm float64) []float64 {
	m := len(k.Mean) + 1
	a := make([][]float64, m)
	for i := range a {
		a[i] = make([]float64, m+1)
		if i > 0 {
			a[i][i] = firm
		}
	}
	row := make([]float64, m)
	row[0] = 1
	for i, r := range list {
		copy(row[1:], k.Standard(r.features))
		y := want(i)
		for p, v := range row {
			for q, w := range row {
				a[p][q] += v * w
			}
			a[p][m] += v * y
		}
	}
	return solve(a)
}

// solve solves positive definite equations by elimination.
func solve(a [][]float64) []float64 {
	m := len(a)
	for c := range m {
		for r := c + 1; r < m; r++ {
			f := a[r][c] / a[c][c]
			for k := c; k <= m; k++ {
				a[r][k] -= f * a[c][k]
			}
		}
	}
	x := make([]float64, m)
	for c := m - 1; c >= 0; c-- {
		v := a[c][m]
		for k := c + 1; k < m; k++ {
			v -= a[c][k] * x[k]
		}
		x[c] = v / a[c][c]
	}
	return x
}

// quantiles are those of v at (k+½)/knots.
func quantiles(v []float64) []float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	q := make([]float64, knots)
	for k := range q {
		at := (float64(k)+0.5)/knots*float64(len(v)) - 0.5
		i := max(0, min(len(v)-2, int(at)))
		q[k] = v[i] + (v[i+1]-v[i])*math.Max(0, math.Min(1, at-float64(i)))
	}
	return q
}
