package ways

import (
	"math"

	"slatewright/chance"
)

// A look is a possible measurement. Its outcomes are nodes; share gives the probability of each node for a true state, that of a draw, so
// that the shares of one draw sum to 1. From this follow the probability of each node and the belief that it leaves (Bayes: the draws
// weighted by their share). Because the shares are a proper distribution over outcomes for every draw, deciding after the look can never
// be worse than before, whatever the accuracy of the nodes, but for what the rule forbids.
type look struct {
	ask    Remeasure
	way    Way
	share  func(draw int, node func(n int, share float64))
	prob   []float64
	belief [][]float64
	few    float64 // draws that count at a node, on average
}

// The integration over readings of one characteristic.
const (
	// step is the distance of nodes in standard uncertainties of the reading. The shares of a normal distribution sampled four times
	// per standard deviation sum to the integral within e^(−2π²·16).
	step = 0.25
	// reach is how far from the truth readings are followed, in standard uncertainties: beyond it lie 2e-9.
	reach = 6
	// enough is how many draws should lie within a standard uncertainty of a reading in the middle of the draws; and finest is the
	// smallest uncertainty in terms of the draws' spread. A finer reading is taken as if it were no finer: its worth is a little low.
	enough = 30
	finest = 0.02
	// outcomes is how many readings are drawn where several characteristics are read.
	outcomes = 512
)

// u is the standard uncertainty of the mean of n readings.
func (r Reading) u(n int) float64 {
	own := r.U*r.U - r.Common*r.Common
	return math.Sqrt(r.Common*r.Common + own/float64(max(n, 1)))
}

func (m *model) newLook(ask Remeasure) look {
	l := look{ask: ask, way: Way{Measure, ask.Name}}
	nodes := 0
	if len(ask.Reads) == 1 {
		nodes = l.integrate(m, ask.Reads[0])
	} else {
		nodes = l.draw(m)
	}
	l.fill(m, nodes)
	return l
}

// fill finds the probability and the belief of each node.
func (l *look) fill(m *model, nodes int) {
	l.prob, l.belief = make([]float64, nodes), make([][]float64, nodes)
	square, width := make([]float64, nodes), len(m.now)
	for n := range l.belief {
		l.belief[n] = make([]float64, width)
	}
	for i, w := range m.weight {
		l.share(i, func(n int, share float64) {
			l.prob[n] += w * share
			square[n] += w * share * w * share
			for j, v := range m.features[i] {
				l.belief[n][j] += w * share * v
			}
		})
	}
	for n, p := range l.prob {
		if p > 0 {
			for j := range l.belief[n] {
				l.belief[n][j] /= p
			}
			l.few += p * p * p / square[n]
		}
	}
}

// column is one characteristic in all draws, with its mean and standard deviation.
func (m *model) column(name string) (values []float64, mean, sd float64) {
	j := m.index(name)
	values = make([]float64, len(m.weight))
	for i, row := range m.c.Known.Draws {
		values[i] = row[j]
		mean += m.weight[i] * row[j]
	}
	for i, v := range values {
		sd += m.weight[i] * (v - mean) * (v - mean)
	}
	return values, mean, math.Sqrt(sd)
}

func (m *model) index(name string) int {
	for j, n := range m.c.Known.Names {
		if n == name {
			return j
		}
	}
	panic("ways: nothing is known about " + name) // check has seen to it
}

// coarse is the uncertainty of a reading, but not finer than the draws can tell.
func (m *model) coarse(u, sd float64) float64 {
	return max(u, sd*max(finest, enough/(0.8*effective(m.weight))))
}

// integrate makes the nodes of reading one characteristic: evenly spaced readings over all that can be read. It returns their
// number.
func (l *look) integrate(m *model, r Reading) int {
	values, _, sd := m.column(r.Of)
	u := m.coarse(r.u(l.ask.Times), sd)
	lowest, highest := values[0], values[0]
	for _, v := range values {
		lowest, highest = min(lowest, v), max(highest, v)
	}
	origin, apart := lowest-reach*u, step*u
	const window = int(reach / step)
	l.share = func(i int, node func(int, float64)) {
		at := (values[i] - origin) / apart
		middle := int(at + 0.5)
		var shares [2*window + 1]float64
		sum := 0.0
		for k := range shares {
			z := (float64(middle-window+k) - at) * step
			shares[k] = math.Exp(-z * z / 2)
			sum += shares[k]
		}
		for k, s := range shares {
			node(middle-window+k, s/sum)
		}
	}
	return int((highest-lowest)/apart) + 2*window + 3
}

// draw makes the nodes of reading several characteristics: readings drawn around draws that stand evenly in the order of the posterior.
// The shares of a draw are its likelihoods, each over the probability density of that reading (importance weights). It returns
// their number.
func (l *look) draw(m *model) int {
	stream := chance.NewStream(m.c.Seed).Split("reading " + l.ask.Name)
	size := min(outcomes, len(m.weight))
	scaled := make([][]float64, len(m.weight)) // in standard uncertainties of the readings
	for i := range scaled {
		scaled[i] = make([]float64, len(l.ask.Reads))
	}
	for c, r := range l.ask.Reads {
		values, mean, sd := m.column(r.Of)
		u := m.coarse(r.u(l.ask.Times), sd)
		for i, v := range values {
			scaled[i][c] = (v - mean) / u
		}
	}
	table, draw, sum := make([]float64, len(m.weight)*size), 0, m.weight[0]
	for n := range size {
		for sum < (float64(n)+0.5)/float64(size) && draw < len(m.weight)-1 {
			draw++
			sum += m.weight[draw]
		}
		read := make([]float64, len(l.ask.Reads))
		for c := range read {
			read[c] = scaled[draw][c] + stream.Normal()
		}
		density := 0.0
		for i, at := range scaled {
			square := 0.0
			for c, v := range at {
				square += (v - read[c]) * (v - read[c])
			}
			table[i*size+n] = math.Exp(-square / 2)
			density += m.weight[i] * table[i*size+n]
		}
		for i := range scaled {
			table[i*size+n] /= density
		}
	}
	l.share = func(i int, node func(int, float64)) {
		row, sum := table[i*size:(i+1)*size], 0.0
		for _, s := range row {
			sum += s
		}
		for n, s := range row {
			if sum > 0 {
				node(n, s/sum)
			} else { // so far out that none of the drawn readings is likely: it tells nothing
				node(n, 1/float64(size))
			}
		}
	}
	return size
}
