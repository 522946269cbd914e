package lining

import "math"

// transfer is the mean share of a board's strain that reaches the stone over a length of it whose ends are free: the shear of board and
// glue line gives way there. Shear lag: 1 − tanh(βℓ/2)/(βℓ/2), β² = (1/(E_b t_b) + 4/(E_s t_s))·k, k the shear stiffness of a
// unit of the bond, 1/(t_b/(3G_b) + t_g/G_g) (O. Volkersen 1938, in the form for a stiff base that may bend; the third of the board's thickness
// is that of a parabola of shear displacement). All in N and mm.
func transfer(length float64, p stiff) float64 {
	if math.IsInf(p.shear, 1) || length <= 0 {
		return 1
	}
	k := 1 / (p.board/(3*p.shear) + p.bond)
	x := math.Sqrt((1/(p.eBoard*p.board)+4/(p.eStone*p.stone))*k) * length / 2
	return 1 - math.Tanh(x)/x
}

// stiff is one choice of thicknesses and moduli within their limits.
type stiff struct {
	stone, eStone float64 // mm, N/mm²
	board, eBoard float64
	shear         float64 // of the board through its thickness, N/mm²
	bond          float64 // of the glue line, its thickness over its shear modulus, mm³/N
	narrow        bool    // a coupon bends as a beam does, not as a plate
}
