package worked_test

import (
	"math"

	"slatewright/chance"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked"
	"slatewright/surfacing/worked/removal"
)

// slow is a machine that cuts step by step: a ring of bits travels along its tracks over squares of stone; in each step the stone under the ring is cut to the
// height of the bits, which stand higher by what they have worn and by what the loop yields to the force that the volume in this step asks for. It
// shares no line with the package.
type slow struct {
	machine machine.Machine // as it is in truth
	x, y    float64
	square  float64
	nx, ny  int
	z       []float64
	worn    []float64 // of each stage's bits, mm
	stone   []float64 // that each stage took, mm³
	dull    float64   // by how much energy grows with a litre that a stage took, as a share
}

func newSlow(m machine.Machine, x, y float64, z func(x, y float64) float64) *slow {
	s := &slow{machine: m, x: x, y: y, square: 14, worn: make([]float64, len(m.Stages)), stone: make([]float64, len(m.Stages))}
	s.nx, s.ny = int(math.Round(x/s.square)), int(math.Round(y/s.square))
	for i := range s.nx {
		for j := range s.ny {
			px, py := s.at(i, j)
			s.z = append(s.z, z(px, py))
		}
	}
	return s
}

func (s *slow) at(i, j int) (x, y float64) {
	return (float64(i)+0.5)/float64(s.nx)*s.x - s.x/2, (float64(j)+0.5)/float64(s.ny)*s.y - s.y/2
}

func (s *slow) area() float64 { return s.x * s.y / float64(s.nx*s.ny) }

// height of the face, bilinear between the middles of squares.
func (s *slow) height(x, y float64) float64 {
	u := math.Min(math.Max((x/s.x+0.5)*float64(s.nx)-0.5, 0), float64(s.nx-1)-1e-9)
	v := math.Min(math.Max((y/s.y+0.5)*float64(s.ny)-0.5, 0), float64(s.ny-1)-1e-9)
	i, j := int(u), int(v)
	a, b := u-float64(i), v-float64(j)
	z := func(i, j int) float64 { return s.z[i*s.ny+j] }
	return (1-a)*(1-b)*z(i, j) + a*(1-b)*z(i+1, j) + (1-a)*b*z(i, j+1) + a*b*z(i+1, j+1)
}

