package wholeface

import (
	"math"
	"strconv"
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"

	"slatewright/chance"
)

// Fields are standard random faces: mean 0, standard deviation 1, Matérn correlation. They depend on the size of the piece, the
// band, the length and their number only, so they can be kept and used for piece after piece; whoever judges many pieces of one
// size passes the same Fields. They may be used by several goroutines at once.
//
// They are drawn by circulant embedding (Dietrich and Newsam, "Fast and exact simulation of stationary Gaussian processes
// through circulant embedding of the covariance matrix", SIAM J. Sci. Comput. 18(4), 1997): two fields from each Fourier transform
// of a torus at least twice as large as the face. Where a long correlation does not close on the torus, the negative eigenvalues
// are set to 0 and the rest scaled to variance 1; a test holds what that costs.
type Fields struct {
	grid lattice
	seed uint64
	mu   sync.Mutex
	have map[float64]*cloth
	tiny map[int][]float64
}

// cloth has the fields of one length.
type cloth struct {
	length float64
	table  []float64
	root   []float64 // square roots of the eigenvalues, by column and row of the torus
	mx, my int
	fields map[int][]float64
}

// NewFields prepares fields for a piece, sizes in mm.
func NewFields(sizeX, sizeY, band float64, seed uint64) *Fields {
	return &Fields{grid: newLattice(sizeX, sizeY, band), seed: seed, have: map[float64]*cloth{}, tiny: map[int][]float64{}}
}

// of returns field number k of a length. It must not be written to.
func (f *Fields) of(length float64, k int) []float64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	c := f.cloth(length)
	if z, ok := c.fields[k]; ok {
		return z
	}
	pair := k / 2
	c.fields[2*pair], c.fields[2*pair+1] = c.draw(f.grid, f.stream(length, pair))
	return c.fields[k]
}

// short returns standard field number k of what is shorter than the nodes lie apart: independent from node to node.
func (f *Fields) short(k int) []float64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	z := f.tiny[k]
	if z == nil {
		s := chance.NewStream(f.seed).Split("short").Split(strconv.Itoa(k))
		z = make([]float64, f.grid.nodes())
		for i := range z {
			z[i] = s.Normal()
		}
		f.tiny[k] = z
	}
	return z
}

func (f *Fields) stream(length float64, pair int) *chance.Stream {
	return chance.NewStream(f.seed).Split("field").Split(strconv.FormatFloat(length, 'g', -1, 64)).Split(strconv.Itoa(pair))
}

// table returns the correlations between nodes for a length. It must not be written to.
func (f *Fields) table(length float64) []float64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.cloth(length).table
}

func (f *Fields) cloth(length float64) *cloth {
	c := f.have[length]
	if c == nil {
		c = newCloth(f.grid, length)
		f.have[length] = c
	}
	return c
}

// smooth is the smallest number that is at least n and has no prime factor above 5: such transforms are fast.
func smooth(n int) int {
	for ; ; n++ {
		k := n
		for _, p := range []int{2, 3, 5} {
			for k%p == 0 {
				k /= p
			}
		}
		if k == 1 {
			return n
		}
	}
}

func newCloth(l lattice, length float64) *cloth {
	c := &cloth{length: length, table: l.table(length), mx: smooth(2 * (l.nx - 1)), my: smooth(2 * (l.ny - 1)), fields: map[int][]float64{}}
	torus := make([]complex128, c.mx*c.my)
	for i := range c.mx {
		for j := range c.my {
			x, y := float64(min(i, c.mx-i))*l.dx, float64(min(j, c.my-j))*l.dy
			torus[i*c.my+j] = complex(matern(math.Hypot(x, y), length), 0)
		}
	}
	c.transform(torus)
	c.root = make([]float64, len(torus))
	kept := 0.0
	for k, v := range torus {
		if e := real(v); e > 0 {
			c.root[k] = e
			kept += e
		}
	}
	for k, e := range c.root { // a variance of 1: the eigenvalues sum to the number of places
		c.root[k] = math.Sqrt(e / kept)
	}
	return c
}

// draw makes two independent fields: the real and the imaginary part.
func (c *cloth) draw(l lattice, s *chance.Stream) (a, b []float64) {
	torus := make([]complex128, c.mx*c.my)
	for k, r := range c.root {
		torus[k] = complex(r*s.Normal(), r*s.Normal())
	}
	c.transform(torus)
	a, b = make([]float64, l.nodes()), make([]float64, l.nodes())
	for i := range l.nx {
		for j := range l.ny {
			v := torus[i*c.my+j]
			a[i*l.ny+j], b[i*l.ny+j] = real(v), imag(v)
		}
	}
	return a, b
}

// transform is the Fourier transform over both directions, without a factor.
func (c *cloth) transform(z []complex128) {
	rows, columns := fourier.NewCmplxFFT(c.my), fourier.NewCmplxFFT(c.mx)
	for i := range c.mx {
		row := z[i*c.my : (i+1)*c.my]
		rows.Coefficients(row, row)
	}
	line := make([]complex128, c.mx)
	for j := range c.my {
		for i := range line {
			line[i] = z[i*c.my+j]
		}
		columns.Coefficients(line, line)
		for i := range line {
			z[i*c.my+j] = line[i]
		}
	}
}
