package trial

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"slatewright/internal/rehearsal/families"
	"slatewright/wholeface"
)

// Result is what a family showed.
type Result struct {
	Family families.Family
	Size   Size
	Prior  *wholeface.Prior
	pieces []piece
}

// Way names a way of judging.
type Way int

const (
	Raw       Way = iota // the model alone, no scans
	Unlearned            // no scans, widened: what is answered without a prior
	Learned              // as learned from scans
	Stopped              // as learned, under the stop rule
)

func (w Way) String() string {
	return [...]string{"model alone", "without scans", "learned from scans", "learned, stop rule"}[w]
}

// Ways lists them.
func Ways() []Way { return []Way{Raw, Unlearned, Learned, Stopped} }

func (p piece) said(w Way) said { return [...]said{p.raw, p.unlearned, p.learned, p.stopped}[w] }

// Holds is the share of pieces whose true zone lies in the interval from 5 to 95 %.
func (r *Result) Holds(w Way) float64 {
	n := 0
	for _, p := range r.pieces {
		if s := p.said(w); p.truth >= s.low && p.truth <= s.high {
			n++
		}
	}
	return float64(n) / float64(len(r.pieces))
}

// Thirds are the shares that Holds counts, of the third of the pieces said to be flattest, the middle one, and the one said to be least flat.
func (r *Result) Thirds(w Way) (list [3]float64) {
	pieces := slices.Clone(r.pieces)
	slices.SortStableFunc(pieces, func(a, b piece) int { return cmp.Compare(a.said(w).low*a.said(w).high, b.said(w).low*b.said(w).high) })
	for k := range list {
		third := Result{pieces: pieces[k*len(pieces)/3 : (k+1)*len(pieces)/3]}
		list[k] = third.Holds(w)
	}
	return list
}

// Width is the mean width of the interval, mm.
func (r *Result) Width(w Way) float64 {
	sum := 0.0
	for _, p := range r.pieces {
		sum += p.said(w).high - p.said(w).low
	}
	return sum / float64(len(r.pieces))
}

// Decile is one band of the said probability of conformance.
type Decile struct {
	Pieces   int
	Said     float64 // mean probability
	Conform  int     // how many did
	Low, Top int     // how many may, 99 %
}

// Outside tells whether more or fewer conformed than chance allows.
func (d Decile) Outside() bool { return d.Conform < d.Low || d.Conform > d.Top }

// Deciles sorts the pieces by the said probability.
func (r *Result) Deciles(w Way) [10]Decile {
	var list [10]Decile
	var said [10][]float64
	for _, p := range r.pieces {
		v := p.said(w).conforms
		k := min(9, int(v*10))
		said[k] = append(said[k], v)
		list[k].Pieces++
		list[k].Said += v
		if p.truth <= p.limit {
			list[k].Conform++
		}
	}
	for k := range list {
		if d := &list[k]; d.Pieces > 0 {
			d.Said /= float64(d.Pieces)
			d.Low, d.Top = allowed(said[k])
		}
	}
	return list
}

// allowed is the interval that holds the number of conforming pieces with 99 %, half a per cent on either side at most, when
// each conforms with its own probability (the Poisson binomial distribution, by convolution).
func allowed(p []float64) (low, high int) {
	mass := make([]float64, len(p)+1)
	mass[0] = 1
	for n, v := range p {
		for k := n + 1; k >= 0; k-- {
			mass[k] *= 1 - v
			if k > 0 {
				mass[k] += mass[k-1] * v
			}
		}
	}
	for sum := 0.0; low < len(p); low++ {
		if sum += mass[low]; sum > 0.005 {
			break
		}
	}
	high = len(p)
	for sum := 0.0; high > 0; high-- {
		if sum += mass[high]; sum > 0.005 {
			break
		}
	}
	return low, high
}

// FewInBand is how many pieces a band needs to be looked at.
const FewInBand = 50

// Faults counts the bands of enough pieces that lie outside.
func (r *Result) Faults(w Way, few int) int {
	n := 0
	for _, d := range r.Deciles(w) {
		if d.Pieces >= few && d.Outside() {
			n++
		}
	}
	return n
}

// Rates are the errors of a rule, as shares of all pieces. Wrong yes ships a piece that does not conform.
type Rates struct{ WrongYes, WrongNo float64 }

// Dear is how many times a wrong yes costs what a wrong no does, for the comparison of rules only: an example, not a price.
const Dear = 5.0

// Cost is the mean cost of a piece, in units of one wrong no.
func (r Rates) Cost() float64 { return Dear*r.WrongYes + r.WrongNo }

