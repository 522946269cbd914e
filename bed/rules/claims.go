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
	say := func(where, what string, line int) {
		list = append(list, finding{Tournament, where, where, fmt.Sprintf("%s (%s)", what, r.Title), line})
	}
	for _, f := range []struct {
		where string
		have  float64
		want  published.Span
	}{{"field, along", p.FieldX, r.FieldX}, {"field, across", p.FieldY, r.FieldY}} {
		switch {
		case f.have == 0:
			say("field", "the file claims the rules and does not give the field", 0)
		case !f.want.Holds(f.have):
			say(f.where, fmt.Sprintf("%s between the cushion noses; the rules ask for %s", mm(f.have), span(f.want)), 0)
		}
	}
	if tight(p.Thickness, r.ThicknessMin) {
		say("thickness_min", fmt.Sprintf("stone from %s; the rules ask for %s", mm(p.Thickness), mm(r.ThicknessMin)), 0)
	}
	if r.Pieces > 0 && (len(p.Pieces) != r.Pieces || !equal(p.Pieces)) {
		say("pieces", fmt.Sprintf("the rules ask for %d pieces of equal size", r.Pieces), 0)
	}
	for _, l := range []struct {
		where      string
		have, most float64
	}{{"limits.lengthwise", p.Promise.Limits.Lengthwise, r.Lengthwise}, {"limits.across", p.Promise.Limits.Across, r.Across}, {"limits.step", p.Promise.Limits.Step, r.Step}} {
		if l.most > 0 && l.have > l.most+1e-9 {
			say(l.where, fmt.Sprintf("%s is promised; the rules ask for %s", measure.FormatRounded(l.have, measure.MM, 3), measure.FormatRounded(l.most, measure.MM, 3)), 0)
		}
	}
	for _, k := range p.Pockets {
		opening := r.Corner
		if k.Side {
			opening = r.Side
		}
		for _, m := range openings(k, opening) {
			list = append(list, finding{Tournament, k.Base, k.Name, fmt.Sprintf("%s (%s)", m, r.Title), k.Line})
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

// openings says what of a pocket the rules do not allow.
func openings(k pattern.Pocket, o published.Opening) (list []string) {
	if o.Mouth.Said() {
		switch {
		case k.Mouth == 0:
			list = append(list, "the mouth is not given")
		case !o.Mouth.Holds(k.Mouth):
			list = append(list, fmt.Sprintf("a mouth of %s; the rules ask for %s", mm(k.Mouth), span(o.Mouth)))
		}
	}
	if o.Shelf.Said() && k.HasShelf && !o.Shelf.Holds(k.Shelf) {
		list = append(list, fmt.Sprintf("a shelf of %s; the rules ask for %s", mm(k.Shelf), span(o.Shelf)))
	}
	for _, a := range []struct {
		what string
		have float64
		want published.Span
	}{{"cut angle", k.CutAngle, o.Cut}, {"back draft", k.Draft, o.Draft}} {
		if a.want.Said() && a.have != 0 && !a.want.Holds(a.have) {
			list = append(list, fmt.Sprintf("a %s of %s; the rules ask for %s to %s", a.what, degrees(a.have), degrees(a.want.Low), degrees(a.want.High)))
		}
	}
	return list
}

func degrees(a float64) string { return measure.Decimal(a*180/math.Pi, 1) + "°" }

func span(s published.Span) string { return mm(s.Low) + " to " + mm(s.High) }
