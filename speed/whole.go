package main

import (
	"runtime"
	"time"

	"slatewright/internal/rehearsal/families"
	"slatewright/wholeface"
)

// wholeBench promises what is said of the whole face from 54 readings in 0.4 s on one core, nothing kept from before, and one more
// reading in 50 ms.
func wholeBench(_, _ string) ([]goal, error) {
	q := wholeface.Question{SizeX: families.SizeX, SizeY: families.SizeY, Band: 20, Cutoff: 25, U: 0.012, Seed: 1}
	p := families.New(families.Smooth, 1)
	for _, x := range families.Even(6, families.SizeX, 20) {
		for _, y := range families.Even(9, families.SizeY, 20) {
			q.Readings = append(q.Readings, wholeface.Reading{X: x, Y: y, Z: p.At(x, y)})
		}
	}
	live, err := wholeface.Start(q, nil)
	if err != nil {
		return nil, err
	}
	at := -400.0
	return []goal{
		{what: "the whole face from 54 readings, 400 draws", repeats: 5, keeps: within(400 * time.Millisecond), ours: side{name: "one core", do: func() error {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
			_, err := wholeface.Of(q, nil)
			return err
		}}},
		{what: "one more reading", repeats: 9, keeps: within(50 * time.Millisecond), ours: side{name: "one core", do: func() error {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
			at += 37
			return live.Add(wholeface.Reading{X: at, Y: at / 2, Z: p.At(at, at/2)})
		}}},
	}, nil
}
