package book

import (
	"fmt"
	"slices"
	"strings"

	"slatewright/internal/book/field"
	"slatewright/trouble"
)

// Route is the way of the stone through this mill, as data: which act may be done where, by whom, and what must hold first.
// It is part of the mill's settings, so it can be edited and its changes are acts like any other.
type Route struct {
	Steps []Step `json:"steps" minItems:"1" maxItems:"100"`
	Holds []Hold `json:"holds" maxItems:"200"`
}

// Step is what the route says about one act.
type Step struct {
	Act  string    `json:"act"`
	From []Station `json:"from,omitempty"` // where the things it changes may stand before; empty is anywhere in the house
	To   Station   `json:"to,omitempty"`   // where they stand afterwards; empty is where they were
	May  Role      `json:"may"`            // the least role
}

// Hold is a condition that must hold before an act.
type Hold struct {
	Before string  `json:"before"`                                       // the act
	Needs  string  `json:"needs"`                                        // a condition's name; see Conditions
	Amount float64 `json:"amount,omitempty" minimum:"0" maximum:"10000"` // days, hours, mm, per cent: as the condition says
	Unless Role    `json:"unless,omitempty"`                             // a role that may go on without it when it gives a reason
}

// step finds what the route says about an act.
func (r *Route) step(word string) (Step, bool) {
	for i := range r.Steps {
		if r.Steps[i].Act == word {
			return r.Steps[i], true
		}
	}
	return Step{}, false
}

