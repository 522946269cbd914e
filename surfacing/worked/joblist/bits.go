package joblist

import (
	"fmt"
	"math"
	"strings"

	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked"
)

// heights are those of a stage's bits, mm.
type heights struct {
	list []float64
	n    int // of which a single number is the mean; 0: the list is one of bits
	line int
}

// bits reads '# bits before: STAGE 7.84 7.86 …' and '# bits after: …', or the mean of so many: '# bits before: STAGE mean 7.851 of 24'.
func (l *List) bits(s *sheet.Sheet, m *machine.Machine) error {
	u, said, err := s.TakeLength("u bits")
	if err != nil {
		return err
	}
	if !said || u == 0 {
		u = UsualUBits
	}
	before, err := take(s, "bits before", m)
	if err != nil {
		return err
	}
	after, err := take(s, "bits after", m)
	if err != nil {
		return err
	}
	for stage := range m.Stages {
		b, hasB := before[stage]
		a, hasA := after[stage]
		if hasB != hasA {
			line, is, other := b.line, "before", "after"
			if hasA {
				line, is, other = a.line, other, is
			}
			return s.Bad(line, "half-bits", fmt.Sprintf("the bits of %q were measured %s the work only", m.Stages[stage].Name, is), fmt.Sprintf("give '# bits %s:' of the same stage too, or leave both out", other))
		}
		if !hasB {
			continue
		}
		if (a.n > 0) != (b.n > 0) {
			return s.Bad(a.line, "half-bits", "one of the two is a mean and the other a list of bits", "give both as lists, or both as means")
		}
		w := worn(b, a, u)
		w.Stage = stage
		if !said && (a.n > 0 || len(a.list) < fewBits) {
			l.warn(fmt.Sprintf("the caliper's uncertainty of a bit's height is not said ('# u bits:'): %g mm is taken", u))
		}
		if a.n > 0 {
			l.warn("means tell nothing of how differently bits wear: the list of their heights says more")
		}
		l.Bits = append(l.Bits, w)
	}
	return nil
}

// take reads the lines of one key by stage.
func take(s *sheet.Sheet, key string, m *machine.Machine) (map[int]heights, error) {
	found := map[int]heights{}
	for _, h := range s.TakeAll(key) {
		bad := func(what string) error {
			return s.Bad(h.Line, "bad-bits", "# "+key+": "+what, "write the stage and the heights in mm, such as '# "+key+": rough 7.84 7.86 7.81', or '# "+key+": rough mean 7.851 of 24'")
		}
		words := strings.Fields(strings.TrimSuffix(strings.TrimSpace(h.Value), "mm"))
		mean, of := 0, 0
		if n := len(words); n >= 4 && words[n-4] == "mean" && words[n-2] == "of" {
			v, err := measure.ParseNumber(words[n-1])
			if of = int(v); err != nil || v != float64(of) || of < 1 || of > 100000 {
				return nil, bad(fmt.Sprintf("%q is no number of bits", words[n-1]))
			}
			words, mean = append(words[:n-4:n-4], words[n-3]), 1
		}
		var list []float64
		for len(words) > 0 {
			v, err := measure.ParseNumber(words[len(words)-1])
			if err != nil || mean > 0 && len(list) == 1 {
				break
			}
			list, words = append([]float64{v}, list...), words[:len(words)-1]
		}
		if len(list) == 0 || len(words) == 0 {
			return nil, bad(fmt.Sprintf("%q holds no stage with heights", h.Value))
		}
		for _, v := range list {
			if !(v > 0 && v < 100) {
				return nil, bad(fmt.Sprintf("a height of %g mm", v))
			}
		}
		if mean == 0 && len(list) == 1 {
			return nil, bad("one number alone: of how many bits is it the mean?")
		}
		stage, err := stageOf(s, h.Line, strings.Join(words, " "), m)
		if err != nil {
			return nil, err
		}
		if f, twice := found[stage]; twice {
			return nil, s.Bad(h.Line, "bad-bits", fmt.Sprintf("the same stage stands at line %d", f.line), "write all heights of a stage on one line")
		}
		found[stage] = heights{list, of, h.Line}
	}
	return found, nil
}

// fewBits is the number below which the scatter of the bits is not trusted to tell itself.
const fewBits = 5

// worn is how far bits wore. Bits that were measured in the same order both times are compared each with itself, since their own heights differ more than their
// wear; otherwise means are. The scatter tells the doubt, from so many bits on, with Student's factor; the caliper's own uncertainty otherwise.
func worn(before, after heights, u float64) worked.Bits {
	if before.n > 0 {
		return worked.Bits{Worn: before.list[0] - after.list[0], U: u * math.Sqrt(1/float64(before.n)+1/float64(after.n)), Dof: math.Inf(1), N: min(before.n, after.n)}
	}
	nb, na := float64(len(before.list)), float64(len(after.list))
	caliper := u * math.Sqrt(1/nb+1/na)
	if len(before.list) == len(after.list) {
		each := make([]float64, len(after.list))
		for i := range each {
			each[i] = before.list[i] - after.list[i]
		}
		mean, sd := spread(each)
		w := worked.Bits{Worn: mean, U: caliper, Dof: math.Inf(1), N: len(each)}
		if len(each) >= fewBits {
			w.U, w.Dof = math.Max(sd/math.Sqrt(na), caliper/4), na-1
		}
		return w
	}
	mb, sb := spread(before.list)
	ma, sa := spread(after.list)
	w := worked.Bits{Worn: mb - ma, N: min(len(before.list), len(after.list))}
	vb, va := sb*sb/nb, sa*sa/na
	w.U = math.Max(math.Sqrt(vb+va), caliper)
	w.Dof = math.Max(math.Min(nb, na)-1, 1)
	return w
}

func spread(list []float64) (mean, sd float64) {
	n := float64(len(list))
	for _, v := range list {
		mean += v / n
	}
	for _, v := range list {
		sd += (v - mean) * (v - mean) / (n - 1)
	}
	return mean, math.Sqrt(sd)
}
