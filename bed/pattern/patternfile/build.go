package patternfile

import (
	"errors"
	"fmt"
	"math"
	"regexp"

	"slatewright/bed"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/trouble"
)

// DefaultClearances are the least distances where a file says nothing, for stone of the given thickness: common practice, no source.
func DefaultClearances(thickness float64) pattern.Clearances {
	return pattern.Clearances{Edge: 1.5 * thickness, Joint: 25, Pocket: 25, Hole: thickness, Web: 10, Dowel: 8, Support: 25}
}

// build works out the places.
func (r *reader) build(d *draft) (pattern.Pattern, error) {
	s := d.promise
	p := pattern.Pattern{
		Name: s.Pattern, Revision: s.Revision, Approved: d.approved, Claim: d.claim, Symmetry: d.symmetry,
		SizeX: s.SizeX, SizeY: s.SizeY, FieldX: d.field[0], FieldY: d.field[1], Thickness: s.ThicknessMin, Chamfers: d.chamfers,
	}
	for _, step := range []func(*draft, *pattern.Pattern) error{
		r.placePieces, r.checkPromise, r.placeClearances, r.placePockets, r.cutPieces, r.placeHoles, r.placeJoints, r.placeStrips, r.tellApart,
	} {
		if err := step(d, &p); err != nil {
			return pattern.Pattern{}, err
		}
	}
	return p, nil
}

// placePieces lays the pieces along the table, with the joints' gaps between them.
func (r *reader) placePieces(d *draft, p *pattern.Pattern) error {
	names, gap := d.pieceNames(), d.promise.JointGap
	if err := r.distinct("pieces", names); err != nil {
		return err
	}
	for i, p := range d.pieces {
		if p.name != "" {
			if err := r.called(fmt.Sprintf("pieces[%d]", i), p.name, "head"); err != nil {
				return err
			}
		}
	}
	rest := p.SizeX - float64(float64(d.count-1)*gap)
	lengths := make([]float64, d.count)
	total := 0.0
	for i := range lengths {
		lengths[i] = rest / float64(d.count)
		if len(d.pieces) > 0 {
			lengths[i] = d.pieces[i].length
		}
		if !(lengths[i] >= 50) {
			return r.BadAt("pieces", fmt.Sprintf("the piece %s is %g mm along the table", names[i], lengths[i]), "check the lengths and the bed's size")
		}
		total += lengths[i]
	}
	if far(total, rest) {
		return r.BadAt("pieces", fmt.Sprintf("the pieces are %g mm long together, the bed less its gaps is %g mm", total, rest), "mend the lengths or the size")
	}
	x := -p.SizeX / 2
	for i, name := range names {
		piece := pattern.Piece{Name: name, From: x, To: x + lengths[i], Supports: d.supports.of[name]}
		if r.Lines["supports."+name] == 0 {
			piece.Supports = append(piece.Supports, d.supports.each...)
			for k := range d.supports.each { // a fault of one of them is told where it was written
				r.Lines[fmt.Sprintf("supports.%s[%d]", name, k)] = r.Lines[fmt.Sprintf("supports.each[%d]", k)]
			}
		}
		piece.Middle = shape.Point{X: (piece.From + piece.To) / 2}
		p.Pieces = append(p.Pieces, piece)
		x += lengths[i] + gap
	}
	return nil
}

