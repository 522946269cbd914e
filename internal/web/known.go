package web

import (
	"context"
	"math"
	"slices"
	"sync"

	"slatewright/internal/measured"
	"slatewright/internal/measured/kept"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
	"slatewright/judge"
)

// known is what the queue may know of files: what was computed already. What was not is computed behind, one after the other, and
// known when the queue is asked again.
type known struct {
	room    *measured.Room
	answers *kept.Shelf // to questions: those of specimens are the mill's own
	demo    bool
	mu      sync.Mutex
	faces   map[string]waiting.Flat
	todo    []string
	wake    chan struct{}
}

func newKnown(room *measured.Room, demo bool) *known {
	return &known{room: room, answers: shell.NewAnswers(), demo: demo, faces: map[string]waiting.Flat{}, wake: make(chan struct{}, 1)}
}

// Flat is the flatness of the face in a file, if it is known.
func (k *known) Flat(digest string) (waiting.Flat, bool) {
	if digest == "" {
		return waiting.Flat{}, false
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	f, ok := k.faces[digest]
	if !ok && !slices.Contains(k.todo, digest) {
		k.todo = append(k.todo, digest)
		select {
		case k.wake <- struct{}{}:
		default:
		}
	}
	return f, ok && f.ZoneMM > 0
}

// Bed is what three faces are as one bed, if it is known.
func (k *known) Bed(faces []string, layUp string) (waiting.Bed, bool) {
	if len(faces) != 3 || slices.Contains(faces, "") {
		return waiting.Bed{}, false
	}
	asked := k.room.WantBed(measured.Triple{Faces: [3]string(faces), LayUp: layUp, Demo: k.demo})
	if asked.State != measured.Ready {
		return waiting.Bed{}, false
	}
	return bedOf(asked.Value, layUp == ""), true
}

// Boards is what the list of a batch of lining boards comes to, if it is known.
func (k *known) Boards(digest string) (waiting.Boards, bool) {
	if digest == "" {
		return waiting.Boards{}, false
	}
	asked := k.room.WantBoards(digest)
	if asked.State != measured.Ready {
		return waiting.Boards{}, false
	}
	return waiting.Boards{Verdict: asked.Value.Verdict, MostMM: asked.Value.Layouts[0].Worst.High, LimitMM: asked.Value.LimitMM}, true
}

// bedOf keeps what the queue speaks of.
func bedOf(b *measured.Bed, predicted bool) waiting.Bed {
	out := waiting.Bed{Verdict: b.Verdict.String(), Predicted: predicted, Worst: string(b.DecidedBy)}
	for _, r := range b.Results {
		if r.Name != b.DecidedBy {
			continue
		}
		out.OverMM = -r.Margin
		if r.Probability != nil {
			out.Chance = *r.Probability
		}
	}
	if b.Next.Code == string(judge.Dress) {
		out.DressMM = float64(b.Next.Number) / 1e6
	}
	return out
}

// run computes faces that were asked for until the context ends.
func (k *known) run(ctx context.Context) {
	for {
		k.mu.Lock()
		digest := ""
		if len(k.todo) > 0 {
			digest = k.todo[0]
		}
		k.mu.Unlock()
		if digest == "" {
			select {
			case <-k.wake:
				continue
			case <-ctx.Done():
				return
			}
		}
		f := k.measure(ctx, digest)
		if ctx.Err() != nil {
			return
		}
		k.mu.Lock()
		k.faces[digest], k.todo = f, k.todo[1:]
		k.mu.Unlock()
	}
}

// measure computes one face. One that cannot be measured is remembered as nothing: its page says why.
func (k *known) measure(ctx context.Context, digest string) waiting.Flat {
	flat, err := k.room.Flat(ctx, digest)
	if err != nil {
		return waiting.Flat{}
	}
	out := waiting.Flat{ZoneMM: flat.ZoneMM}
	for _, bow := range []*float64{flat.BowAlongMM, flat.BowAcrossMM} {
		if bow != nil && math.Abs(*bow) > math.Abs(out.BowMM) {
			out.BowMM = *bow
		}
	}
	if flat.TwistMM != nil {
		out.TwistMM = *flat.TwistMM
	}
	// A zone is a difference of two readings: its uncertainty is √2 that of one, at least.
	if face, err := k.room.Face(ctx, digest); err == nil {
		out.UMM = math.Sqrt2 * face.U
	}
	return out
}
