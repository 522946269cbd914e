package toolmarks

import "math"

// wedges weighs the bed against the wear, and both against a spindle that leans across the feed: it leaves steps between tracks as wear does, but no
// plane, and the same steps whichever track was cut first.
type wedges struct {
	list, freed []leaning // a piece each; freed of the marks of a leaning spindle
	mean        float64   // of the rises across the pieces, in steps from track to track
	order       Order
	staircase   staircase
	steps       []stepping
	lean        float64 // ln of the odds of a lean, without regard to the thicknesses

	there, bed, wear, leans float64
	fall                    [2]Interval // the bed's part over the piece, along and across
	rise                    Interval    // the wear's part, from the first track to the last
	any                     [2]Interval // whichever it is
}

// wears are the sizes of wear that are thought of, mm.
func wears() []float64 {
	var list []float64
	for x := 0.006; x < 0.4; x *= 1.04 {
		list = append(list, x)
	}
	return list
}

// A thought is one account of the thicknesses and the steps.
type thought struct {
	log       float64
	lean, bed bool
	wear      float64 // mm
	fall      [2]Interval
}

// Prior chances of wedges.
const (
	priorNoWedge = 0.5
	priorBed     = 0.22
	priorWear    = 0.22
	priorTwo     = 0.06
)

// thoughts lists them with their evidence: lean or none, bed or none, and each size of wear or none.
func (w *wedges) thoughts() (all []thought) {
	ways := w.ways()
	sizes := wears()
	for _, lean := range []bool{false, true} {
		pieces, k := w.list, 0.0
		if lean {
			pieces, k = w.freed, w.lean
		}
		if math.IsInf(k, -1) {
			continue
		}
		still := w.stairs(0)
		withBed, fall := evidenceBed(pieces, 0, way{})
		all = append(all, thought{log: k + math.Log(priorNoWedge) + evidence(pieces, 0, way{}) + still, lean: lean},
			thought{log: k + math.Log(priorBed) + withBed + still, lean: lean, bed: true, fall: fall})
		for _, size := range sizes {
			for _, y := range ways {
				share := math.Log(1 / float64(len(sizes)*len(ways)))
				log := k + share + w.stairs(size)
				if !lean {
					log += w.worn(size, y.across)
				}
				withBed, fall := evidenceBed(pieces, size/w.mean, y)
				all = append(all, thought{log: log + math.Log(priorWear) + evidence(pieces, size/w.mean, y), lean: lean, wear: size},
					thought{log: log + math.Log(priorTwo) + withBed, lean: lean, bed: true, wear: size, fall: fall})
			}
		}
	}
	return all
}

// A way is towards which sides wear rises: along the feed, where all tracks are cut in one way, and across it in pieces whose start is not known.
type way struct{ along, across float64 }

func (w *wedges) ways() (list []way) {
	both := []float64{1, -1}
	along, across := both[:1], both[:1]
	for _, l := range w.list {
		if l.start == 0 {
			across = both
		}
		if l.stair.along != 0 {
			along = both
		}
	}
	for _, a := range along {
		for _, b := range across {
			list = append(list, way{a, b})
		}
	}
	return list
}

// weigh sums up the thoughts.
func (w *wedges) weigh() {
	all := w.thoughts()
	logs := make([]float64, len(all))
	for i, t := range all {
		logs[i] = t.log
	}
	sum := logSum(logs)
	var bedLogs, wearLogs, at []float64
	var falls [][2]Interval
	for i, t := range all {
		p := math.Exp(logs[i] - sum)
		if t.lean {
			w.leans += p
		}
		byBed := t.bed && math.Abs(t.fall[0].Value)+math.Abs(t.fall[1].Value) > t.wear
		if t.bed || t.wear > 0 {
			w.there += p
		}
		switch {
		case byBed:
			w.bed += p
			bedLogs, falls = append(bedLogs, logs[i]), append(falls, t.fall)
		case t.wear > 0:
			w.wear += p
			wearLogs, at = append(wearLogs, logs[i]), append(at, t.wear)
		}
	}
	w.bed, w.wear = w.bed/max(w.there, 1e-12), w.wear/max(w.there, 1e-12)
	w.rise = weighted(at, wearLogs)
	for k := range w.fall {
		var v, half []float64
		for _, f := range falls {
			v, half = append(v, f[k].Value), append(half, f[k].High-f[k].Value)
		}
		w.fall[k] = weighted(v, bedLogs)
		h := math.Hypot(w.fall[k].High-w.fall[k].Value, weighted(half, bedLogs).Value)
		w.fall[k].Low, w.fall[k].High = w.fall[k].Value-h, w.fall[k].Value+h
	}
	pieces := w.list
	if w.leans > 0.5 {
		pieces = w.freed
	}
	_, w.any = evidenceBed(pieces, 0, way{})
}

// weighted is the mean and the interval of sizes with their logarithmic weights.
func weighted(at, logs []float64) Interval {
	all := logSum(logs)
	var m, v float64
	for i, x := range at {
		m += math.Exp(logs[i]-all) * x
	}
	for i, x := range at {
		v += math.Exp(logs[i]-all) * (x - m) * (x - m)
	}
	h := 1.645 * math.Sqrt(v)
	return Interval{m, m - h, m + h}
}

