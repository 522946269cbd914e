package gate

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"math/bits"
	"slices"
	"strings"
	"testing"

	"golang.org/x/crypto/argon2"
	"golang.org/x/crypto/blake2b"
	"pgregory.net/rapid"
)

// This is Argon2id a second time, slow and straight from RFC 9106 §3, with the secret K and the associated data X that the library does
// not offer and the RFC's test vector uses. So the vector checks this text, and this text checks the library.

type block [128]uint64

// slowArgon2 computes Argon2id, RFC 9106 §3.2.
func slowArgon2(password, salt, key, data []byte, c Cost, size int) []byte {
	p := int(c.Lanes)
	columns := int(c.MemoryKiB) / (4 * p) * 4
	h0 := blake(64, le(uint32(p)), le(uint32(size)), le(c.MemoryKiB), le(c.Passes), le(0x13), le(2),
		le(uint32(len(password))), password, le(uint32(len(salt))), salt, le(uint32(len(key))), key, le(uint32(len(data))), data)
	m := make([][]block, p)
	for lane := range m {
		m[lane] = make([]block, columns)
		for i := range 2 {
			m[lane][i] = blockOf(longBlake(1024, h0, le(uint32(i)), le(uint32(lane))))
		}
	}
	for pass := range int(c.Passes) {
		for slice := range 4 {
			for lane := range p {
				fillSegment(m, c, pass, slice, lane)
			}
		}
	}
	last := m[0][columns-1]
	for lane := 1; lane < p; lane++ {
		last = xor(last, m[lane][columns-1])
	}
	return longBlake(size, last.bytes())
}

// fillSegment fills a quarter of a lane, §3.4.
func fillSegment(m [][]block, c Cost, pass, slice, lane int) {
	columns := len(m[lane])
	segment := columns / 4
	var addresses, input block
	dataless := pass == 0 && slice < 2 // Argon2id: the first half of the first pass does not look at the memory
	copy(input[:], []uint64{uint64(pass), uint64(lane), uint64(slice), uint64(columns * len(m)), uint64(c.Passes), 2})
	for i := range segment {
		if dataless && i%128 == 0 {
			input[6]++
			addresses = compress(block{}, compress(block{}, input))
		}
		j := slice*segment + i
		if pass == 0 && j < 2 {
			continue
		}
		before := m[lane][(j+columns-1)%columns]
		random := before[0]
		if dataless {
			random = addresses[i%128]
		}
		other := int(random>>32) % len(m)
		if pass == 0 && slice == 0 {
			other = lane
		}
		made := compress(before, m[other][reference(uint32(random), pass, slice, i, segment, columns, other == lane)])
		if pass > 0 {
			made = xor(made, m[lane][j])
		}
		m[lane][j] = made
	}
}

// reference maps a random number to a block that may be looked at, §3.4.1.1 and §3.4.2.
func reference(j1 uint32, pass, slice, i, segment, columns int, same bool) int {
	size, start := slice*segment, 0
	if pass > 0 {
		size, start = columns-segment, (slice+1)%4*segment
	}
	if same {
		size += i - 1
	} else if i == 0 {
		size--
	}
	x := uint64(j1) * uint64(j1) >> 32
	y := uint64(size) * x >> 32
	return (start + size - 1 - int(y)) % columns
}

// compress is G, §3.5.
func compress(x, y block) block {
	r := xor(x, y)
	q := r
	for row := range 8 {
		permute(&q, func(i int) int { return row*16 + i })
	}
	for column := range 8 {
		permute(&q, func(i int) int { return i/2*16 + column*2 + i%2 })
	}
	return xor(q, r)
}

// permute is P, §3.6.
func permute(b *block, at func(int) int) {
	for _, w := range [8][4]int{{0, 4, 8, 12}, {1, 5, 9, 13}, {2, 6, 10, 14}, {3, 7, 11, 15}, {0, 5, 10, 15}, {1, 6, 11, 12}, {2, 7, 8, 13}, {3, 4, 9, 14}} {
		x, y, z, v := &b[at(w[0])], &b[at(w[1])], &b[at(w[2])], &b[at(w[3])]
		for _, turn := range [2][2]int{{32, 24}, {16, 63}} {
			*x += *y + 2*uint64(uint32(*x))*uint64(uint32(*y))
			*v = bits.RotateLeft64(*v^*x, -turn[0])
			*z += *v + 2*uint64(uint32(*z))*uint64(uint32(*v))
			*y = bits.RotateLeft64(*y^*z, -turn[1])
		}
	}
}

// longBlake is H', §3.3.
func longBlake(size int, parts ...[]byte) []byte {
	parts = append([][]byte{le(uint32(size))}, parts...)
	if size <= 64 {
		return blake(size, parts...)
	}
	v := blake(64, parts...)
	out := slices.Clone(v[:32])
	for size-len(out) > 64 {
		v = blake(64, v)
		out = append(out, v[:32]...)
	}
	return append(out, blake(size-len(out), v)...)
}

func blake(size int, parts ...[]byte) []byte {
	h, err := blake2b.New(size, nil)
	if err != nil {
		panic(err)
	}
	for _, p := range parts {
		h.Write(p)
	}
	return h.Sum(nil)
}

func le(x uint32) []byte { return binary.LittleEndian.AppendUint32(nil, x) }

