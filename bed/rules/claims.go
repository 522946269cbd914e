package rules

import (
	"fmt"
	"math"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/published"
	"slatewright/measure"
)

// claims holds the pattern against the published rules that it claims to meet.
func claims(p pattern.Pattern) (list []finding) {
	r, ok := published.Find(p.Claim)
	if !ok {
		return nil
	}
	say := func(where, message string) {
		list = append(list, finding{Tournament, where, where, message, 0})
	}
	for _, f := range []struct {
		where string
		have  float64
		want  published.Span
	}{{"field, along", p.FieldX, r.FieldX}, {"field, across", p.FieldY, r.FieldY}} {
		switch {
		case f.have == 0:
			say("field", fmt.Sprintf("the file claims the rules and does not give the field (%s)", r.Title))
		case !f.want.Holds(f.have):
			say(f.where, fmt.Sprintf("%s between the cushion noses; the rules ask for %s to %s (%s)", mm(f.have), mm(f.want.Low), mm(f.want.High), r.Title))
		}
	}
	if tight(p.Thickness, r.ThicknessMin) {
		say("thickness_min", fmt.Sprintf("stone from %s; the rules ask for %s (%s)", mm(p.Thickness), mm(r.ThicknessMin), r.Title))
	}
	if r.Pieces > 0 && (len(p.Pieces) != r.Pieces || !equal(p.Pieces)) {
		say("pieces", fmt.Sprintf("the rules ask for %d pieces of equal size (%s)", r.Pieces, r.Title))
	}
	for _, l := range []struct {
		where      string
		have, most float64
	}{{"limits.lengthwise", p.Promise.Limits.Lengthwise, r.Lengthwise}, {"limits.across", p.Promise.Limits.Across, r.Across}, {"limits.step", p.Promise.Limits.Step, r.Step}} {
		if l.most > 0 && l.have > l.most+1e-9 {
			say(l.where, fmt.Sprintf("%s is promised; the rules ask for %s (%s)", measure.FormatRounded(l.have, measure.MM, 3), measure.FormatRounded(l.most, measure.MM, 3), r.Title))
		}
	}
	for _, k := range p.Pockets {
		opening := r.Corner
		if k.Side {
			opening = r.Side
		}
		for _, message := range openings(k, opening, r.Title) {
			list = append(list, finding{Tournament, k.Base, k.Name, message, k.Line})
		}
	}
	return list
}

func equal(pieces []pattern.Piece) bool {
	for _, piece := range pieces {
		if math.Abs(piece.To-piece.From-(pieces[0].To-pieces[0].From)) > same {
			return false
		}
	}
	return true
}

// openings says what of a pocket the rules of a title do not allow.
func openings(k pattern.Pocket, o published.Opening, title string) (list []string) {
	if o.Mouth.Said() {
		switch {
		case k.Mouth == 0:
			list = append(list, fmt.Sprintf("the mouth is not given (%s)", title))
		case !o.Mouth.Holds(k.Mouth):
			list = append(list, fmt.Sprintf("a mouth of %s; the rules ask for %s to %s (%s)", mm(k.Mouth), mm(o.Mouth.Low), mm(o.Mouth.High), title))
		}
	}
	if o.Shelf.Said() && k.HasShelf && !o.Shelf.Holds(k.Shelf) {
		list = append(list, fmt.Sprintf("a shelf of %s; the rules ask for %s to %s (%s)", mm(k.Shelf), mm(o.Shelf.Low), mm(o.Shelf.High), title))
	}
	if o.Cut.Said() && k.CutAngle != 0 && !o.Cut.Holds(k.CutAngle) {
		list = append(list, fmt.Sprintf("a cut angle of %s; the rules ask for %s to %s (%s)", degrees(k.CutAngle), degrees(o.Cut.Low), degrees(o.Cut.High), title))
	}
	if o.Draft.Said() && k.Draft != 0 && !o.Draft.Holds(k.Draft) {
		list = append(list, fmt.Sprintf("a back draft of %s; the rules ask for %s to %s (%s)", degrees(k.Draft), degrees(o.Draft.Low), degrees(o.Draft.High), title))
	}
	return list
}

func degrees(a float64) string { return measure.Decimal(a*180/math.Pi, 1) + "°" }
