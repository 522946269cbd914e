package face_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"runtime"
	"strings"
	"testing"

	"slatewright/face"
)

// plyWriter builds PLY files in every encoding, apart from the package's own writer.
type plyWriter struct {
	order binary.AppendByteOrder // nil = ascii
	head  strings.Builder
	data  []byte
}

func (w *plyWriter) put(kind string, v float64) {
	switch {
	case w.order == nil:
		w.data = fmt.Appendf(w.data, "%v ", v)
	case kind == "char" || kind == "int8":
		w.data = append(w.data, byte(int8(v)))
	case kind == "uchar" || kind == "uint8":
		w.data = append(w.data, byte(v))
	case kind == "short" || kind == "int16":
		w.data = w.order.AppendUint16(w.data, uint16(int16(v)))
	case kind == "ushort" || kind == "uint16":
		w.data = w.order.AppendUint16(w.data, uint16(v))
	case kind == "int" || kind == "int32":
		w.data = w.order.AppendUint32(w.data, uint32(int32(v)))
	case kind == "uint" || kind == "uint32":
		w.data = w.order.AppendUint32(w.data, uint32(v))
	case kind == "float" || kind == "float32":
		w.data = w.order.AppendUint32(w.data, math.Float32bits(float32(v)))
	default:
		w.data = w.order.AppendUint64(w.data, math.Float64bits(v))
	}
}

func (w *plyWriter) endRecord() {
	if w.order == nil {
		w.data = append(w.data, '\n')
	}
}

// encodings are the three formats with their byte order.
var encodings = []struct {
	name  string
	order binary.AppendByteOrder
}{{"ascii", nil}, {"binary_little_endian", binary.LittleEndian}, {"binary_big_endian", binary.BigEndian}}

func TestPLYInEveryEncodingTypeAndOrder(t *testing.T) {
	orders := [][]string{{"x", "y", "z"}, {"z", "row", "x", "red", "y"}, {"nx", "y", "x", "row", "z"}}
	types := []string{"char", "uchar", "short", "ushort", "int", "uint", "float", "double",
		"int8", "uint8", "int16", "uint16", "int32", "uint32", "float32", "float64"}
	n := 0
	for _, e := range encodings {
		for _, kind := range types {
			for _, order := range orders {
				w := plyWriter{order: e.order}
				fmt.Fprintf(&w.head, "ply\nformat %s 1.0\ncomment face: top\nobj_info x\nelement vertex 2\n", e.name)
				for _, name := range order {
					fmt.Fprintf(&w.head, "property %s %s\n", kind, name)
				}
				w.head.WriteString("element face 1\nproperty list uchar int vertex_indices\nend_header\n")
				for i := range 2 {
					for _, name := range order {
						v := map[string][2]float64{"x": {1, 120}, "y": {7, 3}, "z": {5, 9}, "row": {0, 1}, "red": {99, 100}, "nx": {3, 4}}
						w.put(kind, v[name][i])
					}
					w.endRecord()
				}
				w.data = append(w.data, "3 0 0 1 and what follows is not looked at\n"...)
				f, err := face.Read("a.ply", strings.NewReader(w.head.String()+string(w.data)))
				if err != nil {
					t.Fatalf("%s %s %v: %v", e.name, kind, order, err)
				}
				want := "1 7 5\n120 3 9\n"
				if len(order) > 3 {
					want = "1 7 5 \n120 3 9 joint+\n"
				}
				if got := readings(f); got != want || f.Side != face.Top {
					t.Errorf("%s %s %v: %s", e.name, kind, order, got)
				}
				n++
			}
		}
	}
	if n != 3*16*3 {
		t.Errorf("%d cases", n)
	}
}

func TestPLYSignsFractionsAndUnits(t *testing.T) {
	for _, e := range encodings {
		for kind, values := range map[string][3]float64{"double": {-0.1, 1e-9, -12.75}, "float": {-0.125, 0.5, -12.75}, "short": {-300, 2, -1}, "char": {-128, 127, -1}, "int": {-70000, 2, 3}} {
			w := plyWriter{order: e.order}
			fmt.Fprintf(&w.head, "ply\r\nformat %s 1.0\r\ncomment unit: thou\r\nelement vertex 1\r\n", e.name)
			for _, name := range []string{"x", "y", "z"} {
				fmt.Fprintf(&w.head, "property %s %s\r\n", kind, name)
			}
			for _, v := range values {
				w.put(kind, v)
			}
			w.endRecord()
			f, err := face.Read("a.ply", strings.NewReader(w.head.String()+"end_header\r\n"+string(w.data)))
			if err != nil {
				t.Fatalf("%s %s: %v", e.name, kind, err)
			}
			for k, got := range []float64{f.X[0], f.Y[0], f.Z[0]} {
				if want := values[k] * 0.0254; math.Abs(got-want) > 1e-15*math.Abs(want) {
					t.Errorf("%s %s: %v, want %v", e.name, kind, got, want)
				}
			}
		}
	}
}

