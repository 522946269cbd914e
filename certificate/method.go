package certificate

import (
	"fmt"
	"strings"

	"slatewright/bed"
)

// method states in sentences how the results came about. All figures in it are sealed ones.
func method(g Given, f Found) List[string] {
	spec := g.Spec
	out := List[string]{
		seatingMethod(g.Question, f.Seating),
		fmt.Sprintf("The zone is the distance from the lowest to the highest reading of the seated bed, without the outer %s mm of each "+
			"piece: between two parallel planes that hold all of them. Lengthwise and across are the largest minimum-zone straightness of any "+
			"line along and across the table, steps included.",
			short(spec.EdgeBand)),
		"A step is the height of the piece nearer the foot less that of the piece nearer the head, so it is positive when the former stands proud.",
		f.Support.Reason,
		fmt.Sprintf("The uncertainty of each figure comes from seating the bed %d times with other errors of readings and bench (seed %d); a bias "+
			"by noise is taken off, and what may lie between the readings is put on.", g.Simulation.Draws, g.Simulation.Seed),
		ruleMethod(spec.Decision, f.Doubt.GuardFactor),
		bed.TournamentReading,
	}
	if f.LaidUp != nil {
		out = append(out, fmt.Sprintf("The set was laid up on: %s. The measured steps are judged besides the predicted ones, and the worse counts.", g.LayUp.Support))
	}
	return out
}

func seatingMethod(q Question, s Seating) string {
	asked := "so that the zone of the bed is smallest while no step is larger than " + short(q.MaxStep) + " mm"
	if q.MaxZone > 0 {
		asked = "so that the larger step is smallest while the zone of the bed is no larger than " + short(q.MaxZone) + " mm"
	}
	return fmt.Sprintf("The three rigid pieces are moved by height and two tilts each, %s; the best of %d arrangements of places and half "+
		"turns is shown.", asked, s.Tried)
}

func ruleMethod(d Decision, factor Share) string {
	switch d.Rule {
	case bed.RuleISO14253:
		return fmt.Sprintf("Decision rule: ISO 14253-1:2017, 95 %% one-sided, guard band %s standard uncertainties on both sides of the limit.", factor)
	case bed.RuleGuardBand:
		return fmt.Sprintf("Decision rule: guard band after JCGM 106:2012 for a consumer's risk of %s, which is %s standard uncertainties on both sides of the limit.",
			d.Risk, factor)
	}
	return "Decision rule: simple acceptance; a value just within its limit is about as likely not to conform as to conform."
}

// short drops the zeros at the end.
func short(l Length) string {
	return strings.TrimSuffix(strings.TrimRight(l.String(), "0"), ".")
}
