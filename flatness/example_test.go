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

func ExampleStraightness() {
	s := []float64{-1200, -600, 0, 600, 1200}
	z := []float64{0, 0.05, 0.12, 0.06, 0}
	value, contacts, err := flatness.Straightness(s, z)
	fmt.Printf("%.3f mm, held by readings %v (%v)\n", value, contacts, err)
	// Output: 0.120 mm, held by readings [0 4 2] (<nil>)
}
