package measure_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"testing"

	"slatewright/measure"
)

// TestSameBitsOnEveryMachine holds the bits of many conversions and the text of many prints to a value written down once (our own, no
// source). Run it on builds for other processors.
func TestSameBitsOnEveryMachine(t *testing.T) {
	const want = "2b03832ae31044f9"
	digest := sha256.New()
	state := uint64(20261125)
	for range 3000 {
		state = state*6364136223846793005 + 1442695040888963407 // Knuth's linear congruence, good enough to scatter digits
		digits, exp := state>>11, int(state>>5%16)-14
		for u := measure.MM; u <= measure.Foot; u++ {
			mm, ok := u.FromDecimal(digits, exp)
			if !ok {
				t.Fatalf("%de%d %v is refused", digits, exp, u)
			}
			fmt.Fprintf(digest, "%x %s %s %x\n", math.Float64bits(mm), measure.FormatLength(mm, u), measure.Decimal(mm, 6),
				math.Float64bits(measure.Round(mm, 6)))
		}
	}
	if got := hex.EncodeToString(digest.Sum(nil)[:8]); got != want {
		t.Errorf("hash %s, want %s", got, want)
	}
}