// Rule decides a piece.
type Rule struct {
	Name string
	yes  func(p piece) bool
}

// Rules are the ways to decide that are compared. The last ones say yes where a yes is expected to cost less than a no.
func Rules() []Rule {
	const enough = Dear / (1 + Dear)
	return []Rule{
		{"range of readings <= limit", func(p piece) bool { return p.reach <= p.limit }},
		{"range + U <= limit", func(p piece) bool { return p.reach+2*math.Sqrt2*p.u <= p.limit }},
		{"range - U <= limit", func(p piece) bool { return p.reach-2*math.Sqrt2*p.u <= p.limit }},
		{"model alone", func(p piece) bool { return p.raw.conforms >= enough }},
		{"learned from scans", func(p piece) bool { return p.learned.conforms >= enough }},
	}
}

// Rates counts the errors of a rule.
func (r *Result) Rates(rule Rule) Rates {
	var s Rates
	for _, p := range r.pieces {
		switch yes, good := rule.yes(p), p.truth <= p.limit; {
		case yes && !good:
			s.WrongYes++
		case !yes && good:
			s.WrongNo++
		}
	}
	n := float64(len(r.pieces))
	return Rates{s.WrongYes / n, s.WrongNo / n}
}

// Early is the share of pieces on which the stop rule saved readings, and how many of those would have conformed.
func (r *Result) Early() (share float64, wrong int) {
	n := 0
	for _, p := range r.pieces {
		if p.early {
			n++
			if p.truth <= p.limit {
				wrong++
			}
		}
	}
	return float64(n) / float64(len(r.pieces)), wrong
}

// Together puts the pieces of several mills of one family together, each judged by its own mill's prior.
func Together(mills []*Result) *Result {
	all := &Result{Family: mills[0].Family, Size: mills[0].Size}
	all.Size.Pieces = 0
	for _, r := range mills {
		all.pieces = append(all.pieces, r.pieces...)
		all.Size.Pieces += len(r.pieces)
	}
	return all
}

// Print writes the tables of all families, each tried in one mill or more, for people and for the handbook.
func Print(w io.Writer, list [][]*Result) {
	fmt.Fprint(w, "90 % intervals       holds truth   mean width   each mill: holds truth, bands outside\n")
	for _, same := range list {
		all := Together(same)
		for _, way := range Ways() {
			fmt.Fprintf(w, "%-8s %-20s %5.1f %%     %.3f mm ", all.Family, way, 100*all.Holds(way), all.Width(way))
			for _, r := range same {
				fmt.Fprintf(w, "  %.1f %%, %d", 100*r.Holds(way), r.Faults(way, FewInBand))
			}
			fmt.Fprintln(w)
		}
	}
	fmt.Fprint(w, "\nlearned from scans   the third said to be flattest, the middle one, the third said to be least flat\n")
	for _, same := range list {
		t := Together(same).Thirds(Learned)
		fmt.Fprintf(w, "%-20s %5.1f %%  %5.1f %%  %5.1f %%\n", same[0].Family, 100*t[0], 100*t[1], 100*t[2])
	}
	for _, same := range list {
		r := Together(same)
		fmt.Fprintf(w, "\n%s: probability of conformance, learned from %d scans in each mill, %d other pieces\n", r.Family, r.Size.Scans, r.Size.Pieces)
		fmt.Fprint(w, "said        pieces   conformed   expected   99 % band\n")
		for k, d := range r.Deciles(Learned) {
			mark := ""
			if d.Pieces >= FewInBand && d.Outside() {
				mark = "   outside"
			}
			fmt.Fprintf(w, "%3d-%3d %%   %6d   %9d   %8.1f   %d to %d%s\n", 10*k, 10*k+10, d.Pieces, d.Conform, d.Said*float64(d.Pieces), d.Low, d.Top, mark)
		}
		share, wrong := r.Early()
		fmt.Fprintf(w, "stopped with a no after 30 readings: %.0f %% of the pieces, %d of them conformed\n", 100*share, wrong)
	}
	fmt.Fprintf(w, "\nrule                          family   wrong yes   wrong no   cost (a wrong yes as dear as %g wrong noes)\n", Dear)
	for _, rule := range Rules() {
		for _, same := range list {
			r := Together(same)
			s := r.Rates(rule)
			fmt.Fprintf(w, "%-28s  %-7s  %6.1f %%   %6.1f %%   %.3f\n", rule.Name, r.Family, 100*s.WrongYes, 100*s.WrongNo, s.Cost())
		}
	}
}
