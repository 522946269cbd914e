package plate

// TwoLayer returns the curvature in 1/mm of a strip or board of two layers glued together of which the second would grow by strain: S.
// Timoshenko, Analysis of bi-metal thermostats, Journal of the Optical Society of America 11 (1925) 233,
//
//	κ = 6·strain·(1+m)² / (h·(3(1+m)² + (1+mn)(m² + 1/(mn)))), m = t₁/t₂, n = E₁/E₂, h = t₁ + t₂,
//
// + when the second layer is on the outside of the bend. With the second layer, a lining, under the stone, + is a dish of the top: its
// ends rise. Growth alike in both directions bends a board into a bowl of this curvature when both layers have the same Poisson
// ratio; [Layer] does not need that.
func TwoLayer(t1, e1, t2, e2, strain float64) float64 {
	m, n := t1/t2, e1/e2
	q := (1 + m) * (1 + m)
	return 6 * strain * q / ((t1 + t2) * (3*q + (1+m*n)*(m*m+1/(m*n))))
}

// Rise returns how far the ends of a span stand over its middle when it is bent by a curvature: L²·κ/8, mm.
func Rise(curvature, span float64) float64 { return span * span * curvature / 8 }

// Bow returns the heights at the places of a piece bent by its layers alone, without gravity and supports, mm over the plane that fits
// them best by least squares, on cells no larger than step. The error is a *trouble.Trouble.
func Bow(p Piece, places []Point, step float64) ([]float64, error) {
	pl, err := New(p, step)
	if err != nil {
		return nil, err
	}
	c := pl.factor.Solve(pl.mesh.bend)
	z := make([]float64, len(places))
	for i, q := range places {
		z[i] = pl.mesh.row(q).of(c)
	}
	Level(places, z)
	return z, nil
}

// Level takes the plane of least squares off heights.
func Level(places []Point, z []float64) {
	var sx, sy, sz float64
	n := float64(len(places))
	for i, q := range places {
		sx, sy, sz = sx+q.X, sy+q.Y, sz+z[i]
	}
	if n == 0 {
		return
	}
	mx, my, mz := sx/n, sy/n, sz/n
	var xx, xy, yy, xz, yz float64
	for i, q := range places {
		x, y, h := q.X-mx, q.Y-my, z[i]-mz
		xx, xy, yy, xz, yz = xx+x*x, xy+x*y, yy+y*y, xz+x*h, yz+y*h
	}
	a, b := 0.0, 0.0
	if d := xx*yy - xy*xy; d > 1e-12*xx*yy {
		a, b = (xz*yy-yz*xy)/d, (yz*xx-xz*xy)/d
	}
	for i, q := range places {
		z[i] -= mz + a*(q.X-mx) + b*(q.Y-my)
	}
}
