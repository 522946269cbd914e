package measured_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/internal/cli"
	"slatewright/internal/measured"
)

// said runs the command line and returns its answer as an object.
func said(t *testing.T, args ...string) map[string]any {
	t.Helper()
	var out, errs bytes.Buffer
	if status := cli.Run(append(args, "--json"), strings.NewReader(""), &out, &errs); status > 2 {
		t.Fatalf("%q: status %d: %s", args, status, errs.String())
	}
	return object(t, out.Bytes())
}

func object(t *testing.T, text []byte) map[string]any {
	t.Helper()
	var m map[string]any
	if err := json.Unmarshal(text, &m); err != nil {
		t.Fatalf("%v in %.200s", err, text)
	}
	return m
}

func marshalled(t *testing.T, v any) []byte {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// stored writes a face to the folder too, as PIECE.csv.
func stored(t *testing.T, folder string, f *face.Face) string {
	t.Helper()
	var b bytes.Buffer
	if err := f.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, f.Piece+".csv")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// The numbers are those of slatewright flatness, key by key, for every piece of the demo.
func TestFlatIsWhatTheCommandLineSays(t *testing.T) {
	store, folder, keys := newFiles(), t.TempDir(), 0
	r := room(t, store, measured.Options{})
	for _, f := range demoFaces() {
		flat, err := r.Flat(context.Background(), store.put(t, f))
		if err != nil {
			t.Fatal(err)
		}
		path := stored(t, folder, f)
		want, got := said(t, "flatness", path), object(t, marshalled(t, flat))
		for key, w := range want {
			switch key {
			case "file", "max_zone_mm", "verdict":
				continue
			case "warnings":
				w = strings.ReplaceAll(string(marshalled(t, w)), path, f.Piece)
				if g := string(marshalled(t, got[key])); g != w {
					t.Errorf("%s: warnings %s, want %s", f.Piece, g, w)
				}
				continue
			}
			keys++
			if g := string(marshalled(t, got[key])); g != string(marshalled(t, w)) {
				t.Errorf("%s, %s: %s, want %v", f.Piece, key, g, w)
			}
		}
	}
	if keys < 15*20 {
		t.Errorf("only %d figures were compared", keys)
	}
}

// piece is a face of 914 x 1473 mm that was read on a bench at 13 x 19 places, up to 15 mm from its edges, with heights by z.
func piece(mark string, z func(x, y float64) float64) *face.Face {
	f := &face.Face{Header: face.Header{Piece: mark, SizeX: 914, SizeY: 1473, Side: face.Top, Support: face.Support{Kind: face.SupportBench, Text: "bench"}}}
	for i := range 13 {
		for j := range 19 {
			x, y := -442+884*float64(i)/12, -721.5+1443*float64(j)/18
			f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, z(x, y))
		}
	}
	return f
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// A cylinder of bow A across: the zone is what of A the readings span, and the shape is known.
func TestFlatOfAShapeThatIsKnown(t *testing.T) {
	const a = 0.4
	f := piece("QH-0101", func(x, y float64) float64 { return a*(1-(2*y/1473)*(2*y/1473)) + 0.1 + 2e-4*x })
	flat, err := measured.FlatOf(f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "zone", flat.ZoneMM, a*math.Pow(2*721.5/1473, 2), 1e-7)
	near(t, "bow across", *flat.BowAcrossMM, a, 1e-9)
	near(t, "bow along", *flat.BowAlongMM, 0, 1e-9)
	near(t, "twist", *flat.TwistMM, 0, 1e-9)
	if !(flat.ZoneLowMM <= flat.ZoneMM && flat.ZoneMM <= flat.ZoneHighMM && flat.ZoneHighMM-flat.ZoneLowMM < 1e-6) {
		t.Errorf("%v to %v", flat.ZoneLowMM, flat.ZoneHighMM)
	}
	places := flat.Places()
	if len(places) < 4 || !places[0].Upper || places[len(places)-1].Upper || flat.State != "laid" {
		t.Errorf("%+v, %s", places, flat.State)
	}
	corner := *f
	corner.Origin, corner.X, corner.Y = face.Corner, moved(f.X, 457), moved(f.Y, 736.5)
	there, err := measured.FlatOf(&corner)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range there.Places() {
		near(t, "place", math.Abs(p.X)+math.Abs(p.Y), math.Abs(places[i].X)+math.Abs(places[i].Y), 1e-9)
	}
}

func moved(v []float64, by float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = x + by
	}
	return out
}

func TestFlatSaysWhatItDoesNotKnow(t *testing.T) {
	f := piece("QH-0101", func(x, y float64) float64 { return 0.1 * x / 457 * y / 736 })
	f.SizeX, f.SizeY, f.Support = 0, 0, face.Support{}
	f.Row = make([]face.Row, f.Len())
	f.Row[0] = face.JointMinus
	flat, err := measured.FlatOf(f)
	if err != nil {
		t.Fatal(err)
	}
	if flat.TwistMM != nil || flat.State != "as read" || flat.JointPoints != 1 || len(flat.Warnings) != 2 {
		t.Errorf("%+v", flat)
	}
}
