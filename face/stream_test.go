package face_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"slatewright/face"
	"slatewright/trouble"
)

// onlyReader hides what else a reader can do, so that its size is not known.
type onlyReader struct{ io.Reader }

// TestOrderDoesNotDependOnCoresOrPortions reads some blocks of readings, with marks and gaps far from each other.
func TestOrderDoesNotDependOnCoresOrPortions(t *testing.T) {
	f := scan(150_000)
	f.SizeX, f.SizeY = 0, 0
	f.Row = make([]face.Row, f.Len())
	f.X[100_000], f.Row[100_000] = 450, face.JointPlus
	text := csvOf(t, f)
	text = strings.Replace(text, "\n", "\n\n", 1)
	text += "3,4,,\n" + "5,6,7,\n"
	if len(text) < 3<<20 {
		t.Fatalf("only %d bytes: not enough for several blocks", len(text))
	}
	f.X, f.Y, f.Z, f.Row = append(f.X, 5), append(f.Y, 6), append(f.Z, 7), append(f.Row, face.NoRow)
	sources := map[string]func() io.Reader{
		"whole":   func() io.Reader { return strings.NewReader(text) },
		"unknown": func() io.Reader { return onlyReader{strings.NewReader(text)} },
		"halves":  func() io.Reader { return iotest.HalfReader(strings.NewReader(text)) },
		"end with the data": func() io.Reader {
			return iotest.DataErrReader(strings.NewReader(text))
		},
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, cores := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(cores)
		for name, source := range sources {
			got, err := face.ReadCSV("a.csv", source())
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if !slices.Equal(got.X, f.X) || !slices.Equal(got.Y, f.Y) || !slices.Equal(got.Z, f.Z) || !slices.Equal(got.Row, f.Row) {
				t.Errorf("%s on %d cores: other readings", name, cores)
			}
			if len(got.Warnings) != 2 || !strings.Contains(got.Warnings[0], fmt.Sprintf("a.csv:%d", 150_000+4)) {
				t.Errorf("%s on %d cores: warnings %q", name, cores, got.Warnings)
			}
		}
	}
}

func TestByteByByte(t *testing.T) {
	got, err := face.Read("a.csv", iotest.OneByteReader(strings.NewReader(full)))
	if err != nil || csvOf(t, got) != full {
		t.Errorf("%v", err)
	}
}

// TestTheFirstErrorOfTheFileIsReported: blocks behind it may be read earlier and hold errors too.
func TestTheFirstErrorOfTheFileIsReported(t *testing.T) {
	lines := slices.Repeat([]string{"1.00000,2.00000,3.00000\n"}, 300_000)
	for _, bad := range []int{299_999, 250_000, 120_001} {
		lines[bad] = "1,2,wrong\n"
		_, err := face.ReadCSV("a.csv", strings.NewReader(strings.Join(lines, "")))
		refused(t, "first error", err, "bad-number", fmt.Sprintf("a.csv:%d", bad+1))
	}
}

func TestReadErrorsAreOfInput(t *testing.T) {
	cut := errors.New("the cable is out")
	head := strings.Replace(strings.Replace(asciiHead, "ascii", "binary_big_endian", 1), "vertex 2", "vertex 900000", 1)
	cases := []struct{ name, text, where string }{
		{"csv head", "# unit: mm\n", "a:2"},
		{"csv rows", "1,2,3\n4,5,6\n", "a:1"},
		{"csv later", strings.Repeat("1,2,3\n", 400_000), "a:349525"}, // behind two blocks of 1 MiB, 6 bytes a line, the second begun by the last 4 of the first
		{"ply head", "ply\n", "a:2"},
		{"ply rows", asciiHead + "1 2 3\n", "a:8"},
		{"ply later", head + strings.Repeat("\x00", 12*100_000), "a: vertex 87382"}, // 1 MiB / 12 bytes
	}
	for _, c := range cases {
		_, err := face.Read("a", io.MultiReader(strings.NewReader(c.text), iotest.ErrReader(cut)))
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Kind != trouble.KindIO || !errors.Is(err, cut) || tr.Next == "" {
			t.Errorf("%s: %v", c.name, err)
		} else if tr.Where != c.where {
			t.Errorf("%s: at %s, want %s", c.name, tr.Where, c.where)
		}
	}
	_, err := face.ReadCSV("a.csv", io.MultiReader(strings.NewReader(strings.Repeat("1,2,3\n", 200_000)+"1,2,x\n"+strings.Repeat("1,2,3\n", 200_000)), iotest.ErrReader(cut)))
	refused(t, "wrong line before the cable", err, "bad-number", "a.csv:200001")
}

