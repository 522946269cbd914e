package measured

import (
	"context"
	"fmt"
	"math"

	"slatewright/internal/measured/kept"
	"slatewright/internal/picture/bedmap"
	"slatewright/seating/levelling"
	"slatewright/seating/levelling/answers"
	"slatewright/stone"
)

// Laying asks how a bed is laid on a frame, of stone that bends.
type Laying struct {
	Triple          // the bed: its places and turns are those in which it is judged
	Frame   string  // assumed; "": the specification's
	Modulus float64 // of the stone, MPa; 0: it was not tested
	Screws  float64 // how hard a screw at each support can pull, N
}

// Laid is the answer, with its map.
type Laid struct {
	Bed     *answers.Bed
	Picture bedmap.Map
	Pieces  [3]string // head, centre, foot
}

// tested is how well a cheap test in the mill tells a modulus.
const tested = 0.05

// AskLaid is asked for a page: at first it is being computed.
func (r *Room) AskLaid(l Laying) Asked[*Laid] {
	return kept.Ask(r.shelf, l.key(), r.options.Patience, r.laidWork(l))
}

// Laid waits for it.
func (r *Room) Laid(ctx context.Context, l Laying) (*Laid, error) {
	return kept.Get(ctx, r.shelf, l.key(), r.laidWork(l))
}

func (l Laying) key() string { return fmt.Sprintf("laid %+q", fmt.Sprintf("%+v", l)) }

func (r *Room) laidWork(l Laying) kept.Work[*Laid] {
	return kept.Work[*Laid]{
		Bytes: func(*Laid) int64 { return 256 << 10 },
		Do: func(ctx context.Context) (*Laid, error) {
			b, err := r.Bed(ctx, l.Triple)
			if err != nil {
				return nil, err
			}
			in, err := r.input(ctx, l.Triple)
			if err != nil {
				return nil, err
			}
			a := answers.Ask{Spec: in.Spec, Stone: stone.Slate(), Pull: l.Screws}
			for place, p := range b.Body.Found.Pieces {
				a.Faces[place], a.Turned[place] = in.Faces[p.Reading], p.Turned
			}
			if l.Modulus > 0 {
				a.Stone = a.Stone.Tested(l.Modulus, tested)
			}
			a.Stone.Density = in.Spec.Density
			if l.Frame != "" {
				f, err := levelling.FrameNamed(l.Frame)
				if err != nil {
					return nil, err
				}
				a.Frame = &f
			}
			return turn(ctx, r, heavy, func() (*Laid, error) { return newLaid(a, b) })
		},
	}
}

func newLaid(a answers.Ask, b *Bed) (*Laid, error) {
	found, err := a.Answer()
	if err != nil {
		return nil, err
	}
	l := &Laid{Bed: found, Picture: b.Picture}
	for k, p := range b.Picture.Pieces {
		l.Pieces[k] = p.Serial
	}
	l.draw()
	return l, nil
}

// draw puts the heights on the packs into the map of the seated bed.
func (l *Laid) draw() {
	m, r, lay := &l.Picture, l.Bed.Result, l.Bed.Question.Layout
	m.Contacts, m.Warnings, m.Zone = nil, nil, r.Zone
	low, high := math.Inf(1), math.Inf(-1)
	for _, heights := range r.Readings {
		for _, z := range heights {
			low, high = min(low, z), max(high, z)
		}
	}
	for k, p := range lay.Pieces {
		m.Pieces[k].X, m.Pieces[k].Y, m.Pieces[k].Z = nil, nil, nil
		for i, z := range r.Readings[k] {
			m.Pieces[k].X, m.Pieces[k].Y, m.Pieces[k].Z = append(m.Pieces[k].X, lay.Middle[k]+p.X[i]), append(m.Pieces[k].Y, p.Y[i]), append(m.Pieces[k].Z, z-(low+high)/2)
		}
	}
	for j, steps := range r.Joints {
		m.Joints[j].Steps, m.Joints[j].Predicted = nil, nil
		for _, s := range steps {
			m.Joints[j].Steps = append(m.Joints[j].Steps, bedmap.Step{Y: s.Y, Height: s.Step})
		}
	}
}
