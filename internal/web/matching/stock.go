package matching

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/sets"
	"slatewright/sets/beds"
	"slatewright/trouble"
)

// stock is a rack as it is asked about: what the book and the files say of each piece.
type stock struct {
	waiting.Rack
	layers []string // of each piece; "" where the book does not know it
	places []string // that each piece was drilled for in a set that was parted; "": it is not drilled, or nobody knows
}

// rackOf is the stock of a size of bed, the first that there is where none is named; ok is false when nothing waits to be matched.
func (r room) rackOf(v *shell.Visit, size string) (s stock, sizes []string, ok bool) {
	for i, rack := range r.queue.Racks(v.Now) {
		sizes = append(sizes, rack.Size)
		if rack.Size == size || i == 0 && size == "" || !ok {
			s, ok = stock{Rack: rack}, true
		}
	}
	for _, p := range s.Pieces {
		s.layers, s.places = append(s.layers, r.layerOf(v, p.Ref)), append(s.places, drilledFor(v, p))
	}
	return s, sizes, ok
}

// layerOf is the layer of the quarry that a piece came from, "" when nobody knows. A piece comes from where it came from: it is asked once.
func (r room) layerOf(v *shell.Visit, piece book.Ref) string {
	if known, there := r.layers.Load(piece.ID); there {
		return known.(string)
	}
	from, err := v.Ledger.Origins(v.R.Context(), piece)
	if err != nil {
		return "" // the page is there all the same
	}
	layer := ""
	if i := slices.IndexFunc(from, func(r book.Ref) bool { return r.Kind == book.KindLayer }); i >= 0 {
		layer = from[i].ID
	}
	r.layers.Store(piece.ID, layer)
	return layer
}

// drilledFor is the place in a bed that a loose piece was drilled for, as its last set had it.
func drilledFor(v *shell.Visit, p waiting.Loose) string {
	former := p.State().Sets
	if p.State().Pattern == "" || len(former) == 0 {
		return ""
	}
	_, state, err := v.Thing(book.KindSet, former[len(former)-1])
	if err != nil {
		return "" // the page is there all the same
	}
	if i := slices.Index(state.(*book.SetState).Pieces, p.ID); i >= 0 && len(state.(*book.SetState).Pieces) == len(placesOfABed) {
		return placesOfABed[i]
	}
	return ""
}

// index is the place of a piece in the stock; −1 when it is not there.
func (s stock) index(id string) int {
	return slices.IndexFunc(s.Pieces, func(p waiting.Loose) bool { return p.ID == id })
}

// indices are those of pieces that are all there.
func (s stock) indices(ids []string) (list []int, all bool) {
	for _, id := range ids {
		i := s.index(id)
		if i < 0 {
			return nil, false
		}
		list = append(list, i)
	}
	return list, true
}

// key changes with anything that an answer depends on.
func (s stock) key(w wish, learned rooms, today time.Time) string {
	h := sha256.New()
	for i, p := range s.Pieces {
		fmt.Fprintf(h, "%q %q %v %q %q %q\n", p.ID, p.Reading.Blob, p.State().ThicknessMM, s.places[i], s.layers[i], p.State().Pattern)
	}
	for _, o := range s.Proposed {
		fmt.Fprintf(h, "proposed %q\n", o.Pieces)
	}
	for _, o := range s.Wants {
		fmt.Fprintf(h, "wants %+q %d %s\n", o.Order, o.Sets, o.Due.Format(time.DateOnly))
	}
	fmt.Fprintf(h, "%q %q %q %v %v %s\n", s.Size, w.Keep, w.Apart, w.Costs, learned, today.Format(time.DateOnly))
	return hex.EncodeToString(h.Sum(nil))
}

// limited is the size of bed whose limits the book knows.
const limited = "9 ft"

// specOf is the bed's specification for pieces of a size along and across the table, mm. The limits are those of the nine-foot bed whatever the size:
// the book keeps no other.
func specOf(x, y float64) bed.Spec {
	spec := bed.NineFoot()
	if px, py := spec.PieceSize(); math.Abs(px-x) > spec.SizeTolerance || math.Abs(py-y) > spec.SizeTolerance {
		spec.SizeX, spec.SizeY = 3*x+2*spec.JointGap, y
	}
	return spec
}

