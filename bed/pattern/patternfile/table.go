package patternfile

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/published"
)

// keys lists what a file may say, in the order of the handbook.
func (r *reader) keys(d *draft) []key {
	s := &d.promise
	list := []key{
		{"pattern", "the mill's name of the table pattern", r.text(&s.Pattern)},
		{"revision", "which issue of the pattern this is", r.text(&s.Revision)},
		{"approved", "who approved this revision", r.group(
			key{"by", "name", r.text(&d.approved.By)},
			key{"on", "date, such as 2026-11-26", r.text(&d.approved.On)},
		)},
		{"claims", "the published rules that the table is to meet; bed check holds the file against them", choice(r, &d.claim, published.Names()...)},
		{"names", "names for lengths, angles and numbers, to be used in sums", value{func(string, *yaml.Node) error { return nil }, form{kind: formNames}}},
		{"symmetry", "which parts of the bed are alike; holes, pockets and strips are then given once", r.symmetry(&d.symmetry)},
		{"size", "the whole bed, along the table by across it", r.size(&s.SizeX, &s.SizeY)},
		{"field", "playing field between the cushion noses, along by across", r.size(&d.field[0], &d.field[1])},
		{"overhang", "stone beyond the field on each side; one length, or along by across", r.overhang(&d.overhang)},
		{"pieces", "how many equal pieces, or the length of each from the head", value{func(string, *yaml.Node) error { return nil }, r.pieces(d).form}},
	}
	list = append(list, r.promise(s)...)
	list = append(list, key{"supports", "where shims and screws hold each piece, from its middle", r.supports(d)})
	list = append(list, r.judged(s)...)
	return append(list,
		key{"tolerances", "what each kind of feature may be off, where its entry does not say", r.tolerances(d)},
		key{"pockets", "the openings for the balls", each(r, &d.pockets, r.pocket)},
		key{"holes", "round holes square to the face, in groups that are alike", each(r, &d.holes, r.hole)},
		key{"joints", "the edges where pieces meet, all alike", r.joints(d)},
		key{"strips", "strips of board glued under the stone", each(r, &d.strips, r.strip)},
		key{"chamfers", "what is taken off the bed's outer edges, legs at 45°", r.group(
			key{"top", "at the playing face", r.length(&d.chamfers.Top)},
			key{"bottom", "below", r.length(&d.chamfers.Bottom)},
		)},
		key{"clearances", "least stone that the mill keeps between edges", r.group(
			key{"edge", "from a hole or its counterbore to the bed's edge", r.length(&d.clear.Edge)},
			key{"joint", "to a joint", r.length(&d.clear.Joint)},
			key{"pocket", "to a pocket's cut", r.length(&d.clear.Pocket)},
			key{"hole", "to the next hole", r.length(&d.clear.Hole)},
			key{"web", "left under a counterbore, countersink or blind hole", r.length(&d.clear.Web)},
			key{"dowel", "above and below a dowel's hole", r.length(&d.clear.Dowel)},
			key{"support", "from the middle of a support to a pocket's cut", r.length(&d.clear.Support)},
		)},
	)
}

func (r *reader) symmetry(into *pattern.Symmetry) value {
	return choice(r, into, pattern.Quarter, pattern.Ends, pattern.Sides, pattern.Turned, pattern.None)
}

func (r *reader) overhang(into *[2]float64) value {
	one, two := r.length(&into[0]), r.size(&into[0], &into[1])
	return value{func(path string, n *yaml.Node) error {
		if n.Kind == yaml.ScalarNode && len(times.Split(n.Value, -1)) == 2 {
			return two.take(path, n)
		}
		err := one.take(path, n)
		into[1] = into[0]
		return err
	}, form{kind: formSum, example: "101.6 mm"}}
}

// mostPieces is far above any bed.
const mostPieces = 12

// pieces reads how many equal pieces there are, or each with its length and perhaps its name.
func (r *reader) pieces(d *draft) value {
	count := r.count(&d.count)
	list := func(path string, n *yaml.Node) error {
		return r.list(path, n, "[700 mm, 715 mm, 700 mm]", func(at string, _ int, item *yaml.Node) error {
			d.pieces = append(d.pieces, pieceDraft{})
			p := &d.pieces[len(d.pieces)-1]
			return either(r.length(&p.length), r.group(r.piece(p)...)).take(at, item)
		})
	}
	item := either(r.length(new(float64)), r.group(r.piece(new(pieceDraft))...)).form
	v := either(count, value{list, form{kind: formList, item: &item}})
	whole := v.take
	v.take = func(path string, n *yaml.Node) error {
		r.Lines[path] = n.Line
		err := whole(path, n)
		delete(r.Lines, path) // it is kept, and asked for once, where the file is read in its order
		if len(d.pieces) > 0 {
			d.count = len(d.pieces)
		}
		if err == nil && (d.count < 1 || d.count > mostPieces) {
			return r.BadValue(path, n, fmt.Sprintf("%d pieces; between 1 and %d are worked with", d.count, mostPieces), "give a number such as 3, or a list of lengths from the head")
		}
		return err
	}
	return v
}

