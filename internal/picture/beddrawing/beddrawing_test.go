package beddrawing

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/pattern/revision"
	"slatewright/internal/picture/drafting"
)

// shipped reads the patterns of the handbook, by their file's name.
func shipped(t *testing.T) map[string]pattern.Pattern {
	t.Helper()
	files, err := filepath.Glob("../../../docs/examples/bed/*-foot.yaml")
	if err != nil || len(files) < 4 {
		t.Fatalf("%d patterns, %v", len(files), err)
	}
	list := map[string]pattern.Pattern{}
	for _, f := range files {
		p, err := patternfile.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		list[strings.TrimSuffix(filepath.Base(f), ".yaml")] = p
	}
	return list
}

// look keeps a drawing as a picture where the environment names a folder for it.
func look(t *testing.T, name string, d *drafting.Drawing) {
	t.Helper()
	if dir := os.Getenv("LOOK"); dir != "" {
		var svg bytes.Buffer
		if err := d.SVG(&svg); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".svg"), svg.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// texts are the words of a drawing.
func texts(d *drafting.Drawing) map[string]int {
	list := map[string]int{}
	for _, t := range d.Texts {
		list[t.Words]++
	}
	return list
}

// On every sheet of every shipped pattern, no word lies over a word, a line, an arrowhead or the edge; no letter is smaller than the least;
// every hole that is shown has its mark; the head is marked, and what is mirrored says so.
func TestSheets(t *testing.T) {
	for name, p := range shipped(t) {
		for _, o := range []Options{{Paper: A3}, {Paper: A4}, {Paper: A4, Invented: true}} {
			list, err := Sheets(p, o, Views(p, drawing.Whole), true)
			if err != nil {
				t.Fatal(name, o, err)
			}
			views := Views(p, drawing.Whole)
			if len(list) < len(views)+2 || len(views) != 2*len(p.Pieces)+2 {
				t.Fatalf("%s: %d sheets of %d views", name, len(list), len(views))
			}
			for i, d := range list {
				look(t, name+"-"+string(o.Paper)+"-"+d.Name, d)
				where := name + " on " + string(o.Paper) + ", " + d.Name
				for _, c := range d.Clashes() {
					t.Errorf("%s: %v", where, c)
				}
				for _, words := range d.Texts {
					if words.Height < drafting.Least {
						t.Errorf("%s: %q is %.2f mm high", where, words.Words, words.Height)
					}
				}
				if said := texts(d); (said["INVENTED DATA"] == 1) != o.Invented || said["HEAD"] != 1 && i < len(views) {
					t.Errorf("%s: %v", where, said)
				}
				if i < len(views) {
					plansSay(t, where, p, views[i], d)
				}
			}
		}
	}
}

// plansSay checks the words of a plan.
func plansSay(t *testing.T, where string, p pattern.Pattern, v drawing.View, d *drafting.Drawing) {
	t.Helper()
	said := texts(d)
	marks := drawing.Marks(drawing.Groups(p))
	for i, h := range p.Holes {
		if v.Shows(h.Piece) && said[marks[i]] != 1 {
			t.Errorf("%s: %s is marked %d times", where, marks[i], said[marks[i]])
		}
	}
	mirrored, left, right := 0, math.NaN(), math.NaN()
	for _, words := range d.Texts {
		if strings.Contains(words.Words, "SEEN FROM BELOW: mirrored") {
			mirrored++
		}
		switch words.Words {
		case "LEFT":
			left = words.At.Y
		case "RIGHT":
			right = words.At.Y
		}
	}
	if (mirrored == 1) != (v.Face == pattern.Bottom) || mirrored > 1 || said["from below"]+said["from above"] != 1 {
		t.Errorf("%s: it is said %d times that it is mirrored", where, mirrored)
	}
	if !(right < left) {
		t.Errorf("%s: right at %v, left at %v; the right side is up", where, right, left)
	}
	for _, words := range d.Texts {
		if words.Words == "HEAD" && v.Piece < 0 && (words.At.X < d.Origin.X) != (v.Face == pattern.Top) {
			t.Errorf("%s: the head is on the wrong side", where)
		}
	}
}

// Running dimensions say how far each hole is from the middle lines, and every hole is under one of each direction.
func TestRunningDimensions(t *testing.T) {
	for name, p := range shipped(t) {
		views := Views(p, drawing.Whole)
		for i, v := range append(views, views...) {
			list, err := Sheets(p, Options{Paper: []Paper{A3, A4}[i/len(views)]}, []drawing.View{v}, false)
			if err != nil {
				t.Fatal(err)
			}
			said := texts(list[0])
			for _, h := range p.Holes {
				if !v.Shows(h.Piece) {
					continue
				}
				x := h.X
				if v.Piece >= 0 {
					x -= p.Pieces[v.Piece].Middle.X
				}
				if said[drawing.MM(x)] == 0 || said[drawing.MM(h.Y)] == 0 {
					t.Errorf("%s, %s: %s at (%s, %s) is not dimensioned", name, v.Name(p), h.Name, drawing.MM(x), drawing.MM(h.Y))
				}
			}
		}
	}
}

// A bed that no paper holds at any scale is refused, with what to do.
func TestTooLarge(t *testing.T) {
	p := shipped(t)["nine-foot"]
	p.SizeX, p.SizeY = 90000, 90000
	if _, err := Sheets(p, Options{Paper: A4}, Views(p, drawing.Whole), false); err == nil || !strings.Contains(err.Error(), "does not fit") {
		t.Errorf("%v", err)
	}
}

// Nothing but a name and a size is needed: one piece, no holes, no pockets, no joints.
func TestPlainStone(t *testing.T) {
	p := shipped(t)["nine-foot"]
	p.Pieces = p.Pieces[:1]
	p.SizeX = p.Pieces[0].To - p.Pieces[0].From
	p.Holes, p.Pockets, p.Joints, p.Strips = nil, nil, nil, nil
	p.FieldX = 0
	p.Approved = pattern.Approval{}
	for _, paper := range []Paper{A3, A4} {
		list, err := Sheets(p, Options{Paper: paper}, Views(p, drawing.Whole), true)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range list {
			if c := d.Clashes(); len(c) > 0 || texts(d)["not approved"] != 1 {
				t.Errorf("%s: %v", d.Name, c)
			}
		}
	}
}

// The sign of each kind of change is drawn where the change is, with its letter.
func TestOverlay(t *testing.T) {
	before := shipped(t)["nine-foot"]
	after := before
	after.Revision = "B"
	after.Holes = append([]pattern.Hole(nil), before.Holes...)
	after.Holes[0].X += 40
	after.Holes[3].Diameter += 1
	removed := after.Holes[5]
	after.Holes = append(after.Holes[:5], after.Holes[6:]...)
	added := removed
	added.Name, added.X, added.Y = "new-1", -700, 200
	after.Holes = append(after.Holes, added)
	list := revision.Compare(before, after)
	if len(list) < 4 {
		t.Fatalf("%+v", list)
	}
	for _, paper := range []Paper{A3, A4} {
		d, err := Overlay(before, after, list, []string{"one line", "another line"}, Options{Paper: paper})
		if err != nil {
			t.Fatal(err)
		}
		look(t, "compare-"+string(paper), d)
		if c := d.Clashes(); len(c) > 0 {
			t.Error(c)
		}
		said := texts(d)
		for _, letter := range []string{"A", "R", "M", "C"} {
			if said[letter] != 1 {
				t.Errorf("%s stands %d times", letter, said[letter])
			}
		}
		count := map[drafting.Layer]int{}
		for _, c := range d.Circles {
			count[c.Layer]++
		}
		if count[layerOld] != len(before.Holes) || count[layerNew] != len(after.Holes) {
			t.Errorf("%v", count)
		}
		for _, s := range d.Strokes {
			if s.Layer == layerOld && s.Kind != drafting.Hidden || s.Layer == layerNew && s.Kind != drafting.Wide {
				t.Errorf("a line of %s is of kind %d", s.Layer, s.Kind)
			}
		}
	}
}
