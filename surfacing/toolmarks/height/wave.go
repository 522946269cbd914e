package height

import (
	"math"

	"slatewright/chance"
)

// net is on how many places a side a wave is told.
const net = 25

// Repeated is how high a wave of a bed is that is in all faces of pieces of one size laid at one place: any smooth wave, plane, bow and twist apart. False where
// too little of the pieces was read.
func Repeated(faces []Face, size [2]float64) (Span, bool) {
	var b basis
	b.smooth(size, 0)
	return waveOf(cellsOf(faces, size, coarse, coarse), size, &b, [][3]float64{{1, 0, 0}})
}

// Led is how high a wave of a disc's way is: it runs along the feed alike in every track. A disc follows no bend that is narrower than it is, so that tracks
// of a given pitch (0: not known) have a shape across them that goes with the bend; and the outermost tracks are not as the others, so that a smooth wave of
// any kind may be added to it.
func Led(faces []Face, size [2]float64, pitch float64) (Span, bool) {
	fine := coarse
	if pitch > 0 {
		fine = min(max(coarse, int(5*size[1]/pitch)), 30)
	}
	var b basis
	for _, s := range wavelets(size[0]) {
		b.add(s.at, func(float64) float64 { return 1 }, s.f, 0, 1)
		for h := 1.0; h <= 3 && pitch > 0; h++ {
			b.add(s.at, func(t float64) float64 { return math.Sin(2 * math.Pi * h * t / pitch) }, s.f, 1, h)
			b.add(s.at, func(t float64) float64 { return math.Cos(2 * math.Pi * h * t / pitch) }, s.f, 1, h)
		}
	}
	b.smooth(size, 2)
	var shares [][3]float64
	for _, tracks := range []float64{0.1, 0.4, 1.2} {
		for _, other := range []float64{0.05, 0.3} {
			shares = append(shares, [3]float64{1, tracks, other})
		}
		if pitch == 0 {
			break
		}
	}
	return waveOf(cellsOf(faces, size, coarse, fine), size, &b, shares)
}

// coarse is in how many cells a side of a piece is parted; shortest the highest frequency that is told, 1/mm.
const (
	coarse   = 13
	shortest = 1.0 / 280
)

// A wavelet is a sine that stands on a side of a piece and a little beyond it, with its frequency (1/mm).
type wavelet struct {
	at func(x float64) float64
	f  float64
}

// wavelets are those of a side: the sines of A. Solin and S. Särkkä, Hilbert space methods for reduced-rank Gaussian process regression, Statistics and Computing
// 30, 2020, on 1.3 times its length.
func wavelets(size float64) (list []wavelet) {
	reach := 1.3 * size / 2
	for k := 1.0; k/(4*reach) <= shortest; k++ {
		list = append(list, wavelet{func(x float64) float64 { return math.Sin(math.Pi * k * (x + reach) / (2 * reach)) }, k / (4 * reach)})
	}
	return list
}

// basis are the shapes of which a wave is made: products of one along and one across, each of one of three kinds.
type basis struct {
	along, across []func(float64) float64
	f             []float64 // frequency, 1/mm
	kind          []int
	overtone      []float64
}

func (b *basis) add(along, across func(float64) float64, f float64, kind int, overtone float64) {
	b.along, b.across, b.f, b.kind, b.overtone = append(b.along, along), append(b.across, across), append(b.f, f), append(b.kind, kind), append(b.overtone, overtone)
}

// smooth adds waves in all directions.
func (b *basis) smooth(size [2]float64, kind int) {
	for _, s := range wavelets(size[0]) {
		for _, t := range wavelets(size[1]) {
			if f := math.Hypot(s.f, t.f); f <= shortest {
				b.add(s.at, t.at, f, kind, 1)
			}
		}
	}
}

// expected are the variances of the weights where the wave has a length (that of a squared exponential's correlation: a wave is about six times as long), and each
// kind its share.
func (b *basis) expected(length float64, share [3]float64) []float64 {
	list := make([]float64, len(b.f))
	var total [3]float64
	for k, f := range b.f {
		a := 2 * math.Pi * f * length
		list[k] = math.Exp(-a*a/2) / math.Pow(b.overtone[k], 4)
		total[b.kind[k]] += list[k]
	}
	for k := range list {
		i := b.kind[k]
		list[k] = max(1e-12, 4*share[i]*share[i]*list[k]/total[i])
	}
	return list
}

