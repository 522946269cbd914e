package face_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"slatewright/face"
)

// TestExamplesOfTheFormatPage reads every block of docs/formats.md that is marked as a face, and the refused ones too.
func TestExamplesOfTheFormatPage(t *testing.T) {
	page, err := os.ReadFile("../docs/formats.md")
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]int{}
	for i, block := range strings.Split(string(page), "\n```") {
		mark, text, _ := strings.Cut(block, "\n")
		words := strings.Fields(mark)
		if len(words) < 2 || words[1] != "face" {
			continue
		}
		name := fmt.Sprintf("block %d (%s)", i, mark)
		f, err := face.Read(name, strings.NewReader(text+"\n"))
		if len(words) == 4 && words[2] == "refused:" {
			found["refused"]++
			if codeOf(err) != words[3] {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		found[words[0]]++
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if len(f.Warnings) > 1 || len(f.Warnings) == 1 && !strings.Contains(f.Warnings[0], "such station") {
			t.Errorf("%s: warnings %q", name, f.Warnings)
		}
	}
	if found["csv"] < 4 || found["ply"] < 1 || found["refused"] < 5 {
		t.Errorf("found %v: too few", found)
	}
}

func Example() {
	f, err := face.Read("head.csv", strings.NewReader(`# unit: in
# size: 36 x 58
x,y,z
-17,-28,0.001
17,-28,
0,0,0.002
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Len(), "readings, size", f.SizeX, "by", f.SizeY, "mm; the first:", f.X[0], f.Y[0], f.Z[0])
	fmt.Println(f.Warnings[0])

	_, err = face.Read("foot.csv", strings.NewReader("# size: 914 x 1473 mm\n0,0,0.1\n1,o,0.2\n"))
	fmt.Println(err)
	// Output:
	// 2 readings, size 914.4 by 1473.2 mm; the first: -431.8 -711.2 0.0254
	// head.csv:5: no reading here (empty or NaN z); 1 such station is left out
	// foot.csv:3: y = "o" is not a number; write a plain number such as -12.345, without unit or spaces; leave z empty where there is no reading
}
