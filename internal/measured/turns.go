package measured

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/trouble"
)

// Turn is one way to lay the same three pieces together: predicted by seating, without the doubt that a verdict asks for.
type Turn struct {
	Order    [3]int  // which of the faces lies at head, centre, foot
	Turned   [3]bool // by half a turn about z
	Chosen   bool    // it is the one that was judged
	Feasible bool    // the limit that the seating was asked to keep can be kept
	Keeps    bool    // every limit is kept as predicted, without room for doubt
	Figures
}

// compareTurns seats the pieces in every place and turn they allow. Before holes are cut a piece may take any place and be turned unless
// its file says otherwise; afterwards there is one way only.
func compareTurns(ctx context.Context, q seating.Question, body certificate.Body, fixed bool) (list []Turn, left string, err error) {
	chosen := Turn{}
	for place, p := range body.Found.Pieces {
		chosen.Order[place], chosen.Turned[place] = p.Reading, p.Turned
	}
	ways := []Turn{chosen}
	if !fixed {
		ways = allWays(q.Faces, chosen)
	}
	faces, err := bothWays(q.Faces)
	if err != nil {
		return nil, "", err
	}
	failed, first := 0, error(nil)
	for _, w := range ways {
		if err := ctx.Err(); err != nil {
			return nil, "", err
		}
		if err := w.seat(faces, q); err != nil {
			var t *trouble.Trouble
			if !errors.As(err, &t) || t.Kind != trouble.KindData {
				return nil, "", err
			}
			failed, first = failed+1, cmp.Or(first, err)
			continue
		}
		w.Chosen = w.same(chosen)
		list = append(list, w)
	}
	if failed > 0 {
		left = fmt.Sprintf("%d of %d ways could not be tried: %v", failed, len(ways), first)
	}
	slices.SortStableFunc(list, func(a, b Turn) int {
		return cmp.Or(-yes(a.Feasible, b.Feasible), -yes(a.Keeps, b.Keeps), cmp.Compare(a.Zone, b.Zone), cmp.Compare(max(a.Steps[0], a.Steps[1]), max(b.Steps[0], b.Steps[1])))
	})
	return list, left, nil
}

// yes compares: true is more.
func yes(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// allWays lists the chosen way, then the six orders with every turn. Turning all three and reversing their order is the same bed seen
// from its other end, so the first of the two is listed.
func allWays(faces [3]*face.Face, chosen Turn) []Turn {
	list := []Turn{chosen}
	for _, order := range [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
		for turns := range 8 {
			w := Turn{Order: order, Turned: [3]bool{turns&1 != 0, turns&2 != 0, turns&4 != 0}}
			possible := true
			for place, k := range order {
				possible = possible && !(w.Turned[place] && faces[k].TurnFixed)
			}
			if possible && !slices.ContainsFunc(list, w.same) {
				list = append(list, w)
			}
		}
	}
	return list
}

// same reports whether o is the same bed, seen from the same end or from the other.
func (w Turn) same(o Turn) bool {
	if w.Order == o.Order && w.Turned == o.Turned {
		return true
	}
	for place := range w.Order {
		if w.Order[place] != o.Order[2-place] || w.Turned[place] == o.Turned[2-place] {
			return false
		}
	}
	return true
}

// bothWays are the faces as they lie and turned, both bound to lie so.
func bothWays(faces [3]*face.Face) (both [3][2]*face.Face, err error) {
	for k, f := range faces {
		centred, err := f.Centred()
		if err != nil {
			return both, err
		}
		lying := *centred
		lying.TurnFixed = true
		both[k] = [2]*face.Face{&lying, halfTurned(&lying)}
	}
	return both, nil
}

// halfTurned is a face after half a turn about z. Supports under it are left out: seating does not look at them.
func halfTurned(f *face.Face) *face.Face {
	t := *f
	t.X, t.Y = negative(f.X), negative(f.Y)
	t.Support = face.Support{Kind: f.Support.Kind, Text: f.Support.Text}
	t.Thickness = slices.Clone(f.Thickness)
	for i := range t.Thickness {
		t.Thickness[i].X, t.Thickness[i].Y = -t.Thickness[i].X, -t.Thickness[i].Y
	}
	t.Lined = nil
	if f.Row != nil {
		t.Row = make([]face.Row, len(f.Row))
		for i, row := range f.Row {
			switch row {
			case face.JointPlus:
				t.Row[i] = face.JointMinus
			case face.JointMinus:
				t.Row[i] = face.JointPlus
			}
		}
	}
	return &t
}

func negative(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = -x
	}
	return out
}

// lay seats the pieces in one way.
func (w Turn) lay(faces [3][2]*face.Face, q seating.Question) (seating.Result, error) {
	q.AnyPlace = false
	q.Spec.Supports = [3][][2]float64{} // no shims: their card is that of the way that was judged
	for place, k := range w.Order {
		q.Faces[place] = faces[k][0]
		if w.Turned[place] {
			q.Faces[place] = faces[k][1]
		}
	}
	return seating.Seat(q)
}

// seat seats the pieces in one way, and takes its figures.
func (w *Turn) seat(faces [3][2]*face.Face, q seating.Question) error {
	r, err := w.lay(faces, q)
	if err != nil {
		return err
	}
	w.Feasible = r.Feasible
	w.Figures = Figures{Zone: r.Zone, Lengthwise: r.Lengthwise.Value, Across: r.Across.Value, Steps: [2]float64{r.Joints[0].Largest, r.Joints[1].Largest}}
	w.Keeps = w.keeps(q.Spec.Limits)
	return nil
}

func (w *Turn) keeps(l bed.Limits) bool {
	return w.Zone <= l.Zone && w.Lengthwise <= l.Lengthwise && w.Across <= l.Across && max(w.Steps[0], w.Steps[1]) <= l.Step
}
