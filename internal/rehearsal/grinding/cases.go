package grinding

import (
	"math"
	"strconv"

	"slatewright/chance"
)

// Cause is what is wrong with an invented machine.
type Cause int

// The causes.
const (
	Sound      Cause = iota // nothing is wrong
	LeanAlong               // the spindle leans along the feed
	LeanAcross              // across it
	BedWedge                // the bed leans
	WearWedge               // the bits wear during the pass
	BedWave                 // the bed is not flat
	BridgeWave              // the bridge is bowed
	Unbalance               // the disc leans round with its turning
	Causes     = 8
)

func (c Cause) String() string {
	return [...]string{"none", "lean along", "lean across", "bed wedge", "wear wedge", "bed wave", "bridge wave", "unbalance"}[c]
}

// kin tells causes that leave the same kind of mark: they are not mixed with each other.
func (c Cause) kin() int { return [...]int{0, 1, 1, 2, 2, 3, 3, 4}[c] }

// Several tells causes that are told from several pieces only: wedges and waves.
func (c Cause) Several() bool { return c.kin() == 2 || c.kin() == 3 }

// Case is one machine with some pieces cut on it, and how they were read.
type Case struct {
	Cause, Second Cause // Second leaves less than the first, or nothing (Sound)
	Size          [2]float64
	Machine       Machine // as it is
	PitchKnown    bool
	Dense         bool // a scan; otherwise lines of a dial across the tracks
	Faces         []Face
	Starts        []int      // +1: cut from the first track, −1: from the last
	Lines         []Face     // fine lines along the feed; may be none
	Strength      float64    // of the cause, mm: peak to valley that it leaves alone
	Lean          float64    // rad; of the cause, where it is a lean
	Slopes        [2]float64 // of a bed's wedge, along and across
}

// WedgeTold tells whether bed and wear can be told apart by what was done: pieces cut from both ends, or tracks of a known pitch
// cut to and fro and scanned.
func (c *Case) WedgeTold() bool {
	both := false
	for _, s := range c.Starts {
		both = both || s != c.Starts[0]
	}
	return both || !c.Machine.OneWay && c.Dense && c.PitchKnown
}

// Size of every piece, mm.
const sizeX, sizeY = 914.0, 1473.0

// NewCase makes case number n of a seed; mixed says whether a second cause is at work too. The same arguments give the same case.
func NewCase(cause Cause, seed uint64, n int, mixed bool) *Case {
	d := chance.NewStream(seed).Split("grinding").Split(cause.String()).Split(strconv.Itoa(n))
	c := &Case{Cause: cause, Size: [2]float64{sizeX, sizeY}}
	if d.Float64() < 0.5 {
		c.Size = [2]float64{sizeY, sizeX}
	}
	c.PitchKnown, c.Dense = d.Float64() < 0.7, d.Float64() < 0.6
	c.machine(d.Split("machine"))
	c.Strength = c.fault(cause, 0, d.Split("fault"))
	if others := d.Split("second"); mixed && cause != Sound {
		c.Second = Cause(1 + others.IntN(Causes-1))
		for c.Second.kin() == cause.kin() {
			c.Second = Cause(1 + others.IntN(Causes-1))
		}
		c.fault(c.Second, c.Strength*(0.25+0.35*others.Float64()), others)
	}
	c.cut(d)
	if cause == WearWedge {
		c.Strength = c.worn()
	}
	return c
}

// First is the case with its first n pieces alone.
func (c *Case) First(n int) *Case {
	few := *c
	few.Faces, few.Starts = c.Faces[:n], c.Starts[:n]
	if c.Cause == WearWedge {
		few.Strength = few.worn()
	}
	return &few
}

func between(d *chance.Stream, low, high float64) float64 { return low + (high-low)*d.Float64() }

// machine draws a sound machine.
func (c *Case) machine(d *chance.Stream) {
	m := &c.Machine
	m.Diameter = between(d, 300, 600)
	m.Pitch = min(m.Diameter*between(d, 0.35, 0.75), c.Size[1]/3.5)
	m.Rim, m.Bits, m.Feed = between(d, 6, 9), 60+d.IntN(37), between(d, 20, 32)
	reach := 0.8 * m.Diameter // the disc goes a tenth of its diameter beyond the edges, at least
	m.Tracks = 1 + int(math.Ceil((c.Size[1]-reach)/m.Pitch)) + d.IntN(2)
	spare := reach + float64(m.Tracks-1)*m.Pitch - c.Size[1]
	m.First = -float64(m.Tracks-1)*m.Pitch/2 + (d.Float64()-0.5)*0.9*max(0, spare)
	m.Travel = c.Size[0]/2 + m.Diameter/2
	m.OneWay = d.Float64() < 0.35
}

