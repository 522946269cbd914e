package chance_test

import (
	"fmt"

	"slatewright/chance"
)

func ExampleStream_Split() {
	// One child per piece and purpose: a piece more changes nothing for the others.
	seed := chance.NewStream(7)
	for _, label := range []string{"noise of piece 1", "noise of piece 2"} {
		draws := seed.Split(label)
		fmt.Printf("%s: %.4f %.4f\n", label, draws.Normal(), draws.Normal())
	}
	// Output:
	// noise of piece 1: 0.6280 0.2590
	// noise of piece 2: 0.3371 -0.8688
}

func ExampleCumulative() {
	// The zone is 0.4915 mm with standard uncertainty 0.010 mm, the limit 0.508 mm: the probability that it conforms.
	fmt.Printf("%.4f\n", chance.Cumulative((0.508-0.4915)/0.010))
	// Output: 0.9505
}
