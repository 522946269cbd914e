package main

import (
	"time"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/plate"
	"slatewright/seating"
	"slatewright/seating/levelling"
)

// frameBench promises a bed of 24 supports laid within 2 s, everything included, and the bed after one changed pack within 50 ms.
func frameBench(_, _ string) ([]goal, error) {
	spec := bed.NineFoot()
	for k := range spec.Supports {
		spec.Supports[k] = nil
		for _, x := range []float64{-380, 380} {
			for _, y := range []float64{-600, -200, 200, 600} {
				spec.Supports[k] = append(spec.Supports[k], [2]float64{x, y})
			}
		}
	}
	faces := bowed()
	ask := func() (*levelling.Ready, error) {
		l, err := seating.Lay(faces, spec, [3]bool{})
		if err != nil {
			return nil, err
		}
		q := levelling.Question{Layout: l, Spec: spec}
		for k := range q.Plates {
			if q.Plates[k], err = plate.New(plate.Piece{Outline: plate.Rectangle(914, 1473), Thickness: plate.Even(25.4), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}, 47); err != nil {
				return nil, err
			}
		}
		return levelling.Prepare(q)
	}
	ready, err := ask()
	if err != nil {
		return nil, err
	}
	found, err := ready.Level()
	if err != nil {
		return nil, err
	}
	packs := found.Packs()
	return []goal{
		{what: "a bed of stone that bends on 24 supports", repeats: 5, keeps: within(2 * time.Second), ours: side{name: "plates, packs and proof", do: func() error {
			f, err := ask()
			if err == nil {
				_, err = f.Level()
			}
			return err
		}}},
		{what: "the same after one changed pack", repeats: 9, keeps: within(50 * time.Millisecond), ours: side{name: "contact and figures", do: func() error {
			packs[1][3] += 0.05
			_, err := ready.On(packs)
			return err
		}}},
	}, nil
}

// bowed are three faces with bow, twist and some roughness.
func bowed() (faces [3]*face.Face) {
	s := chance.NewStream(24)
	for k, name := range []string{"head", "centre", "foot"} {
		f := &face.Face{Header: face.Header{Name: name, SizeX: 914, SizeY: 1473, Side: face.Top}}
		a, b, c := 0.15*s.Normal(), 0.15*s.Normal(), 0.08*s.Normal()
		for i := range 6 {
			for j := range 9 {
				u, v := 2*float64(i)/5-1, 2*float64(j)/8-1
				f.X, f.Y = append(f.X, 437*u), append(f.Y, 716.5*v)
				f.Z = append(f.Z, a*(1-u*u)+b*(1-v*v)+c*u*v+0.005*s.Normal())
			}
		}
		faces[k] = f
	}
	return faces
}
