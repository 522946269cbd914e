package main

import (
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/optimize"

	"slatewright/chance"
	"slatewright/seasoning"
)

// layersOfPieces invents 100 layers of 50 pieces, each weighed twelve times in 33 days with a noise of 5 g.
func layersOfPieces() (layers [][]seasoning.Series) {
	s := chance.NewStream(6)
	for range 100 {
		layer := make([]seasoning.Series, 50)
		for i := range layer {
			tau := 8 * math.Exp(0.15*s.Normal())
			for d := 0.0; d <= 33; d += 3 {
				layer[i].Readings = append(layer[i].Readings, seasoning.Reading{Day: d, Value: 95000 + 300*math.Exp(-d/tau) + 5*s.Normal(), SD: 5})
			}
		}
		layers = append(layers, layer)
	}
	return layers
}

// seasonBench promises 5,000 pieces fitted anew within 2 s, limits, other courses and what a piece borrows from its layer included. Beside it stands what a
// user could pick: one exponential by a general optimiser (BFGS with the exact gradient), from a good start, without any limit.
func seasonBench(_, _ string) ([]goal, error) {
	layers := layersOfPieces()
	return []goal{{what: "5,000 seasoning pieces with their limits", repeats: 3, keeps: within(2 * time.Second),
		ours: side{name: "package seasoning", do: func() error {
			for _, layer := range layers {
				if _, _, err := seasoning.Together(layer, true); err != nil {
					return err
				}
			}
			return nil
		}},
		against: side{name: "one exponential by gonum/optimize", do: func() error {
			for _, layer := range layers {
				for _, s := range layer {
					if err := optimised(s); err != nil {
						return err
					}
				}
			}
			return nil
		}}}}, nil
}

// optimised fits final, change and ln τ to a series.
func optimised(s seasoning.Series) error {
	first, last := s.Readings[0].Value, s.Readings[len(s.Readings)-1].Value
	sum := func(x, gradient []float64) (total float64) {
		clear(gradient)
		for _, r := range s.Readings {
			at := r.Day * math.Exp(-x[2])
			e := math.Exp(-at)
			miss := (last + x[0] + x[1]*e - r.Value) / r.SD
			total += miss * miss
			if gradient != nil {
				gradient[0] += 2 * miss / r.SD
				gradient[1] += 2 * miss / r.SD * e
				gradient[2] += 2 * miss / r.SD * x[1] * e * at
			}
		}
		return total
	}
	found, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { return sum(x, nil) }, Grad: func(g, x []float64) { sum(x, g) }},
		[]float64{0, first - last, math.Log(8)}, nil, &optimize.BFGS{})
	if found == nil || math.Abs(found.X[1]-300) > 100 {
		return fmt.Errorf("the optimiser finds no fit: %w", err)
	}
	return nil
}
