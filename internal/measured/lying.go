package measured

import (
	"context"
	"fmt"

	"slatewright/face"
	"slatewright/internal/measured/kept"
	"slatewright/seating"
)

// Lying is three faces that lie as somebody has said: none changes its place or its turn.
type Lying struct {
	Faces         [3]string // digests of the readings: head, centre, foot
	Names         [3]string // as in Triple
	Specification string    // digest; "": the nine-foot bed
	Turned        [3]bool   // by half a turn about z
	MaxStep       float64   // mm: the flattest bed within it is sought, else the smallest steps
}

// AskSteps foretells the steps along both joints of such a bed, for a page: at first it is being computed. Of a joint only Y, Step and
// Largest are told; no doubt is reckoned.
func (r *Room) AskSteps(l Lying) Asked[[2]Joint] {
	return kept.Ask(r.shelf, fmt.Sprintf("lying %+q", fmt.Sprintf("%+v", l)), r.options.Patience, kept.Work[[2]Joint]{
		Bytes: func(j [2]Joint) int64 { return 16*int64(len(j[0].Y)+len(j[1].Y)) + 1024 },
		Do:    func(ctx context.Context) ([2]Joint, error) { return r.stepsOf(ctx, l) },
	})
}

func (r *Room) stepsOf(ctx context.Context, l Lying) (joints [2]Joint, err error) {
	in, err := r.input(ctx, Triple{Faces: l.Faces, Names: l.Names, Specification: l.Specification})
	if err != nil {
		return joints, err
	}
	return turn(ctx, r, heavy, func() ([2]Joint, error) {
		return lyingSteps(in.Faces, seating.Question{Spec: in.Spec, MaxStep: l.MaxStep}, l.Turned)
	})
}

func lyingSteps(faces [3]*face.Face, q seating.Question, turned [3]bool) (joints [2]Joint, err error) {
	both, err := bothWays(faces)
	if err != nil {
		return joints, err
	}
	seated, err := Turn{Order: [3]int{0, 1, 2}, Turned: turned}.lay(both, q)
	if err != nil {
		return joints, err
	}
	for k, j := range seated.Joints {
		joints[k] = Joint{Y: j.Y, Step: j.Step, Largest: j.Largest}
	}
	return joints, nil
}
