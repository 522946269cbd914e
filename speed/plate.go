package main

import (
	"fmt"
	"math"
	"runtime"
	"time"

	"slatewright/plate"
)

// platesArgument asks for what this file and calculix.go measure alone.
const platesArgument = "plates"

// platesSpeed measures bending alone, then beside the independent program.
func platesSpeed(dir string) (total, missed int, err error) {
	goals, err := plateBench("", dir)
	if err != nil {
		return 0, 0, err
	}
	total = len(goals)
	if missed, err = measureAll(goals); err != nil {
		return total, missed, err
	}
	more, missedMore, err := calculixSpeed(dir)
	return total + more, missed + missedMore, err
}

// piece is a nine-foot piece of slate with its two corner pockets cut, 48 GPa.
func piece() plate.Piece {
	o := plate.Rectangle(914, 1473).WithRound(-457, -736.5, 65).WithRound(-457, 736.5, 65)
	return plate.Piece{Outline: o, Thickness: plate.Even(25.4), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}
}

// manySupports are 64 points that only push, of heights that differ by up to 0.02 mm, so that a third of them carries nothing.
func manySupports() (u plate.Under) {
	for j := range 8 {
		for i := range 8 {
			u.Points = append(u.Points, plate.Support{X: -350 + 100*float64(i), Y: -650 + 1300/7.*float64(j), Height: 0.01 * float64((i*7+j*5)%3)})
		}
	}
	return u
}

// plateBench promises what is said of bending: one core each.
func plateBench(_, _ string) ([]goal, error) {
	one := func(do func() error) side {
		return side{name: "one core", do: func() error {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
			return do()
		}}
	}
	bend := func(u plate.Under) side {
		return one(func() error {
			b, err := plate.Bend(piece(), u, 0)
			if err == nil && (!b.Good || b.Error > 0.005*b.PeakToValley || !b.Proof.Holds()) {
				return fmt.Errorf("doubt %g of %g mm, proof %+v", b.Error, b.PeakToValley, b.Proof)
			}
			return err
		})
	}
	stand, err := manyStand(46)
	if err != nil {
		return nil, err
	}
	heights := make([]float64, 64)
	turn := 0
	bench := plate.Surface{C: [6]float64{0, 0, 0, 0.05 / 457 / 457, 0.1 / 457 / 736.5, 0.3 / 736.5 / 736.5}}
	goals := []goal{
		{what: "notched piece on two bars, doubt under 0.5 %", repeats: 7, keeps: within(300 * time.Millisecond), ours: bend(plate.Bars(piece().Outline, 0.22))},
		{what: "notched piece on 64 points, doubt under 0.5 %", repeats: 7, keeps: within(300 * time.Millisecond), ours: bend(manySupports())},
		{what: "10,000 nodes on three points", repeats: 5, keeps: within(1500 * time.Millisecond), ours: one(tenThousand)},
		{what: "a bench that carries everywhere", repeats: 3, keeps: within(5 * time.Second), ours: bend(plate.Under{Bench: bench})},
		{what: "one shim of 64 changed", repeats: 9, keeps: within(50 * time.Millisecond), ours: one(func() error {
			turn++
			heights[turn*7%64] = 0.03
			_, err := stand.Rest(heights)
			return err
		})},
	}
	return goals, nil
}

func manyStand(step float64) (*plate.Stand, error) {
	p, err := plate.New(piece(), step)
	if err != nil {
		return nil, err
	}
	return p.Stand(manySupports().Points, nil)
}

// tenThousand builds, factorises and solves a plate of more than 10⁴ nodes.
func tenThousand() error {
	p, err := plate.New(piece(), 914/80.)
	if err != nil {
		return err
	}
	if n := p.Nodes(); n < 10000 {
		return fmt.Errorf("only %d nodes", n)
	}
	s, err := p.Stand([]plate.Support{{X: 280, Y: -330}, {X: -280, Y: -330}, {Y: 480}}, nil)
	if err != nil {
		return err
	}
	r, err := s.Rest(nil)
	if err == nil && math.Abs(r.Height(plate.Point{X: 280, Y: -330})) > 1e-6 {
		return fmt.Errorf("the plate does not lie on its supports")
	}
	return err
}