func TestPLYSkipsElementsBeforeTheVertices(t *testing.T) {
	for _, e := range encodings {
		w := plyWriter{order: e.order}
		fmt.Fprintf(&w.head, "ply\nformat %s 1.0\nelement camera 2\nproperty double a\nproperty uchar b\n"+
			"element face 2\nproperty uchar flag\nproperty list ushort short i\nelement nothing 0\nproperty int i\n"+
			"element vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n", e.name)
		for range 2 {
			w.put("double", 77)
			w.put("uchar", 7)
			w.endRecord()
		}
		for n := range 2 {
			w.put("uchar", 1)
			w.put("ushort", float64(3*n))
			for range 3 * n {
				w.put("short", 4)
			}
			w.endRecord()
		}
		for _, v := range []float64{1, 2, 3} {
			w.put("float", v)
		}
		w.endRecord()
		f, err := face.Read("a.ply", strings.NewReader(w.head.String()+string(w.data)))
		if err != nil || readings(f) != "1 2 3\n" {
			t.Errorf("%s: %v", e.name, err)
		}
	}
}

const asciiHead = "ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\nproperty float z\nend_header\n"

func TestPLYRefusals(t *testing.T) {
	binaryHead := strings.Replace(asciiHead, "ascii", "binary_little_endian", 1)
	nan, inf := "\x00\x00\xc0\x7f", "\x00\x00\x80\x7f"
	cases := []struct{ name, text, code, where string }{
		{"no end of the head", "ply\nformat ascii 1.0\n", "truncated", "a.ply:3"},
		{"no vertices", "ply\nformat ascii 1.0\nelement face 0\nend_header\n", "ply-header", "a.ply:4"},
		{"no z", "ply\nformat ascii 1.0\nelement vertex 2\nproperty float x\nproperty float y\nend_header\n", "ply-header", "a.ply:3"},
		{"two z", strings.Replace(asciiHead, "float y", "float z", 1), "ply-header", "a.ply:3"},
		{"list among vertices", strings.Replace(asciiHead, "float y", "list uchar float y", 1), "ply-header", "a.ply:3"},
		{"two vertex elements", strings.Replace(asciiHead, "end_header", "element vertex 2\nend_header", 1), "ply-header", "a.ply:7"},
		{"two units", strings.Replace(asciiHead, "element", "comment unit: mm\ncomment unit: in\nelement", 1), "mixed-units", "a.ply:4"},
		{"endless head", "ply\n" + strings.Repeat("comment a\n", 500_000), "ply-header", "a.ply:419431"},
		{"none declared", strings.Replace(asciiHead, "vertex 2", "vertex 0", 1), "no-readings", "a.ply:8"},
		{"ascii: ends early", asciiHead + "1 2 3\n", "truncated", "a.ply:9"},
		{"ascii: cut line", asciiHead + "1 2 3\n1 2", "truncated", "a.ply:9"},
		{"ascii: goes on", asciiHead + "1 2 3\n1 2 3\n1 2 3\n", "excess", "a.ply:10"},
		{"ascii: number missing", asciiHead + "1 2\n1 2 3\n", "columns", "a.ply:8"},
		{"ascii: empty line", asciiHead + "\n1 2 3\n", "columns", "a.ply:8"},
		{"ascii: number more", asciiHead + "1 2 3\n1 2 3 4\n", "columns", "a.ply:9"},
		{"ascii: no number", asciiHead + "1 2 3\n1 2 3x\n", "bad-number", "a.ply:9"},
		{"ascii: infinite", asciiHead + "1 2 3\n1 2 inf\n", "infinite", "a.ply:9"},
		{"ascii: no place", asciiHead + "1 2 3\nnan 2 3\n", "no-place", "a.ply:9"},
		{"ascii: row mark", strings.Replace(asciiHead, "float x", "float x\nproperty uchar row", 1) + "1 3 2 3\n1 0 2 3\n", "bad-row", "a.ply:9"},
		{"ascii: element before is cut", strings.Replace(asciiHead, "element", "element face 3\nproperty int a\nelement", 1) + "1\n", "truncated", "a.ply:11"},
		{"binary: ends early", binaryHead + strings.Repeat("\x00", 23), "truncated", "a.ply: vertex 2"},
		{"binary: goes on", binaryHead + strings.Repeat("\x00", 25), "excess", "a.ply: vertex 3"},
		{"binary: infinite", binaryHead + strings.Repeat("\x00", 16) + inf + strings.Repeat("\x00", 4), "infinite", "a.ply: vertex 2"},
		{"binary: no place", binaryHead + strings.Repeat("\x00", 12) + nan + strings.Repeat("\x00", 8), "no-place", "a.ply: vertex 2"},
		{"binary: too large", binaryHead + strings.Repeat("\x00", 20) + "\x00\x00\x7f\x7f", "too-large", "a.ply: vertex 2"},
		{"binary: row mark", strings.Replace(binaryHead, "float x", "float x\nproperty uchar row", 1) + strings.Repeat("\x00", 17) + "\x03" + strings.Repeat("\x00", 8), "bad-row", "a.ply: vertex 2"},
		{"binary: element before is cut", strings.Replace(binaryHead, "element", "element face 3\nproperty list int int a\nelement", 1) + "\xff\xff\xff\x7f", "truncated", "a.ply"},
	}
	for _, c := range cases {
		_, err := face.Read("a.ply", strings.NewReader(c.text))
		refused(t, c.name, err, c.code, c.where)
	}
}

