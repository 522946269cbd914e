package face_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"
	"slatewright/face"
)

// TestHeaderLinesMayStandInAnyOrder: only lines of the same key keep theirs.
func TestHeaderLinesMayStandInAnyOrder(t *testing.T) {
	text := strings.Replace(strings.Replace(full, "unit: mm", "unit: in", 1), "# u: 0.004\n", "# u: 0.004 mm\n", 1)
	for _, s := range []string{"# support: points 183 383; 731.2 383; 457.2 1207\n", "# thickness: 20 20 25.61\n", "# thickness: 894 20 25.7\n", "# lined: 20 20 44.7\n"} {
		text = strings.Replace(text, s, "", 1)
	}
	head, _, _ := strings.Cut(text, "x,y,z,row\n")
	const rows = "1,4,0.0005,\n"
	lines := strings.SplitAfter(strings.TrimSuffix(head, "\n"), "\n")
	lines[len(lines)-1] += "\n"
	lines = append(lines, "# thickness: 1 1 1\n", "# support: points 2 3; 30 3; 16 50\n")
	want := csvOf(t, read(t, strings.Join(lines, "")+rows))
	if !strings.Contains(want, "# thickness: 25.4 25.4 25.4\n") || !strings.Contains(want, "# read in two halves\n# shift: late\n") {
		t.Fatalf("the header is not what it should be:\n%s", want)
	}
	rapid.Check(t, func(rt *rapid.T) {
		mixed := rapid.Permutation(lines).Draw(rt, "lines")
		got, err := face.Read("mixed.csv", strings.NewReader(strings.Join(mixed, "")+rows))
		if err != nil {
			rt.Fatal(err)
		}
		var out bytes.Buffer
		if err := got.WriteCSV(&out); err != nil {
			rt.Fatal(err)
		}
		text := strings.Replace(out.String(), "# shift: late\n# read in two halves\n", "# read in two halves\n# shift: late\n", 1)
		if text != want {
			rt.Fatalf("from\n%s\ncame\n%s", strings.Join(mixed, ""), text)
		}
	})
}

// TestNegativeZeroIsZero in every way in and out: the same place must be the same bytes.
func TestNegativeZeroIsZero(t *testing.T) {
	minus := math.Copysign(0, -1)
	f := &face.Face{X: []float64{minus}, Y: []float64{minus}, Z: []float64{minus}}
	if got := csvOf(t, f); got != "# unit: mm\nx,y,z\n0,0,0\n" {
		t.Errorf("written as %q", got)
	}
	f.X[0], f.Y[0], f.Z[0] = 0, 0, 0
	for _, unit := range []string{"mm", "in"} {
		for _, zero := range []string{"-0", "-0.000", "-0e5", "-0.0000000000000000000000000000000"} {
			g := read(t, fmt.Sprintf("# unit: %s\n%s,%s,%s\n", unit, zero, zero, zero))
			if math.Signbit(g.X[0]) || math.Signbit(g.Y[0]) || math.Signbit(g.Z[0]) {
				t.Errorf("%s %s stays negative", zero, unit)
			}
		}
	}
	for _, format := range []face.PLYFormat{face.ASCII, face.BinaryLittleEndian, face.BinaryBigEndian} {
		var plus, other bytes.Buffer
		g := &face.Face{X: []float64{minus}, Y: []float64{minus}, Z: []float64{minus}}
		if f.WritePLY(&plus, format) != nil || g.WritePLY(&other, format) != nil || plus.String() != other.String() {
			t.Errorf("%s: other bytes for -0", format)
		}
	}
	w := plyWriter{order: encodings[1].order}
	w.head.WriteString(strings.Replace(strings.Replace(asciiHead, "ascii", "binary_little_endian", 1), "vertex 2", "vertex 1", 1))
	for range 3 {
		w.put("float", minus)
	}
	g, err := face.Read("a.ply", strings.NewReader(w.head.String()+string(w.data)))
	if err != nil || math.Signbit(g.X[0]) {
		t.Errorf("binary -0 stays negative: %v", err)
	}
}

// TestFacesAreReadSideBySide is for the race detector: readers share nothing.
func TestFacesAreReadSideBySide(t *testing.T) {
	text := csvOf(t, scan(60_000))
	want := read(t, text)
	var wait sync.WaitGroup
	errs := make([]error, 4)
	for k := range errs {
		wait.Go(func() {
			f, err := face.Read("a.csv", strings.NewReader(text))
			if err == nil && (f.Len() != want.Len() || f.Z[59_999] != want.Z[59_999]) {
				err = fmt.Errorf("other readings")
			}
			errs[k] = err
		})
	}
	wait.Wait()
	for _, err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
}

func TestWordsOfTheTypes(t *testing.T) {
	got := fmt.Sprint(face.SideUnknown, face.Top, face.Bottom, face.Middle, face.Corner, face.JointPlus, face.JointMinus,
		face.SupportUnknown, face.SupportBench, face.SupportLines, face.SupportPoints, face.ASCII, face.BinaryLittleEndian, face.BinaryBigEndian)
	want := "unknown top bottom middle corner joint+ joint- unknown bench lines points ascii binary_little_endian binary_big_endian"
	if got != want || face.NoRow.String() != "" {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}