func (r *reader) piece(p *pieceDraft) []key {
	return []key{{"length", "along the table", r.length(&p.length)}, {"name", "such as head", r.text(&p.name)}}
}

// pieceNames names the pieces from the head.
func (d *draft) pieceNames() []string {
	list := map[int][]string{1: {"bed"}, 2: {"head", "foot"}, 3: {"head", "centre", "foot"}, 4: {"head", "head-centre", "foot-centre", "foot"},
		5: {"head", "head-centre", "centre", "foot-centre", "foot"}}[d.count]
	if list == nil {
		for i := range d.count {
			list = append(list, fmt.Sprint("piece-", i+1))
		}
	}
	for i, p := range d.pieces {
		if p.name != "" {
			list[i] = p.name
		}
	}
	return list
}

// supports reads the supports of the pieces: "each" for all that have none of their own.
func (r *reader) supports(d *draft) value {
	d.supports.of = map[string][][2]float64{}
	keys := []key{{"each", "of every piece that has none of its own", r.points(&d.supports.each)}}
	for _, name := range d.pieceNames() {
		points := r.points(new([][2]float64))
		keys = append(keys, key{name, "of the piece " + name, value{func(path string, n *yaml.Node) error {
			var own [][2]float64
			err := r.points(&own).take(path, n)
			d.supports.of[name] = own
			return err
		}, points.form}})
	}
	v := r.group(keys...)
	v.form.item = &keys[0].value.form // pieces may have other names
	return v
}

func (r *reader) tolerances(d *draft) value {
	var keys []key
	for _, k := range []struct {
		kind pattern.Kind
		says string
	}{{pattern.RailBolt, "rail-bolt holes"}, {pattern.BedScrew, "bed-screw holes"}, {pattern.Accessory, "accessory holes"}, {pattern.DowelHole, "dowel holes"}, {pattern.PocketCut, "pockets"}} {
		keys = append(keys, key{string(k.kind), k.says, r.tolerance(d.tolerances[k.kind], k.kind)})
	}
	return r.group(keys...)
}

func (r *reader) tolerance(t *pattern.Tolerance, kind pattern.Kind) value {
	if t == nil {
		t = new(pattern.Tolerance)
	}
	position := key{"position", "diameter of the zone in which the middle must lie", r.length(&t.Position)}
	if kind == pattern.PocketCut {
		return r.group(position, key{"radius", "of the drop, either way", r.length(&t.Diameter)})
	}
	return r.group(position, key{"diameter", "of the hole, either way", r.length(&t.Diameter)}, key{"depth", "of a blind hole, counterbore or countersink, either way", r.length(&t.Depth)})
}

// The places of pockets.
var pocketPlaces = []string{"corner", "side", "head-left", "head-right", "foot-left", "foot-right", "left", "right"}

func (r *reader) pocket(p *pocketDraft) []key {
	corner := func(c *cornerDraft) value {
		item := r.length(new(float64)).form
		return value{func(path string, n *yaml.Node) error {
			into := []*float64{&c.u, &c.v, &c.radius}
			if n.Kind != yaml.SequenceNode || len(n.Content) < 2 || len(n.Content) > 3 {
				return r.BadValue(path, n, "a corner is two lengths, outward and to the left of it, and perhaps the radius that rounds it", "write it like [-40 mm, 50 mm, 20 mm]")
			}
			for i, item := range n.Content {
				if err := r.length(into[i]).take(path+"."+[3]string{"u", "v", "radius"}[i], item); err != nil {
					return err
				}
			}
			return nil
		}, form{kind: formList, item: &item}}
	}
	item := corner(new(cornerDraft)).form
	shape := value{func(path string, n *yaml.Node) error {
		return r.list(path, n, "- [-40 mm, 50 mm, 20 mm]", func(at string, _ int, n *yaml.Node) error {
			p.shape = append(p.shape, cornerDraft{})
			return corner(&p.shape[len(p.shape)-1]).take(at, n)
		})
	}, form{kind: formList, item: &item}}
	return []key{
		{"name", "such as corner; every pocket is called so, with its place behind", r.text(&p.name)},
		{"at", "all corners, both sides, or one place that the symmetry repeats", choice(r, &p.at, pocketPlaces...)},
		{"mouth", "between the points of the cushion noses", r.length(&p.mouth)},
		{"shelf", "from the middle of the mouth's line to the edge of the drop; in place of centre", r.length(&p.shelf)},
		{"centre", "middle of the drop's arc in the bed, of the foot-right corner or the right side; in place of shelf", r.point(&p.centre)},
		{"radius", "of the drop", r.length(&p.radius)},
		{"out", "direction from the field outward, from the x axis; 45 deg at a corner, 90 deg at a side", r.angle(&p.out)},
		{"flare", "how far each flank of the cut turns away from that direction", r.angle(&p.flare)},
		{"shape", "corners of a drop drawn freely, in place of radius: outward and left from its centre, and the radius that rounds it", shape},
		{"cut_angle", "between nose line and end of the cushion, in plan", r.angle(&p.cut)},
		{"back_draft", "of the cushion's end from the vertical", r.angle(&p.draft)},
		{"edge", "rounding of the drop's edge at the playing face", r.length(&p.edge)},
		{"tolerance", "in place of tolerances.pocket", r.tolerance(&p.tolerance, pattern.PocketCut)},
		{"symmetry", "of this pocket, in place of the bed's", r.symmetry(&p.symmetry)},
	}
}

