package patternfile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed"
	"slatewright/measure"
)

// promise lists the keys of what is promised of the stone and how it is judged.
func (r *reader) promise(s *bed.Spec) []key {
	return []key{
		{"size_tolerance", "how far the sides of a piece may be from the drawing, either way", r.length(&s.SizeTolerance)},
		{"edge_band", "strip along each edge of a piece in which no flatness is promised", r.length(&s.EdgeBand)},
		{"joint_gap", "open width of each joint when laid", r.length(&s.JointGap)},
		{"thickness_min", "least thickness of the stone, anywhere it is measured", r.length(&s.ThicknessMin)},
		{"density", "of the stone; gives the mass that hangs on the hook", r.density(&s.Density)},
		{"lining", "nominal thickness of the board under the stone; 0 mm if there is none", r.length(&s.Lining)},
		{"lining_density", "of the board", r.density(&s.LiningDensity)},
	}
}

// judged lists the keys that follow the supports.
func (r *reader) judged(s *bed.Spec) []key {
	return []key{
		{"shims", "thicknesses of the shims that exist, thin to thick", r.lengths(&s.Shims, "[0.05 mm, 0.1 mm]")},
		{"shims_per_pack", "how many shims may lie on one another", r.count(&s.ShimsPerPack)},
		{"limits", "largest values that conform, each a total from peak to valley", r.group(
			key{"lengthwise", "straightness of any line along the table, steps included", r.length(&s.Limits.Lengthwise)},
			key{"across", "the same across the table", r.length(&s.Limits.Across)},
			key{"zone", "minimum zone of the whole bed", r.length(&s.Limits.Zone)},
			key{"step", "height difference over a joint, either sign", r.length(&s.Limits.Step)},
		)},
		{"state", "the state in which the limits are promised", r.state(&s.State)},
		{"decision", "how a measured value becomes a verdict", r.decision(&s.Decision)},
		{"uncertainty", "standard uncertainties from your own studies", r.group(
			key{"reading", "of one reading, where the file has no \"# u:\" line", r.length(&s.Uncertainty.Reading)},
			key{"bench", "what is not known of the bench after its map is subtracted", r.length(&s.Uncertainty.Bench)},
			key{"between_points", "what the face does between the read points", r.length(&s.Uncertainty.BetweenPoints)},
			key{"joint_extrapolation", "of a height at a joint that was not read at the edge", r.length(&s.Uncertainty.JointExtrapolation)},
		)},
		{"joint_row", "when readings along a joint count as read at the joint", r.group(
			key{"max_from_arris", "furthest distance of a reading from the arris", r.length(&s.JointRow.MaxFromArris)},
			key{"min_stations", "fewest readings in the row", r.count(&s.JointRow.MinStations)},
		)},
		{"levels", "the mechanic's levels: one division", r.levels(&s.Levels)},
	}
}

// state is checked with the rest of the promise; the words serve the schema.
func (r *reader) state(into *string) value {
	v := r.text(into)
	v.form = form{kind: formChoice, words: []string{bed.StateLaid, bed.StateFree}}
	return v
}

// decision reads the rule and its risk. Two rules have a risk of their own; the third needs one.
func (r *reader) decision(into *bed.Decision) value {
	rule := r.text(&into.Rule)
	rule.form = form{kind: formChoice, words: []string{bed.RuleSimple, bed.RuleISO14253, bed.RuleGuardBand}}
	keys := []key{
		{"rule", "simple acceptance, ISO 14253-1, or a guard band for a stated risk", rule},
		{"consumer_risk", "for the rule guard-band: the risk that a bed at its limit does not conform", r.parsed("0.02 or 2 %", number(&into.Risk, parseShare))},
	}
	g := r.group(keys...)
	return value{func(path string, n *yaml.Node) error {
		if err := g.take(path, n); err != nil || r.Lines[path+".consumer_risk"] > 0 {
			return err
		}
		switch into.Rule {
		case bed.RuleSimple:
			into.Risk = bed.SimpleRisk
		case bed.RuleISO14253:
			into.Risk = bed.ISO14253Risk
		case bed.RuleGuardBand:
			return r.BadValue(path, n, "the rule guard-band needs the consumer's risk that it is made for", "add a line consumer_risk: 0.02 with the risk you offer")
		}
		return nil
	}, g.form}
}

// parseShare reads a share of one, also in per cent.
func parseShare(text string) (float64, error) {
	if number, percent := strings.CutSuffix(text, "%"); percent {
		share, err := measure.ParseNumber(strings.TrimSpace(number))
		return share / 100, err
	}
	return measure.ParseNumber(text)
}

func (r *reader) levels(into *[]bed.Level) value {
	const example = "0.02 mm/m or 0.0005 in/ft"
	item := form{kind: formText, example: example}
	return value{func(path string, n *yaml.Node) error {
		*into = nil
		return r.list(path, n, "[0.02 mm/m]", func(at string, _ int, item *yaml.Node) error {
			return r.parsed(example, func(text string) error {
				l, err := parseLevel(text)
				*into = append(*into, l)
				return err
			}).take(at, item)
		})
	}, form{kind: formList, item: &item}}
}

// parseLevel reads the division of a level, a rise over one unit of length.
func parseLevel(text string) (bed.Level, error) {
	cut := strings.LastIndex(text, "/")
	if cut < 0 {
		return bed.Level{}, fmt.Errorf("%q is not the division of a level: there is no /", text)
	}
	rise, err := measure.ParseLength(strings.TrimSpace(text[:cut]))
	if err != nil {
		return bed.Level{}, err
	}
	over, err := measure.ParseLength("1 " + strings.TrimSpace(text[cut+1:]))
	if err != nil {
		return bed.Level{}, err
	}
	return bed.Level{Division: text, Rise: rise, Over: over}, nil
}
