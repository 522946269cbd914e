// Package learn makes a prior for package wholeface from the mill's own dense scans.
//
// It learns three things. Which shapes and which parameters of the residual are how likely: the shares of the settings that
// make all scans together most likely (maximum likelihood of a mixing distribution, by the EM algorithm). And then, by
// rehearsal, how far the true zone lies from what the model says: each scan is read with noise on the measuring grid, several
// times with the lines of the grid moved about and with the bows of other scans, the model answers, and the truth is known. A line through
// the features of the answers gives the centre, another the spread, and the list of what remains the shape of the
// correction. Misses are taken from lines for centre and spread that have not seen the scan (cross-fitting in folds of whole
// scans), or they would come out too small.
//
// It cannot teach about a machine that made none of the scans, about faces unlike them, or about what a scanner itself gets
// wrong. It judges nothing.
package learn

import (
	"crypto/sha256"
	"encoding/hex"
	"math"
	"slices"
	"strconv"

	"slatewright/chance"
	"slatewright/cores"
	"slatewright/trouble"
	"slatewright/wholeface"
	"slatewright/wholeface/scan"
)

// Scan is one true face to learn from. Digest is that of the file it came from.
type Scan struct {
	scan.Face
	Digest [32]byte
	U      float64 // standard uncertainty of a point of the scan, mm; 0: not known
}

// Plan says how pieces will be read when they are judged.
type Plan struct {
	Family     string
	NX, NY     int       // stations along x and along y
	U          []float64 // standard uncertainties of one reading to rehearse, mm
	Inset      float64   // how far inside the edge band the outermost stations lie, mm
	Rehearsals int       // how often each scan is read for each number of readings; 0 means Rehearsals
	Draws      int       // faces drawn for each; 0 means wholeface.Draws
	Seed       uint64
}

const (
	LeastScans = 30 // fewer teach neither a line nor a tail
	fewScans   = 100
	Rehearsals = 12
	folds      = 10
)

// Usual is the plan of a 9 by 6 grid, long side by short side, with the uncertainties of the usual instruments.
func Usual(sizeX, sizeY float64) Plan {
	p := Plan{NX: 6, NY: 9, U: []float64{0.006, 0.012, 0.020}}
	if sizeX > sizeY {
		p.NX, p.NY = 9, 6
	}
	return p
}

// From makes the prior. Errors are *trouble.Trouble.
func From(scans []Scan, plan Plan) (*wholeface.Prior, error) {
	if err := check(scans, plan); err != nil {
		return nil, err
	}
	if plan.Rehearsals == 0 {
		plan.Rehearsals = Rehearsals
	}
	scans = slices.Clone(scans)
	slices.SortFunc(scans, func(a, b Scan) int { return slices.Compare(a.Digest[:], b.Digest[:]) })
	first := scans[0]
	p := wholeface.Blank()
	p.Family, p.Scans, p.Digest = plan.Family, len(scans), digest(scans)
	p.SizeX, p.SizeY, p.CutoffMM, p.BandMM, p.ReadingsU = first.SizeX, first.SizeY, first.Cutoff, first.Band, plan.U
	fields := wholeface.NewFields(first.SizeX, first.SizeY, first.Band, plan.Seed)
	p.Trend = trend(scans)
	if err := mix(p, scans, fields, plan.Seed); err != nil {
		return nil, err
	}
	apart := !together(scans)
	for _, every := range []int{2, 1} {
		look, err := stage{p, scans, fields, plan, every, apart}.look()
		if err != nil {
			return nil, err
		}
		p.Correction = append(p.Correction, look)
	}
	p.Warnings = append(p.Warnings, doubts(scans)...)
	if !apart {
		p.Warnings = append(p.Warnings, "bow and the rest of the face hang together on this machine: no bow was rehearsed with the surface of another piece, and the intervals vary more for it")
	}
	return p, nil
}

func check(scans []Scan, plan Plan) error {
	bad := func(code, what, next string) error { return trouble.Data(code, "the scans", what, next) }
	if len(scans) < LeastScans {
		return bad("few-scans", strconv.Itoa(len(scans))+" scans are too few to learn from", "scan at least "+strconv.Itoa(LeastScans)+
			" pieces of the machine; 200 make the answer steady")
	}
	if plan.NX < 3 || plan.NY < 3 || plan.NX*plan.NY > 300 {
		return bad("bad-grid", "the grid must have 3 to 100 stations each way and at most 300", "give the grid that is read in the mill, such as 6x9")
	}
	if len(plan.U) == 0 || slices.Min(plan.U) <= 0 {
		return bad("no-u", "the standard uncertainty of one reading must be more than 0", "give the one of the instrument, such as 0.012 mm")
	}
	a := scans[0]
	for _, s := range scans {
		if math.Abs(s.SizeX-a.SizeX) > 5 || math.Abs(s.SizeY-a.SizeY) > 5 || s.Band != a.Band || s.Cutoff != a.Cutoff {
			return bad("mixed-scans", "the scans are of pieces of different size, band or cutoff", "learn from one size of piece at a time")
		}
	}
	seen := map[[32]byte]bool{}
	for _, s := range scans {
		if seen[s.Digest] {
			return bad("same-scan", "two of the scans are the same", "take the second one out: it teaches nothing and makes the doubt look small")
		}
		seen[s.Digest] = true
	}
	return nil
}

