package kept_test

import (
	"testing"
	"unsafe"

	"slatewright/internal/measured/kept"
)

// What a value takes is its own size and what it leads to, each once.
func TestSize(t *testing.T) {
	type leaf struct {
		name string
		next *leaf
		any  any
	}
	const own = int64(unsafe.Sizeof(leaf{}))
	ring := &leaf{name: "abc"}
	ring.next = ring
	shared := make([]float64, 10, 100)
	for _, c := range []struct {
		what  string
		value any
		want  int64
	}{
		{"nothing", nil, 0},
		{"a number", int32(1), 4},
		{"a text", "hello", 16 + 5},
		{"no pointer", (*leaf)(nil), 8},
		{"a ring", ring, 8 + own + 3},
		{"room for more", shared, 24 + 800},
		{"the same twice", [][]float64{shared, shared}, 24 + 2*24 + 800},
		{"pointers in a list", []*leaf{{}, {name: "ab"}, nil}, 24 + 3*8 + 2*own + 2},
		{"texts in an array", [2]string{"a", "bc"}, 32 + 3},
		{"what stands behind any", leaf{any: [3]float64{}}, own + 24},
		{"a map", map[string]int64{"abcd": 1}, 8 + 16 + 8 + 4},
		{"a function", func() {}, 8},
	} {
		if got := kept.Size(c.value); got != c.want {
			t.Errorf("%s: %d bytes, want %d", c.what, got, c.want)
		}
	}
}
