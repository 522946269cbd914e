package holes

import (
	"math"

	"slatewright/bed"
	"slatewright/judge"
)

// decide holds a distance in the plane against its limit. The mill's rule is applied to the distance; besides, the middle must lie within the
// circle of the limit with the probability that the rule wants, for in the plane a place may leave its circle sideways too.
func decide(distance, u, limit float64, d bed.Decision) Verdict {
	v := Verdict{ruled(distance, u, limit, d), distance, u, limit, inside(limit, distance, u)}
	if v.Verdict == judge.Conforms && d.Rule != bed.RuleSimple && v.Probability < 1-d.Risk {
		v.Verdict = judge.CannotTell
	}
	return v
}

// ruled is what the rule says of the distance alone.
func ruled(distance, u, limit float64, d bed.Decision) judge.Verdict {
	return judge.Decide(judge.Characteristic{Value: distance, U: u, Limit: limit}, d).Verdict
}

// held is decide's verdict without its probability, which is worked out only where it can change the verdict.
func held(distance, u, limit float64, d bed.Decision) judge.Verdict {
	if v := ruled(distance, u, limit, d); v != judge.Conforms || limit-distance > 8*u {
		return v
	}
	return decide(distance, u, limit, d).Verdict
}

// inside is the probability that a place estimated at a distance from the middle of a circle, with the standard uncertainty u of each coordinate, is
// inside the circle: the integral over the direction across (Simpson's rule).
func inside(radius, distance, u float64) float64 {
	if !(u > 0) {
		if distance <= radius {
			return 1
		}
		return 0
	}
	const steps = 64
	edge := radius / u
	reach := math.Asin(math.Min(1, 8/edge)) // y = edge·sin θ takes the root out of the circle's edge
	h := 2 * reach / steps
	var sum float64
	for i := range steps + 1 {
		sin, cos := math.Sincos(-reach + float64(i)*h)
		y, half := edge*sin, edge*cos
		f := half * math.Exp(-y*y/2) * (normal(half-distance/u) - normal(-half-distance/u))
		switch {
		case i == 0 || i == steps:
			sum += f
		case i%2 == 1:
			sum += 4 * f
		default:
			sum += 2 * f
		}
	}
	return math.Min(1, sum*h/3/math.Sqrt(2*math.Pi))
}

// normal is the normal distribution's probability below z.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// size holds a diameter against its drawing.
func size(measured, u, nominal, tolerance float64, d bed.Decision) Verdict {
	off := math.Abs(measured - nominal)
	r := judge.Decide(judge.Characteristic{Value: off, U: u, Limit: tolerance}, d)
	return Verdict{r.Verdict, measured - nominal, u, tolerance, r.Probability}
}

// gauged is what a pin that lies in the drawn place shows of a hole, and the verdict of it. The hole's diameter is the measured one, else the drawn one with its tolerance.
func gauged(g Gauge, pin, least, most, limit float64) (Bound, judge.Verdict) {
	b := Bound{AtMost: math.Inf(1)}
	if g == Go {
		b.AtMost = math.Max(0, (most-pin)/2)
	} else {
		b.AtLeast = math.Max(0, (least-pin)/2)
	}
	switch {
	case b.AtMost <= limit:
		return b, judge.Conforms
	case b.AtLeast > limit:
		return b, judge.DoesNotConform
	}
	return b, judge.CannotTell
}

// plugged is what a plug gauge shows of a diameter that may be from least to most.
func plugged(p Plug, ends PlugEnds, least, most float64) judge.Verdict {
	const fine = 1e-9
	switch {
	case p == Good && ends.Go >= least-fine && ends.NoGo <= most+fine:
		return judge.Conforms
	case p == Small && ends.Go <= least+fine, p == Large && ends.NoGo >= most-fine:
		return judge.DoesNotConform
	}
	return judge.CannotTell
}
