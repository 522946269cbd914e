package budget

import (
	"fmt"
	"math"
	"strings"
)

// Agreement is the comparison of both answers after JCGM 101:2008, clause 8.
type Agreement struct {
	Tolerance         float64 // half of the last digit that u is given with
	LowDiff, HighDiff float64 // how far the ends of the two intervals lie apart
	Agree             bool    // both within the tolerance
	Why               string  // a sentence
}

// Compare holds the interval of the law of propagation against that of the drawn numbers, with u given to 1 or 2 digits. Where they do
// not agree the drawn numbers are to be taken: they assume less.
func Compare(f *Framework, s *Simulation, digits int) Agreement {
	a := Agreement{Tolerance: Tolerance(f.U, digits), LowDiff: math.Abs(f.Low - s.Low), HighDiff: math.Abs(f.High - s.High)}
	a.Agree = a.LowDiff <= a.Tolerance && a.HighDiff <= a.Tolerance
	if a.Agree {
		a.Why = "both ends of the two intervals lie within half of the last digit of u"
		return a
	}
	var why []string
	if !s.Stable {
		why = append(why, fmt.Sprintf("after %d draws the drawn interval is not yet stable enough to tell", s.Draws))
	}
	if f.USecond > 1.05*f.U {
		why = append(why, fmt.Sprintf("the result is bent within the doubt of its inputs: with second-order terms u is %.3g, not %.3g", f.USecond, f.U))
	}
	if math.Abs(s.Value-f.Value) > a.Tolerance {
		why = append(why, fmt.Sprintf("the mean of the drawn results lies %.3g from the result at the best estimates", s.Value-f.Value))
	}
	if top := f.largest(); top.Share > 0.5 && top.Kind != Normal {
		why = append(why, fmt.Sprintf("%s gives %.0f %% of the variance and is %s, so the result is not normal", top.Name, 100*top.Share, top.Kind))
	} else if !math.IsInf(f.DoF, 1) {
		why = append(why, fmt.Sprintf("few readings stand behind it (%.0f effective degrees of freedom), which the two ways weigh differently", math.Floor(f.DoF)))
	}
	if len(why) == 0 {
		why = append(why, "the result is not distributed as the law of propagation takes it to be")
	}
	a.Why = strings.Join(why, "; ")
	return a
}

// largest is the row with the largest share.
func (f *Framework) largest() Row {
	top := f.Rows[0]
	for _, r := range f.Rows[1:] {
		if r.Share > top.Share {
			top = r
		}
	}
	return top
}
