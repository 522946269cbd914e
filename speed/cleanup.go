package main

import (
	"fmt"
	"os"

	"slatewright/chance"
	"slatewright/face"
	"slatewright/surfacing/cleanup/answers"
)

// mostPasses is how often a clean-up may look at all readings.
const mostPasses = 6

// cleanupBench promises the clean-up of a slab of two maps of 10⁶ readings each, tied by eight calipers and freed of gravity, in at most six passes over the
// readings, each of which does more than the pass that it is held against: the least and largest coordinate.
func cleanupBench(_, _ string) ([]goal, error) {
	top, bottom := maps(1e6)
	q := answers.Usual()
	q.Top, q.Bottom = top, bottom
	passes := 0
	pass := side{"min and max pass", func() error {
		sum := 0.0
		for _, f := range []*face.Face{top, bottom} {
			sum += spread(f.X) + spread(f.Y) + spread(f.Z)
		}
		if !(sum > 0) {
			return fmt.Errorf("the maps have no extent")
		}
		return nil
	}}
	ours := side{"clean-up", func() error {
		r, err := answers.Of(q)
		if err != nil {
			return err
		}
		if passes = r.Proof.Passes; passes > mostPasses || !r.ProofOK {
			return fmt.Errorf("%d passes over the readings, %d are promised; proven: %v", passes, mostPasses, r.ProofOK)
		}
		return nil
	}}
	if err := ours.do(); err != nil {
		return nil, err
	}
	fmt.Fprintf(os.Stdout, "        clean-up of 2e+06 points: %d passes over the readings, at most %d are promised\n", passes, mostPasses)
	return []goal{{"clean-up of 2e+06 points, 6 passes", ours, pass, 5, atMost(100)}}, nil
}

// maps are the two faces of a slab, read at n places each on bars at 0.22.
func maps(n int) (top, bottom *face.Face) {
	read := func(z float64, seed uint64, side face.Side) *face.Face {
		p := scan(n, seed)
		f := &face.Face{X: p.X, Y: p.Y, Z: p.Z}
		f.Name, f.SizeX, f.SizeY, f.Side, f.U = side.String(), 914, 1473, side, 0.005
		f.Support = face.Support{Kind: face.SupportLines, Fraction: 0.22, Lines: []face.Line{{Axis: 'y', At: -412.4}, {Axis: 'y', At: 412.4}}}
		for i := range f.Z {
			f.Z[i] += z
		}
		return f
	}
	top, bottom = read(0.3, 11, face.Top), read(-0.8, 12, face.Bottom)
	r := chance.NewStream(13)
	for i := range 8 {
		x, y := 380*float64(i%3-1), 620*float64(i/3-1)
		top.Thickness = append(top.Thickness, face.Thickness{X: x, Y: y, T: 27 + 0.3*r.Normal()})
	}
	return top, bottom
}