// fault gives the machine a fault that leaves strength (0: it is drawn), and returns what it leaves.
func (c *Case) fault(cause Cause, strength float64, d *chance.Stream) float64 {
	sign := math.Copysign(1, d.Float64()-0.5)
	draw := func(low, high float64) float64 {
		if strength > 0 {
			return strength
		}
		return low * math.Pow(high/low, d.Float64())
	}
	switch cause {
	case LeanAlong:
		h := draw(0.010, 0.045)
		c.lean(func(a *Machine, k float64) { a.Along = sign * k }, h)
		return h
	case LeanAcross:
		h := draw(0.010, 0.045)
		c.lean(func(a *Machine, k float64) { a.Across = sign * k }, h)
		return h
	case BedWedge:
		h, turn := draw(0.030, 0.100), 2*math.Pi*d.Float64()
		a, b := math.Cos(turn), math.Sin(turn)
		k := h / (math.Abs(a)*c.Size[0] + math.Abs(b)*c.Size[1])
		c.bed(func(s, t float64) float64 { return -k * (a*s + b*t) })
		if strength == 0 {
			c.Slopes = [2]float64{k * a, k * b}
		}
		return h
	case WearWedge:
		h := draw(0.025, 0.080)
		c.wear(h)
		return h
	case BedWave:
		return c.bedWave(draw(0.014, 0.045), d)
	case BridgeWave:
		return c.bridgeWave(draw(0.014, 0.045), d)
	case Unbalance:
		return c.unbalance(draw(0.006, 0.020))
	}
	return 0
}

// lean sets a lean so that it leaves h, found by cutting: half way along the piece, over two tracks in its middle.
func (c *Case) lean(set func(*Machine, float64), h float64) {
	k := 1e-4
	for range 3 { // linear: the second is already right
		probe := c.Machine
		probe.Along, probe.Across, probe.Runout, probe.Bridge, probe.Bed, probe.Wear = 0, 0, 0, nil, nil, 0
		set(&probe, k)
		middle := probe.First + math.Floor(float64(probe.Tracks-1)/2)*probe.Pitch
		var s, t []float64
		for i := range 400 {
			s, t = append(s, 0), append(t, middle+(float64(i)/400-0.5)*probe.Pitch)
		}
		k *= h / peakToValley(probe.Cut(s, t))
	}
	set(&c.Machine, k)
	if c.Lean == 0 {
		c.Lean = k
	}
}

// wear sets the wear so that the plane which it leaves in a piece cut from the first track rises by h across it.
func (c *Case) wear(h float64) {
	c.Machine.Wear = h
	for range 3 {
		c.Machine.Wear *= h / c.wornFrom(1)
	}
}

// wornFrom is the rise across a piece of the plane that the wear alone leaves there: the tracks do not lie alike from both ends.
func (c *Case) wornFrom(start int) float64 {
	probe := c.Machine
	probe.Along, probe.Across, probe.Runout, probe.Bridge, probe.Bed, probe.Backward = 0, 0, 0, nil, nil, start < 0
	s, t := c.coarse()
	_, b := c.plane(s, t, probe.Cut(s, t))
	return 2 * math.Abs(b)
}

// worn is the mean of it over the pieces.
func (c *Case) worn() (mean float64) {
	ends := map[int]float64{1: c.wornFrom(1), -1: c.wornFrom(-1)}
	for _, s := range c.Starts {
		mean += ends[s] / float64(len(c.Starts))
	}
	return mean
}

// plane are the slopes of the least-squares plane, by half the size along and across.
func (c *Case) plane(s, t, z []float64) (a, b float64) {
	var uu, vv float64
	for i := range z {
		u, v := 2*s[i]/c.Size[0], 2*t[i]/c.Size[1]
		a, b, uu, vv = a+u*z[i], b+v*z[i], uu+u*u, vv+v*v
	}
	return a / uu, b / vv
}

// bed adds to the bed.
func (c *Case) bed(f func(s, t float64) float64) {
	before := c.Machine.Bed
	c.Machine.Bed = func(s, t float64) float64 {
		if before == nil {
			return f(s, t)
		}
		return before(s, t) + f(s, t)
	}
}