var featureName = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}_-]{0,39}$`)

// called checks the name of a piece, a group, a pocket or a strip: it stands in lists, file names and drawings.
func (r *reader) called(path, name, example string) error {
	switch {
	case name == "":
		return r.BadAt(path, "it has no name", "add name: such as "+example)
	case !featureName.MatchString(name):
		return r.BadAt(path+".name", fmt.Sprintf("%q is not one word", name), "use letters, figures, - and _ without blanks, at most 40, such as "+example)
	}
	return nil
}

// tellApart checks that no two features have one name in the end.
func (r *reader) tellApart(_ *draft, p *pattern.Pattern) error {
	type feature struct {
		name string
		line int
	}
	var list []feature
	for _, k := range p.Pockets {
		list = append(list, feature{k.Name, k.Line})
	}
	for _, h := range p.Holes {
		list = append(list, feature{h.Name, h.Line})
	}
	for _, j := range p.Joints {
		for _, w := range j.Dowels {
			list = append(list, feature{w.Name, r.Line("joints.dowels")})
		}
	}
	for _, s := range p.Strips {
		list = append(list, feature{s.Name, s.Line})
	}
	seen := map[string]bool{}
	for _, f := range list {
		if seen[f.name] {
			return r.Bad(f.line, fmt.Sprintf("two features are called %q", f.name), "give one of the groups another name")
		}
		seen[f.name] = true
	}
	return nil
}

func (r *reader) distinct(path string, names []string) error {
	seen := map[string]bool{}
	for _, name := range names {
		if seen[name] {
			return r.BadAt(path, fmt.Sprintf("two are called %q", name), "give each a name of its own")
		}
		seen[name] = true
	}
	return nil
}

// checkPromise holds the promise against the ranges of package bed; supports and edge band also where a bed is not of three
// equal pieces.
func (r *reader) checkPromise(d *draft, p *pattern.Pattern) error {
	p.Promise = d.promise
	s, err := p.Spec()
	if err == nil {
		p.Promise.Supports = s.Supports
		return r.validate(s)
	}
	if err := r.validate(p.Promise); err != nil {
		return err
	}
	for i, piece := range p.Pieces {
		one := bed.NineFoot() // one piece after another, as a bed of three of its kind
		one.SizeX, one.SizeY, one.JointGap, one.EdgeBand = 3*(piece.To-piece.From), p.SizeY, 0, d.promise.EdgeBand
		one.Supports = [3][][2]float64{piece.Supports}
		if one.SizeX < 500 {
			continue // too small to be held against a bed's ranges
		}
		if err := one.Validate(); err != nil {
			return r.renamed(err, "supports.head", "supports."+p.Pieces[i].Name)
		}
	}
	return nil
}

func (r *reader) validate(s bed.Spec) error {
	if err := s.Validate(); err != nil {
		return r.AtLine(err)
	}
	return nil
}

// placeClearances fills what the file leaves out.
func (r *reader) placeClearances(d *draft, p *pattern.Pattern) error {
	p.Clearances = d.clear
	usual := DefaultClearances(p.Thickness)
	for _, c := range []struct {
		key   string
		into  *float64
		usual float64
	}{
		{"edge", &p.Clearances.Edge, usual.Edge}, {"joint", &p.Clearances.Joint, usual.Joint}, {"pocket", &p.Clearances.Pocket, usual.Pocket},
		{"hole", &p.Clearances.Hole, usual.Hole}, {"web", &p.Clearances.Web, usual.Web}, {"dowel", &p.Clearances.Dowel, usual.Dowel},
		{"support", &p.Clearances.Support, usual.Support},
	} {
		path := "clearances." + c.key
		if r.Lines[path] == 0 {
			*c.into = c.usual
		}
		if err := r.within(path, *c.into, 0, 500); err != nil {
			return err
		}
	}
	for path, v := range map[string]float64{"chamfers.top": d.chamfers.Top, "chamfers.bottom": d.chamfers.Bottom} {
		if err := r.within(path, v, 0, p.Thickness/2); err != nil {
			return err
		}
	}
	return nil
}

// within is a length that must be in a range, ends included.
func (r *reader) within(path string, v, low, high float64) error {
	if v >= low && v <= high {
		return nil
	}
	return r.BadAt(path, fmt.Sprintf("%.6g mm; it must be between %.6g and %.6g mm", v, low, high), "check the number and its unit")
}

// cutPieces gives each piece its outline, pockets taken out.
func (r *reader) cutPieces(_ *draft, p *pattern.Pattern) error {
	for i := range p.Pieces {
		piece := &p.Pieces[i]
		piece.Outline = shape.Rectangle(shape.Point{X: piece.From, Y: -p.SizeY / 2}, shape.Point{X: piece.To, Y: p.SizeY / 2})
		for _, pocket := range p.Pockets {
			outer, holes, err := shape.Subtract(piece.Outline, pocket.Outline)
			if err != nil {
				var t *trouble.Trouble
				if errors.As(err, &t) {
					return r.Bad(pocket.Line, fmt.Sprintf("pocket %s on the %s piece: %s", pocket.Name, piece.Name, t.What), t.Next).Because(err)
				}
				return err
			}
			if len(outer) != 1 {
				return r.Bad(pocket.Line, fmt.Sprintf("pocket %s leaves %d parts of the %s piece", pocket.Name, len(outer), piece.Name), "check its place and size")
			}
			piece.Outline = outer[0]
			piece.Openings = append(piece.Openings, holes...)
		}
	}
	return nil
}

// placeJoints puts the joints between the pieces, with their dowels.
func (r *reader) placeJoints(d *draft, p *pattern.Pattern) error {
	w, asked := d.dowels, r.Lines["joints.dowels"] > 0
	if asked {
		for _, c := range []struct {
			key       string
			v, lo, hi float64
		}{{"diameter", w.diameter, 2, p.Thickness}, {"depth", w.depth, 2, 200}, {"below", w.below, w.diameter / 2, p.Thickness - w.diameter/2}} {
			if err := r.within("joints.dowels."+c.key, c.v, c.lo, c.hi); err != nil {
				return err
			}
		}
		if len(w.at) == 0 || len(w.at) > 20 {
			return r.BadAt("joints.dowels", fmt.Sprintf("%d places; between 1 and 20 are worked with", len(w.at)), "add at: with the places along the joint")
		}
		if w.tolerance == (pattern.Tolerance{}) {
			w.tolerance = *d.tolerances[pattern.DowelHole]
		}
	}
	for i := 1; i < len(p.Pieces); i++ {
		j := d.joints
		j.Name, j.X, j.Before, j.Gap = string(rune('a'+i-1)), (p.Pieces[i-1].To+p.Pieces[i].From)/2, i-1, d.promise.JointGap
		if asked {
			j.Dowels = w.along(j.Name, d.symmetry)
		}
		p.Joints = append(p.Joints, j)
	}
	return nil
}

// along lays the dowels along a joint; where the bed's sides are alike, to both sides.
func (w dowelDraft) along(joint string, s pattern.Symmetry) (list []pattern.Dowel) {
	images := [][2]float64{{1, 1}}
	if s == pattern.Quarter || s == pattern.Sides {
		images = pattern.Sides.Images()
	}
	for i, y := range w.at {
		for _, image := range images {
			at := 0 + image[1]*y
			if image[1] < 0 && at == y {
				continue
			}
			name := fmt.Sprintf("dowel-%s%d", joint, i+1)
			if len(images) > 1 {
				name += pattern.Quadrant(0, at)
			}
			list = append(list, pattern.Dowel{Name: name, Base: fmt.Sprint("dowel-", i+1), Y: at, Below: w.below, Diameter: w.diameter, Depth: w.depth, Tolerance: w.tolerance})
		}
	}
	return list
}

// placeStrips repeats the strips.
func (r *reader) placeStrips(d *draft, p *pattern.Pattern) error {
	var names []string
	for i, s := range d.strips {
		path := fmt.Sprintf("strips[%d]", i)
		if err := r.called(path, s.name, "side-strip"); err != nil {
			return err
		}
		names = append(names, s.name)
		x0, x1, y0, y1 := math.Min(s.from[0], s.to[0]), math.Max(s.from[0], s.to[0]), math.Min(s.from[1], s.to[1]), math.Max(s.from[1], s.to[1])
		if x1-x0 < 1 || y1-y0 < 1 {
			return r.BadAt(path, fmt.Sprintf("a strip of %.6g x %.6g mm", x1-x0, y1-y0), "give two opposite corners")
		}
		if err := r.within(path+".thickness", s.thickness, 1, 100); err != nil {
			return err
		}
		for _, at := range images((x0+x1)/2, (y0+y1)/2, own(s.symmetry, d.symmetry)) {
			strip := pattern.Strip{Name: s.name + dashed(at, own(s.symmetry, d.symmetry)), Line: r.Line(path), Thickness: s.thickness, Piece: p.PieceAt(at[0]),
				X0: at[0] - (x1-x0)/2, X1: at[0] + (x1-x0)/2, Y0: at[1] - (y1-y0)/2, Y1: at[1] + (y1-y0)/2}
			p.Strips = append(p.Strips, strip)
		}
	}
	return r.distinct("strips", names)
}

// own is the symmetry of an entry: its own if it says one, else the bed's.
func own(entry, whole pattern.Symmetry) pattern.Symmetry {
	if entry != "" {
		return entry
	}
	return whole
}

// images are the places that a symmetry makes of one, each once.
func images(x, y float64, s pattern.Symmetry) (list [][2]float64) {
	for _, image := range s.Images() {
		at := [2]float64{0 + image[0]*x, 0 + image[1]*y}
		known := false
		for _, other := range list {
			known = known || other == at
		}
		if !known {
			list = append(list, at)
		}
	}
	return list
}

// dashed is where in the bed an image lies, as the end of its name; nothing where there is no symmetry to tell apart, or it
// lies in the middle.
func dashed(at [2]float64, s pattern.Symmetry) string {
	if q := pattern.Quadrant(at[0], at[1]); s != pattern.None && q != "" {
		return "-" + q
	}
	return ""
}
