package seasoning

import (
	"math"
	"slices"

	"slatewright/chance"
	"slatewright/gauge/tables"
	"slatewright/seasoning/relax"
)

// How much evidence an account must bring before it is believed against the plainer one: the tail probabilities of the drop in the sum of squares.
// Chosen on invented pieces so that the 95 % limit holds and few limits are lost (docs/season.md); no source.
const (
	oddForm  = 0.05   // for another form than the plain one
	oddWrong = 0.001  // for one given reading to be wrong
	oddTwo   = 0.01   // for a second term
	oddJump  = 0.0001 // for one given day on which everything was shifted
)

// scale says what a rise in the sum of squares weighs.
type scale struct {
	known    bool
	variance float64 // of a weighted reading; 1 where the noise is known
	q        float64 // rise that 95 % one-sided allows
}

// price is the drop, in variances, that one, two or so more numbers must bring with so many degrees of freedom left.
func (p *problem) price(odd, numbers float64, freedom int) float64 {
	switch {
	case p.known && numbers == 1:
		z := chance.Quantile(1 - odd/2)
		return z * z
	case p.known:
		return tables.ChiSquaredPoint(1-odd, numbers)
	case numbers == 1:
		t := tables.StudentPoint(1-odd/2, float64(freedom))
		return t * t
	}
	return numbers * tables.FPoint(1-odd, numbers, float64(freedom))
}

// gain is by how much the drop from one sum of squares to another is more than its price; above 0 the richer account is believed.
func (p *problem) gain(odd, numbers, before, after float64, freedom int) float64 {
	variance := 1.0
	if !p.known {
		if freedom < 2 {
			return math.Inf(-1)
		}
		variance = p.scatter(after, freedom)
	}
	return (before-after)/variance - p.price(odd, numbers, freedom)
}

// scatter is the variance of a weighted reading where the noise is not known.
func (p *problem) scatter(rss float64, freedom int) float64 {
	mean := meanWeight(p)
	return max(rss/float64(freedom), p.floor*mean*mean, math.SmallestNonzeroFloat64)
}

// other is an account beside the best one, and how much worse it is, in variances.
type other struct {
	account
	worse float64
}

// choose finds the account to believe, going from the plainest to richer ones while each step pays, and those beside it that cannot be ruled out.
func (p *problem) choose(within float64) (best account, beside []other) {
	best = p.weigh(hypothesis{}, true)
	if !best.ok {
		return best, nil
	}
	most := max(1, len(p.Days)/5)
	for range most + 2 {
		next, gain := best, 0.0
		for _, o := range p.richer(best, 0, most) {
			if -o.worse > gain {
				next, gain = o.account, -o.worse
			}
		}
		if gain == 0 {
			break
		}
		best = p.full(next)
	}
	for _, i := range best.out { // a later step may have explained what was thought wrong
		h := best.hypothesis
		h.out = slices.DeleteFunc(slices.Clone(h.out), func(j int) bool { return j == i })
		back := p.weigh(h, true)
		if !back.ok {
			continue
		}
		switch worse := p.gain(oddWrong, 1, back.rss, best.rss, best.freedom); {
		case worse <= 0:
			best = back
		case worse <= within:
			beside = append(beside, other{back, worse})
		}
	}
	beside = append(beside, p.richer(best, within, most)...)
	if !best.two {
		for f := relax.Plain; f < relax.Forms; f++ {
			h := best.hypothesis
			if h.form = f; f != best.form {
				if b := p.weigh(h, false); b.ok {
					beside = append(beside, other{b, (b.rss - best.rss)}) // in units of the weighted readings, see Fit.choose
				}
			}
		}
	}
	if !best.two && best.freedom >= 1 {
		for _, steps := range relax.Steps() {
			h := best.hypothesis
			h.form, h.skin = relax.Plain, steps
			if b := p.weigh(h, false); b.ok {
				beside = append(beside, other{b, b.rss - best.rss})
			}
		}
	}
	return best, beside
}

func (p *problem) full(a account) account {
	if a.without != nil {
		return a
	}
	return p.weigh(a.hypothesis, true)
}

// richer lists the accounts one step beyond a, no worse than within.
func (p *problem) richer(a account, within float64, most int) (list []other) {
	try := func(h hypothesis, odd, numbers float64) {
		if b := p.weigh(h, false); b.ok && b.freedom >= 1 {
			if gain := p.gain(odd, numbers, a.rss, b.rss, b.freedom); gain > -within {
				list = append(list, other{b, -gain})
			}
		}
	}
	if len(a.out) < most && a.freedom >= 2 {
		for j, i := range a.rows.keep {
			if p.gain(oddWrong, 1, a.rss, a.without[j], a.freedom-1) > -within {
				try(a.hypothesis.without(i), oddWrong, 1)
			}
		}
	}
	could := func(odd, numbers float64) bool { return !p.known || a.rss > p.price(odd, numbers, 1)-within }
	if a.form == relax.Plain && !a.two && within == 0 && could(oddForm, 1) {
		for f := relax.Plain + 1; f < relax.Forms; f++ {
			h := a.hypothesis
			h.form = f
			try(h, oddForm, 1)
		}
	}
	if !a.two && a.freedom >= 3 && could(oddTwo, 2) {
		h := a.hypothesis
		h.two, h.form = true, relax.Plain
		try(h, oddTwo, 2)
	}
	if a.jump == 0 && !a.two && a.freedom >= 3 && could(oddJump, 1) {
		if h, ok := p.jump(a); ok {
			try(h, oddJump, 1)
		}
	}
	return list
}

// jump finds the day before which a shift of everything would explain most.
func (p *problem) jump(a account) (best hypothesis, ok bool) {
	least := a.rss
	for _, k := range a.rows.keep[2 : len(a.rows.keep)-1] {
		h := a.hypothesis
		h.jump = k
		r := p.rows(h)
		if r.short || p.Days[k] == p.Days[k-1] {
			continue
		}
		shifted := account{hypothesis: h, rows: r}
		if _, told := shifted.scan(false); told {
			if rss := slices.Min(shifted.course); rss < least {
				least, best, ok = rss, h, true
			}
		}
	}
	return best, ok
}