func (c *Case) bedWave(h float64, d *chance.Stream) float64 {
	var k [3][3]float64
	for i := range k {
		length, turn := between(d, 600, 1100), 2*math.Pi*d.Float64()
		k[i] = [3]float64{2 * math.Pi / length * math.Cos(turn), 2 * math.Pi / length * math.Sin(turn), 2 * math.Pi * d.Float64()}
	}
	shape := func(s, t float64) float64 {
		return math.Sin(k[0][0]*s+k[0][1]*t+k[0][2]) + 0.7*math.Sin(k[1][0]*s+k[1][1]*t+k[1][2]) + 0.7*math.Sin(k[2][0]*s+k[2][1]*t+k[2][2])
	}
	s, t := c.coarse()
	z := make([]float64, len(s))
	for i := range z {
		z[i] = shape(s[i], t[i])
	}
	by := h / peakToValley(c.beyondBow(s, t, z))
	pa, pb := c.plane(s, t, z) // a bed that leans is another fault
	c.bed(func(s, t float64) float64 { return by * (shape(s, t) - 2*pa*s/c.Size[0] - 2*pb*t/c.Size[1]) })
	return h
}

func (c *Case) bridgeWave(h float64, d *chance.Stream) float64 {
	a, b := 2*math.Pi/(c.Size[0]*between(d, 0.55, 0.95)), 2*math.Pi/(c.Size[0]*between(d, 0.8, 1.4))
	pa, pb := 2*math.Pi*d.Float64(), 2*math.Pi*d.Float64()
	wave := func(s float64) float64 { return math.Sin(a*s+pa) + 0.6*math.Sin(b*s+pb) }
	ss, tt := c.coarse()
	z := make([]float64, len(ss))
	for i := range z {
		z[i] = wave(ss[i])
	}
	lean, _ := c.plane(ss, tt, z)
	bridge := func(k float64) func(float64) float64 {
		return func(s float64) float64 { return k * (wave(s) - 2*lean*s/c.Size[0]) }
	}
	by := h / 3
	for range 4 {
		probe := c.Machine
		probe.Along, probe.Across, probe.Runout, probe.Bed, probe.Wear = 0, 0, 0, nil, 0
		probe.Bridge = bridge(by)
		by *= h / peakToValley(c.beyondBow(ss, tt, probe.Cut(ss, tt)))
	}
	c.Machine.Bridge = bridge(by)
	return h
}

// unbalance sets the runout so that the ripple is h, the mean over the fine lines, and returns what it got: bits wider than the way of
// one turn leave none.
func (c *Case) unbalance(h float64) float64 {
	for { // bits wider than the way of one turn leave nothing: then the disc turns slower
		if got := c.ripple(h); got > 0.9*h || c.Machine.Feed > 60 {
			return got
		}
		c.Machine.Feed *= 1.2
	}
}

// ripple looks for the runout that leaves a ripple of h, up to 0.06 mm.
func (c *Case) ripple(h float64) (got float64) {
	c.Machine.Runout = h
	for range 10 {
		probe := c.Machine
		probe.Bridge, probe.Bed, probe.Wear = nil, nil, 0
		got = 0
		for _, t := range fineLines {
			var ss, tt []float64
			for i := range 60 {
				ss, tt = append(ss, float64(i)*probe.Feed/30), append(tt, t*c.Size[1])
			}
			got += peakToValley(probe.Cut(ss, tt)) / float64(len(fineLines))
		}
		if math.Abs(got/h-1) < 0.02 || c.Machine.Runout == 0.06 && got < h {
			break
		}
		c.Machine.Runout = min(c.Machine.Runout*min(h/max(got, h/20), 2), 0.06)
	}
	return got
}

// turned turns the disc anew for each track: no piece finds it as the one before.
func (c *Case) turned(m *Machine, d *chance.Stream) {
	m.Angle = nil
	for range m.Tracks {
		m.Angle = append(m.Angle, d.Float64()*float64(m.Bits))
	}
}

// rippleOn is what the disc's running out adds to the face on the lines that are read along the feed: the peak to valley of one turn, the mean over six turns
// on each line. Every other fault stays as it is: it decides which track and which half of the disc cut last, and so how high the ripple is.
func (c *Case) rippleOn(m Machine) float64 {
	still := m
	still.Runout = 0
	const turns, places = 6, 40
	sum := 0.0
	for _, t := range fineLines {
		for k := range turns {
			var ss, tt []float64
			for i := range places {
				ss, tt = append(ss, (float64(k)/(turns-1)-0.5)*2*(lineReach-m.Feed/2)+(float64(i)/places-0.5)*m.Feed), append(tt, t*c.Size[1])
			}
			with, without := m.Cut(ss, tt), still.Cut(ss, tt)
			for i := range with {
				with[i] -= without[i]
			}
			sum += peakToValley(with)
		}
	}
	return sum / float64(turns*len(fineLines))
}

