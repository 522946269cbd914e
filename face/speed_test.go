package face_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"slatewright/face"
)

// scan makes n readings as a scanner gives them, rounded to 0.1 µm, by a linear congruential generator.
func scan(n int) *face.Face {
	state := uint64(1)
	next := func() float64 {
		state = state*6364136223846793005 + 1442695040888963407 // D. E. Knuth, MMIX
		return float64(state>>11) / (1 << 53)
	}
	f := &face.Face{Header: face.Header{Name: "scan", SizeX: 914, SizeY: 1473}}
	for range n {
		f.X = append(f.X, math.Round((next()-0.5)*914*1e4)/1e4)
		f.Y = append(f.Y, math.Round((next()-0.5)*1473*1e4)/1e4)
		f.Z = append(f.Z, math.Round((next()-0.5)*0.2*1e4)/1e4)
	}
	return f
}

// speedCase is a file in memory and how it is read.
type speedCase struct {
	name string
	text []byte
}

func speedCases(b testing.TB, n int) []speedCase {
	f := scan(n)
	var csv, inch, ply, full bytes.Buffer
	if err := f.WriteCSV(&csv); err != nil {
		b.Fatal(err)
	}
	if err := f.WritePLY(&ply, face.BinaryLittleEndian); err != nil {
		b.Fatal(err)
	}
	fmt.Fprintf(&full, "# size: 914 x 1473 mm\nx,y,z\n")
	fmt.Fprintf(&inch, "# unit: in\nx,y,z\n")
	for i := range f.Z {
		fmt.Fprintf(&inch, "%.4f,%.4f,%.6f\n", f.X[i]/25.4, f.Y[i]/25.4, f.Z[i]/25.4)
		// all digits of a float64
		fmt.Fprintf(&full, "%.17g,%.17g,%.17g\n", f.X[i]/1.0001, f.Y[i]/1.0001, f.Z[i]/1.0001)
	}
	var ascii bytes.Buffer
	if err := f.WritePLY(&ascii, face.ASCII); err != nil {
		b.Fatal(err)
	}
	return []speedCase{
		{"csv", csv.Bytes()},
		{"csv-inch", inch.Bytes()},
		{"csv-17-digits", full.Bytes()},
		{"ply-double", ply.Bytes()},
		{"ply-float", floatPLY(f)},
		{"ply-ascii", ascii.Bytes()},
	}
}

// floatPLY writes the readings as a scanner does: floats, and a colour that is skipped.
func floatPLY(f *face.Face) []byte {
	out := fmt.Appendf(nil, "ply\nformat binary_little_endian 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nend_header\n", f.Len())
	for i := range f.Z {
		for _, v := range []float64{f.X[i], f.Y[i], f.Z[i]} {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(v)))
		}
		out = append(out, 255)
	}
	return out
}

// BenchmarkRead reads 10⁶ readings from memory. Goals: CSV 150 MB/s, binary PLY 800 MB/s on two cores.
func BenchmarkRead(b *testing.B) {
	for _, c := range speedCases(b, 1_000_000) {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.text)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := face.Read(c.name, bytes.NewReader(c.text)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkReadFile reads 10⁷ readings from a file.
func BenchmarkReadFile(b *testing.B) {
	for _, c := range speedCases(b, 10_000_000) {
		path := filepath.Join(b.TempDir(), c.name)
		if err := os.WriteFile(path, c.text, 0o600); err != nil {
			b.Fatal(err)
		}
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.text)))
			for b.Loop() {
				if _, err := face.ReadFile(path); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkWriteCSV writes 10⁶ readings.
func BenchmarkWriteCSV(b *testing.B) {
	f := scan(1_000_000)
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := f.WriteCSV(&out); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(out.Len()))
	}
}
