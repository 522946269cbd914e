package face_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/trouble"
)

// outcome is what a test vector says of a file: its canonical form, or the code and place of the refusal.
func outcome(t *testing.T, name string, data []byte) string {
	f, err := face.Read(name, strings.NewReader(string(data)))
	if err == nil {
		return csvOf(t, f)
	}
	tr, ok := err.(*trouble.Trouble)
	if !ok {
		return err.Error()
	}
	return "refused " + tr.Code + " " + tr.Where + "\n"
}

func TestVectors(t *testing.T) {
	wants, err := filepath.Glob("testdata/vectors/*.want")
	if err != nil {
		t.Fatal(err)
	}
	read, refused := 0, 0
	for _, path := range wants {
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		path = strings.TrimSuffix(path, ".want")
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got := outcome(t, filepath.Base(path), data)
		if got != string(want) {
			t.Errorf("%s: got\n%swant\n%s", path, got, want)
		}
		if strings.HasPrefix(got, "refused ") {
			refused++
		} else {
			read++
		}
	}
	if read < 12 || refused < 8 {
		t.Errorf("%d vectors read and %d refused: too few", read, refused)
	}
}
