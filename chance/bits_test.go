package chance

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
	"strconv"
	"testing"
)

// TestSameBitsOnEveryMachine holds the bits of many results to values written down once. Run it on builds for other processors
// (GOAMD64=v1 and v3, GOARCH=arm64): a product that one of them fuses with a sum changes a hash. The hashes are our own, no source.
func TestSameBitsOnEveryMachine(t *testing.T) {
	root := NewStream(20261125)
	results := map[string]struct {
		want string
		draw func(s *Stream) float64
	}{
		"uniform":    {"9a5b1a58571e7ca9", (*Stream).Float64},
		"whole":      {"302dec2a04138fd2", func(s *Stream) float64 { return float64(s.IntN(1000003)) }},
		"normal":     {"1f981a71a63a6a64", (*Stream).Normal},
		"cumulative": {"4b77379684d4d934", func(s *Stream) float64 { return Cumulative(float64(80*s.Float64()) - 40) }},
		"middle":     {"67ef44ee5d7895ef", func(s *Stream) float64 { return Cumulative(float64(12*s.Float64()) - 6) }},
		"quantile":   {"8cb65b0c2eb8ef10", func(s *Stream) float64 { return Quantile(s.Float64()) }},
		"tail":       {"fa8512e4008280e2", func(s *Stream) float64 { return Quantile(math.Ldexp(s.Float64(), -s.IntN(1000))) }},
		"child": {"675d4a0e95ae8ae7", func(s *Stream) float64 {
			return s.Split(strconv.Itoa(s.IntN(1000))).Normal()
		}},
	}
	for name, c := range results {
		digest := sha256.New()
		stream := root.Split(name)
		for range 50000 {
			digest.Write(binary.LittleEndian.AppendUint64(nil, math.Float64bits(c.draw(stream))))
		}
		if got := hex.EncodeToString(digest.Sum(nil)[:8]); got != c.want {
			t.Errorf("%s: hash %s, want %s", name, got, c.want)
		}
	}
}
