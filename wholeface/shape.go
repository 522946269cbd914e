package wholeface

// basis has the terms of the trend at every node.
func (l lattice) basis() [][terms]float64 {
	b := make([][terms]float64, l.nodes())
	for k := range b {
		b[k] = l.trend(l.place(k))
	}
	return b
}

// shapeOf fits the trend to heights at the nodes by least squares and returns bow along, bow across and twist (4T), mm. On an
// even lattice about the middle the two tilts and the twist are orthogonal to each other and to the rest, and the two bows to each
// other once their means are taken away.
func shapeOf(b [][terms]float64, z []float64) [3]float64 {
	var mean [3]float64
	n := float64(len(z))
	for k, h := range z {
		mean[0], mean[1], mean[2] = mean[0]+b[k][3]/n, mean[1]+b[k][4]/n, mean[2]+h/n
	}
	var up, own [3]float64
	for k, h := range z {
		f := [3]float64{b[k][3] - mean[0], b[k][4] - mean[1], b[k][5]}
		for i := range f {
			up[i] += f[i] * (h - mean[2])
			own[i] += f[i] * f[i]
		}
	}
	return [3]float64{up[0] / own[0], up[1] / own[1], 4 * up[2] / own[2]}
}
