package height

import (
	"math"
	"slices"
)

// A Face is the readings of one piece on the lines along which it was read: Z[i·len(T)+j] at S[i], T[j]; NaN where there is none. s and t are counted from the
// middle of the piece.
type Face struct{ S, T, Z []float64 }

// A cell is a part of the piece in which readings are meaned: the mean place of them, and for each piece their mean.
type cell struct {
	s, t   []float64 // lines that run through it
	ms, mt float64
	z      []float64 // a piece each
}

// cellsOf parts pieces of one size into ns by nt cells, and keeps those in which every piece was read.
func cellsOf(faces []Face, size [2]float64, ns, nt int) (list []cell) {
	for i := range ns {
		for j := range nt {
			var c cell
			for _, f := range faces {
				is, it := within(f.S, size[0], i, ns), within(f.T, size[1], j, nt)
				var z []float64
				for _, a := range is {
					for _, b := range it {
						if e := f.Z[a*len(f.T)+b]; !math.IsNaN(e) {
							z = append(z, e)
						}
					}
				}
				if len(z) == 0 {
					break
				}
				for _, a := range is {
					c.s = append(c.s, f.S[a])
				}
				for _, b := range it {
					c.t = append(c.t, f.T[b])
				}
				c.z = append(c.z, middleMean(z))
			}
			if len(c.z) == len(faces) {
				c.ms, c.mt = mean(c.s), mean(c.t)
				list = append(list, c)
			}
		}
	}
	return list
}

// within are the numbers of the lines in part i of n of a side.
func within(at []float64, size float64, i, n int) (list []int) {
	for k, x := range at {
		if min(max(int(math.Floor((x/size+0.5)*float64(n))), 0), n-1) == i {
			list = append(list, k)
		}
	}
	return list
}

// middleMean is the mean of the readings within three deviations of the middle one: chips are not listened to.
func middleMean(z []float64) float64 {
	z = slices.Clone(z)
	slices.Sort(z)
	middle := z[len(z)/2]
	size := make([]float64, len(z))
	for i, x := range z {
		size[i] = math.Abs(x - middle)
	}
	slices.Sort(size)
	far := 3 * 1.4826 * size[len(size)/2]
	sum, n := 0.0, 0.0
	for _, x := range z {
		if math.Abs(x-middle) <= far {
			sum, n = sum+x, n+1
		}
	}
	return sum / n
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// A soil is how cells of one piece agree with each other beside the wave: the piece's own unevenness, which is neighbour to itself.
type soil struct {
	factor [][]float64 // lower Cholesky factor of the covariance
	sd     float64     // of a cell
	log    float64
}

// white is L⁻¹ x.
func (g *soil) white(x []float64) []float64 {
	w := make([]float64, len(x))
	for i := range x {
		w[i] = (x[i] - dot(g.factor[i][:i], w[:i])) / g.factor[i][i]
	}
	return w
}

// finest is the least by which cells of two pieces are believed to differ, mm.
const finest = 1e-4

// soilOf finds the length of the unevenness and the share of noise that agree best with how pieces differ from their mean, bow and twist apart. Its
// covariance is that of a Matérn field of smoothness 3/2 (Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006, eq. 4.17).
func soilOf(cells []cell, size [2]float64) soil {
	best := soil{log: math.Inf(-1)}
	apart := differences(cells)
	pieces := float64(len(cells[0].z))
	for _, length := range []float64{30, 60, 100, 160, 250} {
		for _, noise := range []float64{0.02, 0.2, 1} {
			g := soil{factor: correlations(cells, length, noise)}
			own := free(cells, size)
			for i := range own {
				own[i] = g.white(own[i])
			}
			left, level := 0.0, 0.0
			for _, r := range g.factor {
				level -= math.Log(r[len(r)-1])
			}
			e := equationsOf(own, own[0])
			var t thought
			for _, d := range apart {
				w := g.white(d)
				e.yy = dot(w, w)
				for k := range own {
					e.xy[k] = dot(own[k], w)
				}
				t = e.with(make([]float64, len(own)))
				left += t.left
			}
			dof := (pieces - 1) * float64(len(cells)-len(own))
			g.sd = max(math.Sqrt(left/dof), finest)
			g.log = (pieces-1)*(level+t.log) - dof/2*math.Log(max(left, dof*finest*finest))
			if g.log > best.log {
				best = g
			}
		}
	}
	return best
}

// differences of the pieces from their mean.
func differences(cells []cell) (list [][]float64) {
	for k := range cells[0].z {
		d := make([]float64, len(cells))
		for i, c := range cells {
			d[i] = c.z[k] - mean(c.z)
		}
		list = append(list, d)
	}
	return list
}

// correlations is the lower Cholesky factor of the cells' correlations.
func correlations(cells []cell, length, noise float64) (l [][]float64) {
	for i, a := range cells {
		row := make([]float64, i+1)
		for j, b := range cells[:i+1] {
			x := math.Sqrt(3) * math.Hypot(a.ms-b.ms, a.mt-b.mt) / length
			c := (1 + x) * math.Exp(-x)
			if i == j {
				row[i] = math.Sqrt(max(c+noise-dot(row[:i], row[:i]), 1e-9))
			} else {
				row[j] = (c - dot(row[:j], l[j][:j])) / l[j][j]
			}
		}
		l = append(l, row)
	}
	return l
}

// free are a piece's own plane, bow and twist in the cells.
func free(cells []cell, size [2]float64) [][]float64 {
	cols := make([][]float64, 6)
	for _, c := range cells {
		for k, x := range bows(2*c.ms/size[0], 2*c.mt/size[1]) {
			cols[k] = append(cols[k], x)
		}
	}
	return cols
}

// bows are plane, bow and twist.
func bows(u, v float64) [6]float64 { return [6]float64{1, u, v, u*u - 1.0/3, v*v - 1.0/3, u * v} }
