package beddrawing

import (
	"strings"
	"testing"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/revision"
	"slatewright/internal/tongue"
)

// In every language no word lies over a word or a line on any sheet, template and comparison, and nothing that English says is left in English.
func TestSheetsInEveryLanguage(t *testing.T) {
	for name, p := range shipped(t) {
		english := map[string]bool{}
		for _, l := range tongue.Languages() {
			for _, o := range []Options{{Paper: A3, Invented: true}, {Paper: A4, Invented: true}} {
				o.Reader = tongue.In(l, tongue.Metric)
				list, err := Sheets(p, o, Views(p, drawing.Whole), true)
				if err != nil {
					t.Fatal(name, l, err)
				}
				list = append(list, Template(p, o, drawing.View{Piece: 0, Face: pattern.Bottom}))
				next := p
				next.Revision, next.Holes = "B", append([]pattern.Hole(nil), p.Holes[1:]...)
				next.Holes[4].X += 25
				d, err := Overlay(p, next, revision.Compare(p, next), nil, o)
				if err != nil {
					t.Fatal(name, l, err)
				}
				for _, d := range append(list, d) {
					look(t, name+"-"+string(o.Paper)+"-"+d.Name+"-"+string(l), d)
					for _, c := range d.Clashes() {
						t.Errorf("%s in %s on %s, %s: %v", name, l, o.Paper, d.Name, c)
					}
					for words := range texts(d) {
						if l == tongue.English {
							english[words] = true
						} else if l == tongue.Chinese && english[words] && !alike(words, p) {
							t.Errorf("%s in %s, %s: %q is English", name, l, d.Name, words)
						}
					}
				}
			}
		}
	}
}

// alike reports whether words are the same in every language: figures, marks, and names that people gave.
func alike(words string, p pattern.Pattern) bool {
	run := 0
	for _, r := range words {
		if r >= 'a' && r <= 'z' {
			run++
		} else {
			run = 0
		}
		if run > 2 { // longer than mm, kg or x
			for _, h := range p.Holes {
				if strings.HasSuffix(words, h.Name) {
					return true
				}
			}
			for _, piece := range p.Pieces {
				if piece.Name == words && !(tongue.Words{}).Has("place."+words) {
					return true
				}
			}
			return words == p.Name || words == p.Approved.By || len(words) > 10 && words[:10] == p.Approved.By[:10]
		}
	}
	return true
}

// A hole's note says all that is said of it.
func TestNote(t *testing.T) {
	for want, h := range map[string]pattern.Hole{
		"⌀12.7 ±0.2 through, counterbore ⌀25 × 10 ±0.5 deep from below": {Diameter: 12.7, Tolerance: pattern.Tolerance{Diameter: 0.2, Depth: 0.5}, Counter: &pattern.Counter{Diameter: 25, Depth: 10, From: pattern.Bottom}},
		"⌀6 × 12 deep from below": {Diameter: 6, Depth: 12, From: pattern.Bottom},
		"⌀8 through, drilled from below, countersink ⌀14 × 90° from above, 0.5 × 45° at the playing face": {Diameter: 8, From: pattern.Bottom, Chamfer: 0.5, Counter: &pattern.Counter{Diameter: 14, Angle: 1.5707963267948966}},
	} {
		if got := (&bed{}).note(h); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	b := &bed{Options: Options{Reader: tongue.In(tongue.Portuguese, tongue.Metric)}}
	if got := b.note(pattern.Hole{Diameter: 12.7}); got != "⌀12,7 passante" {
		t.Errorf("%q", got)
	}
}
