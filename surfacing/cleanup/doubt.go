package cleanup

import (
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/lowlp"
)

// Doubt is what is not known of the slab that planes were put into.
type Doubt struct {
	U    U     // of the readings of either map; the calipers' is in Tied
	Tied *Tied // nil: the heights are tied by a frame and count as exact
	// Gravity is what was taken off a face, up in the piece frame, at a place; GravityShare its standard uncertainty as a share, one for the whole slab:
	// the modulus is wrong everywhere alike. nil: none was taken off.
	Gravity      func(top bool, x, y float64) float64
	GravityShare float64
}

// none tells whether nothing is in doubt.
func (d Doubt) none() bool {
	return d.U.Top == 0 && d.U.Bottom == 0 && (d.Tied == nil || d.Tied.Covariance == [3][3]float64{}) && (d.Gravity == nil || d.GravityShare == 0)
}

// draws is how many slabs are drawn: the ends of the interval are then certain to about a tenth of the doubt.
const draws = 400

// Interval is the thickness of the thickest planes between its limits of 95 %. Slabs that agree with what was read are drawn, each with another tie and another
// gravity, and the planes are looked for anew; so it counts that a tie in doubt makes planes thinner on average, never thicker. The noise of the
// readings counts at the governing ones, and the upper limit is raised by Bias. The seed is fixed.
func (p *Planes) Interval(d Doubt) (low, high float64) {
	if d.none() {
		return p.Thickness, p.Thickness
	}
	q := p.sample(d)
	r := chance.NewStream(1).Split("clean-up")
	found := make([]float64, 0, draws)
	for range draws {
		if t, ok := q.draw(r); ok {
			found = append(found, t)
		}
	}
	slices.Sort(found)
	if len(found) < draws/2 {
		return 0, math.Inf(1)
	}
	return found[len(found)/40], found[len(found)-1-len(found)/40] + p.Bias(d.U)
}

// Bias is by how much the noise of the readings makes the planes thinner: they rest on those of many readings that noise put farthest into the stone. It is
// the expected largest of as many normal errors as there are readings within three uncertainties of either plane (G. Blom, Statistical Estimates and
// Transformed Beta-Variables, 1958): Φ⁻¹((n−0.375)/(n+0.25)). The slab's own U decides which those are.
func (p *Planes) Bias(u U) (sum float64) {
	for side, sd := range []float64{u.Top, u.Bottom} {
		if n := float64(p.near[side]); sd > 0 {
			sum += sd * max(0, chance.Quantile((n-0.375)/(n+0.25)))
		}
	}
	return sum
}

// sample is what the draws share.
type sample struct {
	rows    *rows
	base    []float64 // heights before they are moved
	x, y    []float64
	gravity []float64
	share   float64
	root    [3][3]float64 // of the tie's covariance
	noise   float64
	warm    []int
}

func (p *Planes) sample(d Doubt) *sample {
	w := p.work
	q := &sample{share: d.GravityShare, warm: w.warm, gravity: make([]float64, len(w.points))}
	f := frameOf(p.Normal)
	problem := w.program(f)
	q.rows = problem.Rows.(*rows)
	q.base = slices.Clone(q.rows.w)
	for k, c := range w.centre {
		v := c.plus(w.origin)
		q.x, q.y = append(q.x, v[0]), append(q.y, v[1])
		if d.Gravity != nil {
			q.gravity[k] = d.Gravity(w.points[k].side == 0, v[0], v[1])
		}
	}
	if d.Tied != nil {
		q.root = cholesky(d.Tied.Covariance)
	}
	sum := 0.0
	for _, c := range p.Governing {
		u := d.U.Bottom
		if c.Top {
			u = d.U.Top
		}
		sum += square(c.Weight * u)
	}
	q.noise = math.Sqrt(sum)
	return q
}

// draw is the thickness of one slab that may be the true one.
func (q *sample) draw(r *chance.Stream) (float64, bool) {
	g := [3]float64{r.Normal(), r.Normal(), r.Normal()}
	var lift [3]float64
	for i := range 3 {
		for j := range i + 1 {
			lift[i] += q.root[i][j] * g[j]
		}
	}
	share, noise := q.share*r.Normal(), q.noise*r.Normal()
	for k := range q.base {
		q.rows.w[k] = q.base[k] - share*q.gravity[k]
		if !q.rows.top[k] {
			q.rows.w[k] += lift[0] + lift[1]*q.x[k] + lift[2]*q.y[k]
		}
	}
	s, err := lowlp.Solve(q.rows.problem(q.warm))
	if err != nil || s.Status != lowlp.Optimal {
		return 0, false
	}
	return -s.Value/math.Sqrt(1+square(s.V[0])+square(s.V[1])) + noise, true
}

// cholesky is the lower root of a matrix that may be of less than full rank.
func cholesky(m [3][3]float64) (l [3][3]float64) {
	for i := range 3 {
		for j := range i + 1 {
			s := m[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			switch {
			case i == j:
				l[i][i] = math.Sqrt(max(0, s))
			case l[j][j] > 0:
				l[i][j] = s / l[j][j]
			}
		}
	}
	return l
}