func TestPLYGapsAreLeftOut(t *testing.T) {
	for _, e := range encodings {
		w := plyWriter{order: e.order}
		w.head.WriteString(strings.Replace(strings.Replace(asciiHead, "ascii", e.name, 1), "vertex 2", "vertex 4", 1))
		for i, v := range []float64{1, 2, math.NaN(), 4, 5, 6, math.NaN(), math.NaN(), math.NaN(), 7, 8, 9} {
			w.put("float", v)
			if i%3 == 2 {
				w.endRecord()
			}
		}
		text := w.head.String() + string(w.data)
		f, err := face.Read("a.ply", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if got := readings(f); got != "4 5 6\n7 8 9\n" {
			t.Errorf("%s: %s", e.name, got)
		}
		warned(t, e.name, f, "a.ply:", "2 such stations")
	}
}

// TestHugeCountsNeedNoMemory: what a head declares sets no memory aside that the file does not bear out.
func TestHugeCountsNeedNoMemory(t *testing.T) {
	n := 0
	for _, e := range encodings {
		for _, count := range []string{"1000000000000", "9223372036854775807"} {
			text := strings.Replace(strings.Replace(asciiHead, "ascii", e.name, 1), "vertex 2", "vertex "+count, 1) + "1 2 3\n"
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, err := face.Read("a.ply", strings.NewReader(text))
			runtime.ReadMemStats(&after)
			if err == nil {
				t.Errorf("%s, %s: no error", e.name, count)
			}
			allocated := after.TotalAlloc - before.TotalAlloc
			if allocated > 16<<20 {
				t.Errorf("%s, %s: %d bytes", e.name, count, allocated)
			}
			n++
		}
	}
	if n != 6 {
		t.Errorf("%d cases", n)
	}
	skipped := strings.Replace(asciiHead, "element", "element empty 9223372036854775807\nelement", 1) // no property, so no data
	f, err := face.Read("a.ply", strings.NewReader(strings.Replace(skipped, "ascii", "binary_big_endian", 1)+strings.Repeat("\x00", 24)))
	if err != nil || f.Len() != 2 {
		t.Errorf("an empty element: %v", err)
	}
}

func TestPLYIsWrittenAndReadInEveryEncoding(t *testing.T) {
	f := read(t, full)
	want := csvOf(t, f)
	for _, format := range []face.PLYFormat{face.ASCII, face.BinaryLittleEndian, face.BinaryBigEndian} {
		var out bytes.Buffer
		if err := f.WritePLY(&out, format); err != nil {
			t.Fatal(err)
		}
		back, err := face.Read("b.ply", bytes.NewReader(out.Bytes()))
		if err != nil {
			t.Fatalf("%s: %v", format, err)
		}
		if got := csvOf(t, back); got != want {
			t.Errorf("%s: %s", format, got)
		}
		var again bytes.Buffer
		if err := back.WritePLY(&again, format); err != nil || !bytes.Equal(again.Bytes(), out.Bytes()) {
			t.Errorf("%s: written again: %v", format, err)
		}
	}
}
