package measured_test

import (
	"context"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/face"
	"slatewright/internal/measured"
	"slatewright/trouble"
)

// stone is the true top of an invented piece, and its true thickness: a wedge with a hollow across. The bottom is what lies that much below the top.
func top(x, y float64) float64 {
	return 0.3*(1-math.Pow(2*y/1473, 2)) - 0.1*(2*x/914)*(2*y/1473)
}

func thick(x, y float64) float64 { return 26 + 2e-4*x - 1e-4*y - 0.15*(1-math.Pow(2*x/914, 2)) }

// sides are the two faces of it, each as it was levelled by chance. Turned over about the y axis, the bottom's x runs the other way
// and its heights are counted outward.
func sides(gauged [][2]float64) (up, down *face.Face) {
	up = piece("QH-0101", func(x, y float64) float64 { return top(x, y) + 3 + 1e-4*x + 2e-4*y })
	down = piece("QH-0101", func(x, y float64) float64 { return thick(-x, y) - top(-x, y) - 7 - 3e-4*x + 1e-4*y })
	down.Side = face.Bottom
	for _, g := range gauged {
		up.Thickness = append(up.Thickness, face.Thickness{X: g[0], Y: g[1], T: thick(g[0], g[1])})
	}
	return up, down
}

var around = [][2]float64{{-430, -700}, {0, -700}, {430, -700}, {430, 0}, {430, 700}, {0, 700}, {-430, 700}, {-430, 0}}

// Tied by caliper readings all around, the map gives the thickness in the middle, where no caliper reaches.
func TestThicknessBetweenTwoFaces(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	up, down := sides(around[:4])
	for _, g := range around[4:] { // half of them stand in the bottom's file, in its frame
		down.Thickness = append(down.Thickness, face.Thickness{X: -g[0], Y: g[1], T: thick(g[0], g[1])})
	}
	a, b := store.put(t, up), store.put(t, down)
	got, err := r.Thickness(context.Background(), a, b)
	if err != nil || got.Map == nil || got.Tie == nil || got.Tie.Places != 8 || len(got.Gauged) != 8 {
		t.Fatalf("%+v, %v", got, err)
	}
	// Where a face turns, the curves between readings 74 and 80 mm apart run flat: an eighth of curvature times spacing squared, 0.0011 mm
	// for the hollow, and a part of that of the crown. A bottom taken for turned about x, or a tilt not found, makes a tenth of a mm.
	const within = 1.5e-3
	near(t, "residual", got.Tie.ResidualMM, 0, within)
	p, cells := got.Map, 0
	for k, v := range p.T {
		x := p.Edges[0] + (float64(k/p.Rows)+0.5)*(p.Edges[1]-p.Edges[0])/float64(p.Columns)
		y := p.Edges[2] + (float64(k%p.Rows)+0.5)*(p.Edges[3]-p.Edges[2])/float64(p.Rows)
		if !math.IsNaN(v) {
			cells++
			near(t, "thickness", v, thick(x, y), within)
		}
	}
	if cells < p.Columns*p.Rows*8/10 {
		t.Errorf("%d of %d cells", cells, p.Columns*p.Rows)
	}
	near(t, "least gauged", *got.LeastMM, thick(0, 700), 1e-9)
	for _, g := range got.Gauged {
		near(t, "beside", *g.Beside, 0, within)
	}
	svg, err := r.DrawThickness(context.Background(), a, b, measured.Picture{})
	if err != nil || !strings.Contains(string(svg), "thickness, mm") || !strings.Contains(string(svg), "gauged here") {
		t.Errorf("%v", err)
	}
	if room := os.Getenv("LOOK"); room != "" { // to be looked at
		bottom, err := r.Draw(context.Background(), b, measured.Picture{EdgeBand: 20})
		if err := errors.Join(err, os.WriteFile(room+"/thickness.svg", svg, 0o600), os.WriteFile(room+"/bottom.svg", bottom, 0o600)); err != nil {
			t.Error(err)
		}
	}
}

// The standard uncertainty at the corner is what repeated gauging shows.
func TestTheTieIsAsUncertainAsItSays(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	noise := chance.NewStream(3)
	up, down := sides(around)
	bottom := store.put(t, down)
	var first, squares float64
	const draws = 150
	for k := range draws {
		for i, g := range around {
			up.Thickness[i].T = thick(g[0], g[1]) + 0.0125*noise.Normal()
		}
		got, err := r.Thickness(context.Background(), store.put(t, up), bottom)
		if err != nil || got.Map == nil {
			t.Fatalf("%+v, %v", got, err)
		}
		p := got.Map
		k0 := 1*p.Rows + 2 // near the corner at −x −y
		if k == 0 {
			first = got.Tie.CornerSE
		}
		x, y := -457+1.5*914/float64(p.Columns), -736.5+2.5*1473/float64(p.Rows)
		squares += math.Pow(p.T[k0]-thick(x, y), 2)
	}
	// The cell lies a little inside of the corner; a standard deviation from 150 draws is known to 6 %.
	if sd := math.Sqrt(squares / draws); sd < 0.8*first || sd > 1.15*first {
		t.Errorf("standard deviation %v at the corner, stated %v", sd, first)
	}
}

func TestWhyThereIsNoMapOfThickness(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	for want, change := range map[string]func(up, down *face.Face){
		measured.UntiedSides:  func(up, down *face.Face) { down.Side = face.Top },
		measured.UntiedPieces: func(up, down *face.Face) { down.Piece = "QH-0102" },
		measured.UntiedNoSize: func(up, down *face.Face) { up.SizeX, up.SizeY = 0, 0 },
		measured.UntiedSupport: func(up, down *face.Face) {
			down.Support = face.Support{Kind: face.SupportLines, Text: "lines 0.22", Fraction: 0.22}
		},
		measured.UntiedFew:      func(up, down *face.Face) { up.Thickness = up.Thickness[:2] },
		measured.UntiedLine:     func(up, down *face.Face) { up.Thickness = up.Thickness[:3] },
		measured.UntiedDisagree: func(up, down *face.Face) { up.Thickness[3].T += 0.5 },
	} {
		up, down := sides(around)
		change(up, down)
		a, b := store.put(t, up), store.put(t, down)
		got, err := r.Thickness(context.Background(), a, b)
		if err != nil || got.Untied != want || got.Map != nil || got.Tie != nil || got.Why == "" || len(got.Gauged) != len(up.Thickness) {
			t.Errorf("%s: %q, %q, %v", want, got.Untied, got.Why, err)
		}
		_, err = r.DrawThickness(context.Background(), a, b, measured.Picture{})
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != "untied" || told.What != got.Why {
			t.Errorf("%s: drawn: %v", want, err)
		}
	}
	up, _ := sides(around)
	if got, err := r.Thickness(context.Background(), store.put(t, up), ""); err != nil || got.Untied != measured.UntiedNoFaces || got.MeanMM == nil {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestThreeCaliperReadingsTieWithoutACheck(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	up, down := sides([][2]float64{{-430, -700}, {430, -700}, {0, 728}})
	got, err := r.Thickness(context.Background(), store.put(t, up), store.put(t, down))
	if err != nil || got.Map == nil || got.Tie.ResidualMM != 0 {
		t.Fatalf("%+v, %v", got, err)
	}
	if all := strings.Join(got.Warnings, "\n"); !strings.Contains(all, "none is left to check") || !strings.Contains(all, "1 of the caliper readings lie beyond") {
		t.Error(all)
	}
}
