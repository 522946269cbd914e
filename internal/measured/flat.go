package measured

import (
	"context"

	"slatewright/face"
	"slatewright/internal/flat"
	"slatewright/internal/measured/kept"
)

// Flat is how flat a face is and of which shape, as package flat measures it, with where that is on the piece.
type Flat struct {
	flat.Flat
	Support string      `json:"support"`   // as the file writes it
	Middle  *[2]float64 `json:"middle_mm"` // of the piece, in the file's frame; null when it is not known
	Mark    string      `json:"mark"`      // of a file that says of itself that its data are invented
}

// Flat measures one face.
func (r *Room) Flat(ctx context.Context, digest string) (Flat, error) {
	return kept.Get(ctx, r.shelf, flatKey(digest), r.flat(digest))
}

// AskFlat is Flat for a page: it never waits longer than the room's patience.
func (r *Room) AskFlat(digest string) Asked[Flat] {
	return kept.Ask(r.shelf, flatKey(digest), r.options.Patience, r.flat(digest))
}

// WantFlat has a face measured behind, after all that somebody looks at, and never waits.
func (r *Room) WantFlat(digest string) Asked[Flat] {
	return kept.Want(r.shelf, flatKey(digest), r.flat(digest))
}

// KnownFlat is what is known of a face without reading it.
func (r *Room) KnownFlat(digest string) Asked[Flat] {
	return kept.Known[Flat](r.shelf, flatKey(digest))
}

func flatKey(digest string) string { return "flat " + digest }

func (r *Room) flat(digest string) kept.Work[Flat] {
	return kept.Work[Flat]{
		Bytes: func(f Flat) int64 {
			bytes := 1024 + 24*int64(len(f.Contacts))
			for _, w := range f.Warnings {
				bytes += int64(len(w)) + 16
			}
			return bytes
		},
		Do: func(ctx context.Context) (Flat, error) {
			f, err := r.Face(ctx, digest)
			if err != nil {
				return Flat{}, err
			}
			return turn(ctx, r, readingsWeight(f), func() (Flat, error) { return FlatOf(f) })
		},
	}
}

// turn computes when it is its turn.
func turn[T any](ctx context.Context, r *Room, weight int, compute func() (T, error)) (v T, err error) {
	done, err := r.shelf.Turn(ctx, weight)
	if err != nil {
		return v, err
	}
	defer done()
	return compute()
}

// FlatOf measures a face that is at hand.
func FlatOf(f *face.Face) (Flat, error) {
	found, err := flat.Of(f)
	return Flat{Flat: found, Support: f.Support.Text, Middle: middleOf(f), Mark: markOf(f.Header)}, err
}

// Contact is a reading that touches one of the planes of the zone, counted from the middle of the piece.
type Contact struct {
	X, Y, Z float64
	Upper   bool
}

// Places are the contact points where they lie on the piece; counted as in the file where its middle is not known.
func (r Flat) Places() []Contact {
	var middle [2]float64
	if r.Middle != nil {
		middle = *r.Middle
	}
	list := make([]Contact, len(r.Contacts))
	for i, c := range r.Contacts {
		list[i] = Contact{c[0] - middle[0], c[1] - middle[1], c[2], i < r.UpperContacts}
	}
	return list
}

// middleOf is where the middle of the piece lies in the file's frame.
func middleOf(f *face.Face) *[2]float64 {
	switch {
	case f.Origin == face.Middle:
		return &[2]float64{}
	case f.SizeX > 0:
		return &[2]float64{f.SizeX / 2, f.SizeY / 2}
	}
	return nil
}
