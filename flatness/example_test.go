package flatness_test

import (
	"fmt"

	"slatewright/flatness"
)

// Eight readings of a piece with a crown of 0.2 mm along the table and one corner 0.1 mm low.
func Example() {
	p := flatness.Points{
		X: []float64{-440, 0, 440, -440, 440, -440, 0, 440},
		Y: []float64{-720, -720, -720, 0, 0, 720, 720, 720},
		Z: []float64{0.01, 0.21, 0, 0.02, 0.01, 0.03, 0.22, -0.1},
	}
	z, err := flatness.MinimumZone(p)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("zone %.4f mm, held %s by readings %v\n", z.Value, z.Kind, z.Contacts)
	s, err := flatness.FitShape(p, 914, 1473)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("bow along %+.3f mm, twist %+.3f mm\n", s.BowAlong, s.Twist)
	// Output:
	// zone 0.2600 mm, held 2-2 by readings [1 6 0 7]
	// bow along +0.248 mm, twist -0.127 mm
}

// A bed whose pieces were read at three stations along and three across each; the middle piece stands 0.1 mm proud.
func ExampleLines() {
	var p flatness.Points
	for piece := -1; piece <= 1; piece++ {
		for _, x := range []float64{-430, 0, 430} {
			for _, y := range []float64{-700, 0, 700} {
				p.X, p.Y = append(p.X, float64(914*piece)+x), append(p.Y, y)
				p.Z = append(p.Z, 0.1*float64(1-piece*piece))
			}
		}
	}
	lengthwise, across, err := flatness.Lines(p, []float64{-457, 457})
	fmt.Printf("lengthwise %.3f mm over %d lines, across %.3f mm over %d (%v)\n", lengthwise.Value, lengthwise.Lines, across.Value, across.Lines, err)
	// Output: lengthwise 0.100 mm over 3 lines, across 0.000 mm over 9 (<nil>)
}