// fineLines is where lines along the feed are read, in parts of the piece's width; lineReach how far to both sides of its middle, mm.
var fineLines = []float64{-0.21, 0.13}

const lineReach = 250

// coarse are places all over the piece.
func (c *Case) coarse() (s, t []float64) {
	for i := range 25 {
		for j := range 25 {
			s, t = append(s, (float64(i)/24-0.5)*c.Size[0]), append(t, (float64(j)/24-0.5)*c.Size[1])
		}
	}
	return s, t
}

// beyondBow is what is left of heights without plane, bow and twist: what a piece has of its own. The places are even, so that the five terms are
// taken off one after the other.
func (c *Case) beyondBow(s, t, z []float64) []float64 {
	out := append([]float64(nil), z...)
	for range 3 {
		for _, f := range []func(u, v float64) float64{
			func(u, v float64) float64 { return 1 }, func(u, v float64) float64 { return u }, func(u, v float64) float64 { return v },
			func(u, v float64) float64 { return u*u - 1.0/3 }, func(u, v float64) float64 { return v*v - 1.0/3 }, func(u, v float64) float64 { return u * v }} {
			var a, b float64
			for i := range out {
				x := f(2*s[i]/c.Size[0], 2*t[i]/c.Size[1])
				a, b = a+x*out[i], b+x*x
			}
			for i := range out {
				out[i] -= a / b * f(2*s[i]/c.Size[0], 2*t[i]/c.Size[1])
			}
		}
	}
	return out
}

func peakToValley(z []float64) float64 {
	low, high := z[0], z[0]
	for _, x := range z {
		low, high = min(low, x), max(high, x)
	}
	return high - low
}

// cut cuts the pieces and reads them.
func (c *Case) cut(d *chance.Stream) {
	n := 1 + d.IntN(4)
	if c.Cause.Several() {
		n = 6 + d.IntN(7)
	}
	turns := d.Float64() < 0.7
	s, t := c.places()
	for i := range n {
		p := d.Split("piece").Split(strconv.Itoa(i))
		start := 1
		if turns && i%2 == 1 {
			start = -1
		}
		m := c.Machine
		m.Backward = start < 0
		c.turned(&m, p)
		stone := Stone{BowS: 0.04 * p.Normal(), BowT: 0.04 * p.Normal(), Twist: 0.015 * p.Normal(), Sigma: between(p, 0.003, 0.007), Length: between(p, 130, 250), Chips: p.IntN(5)}
		r := Reading{Noise: between(p, 0.003, 0.005), CaliperU: 0.008}
		if !c.Dense {
			r.Noise = between(p, 0.002, 0.003)
		}
		c.Starts = append(c.Starts, start)
		if i == 0 && (c.Cause == Unbalance || d.Split("lines").Float64() < 0.5) {
			var ls, lt []float64
			for _, t := range fineLines {
				for k := range 251 {
					ls, lt = append(ls, 2*float64(k)-lineReach), append(lt, t*c.Size[1])
				}
			}
			if c.Cause == Unbalance {
				wanted := c.Strength
				for range 30 { // where the tracks' ripples fill each other up, there is none to be found
					if c.Strength = c.rippleOn(m); c.Strength > 0.8*wanted {
						break
					}
					c.turned(&m, p)
				}
			}
			c.Lines = append(c.Lines, stone.Cut(&m, c.Size, ls, lt, Reading{Noise: 0.002, CaliperU: r.CaliperU}, p.Split("cut")))
		}
		c.Faces = append(c.Faces, stone.Cut(&m, c.Size, s, t, r, p.Split("cut")))
	}
}

// places are where the faces are read: every 7.5 mm, or on seven lines across the tracks every 10 mm; 15 mm of the edges are left out.
func (c *Case) places() (s, t []float64) {
	rows, step := 7, 10.0
	if c.Dense {
		rows, step = int((c.Size[0]-30)/7.5)+1, 7.5
	}
	cols := int((c.Size[1]-30)/step) + 1
	for i := range rows {
		for j := range cols {
			s = append(s, (float64(i)/float64(rows-1)-0.5)*(c.Size[0]-30))
			t = append(t, (float64(j)/float64(cols-1)-0.5)*(c.Size[1]-30))
		}
	}
	return s, t
}
