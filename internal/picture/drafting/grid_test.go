package drafting

import (
	"testing"

	"pgregory.net/rapid"
)

// The grid finds what going through all that is drawn finds, whatever is added, taken over and moved in between.
func TestGridFindsWhatIsThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(what string) Point { // on the edges of cells too
			return At(float64(rapid.IntRange(-80, 240).Draw(t, what+" x"))/2, float64(rapid.IntRange(-80, 240).Draw(t, what+" y"))/2)
		}
		draw := func(d *Drawing) {
			for range rapid.IntRange(0, 6).Draw(t, "lines") {
				d.Line("L", Thin, at("from"), at("to"))
			}
			for range rapid.IntRange(0, 3).Draw(t, "circles") {
				d.Circle("L", Thin, at("middle"), 3, "")
			}
			for range rapid.IntRange(0, 4).Draw(t, "words") {
				p := at("words")
				d.Words("L", p.X, p.Y, "some words")
			}
		}
		d := New(0.35, 1)
		for range rapid.IntRange(1, 4).Draw(t, "steps") {
			switch rapid.IntRange(0, 2).Draw(t, "step") {
			case 0:
				draw(d)
			case 1:
				o := New(0.35, 1)
				draw(o)
				d.Add(o)
			default:
				p := at("move")
				d.Move(p.X, p.Y)
			}
			a, size := at("box"), at("size")
			b := Box{a.X, a.Y, a.X + 1 + size.X*size.X/100, a.Y + 1 + size.Y*size.Y/100}
			const air, apart = 0.35, 0.8
			wide, near, want := Box{b.X0 - apart, b.Y0 - air, b.X1 + apart, b.Y1 + air}, b.Grown(air), false
			for _, o := range d.boxes {
				want = want || wide.over(o)
			}
			for _, p := range d.parts {
				want = want || near.crossed(p)
			}
			if got := d.grown().taken(b, air, apart); got != want {
				t.Fatalf("%v taken: %v, want %v", b, got, want)
			}
			line := part{a, at("end")}
			want = false
			for _, o := range d.boxes {
				want = want || o.Grown(0.3).crossed(line)
			}
			if got := d.grown().worded(line); got != want {
				t.Fatalf("%v worded: %v, want %v", line, got, want)
			}
		}
	})
}