// pass cuts once over the face, tracks along y, with the disc set to height h; the power while it is in full cut is returned, kW.
func (s *slow) pass(stage int, h, feed float64) (power float64) {
	st, head := s.machine.Stages[stage], s.machine.HeadOf(stage)
	r, pitch := st.Disc.Diameter/2, s.machine.Table.Pitch
	zero := s.worn[stage]
	if !s.machine.Table.Rezero {
		zero = 0
	}
	var sum, n float64
	for track := 0; float64(track)*pitch < s.x; track++ {
		cx := -s.x/2 + pitch*(float64(track)+0.5)
		for cy := -s.y/2 - r; cy <= s.y/2+r; cy += s.square * 0.75 {
			under := s.ring(cx, cy, r)
			volume := s.cut(under, stage, h-zero, feed, head, st)
			s.worn[stage] += volume / (st.G.Value * st.Disc.Area())
			s.stone[stage] += volume
			if math.Abs(cy) < s.y/4 && track > 0 && cx+r < s.x/2 {
				sum, n = sum+st.Energy.Value*s.blunt(stage)*volume*feed/(s.square*0.75)/1000, n+1
			}
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// blunt is by how much dull bits take more.
func (s *slow) blunt(stage int) float64 { return 1 + s.dull*s.stone[stage]/1e6 }

// ring are the squares under the bits.
func (s *slow) ring(cx, cy, r float64) (list []int) {
	const wide = 20
	i0, i1 := max(int((cx-r+s.x/2)/s.square)-1, 0), min(int((cx+r+s.x/2)/s.square)+1, s.nx-1)
	for i := i0; i <= i1; i++ {
		x, _ := s.at(i, 0)
		dx := x - cx
		if math.Abs(dx) > r {
			continue
		}
		out := math.Sqrt(r*r - dx*dx)
		in := 0.0
		if q := r - wide; math.Abs(dx) < q {
			in = math.Sqrt(q*q - dx*dx)
		}
		for _, side := range []float64{-1, 1} {
			a, b := cy+side*in, cy+side*out
			if a > b {
				a, b = b, a
			}
			j0, j1 := int(math.Ceil((a/s.y+0.5)*float64(s.ny)-0.5)), int(math.Floor((b/s.y+0.5)*float64(s.ny)-0.5))
			for j := max(j0, 0); j <= min(j1, s.ny-1); j++ {
				list = append(list, i*s.ny+j)
			}
		}
	}
	return list
}

// cut lowers the squares to the bits, whose height yields to the volume: found by halving.
func (s *slow) cut(under []int, stage int, h, feed float64, head machine.Head, st machine.Stage) float64 {
	volume := func(at float64) (v float64) {
		for _, k := range under {
			if d := s.z[k] - at; d > 0 {
				v += d * s.area()
			}
		}
		return v
	}
	bits := h + s.worn[stage]
	if volume(bits) == 0 {
		return 0
	}
	force := func(v float64) float64 {
		return st.Normal.Value * st.Energy.Value * s.blunt(stage) * 1000 * v * feed / (s.square * 0.75) / st.Rim()
	}
	low, high := 0.0, 5.0 // of yielding, mm
	for range 30 {
		mid := (low + high) / 2
		if force(volume(bits+mid))/head.Stiffness.Value > mid {
			low = mid
		} else {
			high = mid
		}
	}
	at := bits + (low+high)/2
	v := volume(at)
	for _, k := range under {
		s.z[k] = math.Min(s.z[k], at)
	}
	return v
}

// exercise is a job with what is true of it.
type exercise struct {
	q         worked.Question
	stone     []float64 // by stage, mm³
	g, energy []float64
	stiffness float64
	volume    float64
	removed   removal.Question
}

// how is what kind of job it is.
type how struct {
	passes []worked.Pass
	uneven float64 // of the stock, mm
	uBits  float64 // of the mean height of bits, mm
	pairs  int
	uPair  float64
	uMap   float64
	spread float64 // of the true values about the file's, in the file's standard uncertainties
	rezero bool
	dull   float64 // as of slow
}

// exerciseOf draws a machine about its file and a stone, cuts it, and reads what people would read.
func exerciseOf(file machine.Machine, h how, s *chance.Stream) exercise {
	const x, y = 914.0, 1473.0
	file.Table.Rezero = h.rezero
	truth := file
	truth.Heads = append([]machine.Head(nil), file.Heads...)
	truth.Stages = append([]machine.Stage(nil), file.Stages...)
	draw := func(k machine.Known) machine.Known {
		return machine.Known{Value: k.Value * math.Exp(h.spread*k.U/k.Value*s.Normal())}
	}
	var e0 []float64
	truth.Heads[0].Stiffness = draw(file.Heads[0].Stiffness)
	for i := range truth.Stages {
		truth.Stages[i].G = draw(file.Stages[i].G)
		truth.Stages[i].Energy = draw(file.Stages[i].Energy)
		e0 = append(e0, truth.Stages[i].Energy.Value)
	}
	c := make([]float64, 8)
	for i := range c {
		c[i] = s.Normal()
	}
	m := newSlow(truth, x, y, func(px, py float64) float64 {
		u, v := 2*px/x, 2*py/y
		return h.uneven * (0.5*c[0]*u + 0.5*c[1]*v - 0.4*c[2]*u*u - 0.4*c[3]*v*v + 0.3*c[4]*u*v + 0.35*c[5]*math.Sin(2.2*v+c[6])*math.Cos(1.7*u+c[7]))
	})
	m.dull = h.dull
	start := append([]float64(nil), m.z...)
	before := m.height
	zero := [2]float64{0, 0}
	at := before(zero[0], zero[1]) + file.Table.Setting*s.Normal()
	e := exercise{stiffness: truth.Heads[0].Stiffness.Value, stone: m.stone, energy: e0}
	job := worked.Job{Zero: &zero}
	zb := make([]float64, 0)
	xs, ys := stations(x, y)
	for i := range xs {
		zb = append(zb, before(xs[i], ys[i]))
	}
	pairsAt := [][2]float64{{-0.85, -0.9}, {0.85, -0.9}, {-0.85, 0.9}, {0.85, 0.9}, {0, -0.9}, {0, 0.9}, {-0.85, 0}, {0.85, 0}}[:h.pairs]
	var tb []float64
	for _, p := range pairsAt {
		tb = append(tb, before(p[0]*x/2, p[1]*y/2))
	}
	down, last := 0.0, -1
	for _, p := range h.passes {
		down += p.Depth
		slip := 0.0
		if h.rezero || p.Stage != last && last >= 0 {
			slip = file.Table.Setting * s.Normal()
		}
		last = p.Stage
		p.Power = m.pass(p.Stage, at-down+slip, p.Feed) * (1 + 0.02*s.Normal())
		job.Passes = append(job.Passes, p)
	}
	for i := range truth.Stages {
		e.g = append(e.g, truth.Stages[i].G.Value)
		if m.stone[i] > 0 {
			job.Bits = append(job.Bits, worked.Bits{Stage: i, Worn: m.worn[i] + h.uBits*s.Normal(), U: h.uBits, Dof: math.Inf(1), N: 24})
		}
	}
	for i := range start {
		e.volume += (start[i] - m.z[i]) * m.area()
	}
	r := removal.Question{SizeX: x, SizeY: y}
	plane := [6]float64{s.Normal(), s.Normal(), s.Normal(), s.Normal(), s.Normal(), s.Normal()}
	for i := range xs {
		u, v := 2*xs[i]/x, 2*ys[i]/y
		r.Before.X, r.Before.Y = append(r.Before.X, xs[i]), append(r.Before.Y, ys[i])
		r.Before.Z = append(r.Before.Z, zb[i]+plane[0]+plane[1]*u+plane[2]*v+h.uMap*s.Normal())
		r.After.Z = append(r.After.Z, m.height(xs[i], ys[i])+plane[3]+plane[4]*u+plane[5]*v+h.uMap*s.Normal())
	}
	r.After.X, r.After.Y, r.Before.U, r.After.U = r.Before.X, r.Before.Y, h.uMap, h.uMap
	for i, p := range pairsAt {
		px, py := p[0]*x/2, p[1]*y/2
		r.Pairs = append(r.Pairs, removal.Pair{X: px, Y: py, Taken: tb[i] - m.height(px, py) + h.uPair*s.Normal(), U: h.uPair})
	}
	e.removed = r
	e.q = worked.Question{Machine: &file, Job: job, SizeX: x, SizeY: y}
	return e
}

// stations are 6 by 9, 20 mm inside the edges.
func stations(x, y float64) (xs, ys []float64) {
	for i := range 6 {
		for j := range 9 {
			xs, ys = append(xs, (x/2-20)*(float64(i)/2.5-1)), append(ys, (y/2-20)*(float64(j)/4-1))
		}
	}
	return xs, ys
}
