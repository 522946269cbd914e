package plate

// table holds the integrals over one interval of products of derivatives of its four functions, and of the functions alone.
type table struct {
	of   [3][3][4][4]float64 // derivative of the one, of the other
	lone [3][4]float64
	len  float64
	mean float64 // middle of the interval
}

func (a *axis) tables() []table {
	t := make([]table, a.cells())
	for c := range t {
		h := (a.breaks[c+1] - a.breaks[c]) / 2
		mid := (a.breaks[c+1] + a.breaks[c]) / 2
		t[c].len, t[c].mean = 2*h, mid
		for _, g := range gauss4 {
			v := a.at(c, mid+h*g[0])
			w := g[1] * h
			for p := range 3 {
				for i := range 4 {
					t[c].lone[p][i] += w * v[p][i]
					for q := range 3 {
						for j := range 4 {
							t[c].of[p][q][i][j] += w * v[p][i] * v[q][j]
						}
					}
				}
			}
		}
	}
	return t
}

// addEven adds a cell of one section without cuts, whose integrals are products of those of its sides.
func (m *mesh) addEven(cx, cy int, s section, x, y *table) {
	d := s.d
	var k [16][16]float64
	for jb := range 4 {
		for ib := range 4 {
			b := ib + 4*jb
			for ja := range jb + 1 {
				for ia := range 4 {
					k[ia+4*ja][b] = d[0]*x.of[2][2][ia][ib]*y.of[0][0][ja][jb] + d[3]*x.of[0][0][ia][ib]*y.of[2][2][ja][jb] +
						d[1]*(x.of[2][0][ia][ib]*y.of[0][2][ja][jb]+x.of[0][2][ia][ib]*y.of[2][0][ja][jb]) +
						4*d[5]*x.of[1][1][ia][ib]*y.of[1][1][ja][jb] +
						2*d[2]*(x.of[2][1][ia][ib]*y.of[0][1][ja][jb]+x.of[1][2][ia][ib]*y.of[1][0][ja][jb]) +
						2*d[4]*(x.of[0][1][ia][ib]*y.of[2][1][ja][jb]+x.of[1][0][ia][ib]*y.of[1][2][ja][jb])
				}
			}
		}
	}
	m.scatter(cx, cy, &k)
	n := m.x.functions()
	for j := range 4 {
		for i := range 4 {
			u := m.x.first[cx] + i + n*(m.y.first[cy]+j)
			m.own[u] -= s.load * x.lone[0][i] * y.lone[0][j]
			m.bend[u] -= s.m[0]*x.lone[2][i]*y.lone[0][j] + s.m[1]*x.lone[0][i]*y.lone[2][j] + 2*s.m[2]*x.lone[1][i]*y.lone[1][j]
		}
	}
	w := s.load * x.len * y.len
	m.stone += w
	m.lever[0] += w * x.mean
	m.lever[1] += w * y.mean
}

// addSpots adds a cell by its quadrature.
func (m *mesh) addSpots(cx, cy int, spots []spot, even bool, same section) {
	stone, all := 0.0, 0.0
	for _, p := range spots {
		stone += p.stone
		if p.stone > 0 {
			all += p.stone
		}
	}
	if stone < 1e-10*all {
		return // no stone here
	}
	m.solid[cx+m.x.cells()*cy] = true
	var k [16][16]float64
	n := m.x.functions()
	for _, p := range spots {
		s := same
		if !even {
			s = m.piece.section(p.x, p.y)
		}
		vx, vy := m.x.at(cx, p.x), m.y.at(cy, p.y)
		var curve, moment [16][3]float64
		for j := range 4 {
			for i := range 4 {
				a := i + 4*j
				curve[a] = [3]float64{vx[2][i] * vy[0][j], vx[0][i] * vy[2][j], 2 * vx[1][i] * vy[1][j]}
				moment[a] = s.d.times(curve[a])
				u := m.x.first[cx] + i + n*(m.y.first[cy]+j)
				m.own[u] -= p.stone * s.load * vx[0][i] * vy[0][j]
				m.bend[u] -= p.stone * (s.m[0]*curve[a][0] + s.m[1]*curve[a][1] + s.m[2]*curve[a][2])
			}
		}
		for b := range 16 {
			c0, c1, c2 := p.stiff*curve[b][0], p.stiff*curve[b][1], p.stiff*curve[b][2]
			for a := range b/4*4 + 4 {
				k[a][b] += c0*moment[a][0] + c1*moment[a][1] + c2*moment[a][2]
			}
		}
		w := p.stone * s.load
		m.stone += w
		m.lever[0] += w * p.x
		m.lever[1] += w * p.y
	}
	m.scatter(cx, cy, &k)
}

// scatter adds a cell's stiffness, of which k[a][b] with a's row at or before b's is filled.
func (m *mesh) scatter(cx, cy int, k *[16][16]float64) {
	n := m.x.functions()
	base := m.x.first[cx] + n*m.y.first[cy]
	for b := range 16 {
		ub := base + b%4 + n*(b/4)
		for a := range b + 1 {
			m.k.Add(base+a%4+n*(a/4), ub, k[a][b])
		}
	}
}