var faces = []string{pattern.Top.String(), pattern.Bottom.String()}

func (r *reader) hole(h *holeDraft) []key {
	depth := r.length(&h.depth)
	through := value{func(path string, n *yaml.Node) error {
		if n.Kind == yaml.ScalarNode && strings.TrimSpace(n.Value) == "through" {
			return nil
		}
		if err := depth.take(path, n); err != nil || h.depth != 0 {
			return err
		}
		return r.BadValue(path, n, "a hole of no depth", "write through, or how deep")
	}, form{kind: formSum, example: "through"}}
	from := func(into *string) key { return key{"from", "face from which it is made", choice(r, into, faces...)} }
	return []key{
		{"name", "of the group; each hole is called so, with its number and place behind", r.text(&h.name)},
		{"kind", "what it is for", choice(r, &h.kind, pattern.RailBolt, pattern.BedScrew, pattern.Accessory)},
		{"diameter", "of the hole", r.length(&h.diameter)},
		{"depth", "through, or how deep", through},
		from(&h.from),
		{"counterbore", "flat-bottomed, about the hole", r.group(
			key{"diameter", "at the face", r.length(&h.counterbore.diameter)}, key{"depth", "from the face", r.length(&h.counterbore.depth)}, from(&h.counterbore.from))},
		{"countersink", "cone about the hole", r.group(
			key{"diameter", "at the face", r.length(&h.countersink.diameter)}, key{"angle", "from side to side of the cone", r.angle(&h.countersink.angle)}, from(&h.countersink.from))},
		{"chamfer", "at the playing face, leg at 45°", r.length(&h.chamfer)},
		{"bolt", "largest diameter of what passes through", r.length(&h.bolt)},
		{"mating", "diameter of the zone in which what the bolt goes into may be: rail insert, frame block", r.length(&h.mating)},
		{"tolerance", "in place of tolerances of the kind", r.tolerance(&h.tolerance, h.kind)},
		{"at", "places, from the middle of the bed", r.points(&h.at)},
		{"row", "places along a line, such as a rail", r.group(
			key{"from", "first place", r.point(&h.row.from)}, key{"to", "last place", r.point(&h.row.to)},
			key{"step", "from one place to the next, in place of to", r.point(&h.row.step)}, key{"count", "how many places", r.count(&h.row.count)})},
		{"symmetry", "of this group, in place of the bed's", r.symmetry(&h.symmetry)},
	}
}

func (r *reader) joints(d *draft) value {
	j, w := &d.joints, &d.dowels
	return r.group(
		key{"top_chamfer", "arris taken off at the playing face, leg at 45°", r.length(&j.TopChamfer)},
		key{"bottom_chamfer", "the same below, where fitters part the pieces", r.length(&j.BottomChamfer)},
		key{"placing", "diameter of the zone in which a piece may lie when laid; it counts for rails that go over a joint", r.length(&j.Placing)},
		key{"straightness", "largest departure of the edge from a straight line in plan", r.length(&j.Straightness)},
		key{"squareness", "of the edge to the face, over the thickness", r.length(&j.Squareness)},
		key{"chip", "largest chip at the arris", r.length(&j.Chip)},
		key{"dowels", "pins half in each edge", r.group(
			key{"diameter", "of the hole", r.length(&w.diameter)}, key{"depth", "in each piece", r.length(&w.depth)},
			key{"below", "middle of the hole below the playing face", r.length(&w.below)}, key{"at", "places along the joint, y", r.lengths(&w.at, "[0 mm, 400 mm]")},
			key{"tolerance", "in place of tolerances.dowel", r.tolerance(&w.tolerance, pattern.DowelHole)})},
	)
}

func (r *reader) strip(s *stripDraft) []key {
	return []key{
		{"name", "of the strips", r.text(&s.name)},
		{"from", "one corner, from the middle of the bed", r.point(&s.from)},
		{"to", "the opposite corner", r.point(&s.to)},
		{"thickness", "of the board", r.length(&s.thickness)},
		{"symmetry", "of this strip, in place of the bed's", r.symmetry(&s.symmetry)},
	}
}
