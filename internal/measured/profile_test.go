package measured_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/internal/measured"
	"slatewright/trouble"
)

// On a plane, however it leans, no light comes under the straightedge, and all heights over the zone's middle are 0.
func TestProfileOfAPlane(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	digest := store.put(t, piece("QH-0101", func(x, y float64) float64 { return 1 + 1e-3*x - 2e-3*y }))
	for _, to := range [][2]float64{{400, 0}, {0, 700}, {400, 700}, {-123, 45}} {
		p, err := r.Profile(context.Background(), digest, [2]float64{-to[0], -to[1]}, to, 101)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "gap", p.Edge.GapMM, 0, 1e-9)
		for _, z := range p.Z {
			near(t, "height", z, 0, 1e-9)
		}
		near(t, "length", p.S[100], 2*math.Hypot(to[0], to[1]), 1e-9)
	}
}

// Under a straightedge across a cylinder of bow A the gap is the sagitta of what was read: A·(span/L)². In a dish it rests on both
// ends and gapes in the middle, on a crown it rocks and gapes at the ends. Along the cylinder there is no gap.
func TestProfileOfACylinder(t *testing.T) {
	const a, span = 0.4, 1443.0
	// Between the readings the mesh is straight over 13 mm at most, and cubic over 80 mm without the readings' curvature at the ends:
	// a ten-thousandth of A.
	const within = 1e-4 * a
	for name, sign := range map[string]float64{"dish": -1, "crown": 1} {
		store := newFiles()
		r := room(t, store, measured.Options{})
		digest := store.put(t, piece("QH-0101", func(x, y float64) float64 { return sign * a * (1 - math.Pow(2*y/1473, 2)) }))
		p, err := r.Profile(context.Background(), digest, [2]float64{100, -736}, [2]float64{100, 736}, 200)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, p.Edge.GapMM, a*math.Pow(span/1473, 2), within)
		if rocks := sign > 0; p.Edge.Rocks != rocks {
			t.Errorf("%s: rocks: %v", name, p.Edge.Rocks)
		}
		if sign < 0 {
			near(t, name+", gap at", p.Edge.Gap.At[1], 0, 1e-6)
			near(t, name+", rests at", p.Edge.Rests[0].At[1], -span/2, 1e-6)
			near(t, name+", rests at", p.Edge.Rests[1].At[1], span/2, 1e-6)
		}
		if len(p.Read) != 1 || !math.IsNaN(p.Z[0]) || math.IsNaN(p.Z[100]) {
			t.Errorf("%s: the stretch that was read is %v", name, p.Read)
		}
		for k, z := range p.Z {
			if edge := p.EdgeZ[k]; math.IsNaN(z) != math.IsNaN(edge) || edge < z-1e-9 || edge-z > p.Edge.GapMM+1e-9 {
				t.Fatalf("%s: the stone at %v, the straightedge at %v", name, z, edge)
			}
		}
		near(t, name+", read from", p.Read[0][0], 736-span/2, 1e-6)
		along, err := r.Profile(context.Background(), digest, [2]float64{-400, 30}, [2]float64{400, 30}, 50)
		if err != nil {
			t.Fatal(err)
		}
		near(t, name+", along", along.Edge.GapMM, 0, 1e-9)
	}
}

// A bump under a long edge: the straightedge rides on it.
func TestProfileOverABump(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	f := piece("QH-0101", func(x, y float64) float64 { return 0 })
	f.Z[6*19+4] = 0.2 // at x = 0, y = −400.8
	p, err := r.Profile(context.Background(), store.put(t, f), [2]float64{0, -721.5}, [2]float64{0, 721.5}, 300)
	if err != nil {
		t.Fatal(err)
	}
	bump := -721.5 + 1443*4.0/18
	// It rests on the bump and on the far end; the gap is largest where the stone is flat again, a mesh width beyond the bump at the
	// latest.
	near(t, "first rest", p.Edge.Rests[0].At[1], bump, 1e-6)
	near(t, "second rest", p.Edge.Rests[1].At[1], 721.5, 1e-6)
	near(t, "height of the rest", p.Edge.Rests[0].HeightMM-p.Edge.Rests[1].HeightMM, 0.2, 1e-6)
	if g := p.Edge.GapMM; g < 0.17 || g > 0.4 {
		t.Errorf("gap %v at %v", g, p.Edge.Gap)
	}
}

func TestProfileOutsideWhatWasRead(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	digest := store.put(t, piece("QH-0101", func(x, y float64) float64 { return 0 }))
	p, err := r.Profile(context.Background(), digest, [2]float64{-450, -730}, [2]float64{450, -730}, 20)
	if err != nil || p.Edge != nil || len(p.Read) != 0 {
		t.Fatalf("%+v, %v", p, err)
	}
	text := string(marshalled(t, p))
	if !strings.Contains(text, `"z_um":[null,null,`) || !strings.Contains(text, `"straightedge":null`) {
		t.Error(text)
	}
	for name, err := range map[string]error{
		"a point":     second(r.Profile(context.Background(), digest, [2]float64{1, 1}, [2]float64{1, 1.5}, 20)),
		"not a place": second(r.Profile(context.Background(), digest, [2]float64{math.NaN(), 1}, [2]float64{1, 100}, 20)),
		"one height":  second(r.Profile(context.Background(), digest, [2]float64{0, 1}, [2]float64{1, 100}, 1)),
		"too many":    second(r.Profile(context.Background(), digest, [2]float64{0, 1}, [2]float64{1, 100}, 1e6)),
	} {
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Kind != trouble.KindData || told.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestFiguresInJSON(t *testing.T) {
	for want, v := range map[string]any{
		"[0,123.5,null,-2000]": measured.Micrometres{-1e-9, 0.12346, math.NaN(), -2},
		"[]":                   measured.Micrometres(nil),
		"-41.2":                measured.Micrometre(-0.04123),
	} {
		text, err := json.Marshal(v)
		if err != nil || string(text) != want {
			t.Errorf("%s, %v, want %s", text, err, want)
		}
	}
}
