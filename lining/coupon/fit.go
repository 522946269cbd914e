package coupon

import (
	"math"

	"slatewright/gauge/tables"
	"slatewright/lining"
)

// line is the least-squares fit for one time constant.
type line struct {
	tau, sum      float64 // sum of squared differences, mm²
	slope, uSlope float64 // u for differences of 1 mm
	drift, uDrift float64
	fade          float64 // of the start, mm
	runs          float64 // how much wider the doubts are because readings stray together
	ok, last      bool
}

// seen is the humidity as a board sees it that follows with a time constant: between two readings the air changes evenly. Before the first
// reading it is taken to have been as then; what is wrong in that dies away with the same time constant and has a term of its own.
func (l *Log) seen(tau float64) []float64 {
	v := make([]float64, len(l.Readings))
	v[0] = l.Readings[0].Humidity
	for i := 1; i < len(v); i++ {
		a, b := l.Readings[i-1], l.Readings[i]
		step := b.Day - a.Day
		rate := (b.Humidity - a.Humidity) / step
		fade := math.Exp(-step / tau)
		v[i] = b.Humidity - rate*tau + (v[i-1]-a.Humidity+rate*tau)*fade
	}
	return v
}

// fit fits slope, drift, and the fading start.
func (l *Log) fit(tau float64) line {
	v := l.seen(tau)
	b, u, rest, ok := leastSquares(l.bows(), l.columns(tau, v))
	if !ok {
		return line{tau: tau, sum: math.Inf(1)}
	}
	return line{tau: tau, sum: dot(rest, rest), runs: runs(rest), slope: b[1], uSlope: u[1], drift: b[2], uDrift: u[2], fade: b[3], ok: true}
}

func (l *Log) bows() (list []float64) {
	for _, q := range l.Readings {
		list = append(list, q.Bow)
	}
	return list
}

// columns are 1, −(each of the humidities), days, and the fading start.
func (l *Log) columns(tau float64, humidity ...[]float64) [][]float64 {
	var one, days, fade []float64
	for _, q := range l.Readings {
		d := q.Day - l.Readings[0].Day
		left := 1.0
		if d > 0 {
			left = math.Exp(-d / tau)
		}
		one, days, fade = append(one, 1), append(days, d), append(fade, left)
	}
	list := [][]float64{one}
	for _, v := range humidity {
		minus := make([]float64, len(v))
		for i := range v {
			minus[i] = -v[i]
		}
		list = append(list, minus)
	}
	return append(list, days, fade)
}

// runs is by how much the variance of a fit grows because what is left of neighbouring readings is alike: (1+r)/(1−r), r their correlation (first-order
// autoregression); 1 where it is not above what chance makes of independent readings, 1.645/√n.
func runs(rest []float64) float64 {
	together := 0.0
	for i := 1; i < len(rest); i++ {
		together += rest[i] * rest[i-1]
	}
	r := together / math.Max(dot(rest, rest), math.SmallestNonzeroFloat64)
	if !(r > 1.645/math.Sqrt(float64(len(rest)))) {
		return 1
	}
	return (1 + r) / (1 - math.Min(r, 0.95))
}

// points are the readings with the humidity that the board saw and without drift and fading start.
func (l *Log) points(best line) (list []Point) {
	v := l.seen(best.tau)
	columns := l.columns(best.tau, v)
	for i, q := range l.Readings {
		list = append(list, Point{q.Day, v[i], q.Bow, q.Bow - best.drift*columns[2][i] - best.fade*columns[3][i]})
	}
	return list
}

// ways fits a slope each for drying and for wetting at the best time constant: the humidity that the board saw is parted into its steps down and its
// steps up.
func (f *Found) ways(l *Log, best line) {
	v := l.seen(best.tau)
	down, up := make([]float64, len(v)), make([]float64, len(v))
	down[0] = v[0]
	for i := 1; i < len(v); i++ {
		step := v[i] - v[i-1]
		down[i], up[i] = down[i-1]+math.Min(step, 0), up[i-1]+math.Max(step, 0)
	}
	b, u, rest, ok := leastSquares(l.bows(), l.columns(best.tau, down, up))
	dof := float64(f.Readings - 6)
	if !ok || dof < 1 {
		f.Drying, f.Wetting = f.Fitted, f.Fitted
		return
	}
	half := tables.StudentPoint(1-(1-confidence)/2, dof) * math.Sqrt(dot(rest, rest)/dof*best.runs)
	f.Drying, f.Wetting = lining.Within(b[1], half*u[1]), lining.Within(b[2], half*u[2])
	// b₁·down + b₂·up = (b₁+b₂)/2·(down+up) + (b₁−b₂)/2·(down−up): the factor of the last is what tells them apart.
	apart := make([]float64, len(v))
	for i := range v {
		apart[i] = down[i] - up[i]
	}
	if b, u, rest, ok := leastSquares(l.bows(), l.columns(best.tau, v, apart)); ok {
		f.Differ = math.Abs(b[2]) > tables.StudentPoint(surely, dof)*math.Sqrt(dot(rest, rest)/dof*best.runs)*u[2]
	}
}

// surely is the one-sided probability at which drying and wetting are said to differ: 1 % of the coupons that do not differ are said to.
const surely = 0.995

// leastSquares fits y by the columns: the factors, their standard uncertainties for differences of 1, and what is left of y. The columns are
// made orthogonal one after the other (Gram and Schmidt, twice for rounding); ok is false where one is nearly made of the others.
func leastSquares(y []float64, columns [][]float64) (b, u, rest []float64, ok bool) {
	k := len(columns)
	q, r := make([][]float64, k), make([][]float64, k)
	for j, c := range columns {
		q[j], r[j] = append([]float64{}, c...), make([]float64, k)
		size := math.Sqrt(dot(c, c))
		for range 2 {
			for i := range j {
				p := dot(q[i], q[j])
				r[i][j] += p
				for n := range q[j] {
					q[j][n] -= p * q[i][n]
				}
			}
		}
		left := math.Sqrt(dot(q[j], q[j]))
		if !(left > 1e-9*size) {
			return nil, nil, nil, false
		}
		for n := range q[j] {
			q[j][n] /= left
		}
		r[j][j] = left
	}
	rest = append([]float64{}, y...)
	z := make([]float64, k)
	for j := range k {
		z[j] = dot(q[j], rest)
		for n := range rest {
			rest[n] -= z[j] * q[j][n]
		}
	}
	b, u = make([]float64, k), make([]float64, k)
	inverse := upper(r)
	for i := range k {
		for j := i; j < k; j++ {
			b[i] += inverse[i][j] * z[j]
			u[i] += inverse[i][j] * inverse[i][j]
		}
		u[i] = math.Sqrt(u[i])
	}
	return b, u, rest, true
}

// upper inverts an upper triangle.
func upper(r [][]float64) [][]float64 {
	k := len(r)
	inv := make([][]float64, k)
	for i := range inv {
		inv[i] = make([]float64, k)
	}
	for j := range k {
		inv[j][j] = 1 / r[j][j]
		for i := j - 1; i >= 0; i-- {
			s := 0.0
			for m := i + 1; m <= j; m++ {
				s += r[i][m] * inv[m][j]
			}
			inv[i][j] = -s / r[i][i]
		}
	}
	return inv
}

func dot(a, b []float64) (s float64) {
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}
