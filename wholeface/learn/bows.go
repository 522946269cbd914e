package learn

import (
	"cmp"
	"math"
	"slices"

	"slatewright/wholeface"
)

// rebowed is a scan with the bow and twist of another one in place of its own. How a piece is bent and what the machine left on it
// come from different acts, so each bow might have met each surface; a chip counts in a low place and not in a high one, and one scan
// shows it in one place only. Few scans teach more in this way. Where size of bow and of residual hang together it would teach
// wrongly: see together.
func rebowed(s, other Scan) Scan {
	own, new := wholeface.Terms(s.Nodes, s.SizeX, s.SizeY), wholeface.Terms(other.Nodes, other.SizeX, other.SizeY)
	bent := func(x, y, z []float64) []float64 {
		z = slices.Clone(z)
		for k := range z {
			u, v := 2*x[k]/s.SizeX, 2*y[k]/s.SizeY
			z[k] += (new[0]-own[0])*(1-u*u) + (new[1]-own[1])*(1-v*v) + (new[2]-own[2])*u*v
		}
		return z
	}
	s.Nodes.Z, s.Probes.Z = bent(s.Nodes.X, s.Nodes.Y, s.Nodes.Z), bent(s.Probes.X, s.Probes.Y, s.Probes.Z)
	return s
}

// partner is the scan that lends its bow to scan i in a turn: another of its own fold, so that lines fitted to the other folds
// have seen neither.
func partner(i, turn, scans int) int {
	fold := i % folds
	members := (scans - fold + folds - 1) / folds
	return fold + folds*((i/folds+turn)%members)
}

// hanging is the rank correlation from which bow and residual are said to hang together. Less of it, true or by chance, changes what is
// learned by less than lent bows make it steadier (docs/judge.md).
const hanging = 0.3

// together tells whether scans of large bow have a large residual, or a small one.
func together(scans []Scan) bool { return hang(correlation(scans), len(scans)) }

// hang tells whether a rank correlation of n scans is hanging or more, and stands out of chance by more than three standard
// deviations, 1/√(n − 1) each.
func hang(r float64, n int) bool {
	r = math.Abs(r)
	return r >= hanging && r*math.Sqrt(float64(n-1)) > 3
}

// correlation is the rank correlation (Spearman) of the sizes of bow and residual.
func correlation(scans []Scan) float64 {
	bow, rest := make([]float64, len(scans)), make([]float64, len(scans))
	for i, s := range scans {
		bow[i], rest[i] = sizes(s)
	}
	a, b := ranks(bow), ranks(rest)
	n := float64(len(scans))
	sum := 0.0
	for i := range a {
		sum += (a[i] - (n-1)/2) * (b[i] - (n-1)/2)
	}
	return sum / (n * (n*n - 1) / 12)
}

// sizes are the root mean squares over the nodes of bow and twist, about their mean, and of what remains, mm.
func sizes(s Scan) (bow, rest float64) {
	t := wholeface.Terms(s.Nodes, s.SizeX, s.SizeY)
	n := float64(s.Nodes.Len())
	shape, x, y, z := make([]float64, s.Nodes.Len()), s.Nodes.X, s.Nodes.Y, slices.Clone(s.Nodes.Z)
	mean := 0.0
	for k := range shape {
		u, v := 2*x[k]/s.SizeX, 2*y[k]/s.SizeY
		shape[k] = t[0]*(1-u*u) + t[1]*(1-v*v) + t[2]*u*v
		z[k] -= shape[k]
		mean += shape[k] / n
	}
	plane := level(x, y, z)
	for k := range shape {
		d, e := shape[k]-mean, z[k]-plane[0]-plane[1]*x[k]-plane[2]*y[k]
		bow, rest = bow+d*d/n, rest+e*e/n
	}
	return math.Sqrt(bow), math.Sqrt(rest)
}

// level is the least-squares plane: height in the origin, and slopes.
func level(x, y, z []float64) []float64 {
	a := [][]float64{make([]float64, 4), make([]float64, 4), make([]float64, 4)}
	for k := range z {
		f := [4]float64{1, x[k], y[k], z[k]}
		for i := range 3 {
			for j := range 4 {
				a[i][j] += f[i] * f[j]
			}
		}
	}
	return solve(a)
}

// ranks of values, from 0; equal ones in their order.
func ranks(v []float64) []float64 {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(v[i], v[j]) })
	r := make([]float64, len(v))
	for k, i := range order {
		r[i] = float64(k)
	}
	return r
}
