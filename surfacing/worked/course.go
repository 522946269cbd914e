package worked

import "math"

// course follows the passes over the stock, node by node of the lattice on which the removal is known.
type course struct {
	q     Question
	force []float64 // of each pass, normal to the face for a depth of 1 mm, N/mm
	taken []float64 // mm, at each node
	share []float64 // of the face, of each node
	zero  float64   // taken where the disc was brought to the stone, mm
	wear  []float64 // of the bits in each pass, mm
	uWear float64   // its standard uncertainty as a share, of the stages the largest
}

func (q Question) course() *course {
	r := q.Removed
	c := &course{q: q, taken: r.Depth, share: r.Grid.Weight, wear: make([]float64, len(q.Job.Passes))}
	c.zero = math.Inf(-1)
	if z := q.Job.Zero; z != nil {
		c.zero = r.Grid.At(r.Depth, z[0], z[1])
	} else {
		for _, t := range r.Depth {
			c.zero = math.Max(c.zero, t)
		}
	}
	c.force = make([]float64, len(q.Job.Passes))
	for i, p := range q.Job.Passes {
		c.force[i] = q.force(p)
	}
	return c
}

// believed is how much the loop yields by the machine's file to a force of 1 N in a pass, mm.
func (c *course) believed(pass int) float64 {
	return 1 / c.q.Machine.HeadOf(c.q.Job.Passes[pass].Stage).Stiffness.Value
}

// set is where the disc's face is brought to in each pass, mm over the place of the zero, with what worn bits leave, half of a pass's wear on
// average.
func (c *course) set() []float64 {
	h, down, worn := make([]float64, len(c.wear)), 0.0, 0.0
	for i, p := range c.q.Job.Passes {
		if i > 0 && (c.q.Machine.Table.Rezero || p.Stage != c.q.Job.Passes[i-1].Stage) {
			worn = 0
		}
		down += p.Depth
		h[i] = -down + worn + c.wear[i]/2
		worn += c.wear[i]
	}
	return h
}

// followed is what each pass took, and the face that it left.
type followed struct {
	depth  []float64 // mean over the face, of each pass, mm
	atZero []float64 // of each pass, at the place of the zero
	cover  []float64 // share of the face that each pass cut
	uneven []float64 // standard deviation over the face of what each pass took, mm
	rest   []float64 // of the face afterwards over that at the zero, at each node, mm
	left   float64   // how high the face stands at the place of the zero over what was set in all, mm
}

// follow runs all passes for a loop that yields by give to a force of 1 N; nil: as the machine's file says. What stands before the work is what was
// taken over a face that is even but for what the passes leave themselves, which is found by going through them twice.
func (c *course) follow(give *float64) followed {
	n, passes := len(c.taken), c.q.Job.Passes
	set := c.set()
	rest := make([]float64, n) // of the face afterwards, over that at the zero
	var f followed
	for range 2 {
		f = followed{depth: make([]float64, len(passes)), atZero: make([]float64, len(passes)), cover: make([]float64, len(passes)), uneven: make([]float64, len(passes))}
		end := make([]float64, n)
		at := 0.0
		for i := range n {
			end[i] = c.taken[i] - c.zero + rest[i]
		}
		for p, h := range set {
			g := c.believed(p)
			if give != nil {
				g = *give
			}
			yields := c.force[p] * g
			square := 0.0
			for i := range n {
				if d := (end[i] - h) / (1 + yields); d > 0 {
					end[i] -= d
					f.depth[p] += c.share[i] * d
					square += c.share[i] * d * d
					f.cover[p] += c.share[i]
				}
			}
			f.uneven[p] = math.Sqrt(math.Max(square-f.depth[p]*f.depth[p], 0))
			if d := (at - h) / (1 + yields); d > 0 {
				at -= d
				f.atZero[p] = d
			}
		}
		for i := range n {
			rest[i] = end[i] - at
		}
		f.left, f.rest = at, rest
	}
	for _, p := range passes {
		f.left += p.Depth
	}
	return f
}

// shares are the parts of the stone that each stage took.
func (c *course) shares(f followed) []float64 {
	s, sum := make([]float64, len(c.q.Machine.Stages)), 0.0
	for i, p := range c.q.Job.Passes {
		s[p.Stage] += f.depth[i]
		sum += f.depth[i]
	}
	for i := range s {
		if sum > 0 {
			s[i] /= sum
		}
	}
	return s
}