// digest is SHA-256 over the digests of the scans in rising order.
func digest(scans []Scan) string {
	h := sha256.New()
	for _, s := range scans {
		h.Write(s.Digest[:])
	}
	return hex.EncodeToString(h.Sum(nil))
}

// doubts are what a user of the prior must know of its scans. No scan twice: they come with the prior, not with the piece.
func doubts(scans []Scan) (list []string) {
	if len(scans) < fewScans {
		list = append(list, "only "+strconv.Itoa(len(scans))+" scans were learned from: the interval may hold the truth a few per cent more or less often than it says")
	}
	coarse := 0
	for _, s := range scans {
		if !s.Filtered {
			coarse++
		}
	}
	if coarse > 0 {
		list = append(list, trouble.Count(coarse, "scan was", "scans were")+" too coarse to filter: their points were taken as the true face, noise and all")
	}
	return list
}

// trend says how bow and twist spread over the scans.
func trend(scans []Scan) [3]wholeface.Belief {
	var sum, squares [3]float64
	n := float64(len(scans))
	for _, s := range scans {
		for k, v := range wholeface.Terms(s.Nodes, s.SizeX, s.SizeY) {
			sum[k] += v
			squares[k] += v * v
		}
	}
	var b [3]wholeface.Belief
	for k := range b {
		mean := sum[k] / n
		b[k] = wholeface.Belief{Mean: mean, SD: math.Max(0.002, math.Sqrt(math.Max(0, squares[k]/n-mean*mean)*n/(n-1)))}
	}
	return b
}

// spread is how many places of each scan tell the parameters.
const spread = 80

// mix fits the weights of the settings.
func mix(p *wholeface.Prior, scans []Scan, fields *wholeface.Fields, seed uint64) error {
	logs := make([][]float64, len(scans))
	errs := make([]error, len(scans))
	cores.Share(len(scans), 1, func(from, to int) {
		for i := from; i < to; i++ {
			logs[i], errs[i] = p.Likelihoods(places(scans[i], seed), fields)
		}
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	p.Weights = shares(logs)
	return nil
}

// places takes points of a scan, some close together and the rest all over: close pairs tell what is short.
func places(s Scan, seed uint64) wholeface.Question {
	draw := chance.NewStream(seed).Split("places").Split(hex.EncodeToString(s.Digest[:8]))
	q := wholeface.Question{SizeX: s.SizeX, SizeY: s.SizeY, Band: s.Band, U: math.Max(0.001, s.U/5)}
	n := s.Nodes.Len()
	for len(q.Readings) < spread {
		i := draw.IntN(n)
		q.Readings = append(q.Readings, wholeface.Reading{X: s.Nodes.X[i], Y: s.Nodes.Y[i], Z: s.Nodes.Z[i]})
		if k := near(s, i, draw); k >= 0 && len(q.Readings)%3 == 0 {
			q.Readings = append(q.Readings, wholeface.Reading{X: s.Nodes.X[k], Y: s.Nodes.Y[k], Z: s.Nodes.Z[k]})
		}
	}
	return q
}

// near finds a point 25 to 75 mm away from point i, or −1.
func near(s Scan, i int, draw *chance.Stream) int {
	for range 40 {
		k := max(0, min(s.Nodes.Len()-1, i+draw.IntN(600)-300))
		if d := math.Hypot(s.Nodes.X[k]-s.Nodes.X[i], s.Nodes.Y[k]-s.Nodes.Y[i]); d >= 25 && d <= 75 {
			return k
		}
	}
	return -1
}

// shares are the mixing weights by EM: each step is the mean of the probabilities that the scans give the settings under the step
// before. It begins even, runs 60 steps, and drops what weighs less than one scan in a thousand. The logarithms are used up.
func shares(logs [][]float64) []float64 {
	m := len(logs[0])
	w := make([]float64, m)
	for k := range w {
		w[k] = 1 / float64(m)
	}
	for _, l := range logs {
		most := slices.Max(l)
		for k := range l {
			l[k] = math.Exp(l[k] - most)
		}
	}
	next := make([]float64, m)
	for range 60 {
		clear(next)
		for _, l := range logs {
			sum := 0.0
			for k, v := range l {
				sum += w[k] * v
			}
			for k, v := range l {
				next[k] += w[k] * v / sum / float64(len(logs))
			}
		}
		w, next = next, w
	}
	sum := 0.0
	for k := range w {
		if w[k] < 1e-3 {
			w[k] = 0
		}
		sum += w[k]
	}
	for k := range w {
		w[k] /= sum
	}
	return w
}