// waveOf weighs lengths, heights and shares of a wave, and how much more there is in the mean of the pieces than such a wave and what they differ by: a shape that
// the wave's cannot follow counts as noise. False where there are too few cells.
func waveOf(cells []cell, size [2]float64, b *basis, shared [][3]float64) (Span, bool) {
	if len(cells) < 24 || len(cells[0].z) < 2 {
		return Span{}, false
	}
	g := soilOf(cells, size)
	e, own := b.equations(cells, size, &g)
	unit := g.sd / math.Sqrt(float64(len(cells[0].z))) // of a whitened reading
	type way struct{ thought, noise int }
	var list []thought
	var ways []way
	var logs []float64
	for _, length := range []float64{80, 110, 150, 200, 280} {
		for _, share := range shared {
			variances := b.expected(length, share)
			for sd := 0.5; sd < 400; sd *= 1.6 { // standard deviation of the wave, in units
				wanted := make([]float64, own+len(b.f))
				for k, v := range variances {
					wanted[own+k] = 1 / (sd * sd * v)
				}
				t := e.with(wanted)
				for k := range 10 { // the noise is 1, 1.4, 2, … units
					more := float64(int(1) << k)
					ways, logs = append(ways, way{len(list), k}), append(logs, t.log-t.left/(2*unit*unit*more)-(e.n-t.free)/2*math.Log(more))
				}
				list = append(list, t)
			}
		}
	}
	likely := shares(logs)
	d := chance.NewStream(seed).Split("wave")
	on := b.onNet(size)
	heights := make([]float64, draws)
	for k := range heights {
		w := ways[pick(likely, d.Float64())]
		heights[k] = peakToValley(on, list[w.thought].draw(unit*math.Sqrt(float64(int(1)<<w.noise)), d)[own:])
	}
	return spanOf(heights), true
}

// equations are those of the cells' means over the pieces; own is how many columns are plane, bow and twist.
func (b *basis) equations(cells []cell, size [2]float64, g *soil) (e equations, own int) {
	cols := free(cells, size)
	own = len(cols)
	for k := range b.f {
		x := make([]float64, len(cells))
		for i, c := range cells {
			x[i] = meanOf(b.along[k], c.s) * meanOf(b.across[k], c.t)
		}
		cols = append(cols, x)
	}
	y := make([]float64, len(cells))
	for i, c := range cells {
		y[i] = mean(c.z)
	}
	for k := range cols {
		cols[k] = g.white(cols[k])
	}
	return equationsOf(cols, g.white(y)), own
}

func meanOf(f func(float64) float64, at []float64) float64 {
	sum := 0.0
	for _, x := range at {
		sum += f(x)
	}
	return sum / float64(len(at))
}

// onNet are the shapes on the net, each free of plane, bow and twist.
func (b *basis) onNet(size [2]float64) (list [][]float64) {
	var low [][]float64
	for k := range 6 {
		x := make([]float64, 0, net*net)
		for i := range net {
			for j := range net {
				x = append(x, bows(2*float64(i)/(net-1)-1, 2*float64(j)/(net-1)-1)[k])
			}
		}
		list = append(list, x)
	}
	for k := range b.f {
		x := make([]float64, 0, net*net)
		for i := range net {
			a := b.along[k]((float64(i)/(net-1) - 0.5) * size[0])
			for j := range net {
				x = append(x, a*b.across[k]((float64(j)/(net-1)-0.5)*size[1]))
			}
		}
		list = append(list, x)
	}
	low, list = list[:6], list[6:]
	for k, x := range low { // the net is even: each is freed of those before it, and the rest of all of them
		size := math.Sqrt(dot(x, x))
		for i := range x {
			x[i] /= size
		}
		for _, y := range append(append([][]float64{}, low[k+1:]...), list...) {
			p := dot(x, y)
			for i := range y {
				y[i] -= p * x[i]
			}
		}
	}
	return list
}

func peakToValley(shapes [][]float64, weights []float64) float64 {
	z := make([]float64, len(shapes[0]))
	for k, w := range weights {
		for i, x := range shapes[k] {
			z[i] += w * x
		}
	}
	low, high := z[0], z[0]
	for _, x := range z {
		low, high = min(low, x), max(high, x)
	}
	return high - low
}