// Validate refuses a route that speaks of what there is not, leaves an act out, gives away what must not be given, or that no stone
// and nobody could follow.
func (r *Route) Validate() error {
	for _, check := range []func() error{r.checkSteps, r.checkHolds, r.checkComplete, r.checkWay, r.checkCircle} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func (r *Route) checkSteps() error {
	for i, s := range r.Steps {
		where := fmt.Sprintf("route.steps.%d", i)
		if err := field.OneOf(s.Act, words, where+".act"); err != nil {
			return err
		}
		if first := slices.IndexFunc(r.Steps, func(o Step) bool { return o.Act == s.Act }); first < i {
			return trouble.Data("twice", where+".act", s.Act+" has two steps", "give each act one step")
		}
		for _, from := range s.From {
			if err := checkStationWord(from, where+".from"); err != nil {
				return err
			}
		}
		if s.To != "" {
			if err := checkStationWord(s.To, where+".to"); err != nil {
				return err
			}
		}
		if err := s.checkMay(where + ".may"); err != nil {
			return err
		}
	}
	return nil
}

func checkStationWord(s Station, where string) error {
	return field.OneOf(string(s), strings.Split(join(Stations(), ","), ","), where)
}

// leastRoles are the roles that a route may raise and never lower. A visitor only reads.
var leastRoles = map[string]Role{"certify": Inspector, "judge": Inspector, "correct": Inspector, "appoint": Lead, "settle": Lead}

func (s Step) checkMay(where string) error {
	if err := field.OneOf(string(s.May), strings.Split(join(Roles(), ","), ","), where); err != nil {
		return err
	}
	least, named := leastRoles[s.Act]
	if !named {
		least = Hand
	}
	if !s.May.Covers(least) {
		return trouble.Data("role-too-low", where, fmt.Sprintf("%s needs at least the role %s", s.Act, least), "give it that role or a higher one")
	}
	return nil
}

func (r *Route) checkHolds() error {
	var names []string
	for _, c := range conditions {
		names = append(names, c.Name)
	}
	for i, h := range r.Holds {
		where := fmt.Sprintf("route.holds.%d", i)
		if err := field.OneOf(h.Before, words, where+".before"); err != nil {
			return err
		}
		if err := field.OneOf(h.Needs, names, where+".needs"); err != nil {
			return err
		}
		if c, _ := conditionNamed(h.Needs); c.Amount == "" && h.Amount != 0 {
			return trouble.Data("no-amount", where+".amount", h.Needs+" has no amount", "leave it out")
		} else if c.Amount != "" && !(h.Amount > 0 && h.Amount <= mostAmount) {
			return trouble.Data("out-of-range", where+".amount", fmt.Sprintf("%g %s is out of range: above 0 to %d", h.Amount, c.Amount, mostAmount), "say how many "+c.Amount)
		}
		if h.Unless != "" {
			if err := field.OneOf(string(h.Unless), strings.Split(join(Roles(), ","), ","), where+".unless"); err != nil {
				return err
			}
		}
	}
	return nil
}

// mostAmount bounds what a condition counts: longer than any stone waits. Common practice, no source.
const mostAmount = 10000

// checkComplete wants a step for every act: what has none could never be done, and nobody would find out before it is needed.
func (r *Route) checkComplete() error {
	for _, word := range words {
		if _, there := r.step(word); !there {
			return trouble.Data("act-left-out", "route.steps", "the route has no step for "+word, "add one; from is empty where it may be done anywhere")
		}
	}
	return nil
}

// checkWay wants each act to be done where something can come.
func (r *Route) checkWay() error {
	reached := map[Station]bool{}
	for _, k := range []Kind{KindLayer, KindBlock, KindSlab, KindPiece} {
		reached[birthplace(k)] = true
	}
	for more := true; more; {
		more = false
		for _, s := range r.Steps {
			if s.To != "" && !reached[s.To] && s.follows(reached) {
				reached[s.To], more = true, true
			}
		}
	}
	for i, s := range r.Steps {
		if !s.follows(reached) {
			return trouble.Data("nobody-can-follow", fmt.Sprintf("route.steps.%d.from", i), fmt.Sprintf("%s is done at %s, and nothing ever comes there", s.Act, join(s.From, ", ")),
				"let another act lead there (to), or add a station that things come to (from)")
		}
	}
	if !reached[Away] {
		return trouble.Data("nobody-can-follow", "route.steps", "no way leads out of the house", "let ship lead to "+string(Away))
	}
	return nil
}

// follows tells whether a step can be taken from one of the stations.
func (s Step) follows(reached map[Station]bool) bool {
	return len(s.From) == 0 || slices.ContainsFunc(s.From, func(at Station) bool { return reached[at] })
}

// checkCircle refuses holds that wait for one another.
func (r *Route) checkCircle() error {
	for _, start := range words {
		seen, todo := map[string]bool{}, []string{start}
		for len(todo) > 0 {
			act := todo[0]
			todo = todo[1:]
			for i, h := range r.Holds {
				c, _ := conditionNamed(h.Needs)
				if h.Before != act || c.by == "" || h.Unless != "" || seen[c.by] {
					continue
				}
				if c.by == start {
					return trouble.Data("nobody-can-follow", fmt.Sprintf("route.holds.%d", i), fmt.Sprintf("%s needs %s, and that waits for %s itself", act, h.Needs, start),
						"take one of the conditions away")
				}
				seen[c.by] = true
				todo = append(todo, c.by)
			}
		}
	}
	return nil
}

// leastThickness is what must be left of a piece, mm: three quarters of an inch. Common practice, no source.
const leastThickness = 19

// massRoom is by how many per cent a mass may be off that of the stone's measures: pockets, water, edges that are not square. Common practice,
// no source.
const massRoom = 30

// usualDaysInRoom is how long stone stays in the room. Common practice, no source.
const usualDaysInRoom = 30

// DefaultRoute is common practice in slate mills, no source, for a mill that has not answered its own questions; see RouteFor.
func DefaultRoute() Route { return Route{Steps: usualSteps(), Holds: usualHolds()} }

func usualSteps() []Step {
	atWork := []Station{Saw, Surfacing, Sets, Drilling, Lining, Bench}
	inHouse := append(slices.Clone(atWork), Room, Shipping)
	toPack := []Station{Sets, Drilling, Lining, Bench, Shipping}
	return []Step{
		{Act: "take-in", May: Hand},
		{Act: "survey", May: Hand},
		{Act: "lift", To: Saw, May: Hand},
		{Act: "slice", From: []Station{Quarry, Saw}, To: Saw, May: Hand},
		{Act: "cut", From: []Station{Saw}, To: Surfacing, May: Hand},
		{Act: "reject", May: Hand},
		{Act: "surface", From: atWork, To: Surfacing, May: Hand},
		{Act: "mark", May: Hand},
		{Act: "read", May: Hand},
		{Act: "match", May: Hand},
		{Act: "lay-up", From: atWork, To: Sets, May: Hand},
		{Act: "dress-joint", From: atWork, May: Hand},
		{Act: "part-set", From: inHouse, May: Inspector},
		{Act: "resize", From: atWork, To: Saw, May: Hand},
		{Act: "drill", From: atWork, To: Drilling, May: Hand},
		{Act: "check", May: Hand},
		{Act: "weigh", May: Hand},
		{Act: "enter-room", From: atWork, To: Room, May: Hand},
		{Act: "leave-room", From: []Station{Room}, To: Lining, May: Hand},
		{Act: "glue-lining", From: atWork, To: Lining, May: Hand},
		{Act: "ream", From: []Station{Lining, Bench}, To: Bench, May: Hand},
		{Act: "finish", From: atWork, To: Bench, May: Hand},
		{Act: "repair", From: append(slices.Clone(atWork), Shipping), May: Hand},
		{Act: "judge", From: inHouse, May: Inspector},
		{Act: "certify", From: append(slices.Clone(atWork), Shipping), May: Inspector},
		{Act: "pack", From: toPack, To: Shipping, May: Hand},
		{Act: "ship", From: []Station{Shipping}, To: Away, May: Hand},
		{Act: "return", From: []Station{Away}, To: Bench, May: Hand},
		{Act: "calibrate", May: Inspector},
		{Act: "correct", May: Lead},
		{Act: "appoint", May: Lead},
		{Act: "settle", May: Lead},
	}
}

func usualHolds() []Hold {
	return []Hold{
		{Before: "lay-up", Needs: "marked"},
		{Before: "leave-room", Needs: "days-in-room", Amount: usualDaysInRoom, Unless: Lead},
		{Before: "glue-lining", Needs: "days-in-room", Amount: usualDaysInRoom},
		{Before: "ship", Needs: "days-in-room", Amount: usualDaysInRoom},
		{Before: "surface", Needs: "stone-left", Amount: leastThickness},
		{Before: "read", Needs: "instrument-suits"},
		{Before: "weigh", Needs: "instrument-suits"},
		{Before: "lay-up", Needs: "instrument-suits"},
		{Before: "weigh", Needs: "mass-plausible", Amount: massRoom},
		{Before: "take-in", Needs: "mass-plausible", Amount: massRoom},
		{Before: "lift", Needs: "mass-plausible", Amount: massRoom},
		{Before: "slice", Needs: "mass-plausible", Amount: massRoom},
		{Before: "cut", Needs: "mass-plausible", Amount: massRoom},
		{Before: "glue-lining", Needs: "layout-settled"},
		{Before: "glue-lining", Needs: "batch-usable"},
		{Before: "repair", Needs: "batch-usable"},
		{Before: "judge", Needs: "laid-up"},
		{Before: "judge", Needs: "answers-settled"},
		{Before: "judge", Needs: "in-time", Amount: 24},
		{Before: "certify", Needs: "in-time", Amount: 1},
		{Before: "ship", Needs: "in-time", Amount: 24},
		{Before: "certify", Needs: "laid-up"},
		{Before: "certify", Needs: "readings-fresh"},
		{Before: "certify", Needs: "calibration-current"},
		{Before: "certify", Needs: "checks-good"},
		{Before: "certify", Needs: "judged-conforms"},
		{Before: "certify", Needs: "answers-settled"},
		{Before: "certify", Needs: "support-settled"},
		{Before: "pack", Needs: "certified"},
		{Before: "pack", Needs: "marked"},
		{Before: "pack", Needs: "codes-match"},
		{Before: "pack", Needs: "lining-cured", Amount: 24},
		{Before: "ship", Needs: "packed"},
		{Before: "ship", Needs: "lining-cured", Amount: 24},
	}
}
