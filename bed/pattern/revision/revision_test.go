package revision_test

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/pattern/revision"
)

const nine = "../../../docs/examples/bed/nine-foot.yaml"

func read(t *testing.T, text string) pattern.Pattern {
	t.Helper()
	p, err := patternfile.Read("t.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func text(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(nine)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestSameFileHasNoDifference(t *testing.T) {
	files, err := filepath.Glob("../../../docs/examples/bed/*foot.yaml")
	if err != nil || len(files) != 4 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		p, err := patternfile.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if d := revision.Compare(p, p); len(d) != 0 {
			t.Errorf("%s: %+v", file, d)
		}
	}
}

// One line of the file after another is changed; what comes out is that change and nothing else, once for each image.
func TestOneChangeAtATime(t *testing.T) {
	for name, c := range map[string]struct {
		from, to string
		count    int
		want     revision.Difference
	}{
		"revision":  {`revision: "A"`, `revision: "B"`, 1, revision.Difference{What: "changed", Of: "bed", Feature: "bed", Key: "revision", Before: "A", After: "B", Base: "bed"}},
		"moved":     {"[nose_x + bolt_line, 420 mm]", "[nose_x + bolt_line, 423 mm]", 4, revision.Difference{What: "moved", Of: "hole", Feature: "end-rail-2fr", DY: 3, By: 3, Base: "end-rail-2"}},
		"added":     {"      - [nose_x - 10 mm, nose_y - 80 mm]", "      - [nose_x - 10 mm, nose_y - 80 mm]\n      - [700 mm, 700 mm]", 4, revision.Difference{What: "added", Of: "hole", Feature: "bracket-3fr", Base: "bracket-3"}},
		"removed":   {"      - [nose_x - 10 mm, nose_y - 80 mm]\n", "", 4, revision.Difference{What: "removed", Of: "hole", Feature: "bracket-2fr", Base: "bracket-2"}},
		"renamed":   {"name: bracket", "name: net", 8, revision.Difference{What: "renamed", Of: "hole", Feature: "net-1fr", Before: "bracket-1fr", After: "net-1fr", Base: "net-1", WasBase: "bracket-1"}},
		"tolerance": {"rail-bolt: {position: 1 mm", "rail-bolt: {position: 1/32 in", 18, revision.Difference{What: "changed", Of: "hole", Feature: "side-rail-1fr", Key: "tolerance.position", Before: "1 mm", After: "0.79375 mm", Base: "side-rail-1"}},
		"sink":      {"countersink: {diameter: 14 mm", "countersink: {diameter: 15 mm", 18, revision.Difference{What: "changed", Of: "hole", Feature: "screw-1f", Key: "counter", Before: "countersink 14 mm, 90.000°, from the top", After: "countersink 15 mm, 90.000°, from the top", Base: "screw-1"}},
		"angle":     {"cut_angle: 104 deg", "cut_angle: 103 deg", 2, revision.Difference{What: "changed", Of: "pocket", Feature: "side-r", Key: "cut_angle", Before: "104.000°", After: "103.000°", Base: "side"}},
		"dowel":     {"at: [0 mm, 450 mm]", "at: [0 mm, 440 mm]", 4, revision.Difference{What: "moved", Of: "dowel", Feature: "dowel-a2r", DY: -10, By: 10, Base: "dowel-2"}},
		"joint":     {"squareness: 0.1 mm", "squareness: 0.2 mm", 2, revision.Difference{What: "changed", Of: "joint", Feature: "a", Key: "squareness", Before: "0.1 mm", After: "0.2 mm", Base: "joints"}},
		"limit":     {"shims: [0.05 mm,", "limits: {zone: 0.4 mm}\nshims: [0.05 mm,", 1, revision.Difference{What: "changed", Of: "bed", Feature: "bed", Key: "limits.zone", Before: "0.508 mm", After: "0.4 mm", Base: "bed"}},
		"clearance": {"  web: 10 mm", "  web: 11 mm", 1, revision.Difference{What: "changed", Of: "bed", Feature: "bed", Key: "clearances.web", Before: "10 mm", After: "11 mm", Base: "bed"}},
		"support":   {"    - [-frame_x, 0 mm]\n", "    - [-frame_x, 1 mm]\n", 6, revision.Difference{What: "added", Of: "support", Feature: "head [-380 mm, 1 mm]", Base: "head"}},
	} {
		before, was := read(t, text(t)), text(t)
		if !strings.Contains(was, c.from) {
			t.Fatalf("%s: the example has no %q", name, c.from)
		}
		got := revision.Compare(before, read(t, strings.Replace(was, c.from, c.to, 1)))
		for i := range got { // places are sums of rounded lengths
			got[i].DX, got[i].DY, got[i].By = round(got[i].DX), round(got[i].DY), round(got[i].By)
		}
		if len(got) != c.count || !reflect.DeepEqual(got[0], c.want) {
			t.Errorf("%s: %d differences, the first %+v; want %d, %+v", name, len(got), append(got, revision.Difference{})[0], c.count, c.want)
		}
	}
}