// TestAFailureIsNeverAnEnd fails after each byte of a sound file, also by the error that others return for a short file, and then
// ends there: the first is the input's fault, with its cause, the second the file's.
func TestAFailureIsNeverAnEnd(t *testing.T) {
	n := 0
	for name, text := range everyKind(t) {
		for k := range len(text) + 1 {
			for _, cause := range []error{errors.New("the cable is out"), io.ErrUnexpectedEOF} {
				_, err := face.Read("a", io.MultiReader(strings.NewReader(text[:k]), iotest.ErrReader(cause)))
				var tr *trouble.Trouble
				if !errors.As(err, &tr) || tr.Kind != trouble.KindIO || tr.Err != cause || tr.Where == "" {
					t.Fatalf("%s: failed after %d of %d bytes by %q: %v", name, k, len(text), cause, err)
				}
				n++
			}
			_, err := face.Read("a", strings.NewReader(text[:k]))
			var tr *trouble.Trouble
			if err != nil && (!errors.As(err, &tr) || tr.Kind != trouble.KindData) {
				t.Fatalf("%s: ended after %d of %d bytes: %v", name, k, len(text), err)
			}
		}
	}
	if n < 2000 {
		t.Errorf("only %d failures", n)
	}
}

// everyKind is a sound file of each kind; the PLY files have an element to skip, with a list and without, before the vertices.
func everyKind(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{"csv": full, "csv without titles": "1,2,3\n4,5,6\n7,8,9\n"}
	for _, e := range encodings {
		for _, list := range []string{"property short flag\n", "property list uchar short i\n"} {
			w := plyWriter{order: e.order}
			w.head.WriteString(strings.Replace(strings.Replace(asciiHead, "ascii", e.name, 1), "element", "element face 2\n"+list+"element", 1))
			for range 2 {
				if strings.Contains(list, "list") {
					w.put("uchar", 1)
				}
				w.put("short", 7)
				w.endRecord()
			}
			for k := range 6 {
				w.put("float", float64(k))
				if k%3 == 2 {
					w.endRecord()
				}
			}
			files[e.name+" "+list] = w.head.String() + string(w.data)
		}
	}
	for name, text := range files {
		if _, err := face.Read("a", strings.NewReader(text)); err != nil {
			t.Fatalf("%s is not sound: %v", name, err)
		}
	}
	return files
}

func TestReadFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "head.csv")
	_, err := face.ReadFile(path)
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Kind != trouble.KindIO || tr.Where != path {
		t.Errorf("no file: %v", err)
	}
	if err := os.WriteFile(path, []byte(full), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := face.ReadFile(path)
	if err != nil || csvOf(t, f) != full || f.Name != path {
		t.Errorf("%v", err)
	}
	if _, err := face.ReadFile(filepath.Dir(path)); !errors.As(err, &tr) || tr.Kind != trouble.KindIO {
		t.Errorf("a folder: %v", err)
	}
}

// brokenWriter fails after some bytes.
type brokenWriter struct{ left int }

func (w *brokenWriter) Write(p []byte) (int, error) {
	if w.left -= len(p); w.left < 0 {
		return 0, errors.New("disk full")
	}
	return len(p), nil
}

func TestWriteErrorsAreOfOutput(t *testing.T) {
	f := scan(20_000)
	for _, room := range []int{0, 100_000} {
		for name, err := range map[string]error{
			"csv": f.WriteCSV(&brokenWriter{room}),
			"ply": f.WritePLY(&brokenWriter{room}, face.BinaryLittleEndian),
		} {
			var tr *trouble.Trouble
			if !errors.As(err, &tr) || tr.Kind != trouble.KindIO {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

// TestMemoryStaysNearTheReadings: 24 bytes a reading, twice that under the race detector (its slices.Grow), more where the size is not
// known and space is doubled on the way. Whoever holds the text as well, 45 bytes a reading, is found by the first case.
func TestMemoryStaysNearTheReadings(t *testing.T) {
	const n = 1_000_000
	var text bytes.Buffer
	for i := range n {
		fmt.Fprintf(&text, "%d.0000000000,%d.0000000000,0.0000000000000000\n", i%500, i%300)
	}
	for name, most := range map[string]float64{"known": 24 * 2.2, "unknown": 24 * 5.5} {
		var r io.Reader = bytes.NewReader(text.Bytes())
		if name == "unknown" {
			r = onlyReader{r}
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		f, err := face.ReadCSV("a.csv", r)
		runtime.ReadMemStats(&after)
		if err != nil || f.Len() != n {
			t.Fatal(err)
		}
		blocks := float64((runtime.GOMAXPROCS(0) + 3) * (2 << 20)) // text, and readings of the blocks at work
		if got := float64(after.TotalAlloc - before.TotalAlloc); got > most*n+blocks {
			t.Errorf("%s: %.1f bytes a reading", name, got/n)
		}
	}
}
