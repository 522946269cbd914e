package judge

import (
	"fmt"
	"math"

	"slatewright/chance"
	"slatewright/seating"
)

// Comparison is a joint as it was laid up, against its prediction.
type Comparison struct {
	Stations []Compared // y ascending
	Largest  float64    // measured, either sign
	// Misfit is by how much measurement and prediction differ where that is furthest beyond what it may be, after the straight
	// line along y that fits their differences best is taken off: pieces that lie otherwise than planned, shimmed anew, differ by
	// such a line, and nothing else may. Allowed is what the uncertainties allow there.
	Misfit, Allowed, MisfitY float64
}

// Compared is one place of a joint.
type Compared struct{ Y, Predicted, Measured float64 }

// apart is the largest difference between measurement and prediction, with its place.
func (c Comparison) apart() (worst Compared, apart float64) {
	for _, s := range c.Stations {
		if d := math.Abs(s.Measured - s.Predicted); d > apart {
			worst, apart = s, d
		}
	}
	return worst, apart
}

// misfitU is the standard uncertainty of the difference between a measured and a predicted step, but for what a straight line
// along the joint takes up: one measured step, one reading of each of the two edges, what may lie between their stations, an
// edge that was not read, and the bench under the readings. Of the bench only its bow across differs from piece to piece and is
// no straight line; over the length of a joint it reaches about as far as its root mean square over a face.
func misfitU(in Input, joint int, u float64) float64 {
	of, r := in.Question.Spec.Uncertainty, in.Result
	head, foot := in.Doubt.ReadingU[r.Pieces[joint].Index], in.Doubt.ReadingU[r.Pieces[joint+1].Index]
	edge := float64(of.JointExtrapolation * unreadSides(r.Joints[joint]))
	return root([]Part{{U: u}, {U: head}, {U: foot}, {U: of.BetweenPoints}, {U: edge}, {U: in.Doubt.BenchU}})
}

// misfitChance is how often, at most, a joint where nothing is wrong is called a misfit.
const misfitChance = 0.01

// compare holds the steps of a joint against those predicted. Residuals of a straight line are judged by their own standard
// deviations, u·√(1 − leverage), and all places of the joint together by the inequality of Bonferroni: the quantile of
// 1 − misfitChance/2n for n places.
func compare(steps []StepReading, joint seating.Joint, u float64) Comparison {
	var c Comparison
	n := float64(len(steps))
	my, md := 0.0, 0.0
	for _, s := range steps {
		at := Compared{Y: s.Y, Predicted: sealed(stepAt(joint, s.Y)), Measured: sealed(s.Step)}
		c.Stations = append(c.Stations, at)
		c.Largest = max(c.Largest, math.Abs(at.Measured))
		my += at.Y
		md += at.Measured - at.Predicted
	}
	my, md = my/n, md/n
	yy, yd := 0.0, 0.0
	for _, at := range c.Stations {
		y := at.Y - my
		yy += float64(y * y)
		yd += float64(y * (at.Measured - at.Predicted - md))
	}
	factor := chance.Quantile(1 - misfitChance/(2*n))
	worst := math.Inf(-1)
	for _, at := range c.Stations {
		y := at.Y - my
		misfit := math.Abs(at.Measured - at.Predicted - md - float64(y*(yd/yy)))
		allowed := float64(factor * u * math.Sqrt(max(0, 1-1/n-float64(y*y)/yy)))
		if misfit-allowed > worst {
			worst = misfit - allowed
			c.Misfit, c.Allowed, c.MisfitY = sealed(misfit), sealed(allowed), at.Y
		}
	}
	return c
}

// disagree says where a joint was not measured as predicted: a misfit keeps it from being told, another lie of the pieces is
// a warning.
func (l *Laid) disagree(joint int, file string, u float64, s Spread) {
	c := l.Joints[joint]
	name := []Name{StepHead, StepFoot}[joint]
	if c.Misfit > c.Allowed {
		l.Hindrances = append(l.Hindrances, Hindrance{Code: Misfit, Of: file, On: []Name{LaidUpPrefix + name},
			Why: fmt.Sprintf("Whatever way the rigid pieces lie, %s as measured at y = %s mm differs by %s mm from its prediction, more than the %s mm "+
				"that the uncertainties allow: one of the two is wrong.", name, short(c.MisfitY), mm(c.Misfit), mm(c.Allowed)),
			Next: fmt.Sprintf("Read the step at y = %s mm again, and the edges of the two pieces there.", short(c.MisfitY))})
		return
	}
	most := 2 * math.Sqrt(float64(u*u)+float64(s.SD*s.SD))
	if worst, apart := c.apart(); apart > most {
		l.Warnings = append(l.Warnings, fmt.Sprintf("Lay-up: %s was measured as %s mm and predicted as %s mm at y = %s mm, further apart than the %s mm "+
			"that their uncertainties allow. Pieces that lie otherwise than planned explain it; what was measured counts.",
			name, mm(worst.Measured), mm(worst.Predicted), short(worst.Y), mm(most)))
	}
}

// stepAt is the predicted step at y: on the straight line between the stations around it. Beyond the outermost station it is
// on the line through that and the next one that is at least LayUpBeyond away from it, so that the noise of the readings
// grows little.
func stepAt(joint seating.Joint, y float64) float64 {
	ys, n := joint.Y, len(joint.Y)
	i, j := 0, 0 // the line goes through these stations
	switch {
	case n == 1:
		return joint.Step[0]
	case y < ys[0]:
		for j = 1; j < n-1 && ys[j]-ys[0] < LayUpBeyond; {
			j++
		}
	case y > ys[n-1]:
		i = n - 1
		for j = n - 2; j > 0 && ys[n-1]-ys[j] < LayUpBeyond; {
			j--
		}
	default:
		for j = 1; j < n-1 && ys[j] < y; {
			j++
		}
		i = j - 1
	}
	return joint.Step[i] + float64((joint.Step[j]-joint.Step[i])*((y-ys[i])/(ys[j]-ys[i])))
}
