package bed

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/trouble"
)

// Ranges that no bed leaves. They are there to catch a wrong unit or a slipped comma, not to teach anyone their trade:
// common practice, no source.
const (
	longestName   = 80
	mostSupports  = 40 // per place; a frame has six or eight
	mostShims     = 32
	mostPerPack   = 4
	mostLevels    = 8
	thickestShim  = 25.0
	steepestLevel = 0.001 // one division of a carpenter's level
)

// Validate reports the first thing that is wrong with the specification as a *trouble.Trouble of kind data, code
// "bad-spec", whose Where is the key of the value as a specification file writes it, such as "limits.step" or
// "supports.head[2]". The order of the checks is fixed.
func (s Spec) Validate() error {
	checks := []func(Spec) *trouble.Trouble{
		Spec.checkNames, Spec.checkRanges, Spec.checkSupports, Spec.checkShims, Spec.checkState, Spec.checkDecision, Spec.checkLevels,
	}
	for _, check := range checks {
		if t := check(s); t != nil {
			return t
		}
	}
	return nil
}

func badSpec(where, what, next string) *trouble.Trouble {
	return trouble.Data("bad-spec", where, what, next)
}

func (s Spec) checkNames() *trouble.Trouble {
	for _, name := range []struct{ key, value string }{{"pattern", s.Pattern}, {"revision", s.Revision}} {
		switch {
		case strings.TrimSpace(name.value) == "":
			return badSpec(name.key, "the specification has no "+name.key, "write one: papers and pieces are found by it")
		case name.value != strings.TrimSpace(name.value):
			return badSpec(name.key, "the "+name.key+" begins or ends with a space", "take the space away")
		case utf8.RuneCountInString(name.value) > longestName:
			return badSpec(name.key, fmt.Sprintf("the %s is longer than %d characters", name.key, longestName), "shorten it")
		case strings.ContainsFunc(name.value, func(r rune) bool { return !unicode.IsPrint(r) }):
			return badSpec(name.key, "the "+name.key+" holds a character that cannot be printed", "keep it to one line of plain text")
		}
	}
	return nil
}

// span is a value with the range it must be in, ends included.
type span struct {
	key, noun       string
	value, low, top float64
	unit            string
}

// spans lists the plain numbers of the specification; sizes come first, because others are measured against them.
func (s Spec) spans() []span {
	px, py := s.PieceSize()
	liningLow := 0.0
	if s.Lining > 0 {
		liningLow = 100
	}
	return []span{
		{"size", "the size along the table", s.SizeX, 500, 6000, "mm"},
		{"size", "the size across the table", s.SizeY, 500, 6000, "mm"},
		{"size_tolerance", "the tolerance of a piece's size", s.SizeTolerance, 0, 10, "mm"},
		{"joint_gap", "the joint gap", s.JointGap, 0, 5, "mm"},
		{"edge_band", "the edge band", s.EdgeBand, 0, math.Min(px, py) / 4, "mm"},
		{"thickness_min", "the least thickness", s.ThicknessMin, 5, 100, "mm"},
		{"density", "the density of the stone", s.Density, 1500, 3500, "kg/m3"},
		{"lining", "the lining", s.Lining, 0, 60, "mm"},
		{"lining_density", "the density of the lining", s.LiningDensity, liningLow, 1500, "kg/m3"},
		{"shims_per_pack", "the number of shims in a pack", float64(s.ShimsPerPack), 1, mostPerPack, "shims"},
		{"limits.lengthwise", "the limit lengthwise", s.Limits.Lengthwise, 0.001, 10, "mm"},
		{"limits.across", "the limit across", s.Limits.Across, 0.001, 10, "mm"},
		{"limits.zone", "the limit of the zone", s.Limits.Zone, 0.001, 10, "mm"},
		{"limits.step", "the limit of the joint steps", s.Limits.Step, 0.001, 10, "mm"},
		{"uncertainty.reading", "the uncertainty of a reading", s.Uncertainty.Reading, 0, 1, "mm"},
		{"uncertainty.bench", "the uncertainty of the bench", s.Uncertainty.Bench, 0, 1, "mm"},
		{"uncertainty.between_points", "the uncertainty between the points", s.Uncertainty.BetweenPoints, 0, 1, "mm"},
		{"uncertainty.joint_extrapolation", "the uncertainty of an extrapolated joint", s.Uncertainty.JointExtrapolation, 0, 1, "mm"},
		{"joint_row.max_from_arris", "the furthest distance of a joint row from the arris", s.JointRow.MaxFromArris, 0.1, 50, "mm"},
		{"joint_row.min_stations", "the fewest stations of a joint row", float64(s.JointRow.MinStations), 3, 1000, "stations"},
	}
}

func (s Spec) checkRanges() *trouble.Trouble {
	for _, r := range s.spans() {
		if r.value >= r.low && r.value <= r.top { // also false for NaN
			continue
		}
		what := fmt.Sprintf("%s is %s %s; it must be between %s and %s %s", r.noun, number(r.value), r.unit, number(r.low), number(r.top), r.unit)
		return badSpec(r.key, what, "check the number and its unit")
	}
	return nil
}