// rooms are what lay-ups have taught to keep from the limits, mm.
type rooms struct{ step, zone float64 }

// shorten takes from a limit what lay-ups have taught beyond what doubt takes anyway, at most half of it, and returns the share that is left: by it the
// weight is multiplied, so that the same step costs the same.
func shorten(limit *float64, by float64) (left float64) {
	by = min(max(by, 0), *limit/2)
	left = 1 - by / *limit
	*limit -= by
	return left
}

// roomOf is what doubt is expected to take from each limit, mm.
func roomOf(spec bed.Spec) float64 { return judge.Factor(spec.Decision) * judge.FirstDoubt(spec) }

// question makes the stock into what package sets is asked. It reads the faces.
func (r room) question(ctx context.Context, s stock, w wish, learned rooms, today time.Time) (q sets.Question, err error) {
	q = sets.Question{Weights: w.Costs, Spec: bed.NineFoot(), Gap: goodEnough}
	sized := false
	for i, p := range s.Pieces {
		f, err := r.measured.Face(ctx, p.Reading.Blob)
		if unread := (*trouble.Trouble)(nil); errors.As(err, &unread) && unread.Kind == trouble.KindData {
			q.Pieces = append(q.Pieces, sets.Piece{ID: p.ID, Ways: beds.AnyWay(), Thickness: math.NaN(), Size: s.Size, NotReady: unread.What})
			continue // the others can be matched all the same
		}
		if err != nil {
			return q, err
		}
		q.Pieces = append(q.Pieces, s.piece(i, f, today))
		if !sized && f.SizeX > 0 && f.SizeY > 0 {
			q.Spec, sized = specOf(f.SizeX, f.SizeY), true
		}
	}
	c := sets.Class{Limits: q.Spec.Limits, Room: roomOf(q.Spec)}
	q.Weights.Step *= shorten(&c.Limits.Step, learned.step-c.Room)
	q.Weights.Zone *= shorten(&c.Limits.Zone, learned.zone-c.Room)
	q.Classes = []sets.Class{c}
	for _, o := range s.Wants {
		q.Orders = append(q.Orders, sets.Order{ID: o.Order, Size: s.Size, Sets: o.Sets, Due: o.Due.Format(time.DateOnly)})
	}
	for _, ids := range w.Keep {
		if list, all := s.indices(ids); all {
			q.Together = append(q.Together, list)
		}
	}
	for _, ids := range w.Apart {
		if list, all := s.indices(ids); all {
			q.Apart = append(q.Apart, [2]int(list))
		}
	}
	for _, o := range s.Proposed {
		if list, all := s.indices(o.Pieces); all && len(list) == 3 {
			q.Before = append(q.Before, [3]int(list))
		}
	}
	return q, nil
}

// goodEnough is the gap at which a page stops looking for a better plan.
const goodEnough = 1e-4

// piece is a piece of the stock as package sets takes it.
func (s stock) piece(i int, f *face.Face, today time.Time) sets.Piece {
	p := s.Pieces[i]
	q := sets.Piece{ID: p.ID, Face: f, Layer: s.layers[i], Ways: beds.AnyWay(), Thickness: thickness(p.State(), f), Least: bed.NineFoot().ThicknessMin, Size: s.Size}
	if len(f.Lined) > 0 {
		q.Least += bed.NineFoot().Lining
	}
	var place bed.Place
	if s.places[i] != "" && place.UnmarshalText([]byte(s.places[i])) == nil {
		q.Ways = beds.CutAs(place)
	}
	if f.TurnFixed {
		q.Ways = q.Ways.Unturned()
	}
	if ready := time.UnixMilli(p.Reading.AtMS); today.After(ready) {
		q.AgeDays = math.Floor(today.Sub(ready).Hours() / 24)
	}
	return q
}

// thickness is that of a piece, with its lining where it has one: as the file of its readings says, else as the book does; NaN where neither knows.
func thickness(s *book.PieceState, f *face.Face) float64 {
	list := f.Thickness
	if len(f.Lined) > 0 {
		list = f.Lined
	}
	if len(list) > 0 {
		sum := 0.0
		for _, t := range list {
			sum += t.T
		}
		return sum / float64(len(list))
	}
	if s.ThicknessMM > 0 && !s.Lined {
		return s.ThicknessMM
	}
	return math.NaN()
}
