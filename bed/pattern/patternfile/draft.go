package patternfile

import (
	"fmt"

	"go.yaml.in/yaml/v4"

	"slatewright/bed"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/sums"
)

// draft is a file's words with sums done, before symmetry and places are worked out.
type draft struct {
	promise    bed.Spec
	approved   pattern.Approval
	claim      string
	symmetry   pattern.Symmetry
	field      [2]float64
	overhang   [2]float64
	count      int // of equal pieces
	pieces     []pieceDraft
	supports   supportsDraft
	tolerances map[pattern.Kind]*pattern.Tolerance
	pockets    []pocketDraft
	holes      []holeDraft
	joints     pattern.Joint // what all joints have in common
	dowels     dowelDraft
	strips     []stripDraft
	chamfers   pattern.Chamfers
	clear      pattern.Clearances
}

type pieceDraft struct {
	name   string
	length float64
}

// supportsDraft are the supports of every piece, and of single ones by their name.
type supportsDraft struct {
	each [][2]float64
	of   map[string][][2]float64
}

type pocketDraft struct {
	name, at                  string
	centre                    [2]float64
	shelf, radius, out, flare float64
	mouth, cut, draft, edge   float64
	shape                     []cornerDraft
	tolerance                 pattern.Tolerance
	symmetry                  pattern.Symmetry
}

// cornerDraft is a corner of a freely drawn pocket: u outward and v to the left of it, with the radius that rounds it.
type cornerDraft struct{ u, v, radius float64 }

type holeDraft struct {
	name                                   string
	kind                                   pattern.Kind
	diameter, depth, bolt, mating, chamfer float64
	from                                   string
	counterbore, countersink               counterDraft
	tolerance                              pattern.Tolerance
	at                                     [][2]float64
	row                                    rowDraft
	symmetry                               pattern.Symmetry
}

type counterDraft struct {
	diameter, depth, angle float64
	from                   string
}

// rowDraft are places along a line: so many from one end to the other, or one step after another.
type rowDraft struct {
	from, to, step [2]float64
	count          int
}

type dowelDraft struct {
	diameter, depth, below float64
	at                     []float64
	tolerance              pattern.Tolerance
}

type stripDraft struct {
	name      string
	from, to  [2]float64
	thickness float64
	symmetry  pattern.Symmetry
}

// draft reads the whole file into a draft.
func (r *reader) draft(root *yaml.Node) (*draft, error) {
	d := &draft{promise: bed.NineFoot(), symmetry: pattern.None, count: 3}
	s := &d.promise
	s.Pattern, s.Revision, s.SizeX, s.SizeY = "", "", 0, 0
	s.Supports, s.Shims, s.Lining = [3][][2]float64{}, nil, 0
	d.tolerances = map[pattern.Kind]*pattern.Tolerance{pattern.RailBolt: {}, pattern.BedScrew: {}, pattern.Accessory: {}, pattern.DowelHole: {}, pattern.PocketCut: {}}
	if err := r.early(root, d); err != nil {
		return nil, err
	}
	if err := r.group(r.keys(d)...).take("", root); err != nil {
		return nil, err
	}
	for _, required := range []string{"pattern", "revision"} {
		if r.Lines[required] == 0 {
			return nil, r.Bad(0, "the specification has no "+required, "add a line "+required+": …")
		}
	}
	return d, r.sizes(d)
}

// early reads what other keys are read by, wherever it stands in the file: names, and the pieces' names.
func (r *reader) early(root *yaml.Node, d *draft) error {
	if root.Kind != yaml.MappingNode {
		return nil
	}
	for _, k := range []struct {
		name string
		take func(n *yaml.Node) error
	}{
		{"names", func(n *yaml.Node) error { return r.define("names", n) }},
		{"pieces", func(n *yaml.Node) error { return r.pieces(d).take("pieces", n) }},
	} {
		for i := 0; i+1 < len(root.Content); i += 2 {
			if name := root.Content[i]; name.Kind == yaml.ScalarNode && name.Value == k.name {
				if err := k.take(root.Content[i+1]); err != nil {
					return err
				}
				break
			}
		}
	}
	return nil
}

// sizes finds the size of the bed, given by itself or as the field and what the stone has beyond it.
func (r *reader) sizes(d *draft) error {
	s := &d.promise
	whole, field, over := r.Lines["size"] > 0, r.Lines["field"] > 0, r.Lines["overhang"] > 0
	switch {
	case !whole && !(field && over):
		return r.Bad(0, "the specification has no size", "add a line size: 2743 x 1473 mm, or both field: and overhang:")
	case over && !field:
		return r.BadAt("overhang", "the stone beyond a field that is not given", "add a line field: 2540 x 1270 mm")
	case field && over:
		x, y := sums.Fine(d.field[0]+2*d.overhang[0]), sums.Fine(d.field[1]+2*d.overhang[1])
		if whole && (far(x, s.SizeX) || far(y, s.SizeY)) {
			return r.BadAt("size", fmt.Sprintf("%g x %g mm, but field and overhang make %g x %g mm", s.SizeX, s.SizeY, x, y), "take one of the three lines away")
		}
		if !whole {
			s.SizeX, s.SizeY = x, y
		}
	}
	if field && (d.field[0] >= s.SizeX || d.field[1] >= s.SizeY) {
		return r.BadAt("field", fmt.Sprintf("the field of %g x %g mm is not smaller than the bed of %g x %g mm", d.field[0], d.field[1], s.SizeX, s.SizeY), "check both")
	}
	return nil
}

// far reports whether two lengths differ by more than sums of rounded inches do.
func far(a, b float64) bool { return a-b > 1e-6 || b-a > 1e-6 }