// stairs is how well a wear agrees with the tracks' own rise.
func (w *wedges) stairs(size float64) float64 {
	if !w.staircase.seen {
		return 0
	}
	a := size / w.mean * w.staircase.share
	sd := math.Hypot(w.staircase.sd, 0.15*a) + 0.0003
	e := (w.staircase.rise - a) / sd
	return -min(e*e, 60)/2 - math.Log(sd)
}

// without is the piece's wedge without a wear that leaves the step from track to track.
func (l *leaning) without(step float64, y way) [2]float64 {
	start := l.start
	if start == 0 && y.across < 0 {
		start = -1
	} else if start == 0 && y.across > 0 {
		start = 1
	}
	return [2]float64{l.rise[0] - step*l.stair.along*y.along, l.rise[1] - step*l.stair.across(start)*float64(start)}
}

// evidence is the likelihood of all wedges when the wear leaves a step and the bed has none.
func evidence(list []leaning, step float64, y way) float64 {
	log := 0.0
	for i := range list {
		r := list[i].without(step, y)
		log += normal2(r[0], r[1], list[i].cov)
	}
	return log
}

// evidenceBed lets the bed have any wedge, and says which: a normal prior, exactly integrated over.
func evidenceBed(list []leaning, step float64, y way) (float64, [2]Interval) {
	p := [3]float64{1 / (wedgeSD * wedgeSD), 1 / (wedgeSD * wedgeSD), 0} // precision of the bed's wedge, and what pulls at it
	var h [2]float64
	for i := range list {
		q, r := inverse(list[i].cov), list[i].without(step, y)
		p = [3]float64{p[0] + q[0], p[1] + q[1], p[2] + q[2]}
		h[0] += q[0]*r[0] + q[2]*r[1]
		h[1] += q[2]*r[0] + q[1]*r[1]
	}
	c := inverse(p)
	m := [2]float64{c[0]*h[0] + c[2]*h[1], c[2]*h[0] + c[1]*h[1]}
	log := evidence(list, step, y) + (m[0]*h[0]+m[1]*h[1])/2 + math.Log(c[0]*c[1]-c[2]*c[2])/2 - math.Log(wedgeSD*wedgeSD)
	around := func(v, sd float64) Interval { return Interval{v, v - 1.645*sd, v + 1.645*sd} }
	return log, [2]Interval{around(m[0], math.Sqrt(c[0])), around(m[1], math.Sqrt(c[1]))}
}

// inverse of a symmetric matrix [a c; c b], kept as a, b, c.
func inverse(m [3]float64) [3]float64 {
	d := m[0]*m[1] - m[2]*m[2]
	return [3]float64{m[1] / d, m[0] / d, -m[2] / d}
}

func normal2(x, y float64, cov [3]float64) float64 {
	q := inverse(cov)
	return -(q[0]*x*x+q[1]*y*y+2*q[2]*x*y)/2 - math.Log(cov[0]*cov[1]-cov[2]*cov[2])/2
}

// told is whether the pieces can tell bed from wear at all: they were cut from both ends, or the tracks were looked at one by one.
func (w *wedges) told() bool {
	up, down := false, false
	for _, l := range w.list {
		up, down = up || l.start > 0, down || l.start < 0
	}
	return up && down || w.staircase.seen
}

// cause names the wedge, or says that it cannot be told.
func (w *wedges) cause() Cause {
	switch {
	case !w.told():
		return Wedge
	case w.bed >= 0.8:
		return Bed
	case w.wear >= 0.8:
		return Wear
	}
	return Wedge
}

// either is how thick the wedge is, bed or wear: bed's, and the rise of the wear, each with its share.
func (w *wedges) either(bed Interval) Interval {
	a, b := bed.High-bed.Value, w.rise.High-w.rise.Value
	if w.wear < 0.01 {
		return bed
	}
	m := w.bed*bed.Value + w.wear*w.rise.Value
	h := math.Sqrt(w.bed*(a*a+2.7*(bed.Value-m)*(bed.Value-m)) + w.wear*(b*b+2.7*(w.rise.Value-m)*(w.rise.Value-m))) // 1.645² = 2.7
	return Interval{m, max(0, m-h), m + h}
}

func (w *wedges) mark(size [2]float64) Mark {
	m := Mark{Cause: w.cause(), Probability: w.there, Maps: len(w.list)}
	slopes := func(v [2]Interval) {
		for k := range v {
			m.Leans = append(m.Leans, Interval{v[k].Value / size[k], v[k].Low / size[k], v[k].High / size[k]})
		}
		a, b := v[0], v[1]
		total := math.Abs(a.Value) + math.Abs(b.Value)
		h := math.Sqrt((a.High-a.Value)*(a.High-a.Value) + (b.High-b.Value)*(b.High-b.Value) + (1.645*0.05*total)*(1.645*0.05*total)) // 5 %: as found in trials
		m.Strength = Interval{total, max(0, total-h), total + h}
	}
	switch m.Cause {
	case Bed:
		m.Named = w.bed
		slopes(w.fall)
	case Wear:
		m.Named = w.wear
		m.Strength = w.rise
	default:
		m.Named = max(w.bed, w.wear)
		slopes(w.any)
		m.Strength = w.either(m.Strength)
	}
	return m
}
