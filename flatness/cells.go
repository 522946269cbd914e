package flatness

import (
	"math"
	"slices"
)

// raster is a scan averaged over cells of at most cellSide, in rows along x.
type raster struct {
	walls   []float64 // x of the ends of the bed and of the joints, rising
	first   []int     // number of the first column of each stretch between walls, and of the column after the last
	y0      float64
	dx      []float64 // width of the cells in each stretch
	dy      float64
	rows    int
	count   []int // cell (column, row) is number column·rows + row
	x, y, z []float64
}

// mostCells bounds the raster: a bed of 100 m by 2.5 m. What is larger is cut into larger cells.
const mostCells = 400_000

// newCells averages the points, in the order they come; joints are rising.
func newCells(p Points, joints []float64) *raster {
	c := &raster{}
	x0, x1 := slices.Min(p.X), slices.Max(p.X)
	y0, y1 := slices.Min(p.Y), slices.Max(p.Y)
	side := max(cellSide, math.Sqrt((x1-x0)/mostCells)*math.Sqrt(y1-y0), (x1-x0)/mostCells, (y1-y0)/mostCells)
	c.walls = append(c.walls, x0)
	for _, j := range joints {
		if j > c.walls[len(c.walls)-1] && j < x1 {
			c.walls = append(c.walls, j)
		}
	}
	c.walls = append(c.walls, x1)
	c.first = []int{0}
	for k := 1; k < len(c.walls); k++ {
		n, width := stretch(c.walls[k]-c.walls[k-1], side)
		c.first = append(c.first, c.first[k-1]+n)
		c.dx = append(c.dx, width)
	}
	c.y0 = y0
	c.rows, c.dy = stretch(y1-y0, side)
	n := c.first[len(c.first)-1] * c.rows
	c.count, c.x, c.y, c.z = make([]int, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range p.X {
		k := c.cell(p.X[i], p.Y[i])
		c.count[k]++
		c.x[k] += p.X[i]
		c.y[k] += p.Y[i]
		c.z[k] += p.Z[i]
	}
	for k, m := range c.count {
		if m > 0 {
			c.x[k], c.y[k], c.z[k] = c.x[k]/float64(m), c.y[k]/float64(m), c.z[k]/float64(m)
		}
	}
	return c
}

// stretch cuts a length into equal cells no longer than side.
func stretch(length, side float64) (n int, width float64) {
	n = max(1, int(math.Ceil(length/side)))
	return n, length / float64(n)
}

// cell is the number of the cell that holds (x, y); a point on a joint belongs to the piece on its + side.
func (c *raster) cell(x, y float64) int {
	k := len(c.dx) - 1
	for k > 0 && x < c.walls[k] {
		k--
	}
	column := c.first[k] + within((x-c.walls[k])/c.dx[k], c.first[k+1]-c.first[k])
	return column*c.rows + within((y-c.y0)/c.dy, c.rows)
}

// within is the number of one of n cells, counted from q cells' distance; NaN (no width) is the first.
func within(q float64, n int) int {
	if !(q > 0) {
		return 0
	}
	return min(int(q), n-1)
}

// lengthwise judges the rows of cells.
func (c *raster) lengthwise(joints []float64) Course {
	columns := len(c.count) / c.rows
	course := Course{Cells: true}
	for row := range c.rows {
		course.judgeStrip(c, strip{row, c.rows, columns}, c.x, c.y, joints)
	}
	return course
}

// across judges the columns of cells.
func (c *raster) across() Course {
	course := Course{Cells: true}
	for column := range len(c.count) / c.rows {
		course.judgeStrip(c, strip{column * c.rows, 1, c.rows}, c.y, c.x, nil)
	}
	return course
}

// strip is n cells, step apart.
type strip struct{ first, step, n int }

// judgeStrip judges a strip of cells, if at least half of them were read; s is the coordinate along it and t the one across it.
func (c *Course) judgeStrip(r *raster, of strip, s, t, joints []float64) {
	var ls, lt, lz []float64
	at := 0.0
	for k := range of.n {
		i := of.first + k*of.step
		if r.count[i] > 0 {
			ls, lt, lz = append(ls, s[i]), append(lt, t[i]), append(lz, r.z[i])
			at += t[i]
		}
	}
	switch {
	case len(ls) == 0:
		return
	case 2*len(ls) < of.n: // readings here and there are no line
		c.Short++
		return
	}
	c.judge(at/float64(len(ls)), ls, lt, lz, nil, joints)
}