func xor(x, y block) block {
	for i := range x {
		x[i] ^= y[i]
	}
	return x
}

func (b block) bytes() (out []byte) {
	for _, w := range b {
		out = binary.LittleEndian.AppendUint64(out, w)
	}
	return out
}

func blockOf(b []byte) (out block) {
	for i := range out {
		out[i] = binary.LittleEndian.Uint64(b[8*i:])
	}
	return out
}

// RFC 9106 §5.3.
func TestArgon2idAsInRFC9106(t *testing.T) {
	fill := func(b byte, n int) []byte { return bytes.Repeat([]byte{b}, n) }
	got := slowArgon2(fill(1, 32), fill(2, 16), fill(3, 8), fill(4, 12), Cost{MemoryKiB: 32, Passes: 3, Lanes: 4}, 32)
	want := "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"
	if hex.EncodeToString(got) != want {
		t.Errorf("got %x, want %s", got, want)
	}
}

// What the RFC's vector has proven proves the library, and how it is called here.
func TestHashesAreArgon2id(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lanes := rapid.Uint8Range(1, 4).Draw(t, "lanes")
		h := hash{Cost{uint32(lanes) * rapid.Uint32Range(8, 40).Draw(t, "memory a lane"), rapid.Uint32Range(1, 3).Draw(t, "passes"), lanes},
			rapid.SliceOfN(rapid.Byte(), 8, 32).Draw(t, "salt"), make([]byte, rapid.IntRange(16, 64).Draw(t, "size"))}
		secret := rapid.String().Draw(t, "secret")
		if want := slowArgon2([]byte(secret), h.salt, nil, nil, h.Cost, len(h.sum)); !bytes.Equal(h.of(secret), want) {
			t.Errorf("got %x, want %x", h.of(secret), want)
		}
	})
}

// The vectors and strings of the reference implementation's own test (phc-winner-argon2, src/test.c, version 0x13, Argon2id).
func TestHashesAreWrittenAsTheReferenceWritesThem(t *testing.T) {
	for _, c := range []struct {
		secret, salt string
		cost         Cost
		want         string
	}{
		{"password", "somesalt", Cost{1 << 16, 2, 1}, "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"},
		{"password", "somesalt", Cost{1 << 8, 2, 1}, "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"},
		{"password", "somesalt", Cost{1 << 8, 2, 2}, "$argon2id$v=19$m=256,t=2,p=2$c29tZXNhbHQ$bQk8UB/VmZZF4Oo79iDXuL5/0ttZwg2f/5U52iv1cDc"},
		{"differentpassword", "somesalt", Cost{1 << 16, 2, 1}, "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$C4TWUs9rDEvq7w3+J4umqA32aWKB1+DSiRuBfYxFj94"},
		{"password", "diffsalt", Cost{1 << 16, 2, 1}, "$argon2id$v=19$m=65536,t=2,p=1$ZGlmZnNhbHQ$vfMrBczELrFdWP0ZsfhWsRPaHppYdP3MVEMIVlqoFBw"},
	} {
		h := hash{c.cost, []byte(c.salt), make([]byte, 32)}
		h.sum = h.of(c.secret)
		if h.String() != c.want {
			t.Errorf("got %s, want %s", h, c.want)
		}
		back, err := parseHash(c.want)
		if err != nil || !back.matches(c.secret) || back.matches(c.secret+"x") || back.matches("") {
			t.Errorf("%s does not match its own secret alone (%v)", c.want, err)
		}
	}
}

func TestParseHashIsStrict(t *testing.T) {
	const good = "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"
	if ParseHash(good) != nil {
		t.Fatal("a good hash is refused")
	}
	for _, r := range [][2]string{{"argon2id", "argon2i"}, {"v=19", "v=16"}, {"m=256", "m=0256"}, {"m=256", "m=4294967295"}, {"m=256", "m=262145"}, {"m=256", "m=7"}, {"t=2", "t=0"},
		{"t=2", "t=65"}, {"p=1", "p=0"}, {"p=1", "p=256"}, {"p=1", "p=1,x=1"}, {"c29tZXNhbHQ", "c29tZQ"}, {"c29tZXNhbHQ", "c29tZXNhbHR"}, {"c29tZXNhbHQ", "c29tZXNhbHQ="},
		{"nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4", "nf65"}, {"/4", "/4\n"}, {"$argon2id", ""}, {good, ""}, {good, good + good}} {
		if bad := strings.Replace(good, r[0], r[1], 1); bad == good || ParseHash(bad) == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}

func FuzzParseHash(f *testing.F) {
	f.Add("$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4")
	f.Fuzz(func(t *testing.T, s string) {
		if h, err := parseHash(s); err == nil && (h.String() != s || h.MemoryKiB > mostMemoryKiB) {
			t.Errorf("%q is read as %q", s, h)
		}
	})
}

// The library's own limits are those that fits keeps: it panics beyond them.
func TestWhatFitsCanBeComputed(t *testing.T) {
	h := hash{Cost{8, 1, 1}, make([]byte, 8), make([]byte, 16)}
	if !h.fits() || len(argon2.IDKey(nil, h.salt, h.Passes, h.MemoryKiB, h.Lanes, 16)) != 16 {
		t.Error("the smallest hash cannot be computed")
	}
}
