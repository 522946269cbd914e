package certificate

import (
	"fmt"
	"strconv"
	"strings"

	"slatewright/bed"
	"slatewright/judge"
)

// method states how the results came about: sentences, each of which can be read alone. All figures in them are sealed ones.
func method(g Given, f Found) List[string] {
	spec := g.Spec
	out := List[string]{
		seatingMethod(g.Question, f.Seating),
		fmt.Sprintf("The zone of the bed is the distance between two parallel planes that hold all readings of the seated bed but those in the "+
			"outer %s mm of each piece: from the lowest reading to the highest.", short(spec.EdgeBand)),
		linesMethod(f.Seating),
		"A step is the height of the piece nearer the foot less that of the piece nearer the head, at one place of a joint, so it is positive " +
			"where the piece nearer the foot stands proud; of each joint the largest step of either sign is judged.",
		fmt.Sprintf("The thickness of the stone is the least of the caliper readings of all three pieces, taken with a standard uncertainty of %s mm.",
			strconv.FormatFloat(judge.CaliperU, 'f', -1, 64)),
		stateMethod(spec.State, f.Support),
		fmt.Sprintf("The uncertainty of zone, straightness and steps comes from seating the bed %d times with other errors of readings and bench, drawn from "+
			"the seed %d, and comparing what those readings give with the bed that is laid by them; what errors of the readings are expected to have added "+
			"to a value is taken off, what may lie between the readings is put on, and both are parts of the uncertainty.", g.Simulation.Draws, g.Simulation.Seed),
		ruleMethod(spec.Decision, f.Doubt.GuardFactor),
		bed.TournamentReading,
	}
	if f.LaidUp != nil {
		out = append(out, layUpMethod(*g.LayUp, *f.LaidUp)...)
	}
	return out
}

func seatingMethod(q Question, s Seating) string {
	asked := "the zone of the bed is smallest while no step is larger than " + short(q.MaxStep) + " mm"
	if q.MaxZone > 0 {
		asked = "the larger step is smallest while the zone of the bed is no larger than " + short(q.MaxZone) + " mm"
	}
	return fmt.Sprintf("The three rigid pieces are moved by height and two tilts each until %s, and where that leaves a choice, until the steps and then the "+
		"moves are smallest; the best of %d arrangements of places and half turns is shown.", asked, s.Tried)
}

func linesMethod(s Seating) string {
	what := "lines of readings"
	if s.Lengthwise.Cells || s.Across.Cells {
		what = "lines of means over cells of at most 25 mm of the scan"
	}
	return fmt.Sprintf("Straightness lengthwise and across is that of the worst of all %s along and across the table: the distance between two "+
		"parallel straight lines that hold it whole, over all three pieces and their joints lengthwise.", what)
}

// stateMethod says in which state the figures hold.
func stateMethod(promised string, s Support) string {
	switch s.State {
	case bed.StateLaid:
		return "The results hold for the laid state, which is the state promised: each piece lay on a full bench that carried the whole of its back, and " +
			"a piece that lies otherwise has another shape."
	case bed.StateFree:
		return "The results hold for the free state, which is the state promised, as far as two lines show it: each piece rested on two full-width lines at " +
			"0.22 of its long side from each end, which show its bow along them and hide its twist."
	}
	return fmt.Sprintf("The results hold for the pieces as they were held while they were read, which is not the %s state that is promised, and what gravity "+
		"did to them is not computed.", promised)
}

func ruleMethod(d Decision, factor Share) string {
	const rest = "a result conforms if it lies inside its limit by %s standard uncertainties or more, does not conform if it lies beyond it by more than that and " +
		"what was put on for caution, and cannot be told between"
	switch d.Rule {
	case bed.RuleISO14253:
		return fmt.Sprintf("By the decision rule of ISO 14253-1:2017, at 95 %% one-sided, "+rest+".", factor)
	case bed.RuleGuardBand:
		return fmt.Sprintf("By a decision rule with a guard band after JCGM 106:2012, for a consumer's risk of %s, "+rest+".", d.Risk, factor)
	}
	return "By the decision rule of simple acceptance a result conforms if it lies within its limit, and one that lies just within is about as likely not to conform " +
		"as to conform."
}

// layUpMethod says how the set was laid up, and what its steps are held against.
func layUpMethod(l LayUp, f LaidUp) []string {
	u := "that of two readings of the specification"
	if l.U > 0 {
		u = short(l.U) + " mm"
	}
	return []string{
		fmt.Sprintf("The set was laid up dry, on what is stated as %q, and its steps were read at %d and %d places of the two joints; the standard uncertainty of a "+
			"step is %s.", l.Support, len(f.Joints[0]), len(f.Joints[1]), u),
		"The measured steps are judged besides the predicted ones, and the worse counts; a joint where the two differ by more than their uncertainties allow, " +
			"after the straight line that another lie of rigid pieces makes is taken off, cannot be told.",
	}
}

// short drops the zeros at the end.
func short(l Length) string {
	return strings.TrimSuffix(strings.TrimRight(l.String(), "0"), ".")
}