func round(x float64) float64 { return math.Round(x*1e6)/1e6 + 0 }

// What was changed one way is changed back the other way.
func TestComparedBackward(t *testing.T) {
	a := read(t, text(t))
	b := read(t, strings.NewReplacer("radius: 66 mm", "radius: 70 mm", "[nose_x + bolt_line, 420 mm]", "[nose_x + bolt_line, 400 mm]", "name: bracket", "name: net").Replace(text(t)))
	there, back := revision.Compare(a, b), revision.Compare(b, a)
	if len(there) == 0 || len(there) != len(back) {
		t.Fatalf("%d differences there and %d back", len(there), len(back))
	}
	for i, d := range there {
		o := back[i]
		if d.What != o.What || d.Before != o.After || d.After != o.Before || d.DX != -o.DX || d.DY != -o.DY || d.By != o.By {
			t.Errorf("%+v there and %+v back", d, o)
		}
	}
}

// silent are the fields of a pattern that no comparison needs to tell, each with why.
var silent = map[string]string{
	"Line": "where it stands in the file", "Base": "follows from the name", "Group": "follows from the name", "Alone": "shows in what is there", "Name": "told as added, removed or renamed",
	"Outline": "follows from the pocket's numbers, or is told by its size", "Openings": "as outlines", "Middle": "follows from the pieces", "Piece": "follows from the place",
	"Supports": "told by their places", "Before": "follows from the pieces", "HasShelf": "shows in the shelf", "Side": "shows in the place", "Out": "follows from the place", "Promise.Pattern": "told once", "Promise.Revision": "told once",
	"Promise.SizeX": "told once", "Promise.SizeY": "told once", "Promise.JointGap": "told with the joints", "Thickness": "told as thickness_min",
	"Depth": "0 in a through hole means something else: tried by itself", "X": "tried as moves", "Y": "tried as moves", "From": "tried by itself",
}

// Every number and word of a pattern that is not silent shows when it changes.
func TestNothingChangesUnseen(t *testing.T) {
	before := read(t, text(t))
	after := read(t, text(t))
	tried := 0
	var walk func(path string, v reflect.Value)
	walk = func(path string, v reflect.Value) {
		for name := range silent {
			if path == name || strings.HasSuffix(path, "."+name) {
				return
			}
		}
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				walk(strings.TrimPrefix(path+"."+v.Type().Field(i).Name, "."), v.Field(i))
			}
		case reflect.Slice:
			for i := range min(v.Len(), 2) {
				walk(path, v.Index(i))
			}
		case reflect.Pointer:
			if !v.IsNil() {
				walk(path, v.Elem())
			}
		case reflect.Float64, reflect.Int, reflect.String:
			old := reflect.New(v.Type()).Elem()
			old.Set(v)
			switch v.Kind() {
			case reflect.Float64:
				v.SetFloat(v.Float() + 0.25)
			case reflect.Int:
				v.SetInt(v.Int() + 1)
			default:
				v.SetString(v.String() + "x")
			}
			tried++
			if len(revision.Compare(before, after)) == 0 {
				t.Errorf("%s changes unseen", path)
			}
			v.Set(old)
		}
	}
	walk("", reflect.ValueOf(&after).Elem())
	if tried < 100 {
		t.Errorf("only %d changes tried", tried)
	}
}