func (s Spec) checkSupports() *trouble.Trouble {
	px, py := s.PieceSize()
	for place, points := range s.Supports {
		key := "supports." + Place(place).String()
		if len(points) > mostSupports {
			return badSpec(key, fmt.Sprintf("%d supports under one piece; at most %d are worked with", len(points), mostSupports), "leave out those that carry nothing")
		}
		for i, p := range points {
			at := fmt.Sprintf("%s[%d]", key, i)
			if !(math.Abs(p[0]) <= px/2 && math.Abs(p[1]) <= py/2) {
				what := fmt.Sprintf("the support at %s, %s mm is not under the piece of %s x %s mm", number(p[0]), number(p[1]), number(px), number(py))
				return badSpec(at, what, "positions are counted from the middle of the piece: x along the table, y across it")
			}
			for j := range i {
				if points[j] == p {
					return badSpec(at, fmt.Sprintf("the support at %s, %s mm is listed twice", number(p[0]), number(p[1])), "list each support once")
				}
			}
		}
		if len(points) > 0 && onOneLine(points) {
			return badSpec(key, "the supports do not hold the piece: they are fewer than three or on one line", "list at least three that are not on one line, or none")
		}
	}
	return nil
}

// onOneLine reports whether no three of the points span a triangle of more than 1 cm², far less than any real support
// triangle.
func onOneLine(points [][2]float64) bool {
	for i := range points {
		for j := range i {
			for k := range j {
				ax, ay := points[j][0]-points[i][0], points[j][1]-points[i][1]
				bx, by := points[k][0]-points[i][0], points[k][1]-points[i][1]
				if math.Abs(float64(ax*by)-float64(ay*bx)) > 200 {
					return false
				}
			}
		}
	}
	return true
}

func (s Spec) checkShims() *trouble.Trouble {
	if len(s.Shims) > mostShims {
		return badSpec("shims", fmt.Sprintf("%d thicknesses of shims; at most %d are worked with", len(s.Shims), mostShims), "list the ones that are kept in the box")
	}
	for i, shim := range s.Shims {
		at := fmt.Sprintf("shims[%d]", i)
		if !(shim >= 0.001 && shim <= thickestShim) {
			return badSpec(at, fmt.Sprintf("a shim of %s mm; it must be between 0.001 and %s mm", number(shim), number(thickestShim)), "check the number and its unit")
		}
		if i > 0 && shim <= s.Shims[i-1] {
			return badSpec(at, fmt.Sprintf("the shim of %s mm follows one of %s mm", number(shim), number(s.Shims[i-1])), "list shims from thin to thick, each once")
		}
	}
	return nil
}

func (s Spec) checkState() *trouble.Trouble {
	if s.State == StateFree || s.State == StateLaid {
		return nil
	}
	return badSpec("state", "the state of the promise is "+strconv.Quote(s.State), "write free (gravity and support computed away) or laid (as the pieces lie on a bench or frame)")
}

func (s Spec) checkDecision() *trouble.Trouble {
	risk := s.Decision.Risk
	fixed := func(want float64) *trouble.Trouble {
		if risk == want {
			return nil
		}
		what := fmt.Sprintf("the rule %s has a consumer's risk of %s at its limit, not %s", s.Decision.Rule, number(want), number(risk))
		return badSpec("decision.consumer_risk", what, "leave the risk out, or choose the rule guard-band, which lets you state one")
	}
	switch s.Decision.Rule {
	case RuleSimple:
		return fixed(SimpleRisk)
	case RuleISO14253:
		return fixed(ISO14253Risk)
	case RuleGuardBand:
		if risk >= 1e-6 && risk < 0.5 {
			return nil
		}
		return badSpec("decision.consumer_risk", fmt.Sprintf("the consumer's risk is %s; it must be at least 0.000001 and less than 0.5", number(risk)), "state the risk you offer, such as 0.02")
	}
	return badSpec("decision.rule", "no decision rule is called "+strconv.Quote(s.Decision.Rule), "write simple, iso14253-1 or guard-band")
}

func (s Spec) checkLevels() *trouble.Trouble {
	if len(s.Levels) == 0 || len(s.Levels) > mostLevels {
		return badSpec("levels", fmt.Sprintf("%d levels; between 1 and %d are worked with", len(s.Levels), mostLevels), "name the division of at least one level, such as 0.02 mm/m")
	}
	for i, l := range s.Levels {
		at := fmt.Sprintf("levels[%d]", i)
		if strings.TrimSpace(l.Division) == "" {
			return badSpec(at, "a level without the words of its division", "write what stands on the level, such as 0.02 mm/m")
		}
		if !(l.Rise > 0 && l.Over >= 1 && l.Over <= 1e5 && l.Rise/l.Over <= steepestLevel && l.Rise/l.Over >= 1e-7) {
			return badSpec(at, fmt.Sprintf("one division is a rise of %s mm over %s mm; that is no level's", number(l.Rise), number(l.Over)), "check the division that stands on the level")
		}
	}
	return nil
}

// number prints a value the way a person would read it back, shortest first.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
