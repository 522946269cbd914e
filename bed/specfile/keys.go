package specfile

import (
	"errors"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed"
	"slatewright/trouble"
)

// value takes what a file gives for one key, found at path.
type value func(path string, n *yaml.Node) error

// key is one key of a mapping.
type key struct {
	name string
	take value
}

// spec reads the whole specification.
func (r *reader) spec(root *yaml.Node) (bed.Spec, error) {
	s := bed.NineFoot()
	s.Pattern, s.Revision, s.SizeX, s.SizeY = "", "", 0, 0
	s.Supports, s.Shims, s.Lining = [3][][2]float64{}, nil, 0
	if err := r.mapping("", root, r.keys(&s)); err != nil {
		return bed.Spec{}, err
	}
	for _, required := range []string{"pattern", "revision", "size"} {
		if r.lines[required] == 0 {
			return bed.Spec{}, r.bad(0, "the specification has no "+required, "add a line "+required+": …")
		}
	}
	if err := s.Validate(); err != nil {
		return bed.Spec{}, r.atLine(err)
	}
	return s, nil
}

// keys lists what a specification may say, in the order in which Write says it.
func (r *reader) keys(s *bed.Spec) []key {
	return []key{
		{"pattern", r.text(&s.Pattern)},
		{"revision", r.text(&s.Revision)},
		{"size", r.size(&s.SizeX, &s.SizeY)},
		{"size_tolerance", r.length(&s.SizeTolerance)},
		{"edge_band", r.length(&s.EdgeBand)},
		{"joint_gap", r.length(&s.JointGap)},
		{"thickness_min", r.length(&s.ThicknessMin)},
		{"density", r.density(&s.Density)},
		{"lining", r.length(&s.Lining)},
		{"lining_density", r.density(&s.LiningDensity)},
		{"supports", r.supports(&s.Supports)},
		{"shims", r.lengths(&s.Shims)},
		{"shims_per_pack", r.count(&s.ShimsPerPack)},
		{"limits", r.group(
			key{"lengthwise", r.length(&s.Limits.Lengthwise)},
			key{"across", r.length(&s.Limits.Across)},
			key{"zone", r.length(&s.Limits.Zone)},
			key{"step", r.length(&s.Limits.Step)},
		)},
		{"state", r.text(&s.State)},
		{"decision", r.decision(&s.Decision)},
		{"uncertainty", r.group(
			key{"reading", r.length(&s.Uncertainty.Reading)},
			key{"bench", r.length(&s.Uncertainty.Bench)},
			key{"between_points", r.length(&s.Uncertainty.BetweenPoints)},
			key{"joint_extrapolation", r.length(&s.Uncertainty.JointExtrapolation)},
		)},
		{"joint_row", r.group(
			key{"max_from_arris", r.length(&s.JointRow.MaxFromArris)},
			key{"min_stations", r.count(&s.JointRow.MinStations)},
		)},
		{"levels", r.levels(&s.Levels)},
	}
}

// group is a mapping below a key.
func (r *reader) group(keys ...key) value {
	return func(path string, n *yaml.Node) error { return r.mapping(path, n, keys) }
}

// mapping reads the mapping n, each of whose keys must be one of keys and stand there once.
func (r *reader) mapping(path string, n *yaml.Node, keys []key) error {
	if n.Kind != yaml.MappingNode {
		at := "the file"
		if path != "" {
			at = path
		}
		return r.bad(n.Line, at+" does not hold keys", "write "+listed(keys)+", each as \"key: value\" on a line of its own")
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		name, given := n.Content[i], n.Content[i+1]
		k, ok := find(keys, name)
		if !ok {
			return r.unknown(path, name, keys)
		}
		below := k.name
		if path != "" {
			below = path + "." + k.name
		}
		if first := r.lines[below]; first > 0 {
			return r.bad(name.Line, below+" is given twice, first on line "+fmt.Sprint(first), "keep one of them")
		}
		r.lines[below] = name.Line
		if given.Kind == yaml.AliasNode {
			return r.badNode(below, given, "refers to another place of the file", "write the value itself")
		}
		if err := k.take(below, given); err != nil {
			return err
		}
	}
	return nil
}

func find(keys []key, name *yaml.Node) (key, bool) {
	for _, k := range keys {
		if name.Kind == yaml.ScalarNode && k.name == name.Value {
			return k, true
		}
	}
	return key{}, false
}

// unknown reports a key that is not among keys, with the nearest that is.
func (r *reader) unknown(path string, name *yaml.Node, keys []key) error {
	if name.Kind != yaml.ScalarNode {
		return r.bad(name.Line, "a key that is not a word", "known here: "+listed(keys))
	}
	in := "the specification"
	if path != "" {
		in = path
	}
	next := "known here: " + listed(keys)
	if near := nearest(name.Value, keys); near != "" {
		next = "did you mean " + near + "?"
	}
	return r.bad(name.Line, fmt.Sprintf("%s has no key %q", in, name.Value), next)
}

func listed(keys []key) string {
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.name
	}
	return strings.Join(names, ", ")
}

// nearest returns the key that takes the fewest changed letters to reach from word, if a slip could explain them: at most
// one letter in three.
func nearest(word string, keys []key) string {
	best, fewest := "", 1+len([]rune(word))/3
	for _, k := range keys {
		if d := distance(strings.ToLower(word), k.name); d < fewest {
			best, fewest = k.name, d
		}
	}
	return best
}

// distance is the number of letters to put in, take out or change to make b out of a (Levenshtein 1966).
func distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range to {
			change := diagonal
			if x != y {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}

// atLine gives a fault found by Validate the line of the value that it names.
func (r *reader) atLine(err error) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return err
	}
	path, line := t.Where, 0
	for p := path; line == 0 && p != ""; {
		line = r.lines[p]
		p = p[:max(strings.LastIndexAny(p, ".["), 0)]
	}
	return r.bad(line, path+": "+t.What, t.Next).Because(err)
}
