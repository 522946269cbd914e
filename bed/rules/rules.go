// Package rules holds a bed's pattern against what experience asks of it: stone left around holes and under counterbores, joints
// clear of pockets, both ends alike, bolts that pass, and the published rules that the pattern claims to meet.
//
// [Check] lists what is wrong, each with the rule and the place. The distances are the mill's own ([pattern.Clearances]); what
// stands there where a file says nothing is common practice without a source. Distances are those of the drawing: what tolerances
// take from them belongs into the clearances, but for depths, whose tolerance is counted.
//
// The package does not compute whether stone holds a load, and a pattern that keeps every rule is not proven to be a good one.
package rules

import (
	"slices"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/measure"
)

// Problem is one thing that is wrong.
type Problem struct {
	Rule     string   `json:"rule"`           // a name of Rules
	Where    string   `json:"where"`          // features, as the pattern names them; those that are alike under the symmetry by what they have in common
	Message  string   `json:"message"`        // one sentence, with the value and what is asked
	Line     int      `json:"line,omitempty"` // of the file, where it is known
	Features []string `json:"features"`       // every one of them
}

// Rule is the name of a rule and what it asks.
type Rule struct{ Name, Says string }

// The rules.
const (
	HoleEdge    = "hole-edge"
	HoleJoint   = "hole-joint"
	HolePocket  = "hole-pocket"
	HoleHole    = "hole-hole"
	Web         = "web"
	JointPocket = "joint-pocket"
	Dowels      = "dowel"
	Supports    = "support"
	Strips      = "strip"
	NotAlike    = "symmetry"
	BoltFloat   = "bolt-float"
	Tournament  = "tournament"
)

// Rules lists the rules in the order in which they are asked.
func Rules() []Rule {
	return []Rule{
		{HoleEdge, "a hole or its counterbore keeps clear of the bed's edge"},
		{HoleJoint, "and of the joints"},
		{HolePocket, "and of the pockets' cuts"},
		{HoleHole, "and of the next hole"},
		{Web, "stone enough is left under a counterbore, a countersink or a blind hole, when it is as deep as its tolerance lets it be"},
		{JointPocket, "no joint runs through a pocket, or close by"},
		{Dowels, "dowels have stone above and below, and keep clear of edge, holes and pockets"},
		{Supports, "no support stands under a pocket, or close by"},
		{Strips, "a strip lies under one piece"},
		{NotAlike, "what the symmetry repeats is there; accessory holes may stand alone"},
		{BoltFloat, "the bolt passes when hole and mate are as far off as their tolerances let them be (ISO 2692, virtual condition)"},
		{Tournament, "the published rules that the file claims"},
	}
}

// finding is a problem of one place, before its likes are put together.
type finding struct {
	rule, base, name, message string
	line                      int
}

// Check returns what is wrong with the pattern, by rule and then in the order of the file; nil where nothing is.
func Check(p pattern.Pattern) []Problem {
	var list []finding
	for _, ask := range []func(pattern.Pattern) []finding{
		holesAndEdges, holesAndJoints, holesAndPockets, holesAndHoles, webs, jointsAndPockets, dowels, supports, strips, alike, floats, claims,
	} {
		list = append(list, ask(p)...)
	}
	return together(list)
}

// together makes one problem of findings that say the same.
func together(list []finding) (problems []Problem) {
	type key struct {
		rule, message string
		line          int
	}
	at := map[key]int{}
	var bases [][]string // of every feature of a problem
	for _, f := range list {
		k := key{f.rule, f.message, f.line}
		i, ok := at[k]
		if !ok {
			i = len(problems)
			at[k] = i
			problems = append(problems, Problem{Rule: f.rule, Message: f.message, Line: f.line})
			bases = append(bases, nil)
		}
		if p := &problems[i]; !slices.Contains(p.Features, f.name) {
			p.Features = append(p.Features, f.name)
			bases[i] = append(bases[i], f.base)
		}
	}
	for i := range problems {
		problems[i].Where = where(problems[i].Features, bases[i])
	}
	return problems
}

// where names features: one that stands alone by its name, those with a common base by that.
func where(features, bases []string) string {
	count := map[string]int{}
	for _, base := range bases {
		count[base]++
	}
	var names []string
	for i, base := range bases {
		name := features[i]
		if count[base] > 1 {
			name = base
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}

func mm(x float64) string { return measure.FormatRounded(x, measure.MM, 2) }

// tight reports whether a distance is less than asked, by more than rounding.
func tight(have, asked float64) bool { return have < asked-1e-6 }
