// Package chance draws seeded random numbers and computes the normal distribution, with the same bits on every machine.
//
// The numbers come from an integer generator, and what is made of them uses only + − × ÷ √ on float64 with every product rounded
// before it is added to anything, so a simulation that was sealed on one machine can be run again on another and compared bit for
// bit. The sequence belonging to a seed is part of what this program promises: changing it makes old seeds mean something else.
//
// The package does not seed itself, is not meant for secrets, and knows no other distribution than the uniform and the normal one.
package chance

import (
	"hash/fnv"
	"math/bits"
)

// Stream is a sequence of random numbers fixed by its seed: the generator xoshiro256** of Blackman and Vigna, "Scrambled linear
// pseudorandom number generators", ACM Transactions on Mathematical Software 47(4), 2021, with period 2²⁵⁶ − 1.
//
// A Stream is made by NewStream or Split and must not be shared between goroutines; give each of them a Split of its own.
type Stream struct {
	key   uint64 // what the stream was seeded with; names its children
	state [4]uint64
}

// NewStream returns the stream of a seed. Every seed is a good one, also 0.
//
// The state is filled from the seed by the generator SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
// generators", OOPSLA 2014), as the authors of xoshiro256** advise.
func NewStream(seed uint64) *Stream {
	s := &Stream{key: seed}
	for i := range s.state {
		s.state[i] = scramble(seed + uint64(i+1)*golden)
	}
	return s
}

// Split returns the child stream of that label. It depends on the seed of s and on the label only, never on how many numbers were
// drawn from s: a new draw in one part of a simulation leaves the others as they were. The same label gives the same child again.
func (s *Stream) Split(label string) *Stream {
	name := fnv.New64a()
	name.Write([]byte(label))
	return NewStream(scramble(scramble(s.key+golden) ^ name.Sum64()))
}

// Uint64 returns 64 random bits.
func (s *Stream) Uint64() uint64 {
	x := &s.state
	out := bits.RotateLeft64(x[1]*5, 7) * 9
	t := x[1] << 17
	x[2] ^= x[0]
	x[3] ^= x[1]
	x[1] ^= x[2]
	x[0] ^= x[3]
	x[2] ^= t
	x[3] = bits.RotateLeft64(x[3], 45)
	return out
}

// Float64 returns a number of [0, 1): a multiple of 2⁻⁵³, each equally likely.
func (s *Stream) Float64() float64 {
	return float64(s.Uint64()>>11) * 0x1p-53
}

// IntN returns a whole number of [0, n), each equally likely (Lemire, "Fast random integer generation in an interval", ACM
// Transactions on Modeling and Computer Simulation 29(1), 2019). It panics if n ≤ 0.
func (s *Stream) IntN(n int) int {
	if n <= 0 {
		panic("chance: IntN of a number that is not positive")
	}
	span := uint64(n)
	whole, part := bits.Mul64(s.Uint64(), span)
	if part < span {
		for short := -span % span; part < short; {
			whole, part = bits.Mul64(s.Uint64(), span)
		}
	}
	return int(whole)
}

// Normal returns a draw from the normal distribution of mean 0 and standard deviation 1, made from exactly one Uint64: a sign, and
// the quantile of (k + ½)·2⁻⁵³ with k uniform on 0 … 2⁵² − 1. Draws are exactly symmetric and stay within ±8.3.
func (s *Stream) Normal() float64 {
	const sign = 1 << 11
	u := s.Uint64()
	z := Quantile(float64(u>>12<<1|1) * 0x1p-54)
	if u&sign != 0 {
		return -z
	}
	return z
}

// golden is 2⁶⁴ divided by the golden ratio, made odd: the step of SplitMix64.
const golden = 0x9e3779b97f4a7c15

// scramble is the output function of SplitMix64, a mixing of 64 bits that can be undone, so no two inputs share an output.
func scramble(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
