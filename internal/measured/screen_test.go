package measured_test

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/face"
	"slatewright/internal/measured"
)

// scan is a face of n by m readings of a scanner on no lines, with a crown, roughness of 5 µm, and one high and one low speck.
func scan(t testing.TB, n, m int) *face.Face {
	t.Helper()
	f := &face.Face{Header: face.Header{Piece: "QH-0101", SizeX: 914, SizeY: 1473, Side: face.Top, Support: face.Support{Kind: face.SupportBench, Text: "bench"},
		Other: []face.KeyValue{{Value: "invented data, not a real certificate"}}}}
	noise := chance.NewStream(7)
	for i := range n {
		for j := range m {
			x, y := -455+910*(float64(i)+0.8*noise.Float64())/float64(n), -734+1468*(float64(j)+0.8*noise.Float64())/float64(m)
			f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, 0.3*(1-math.Pow(2*y/1473, 2))+0.005*noise.Normal())
		}
	}
	f.Z[n/3*m+m/3], f.Z[2*n/3*m+2*m/3] = 0.9, -0.7
	return f
}

func putPLY(t testing.TB, store *files, f *face.Face) string {
	t.Helper()
	var b bytes.Buffer
	if err := f.WritePLY(&b, face.BinaryLittleEndian); err != nil {
		t.Fatal(err)
	}
	digest, _, err := store.Put(context.Background(), &b, 1<<30)
	if err != nil {
		t.Fatal(err)
	}
	return digest
}

// A million readings become what a screen can show, and the two specks stay.
func TestMapOfAMillionReadings(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	digest := putPLY(t, store, scan(t, 1000, 1000))
	m, err := r.Map(context.Background(), digest, 900)
	if err != nil {
		t.Fatal(err)
	}
	if m.Points != 1_000_000 || len(m.Readings) != 2 || m.Width != 800 || !m.Invented || m.State != "laid" || len(m.Grids) != 1 {
		t.Errorf("%d readings, %d listed, %d wide, %v, %s", m.Points, len(m.Readings), m.Width, m.Invented, m.State)
	}
	g := m.Grids[0]
	cells := g.NX * g.NY
	if cells > 40_000 || cells < 20_000 || len(g.Z) != cells || len(g.Least) != cells || len(g.Most) != cells {
		t.Errorf("%d x %d cells, %d, %d, %d", g.NX, g.NY, len(g.Z), len(g.Least), len(g.Most))
	}
	low, high, read := math.Inf(1), math.Inf(-1), 0
	for k := range g.Z {
		if math.IsNaN(g.Z[k]) {
			continue
		}
		read++
		if g.Least[k] > g.Z[k] || g.Most[k] < g.Z[k] {
			t.Fatalf("cell %d: %v, %v, %v", k, g.Least[k], g.Z[k], g.Most[k])
		}
		low, high = min(low, g.Least[k]), max(high, g.Most[k])
	}
	// The specks carry the zone, whose middle is height 0.
	near(t, "most", high, m.ZoneMM/2, 1e-6)
	near(t, "least", low, -m.ZoneMM/2, 1e-6)
	near(t, "highest reading", float64(m.High), high, 1e-12)
	near(t, "lowest reading", float64(m.Readings[0].Z), low, 1e-12)
	if read < cells*9/10 {
		t.Errorf("%d of %d cells were read", read, cells)
	}
	if text := marshalled(t, m); len(text) > 1<<20 {
		t.Errorf("%d bytes go to the screen", len(text))
	}
	before := store.opened.Load()
	if _, err := r.Map(context.Background(), digest, 800); err != nil || store.opened.Load() != before {
		t.Errorf("the same map was made again: %v", err)
	}
}

// On a grid every reading is listed; the cells lie where they say, and have the heights of the shape.
func TestMapOfAGrid(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	const a = 0.4
	shape := func(x, y float64) float64 { return a*(1-math.Pow(2*y/1473, 2)) + 1e-4*x }
	f := piece("QH-0101", shape)
	m, err := r.Map(context.Background(), store.put(t, f), 700)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Readings) != f.Len() || m.Width != 640 || len(m.Outline) != 4 || m.Outline[0] != [2]float64{-457, -736.5} || m.Outline[2] != [2]float64{457, 736.5} {
		t.Errorf("%d listed, width %d, outline %v", len(m.Readings), m.Width, m.Outline)
	}
	top := a / 2 * math.Pow(2*721.5/1473, 2) // the middle of the zone is height 0, and the zone leans with the face
	height := func(y float64) float64 { return top - a*math.Pow(2*y/1473, 2) }
	near(t, "highest", float64(m.High), top, 1e-6)
	g, read := m.Grids[0], 0
	if g.Least != nil || g.Most != nil || g.NX*g.NY != len(g.Z) {
		t.Errorf("%d x %d, %d, %d, %d", g.NX, g.NY, len(g.Z), len(g.Least), len(g.Most))
	}
	for k, z := range g.Z {
		x, y := g.X0+float64(k%g.NX)*g.DX, g.Y0+float64(k/g.NX)*g.DY
		if inside := math.Abs(y) < 721.4 && math.Abs(x) < 441.9; inside == math.IsNaN(z) {
			t.Fatalf("(%g, %g): %v", x, y, z)
		}
		if !math.IsNaN(z) {
			read++
			near(t, "cell", z, height(y), 1e-3) // curves between readings 80 mm apart run flat at the crest
		}
	}
	if read == 0 {
		t.Error("nothing was read")
	}
	for _, c := range m.Contacts {
		if (c.Side == measured.Above) != (c.Z > 0) {
			t.Errorf("%+v", c)
		}
	}
}

// What the scripts of the pages read, as docs/pages-scripts.md has it.
func TestMapInJSON(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	f := piece("QH-0101", func(x, y float64) float64 { return 1e-4 * x * y / 100 })
	f.Side, f.SizeX, f.SizeY = face.Bottom, 0, 0
	m, err := r.Map(context.Background(), store.put(t, f), 100)
	if err != nil {
		t.Fatal(err)
	}
	got := object(t, marshalled(t, m))
	for _, key := range []string{"title", "frame", "state", "datum", "invented", "low_um", "high_um", "grids", "outline_mm", "contacts", "readings", "edges", "warnings"} {
		if got[key] == nil {
			t.Errorf("no %s", key)
		}
	}
	grid := got["grids"].([]any)[0].(map[string]any)
	for _, key := range []string{"x0_mm", "y0_mm", "dx_mm", "dy_mm", "nx", "ny", "z_um"} {
		if grid[key] == nil {
			t.Errorf("no %s", key)
		}
	}
	if edges := got["edges"].(map[string]any); edges["x-"] != "foot" || edges["y+"] != "right" {
		t.Errorf("a bottom has its head at %v", edges)
	}
	if got["title"] != "QH-0101, bottom" || got["frame"] != "piece" || got["width_px"] != 240.0 {
		t.Errorf("%v, %v, %v", got["title"], got["frame"], got["width_px"])
	}
	if !strings.Contains(string(marshalled(t, got["warnings"])), "size of the piece is not known") {
		t.Errorf("%v", got["warnings"])
	}
}

// A bed has a grid for each piece, where it lies, and its heights are those of the seated readings.
func TestMapOfABed(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	triple, _ := set(t, store, t.TempDir(), 0)
	m, err := r.BedMap(context.Background(), triple, 900)
	if err != nil {
		t.Fatal(err)
	}
	bed, err := r.Bed(context.Background(), triple)
	if err != nil {
		t.Fatal(err)
	}
	if m.Frame != "bed" || !m.Invented || len(m.Grids) != 3 || len(m.Readings) != 3*72 || len(m.Contacts) < 4 {
		t.Fatalf("%s, %d grids, %d readings", m.Frame, len(m.Grids), len(m.Readings))
	}
	near(t, "zone", m.ZoneMM, bed.Body.Found.Seating.Zone.Float64(), 0)
	last := math.Inf(-1)
	for k, g := range m.Grids {
		p := bed.Picture.Pieces[k]
		if g.Name != p.Place || g.X0 < p.MinX || g.X0+float64(g.NX-1)*g.DX > p.MaxX || g.X0 < last {
			t.Errorf("%s: from %v, the piece from %v to %v", g.Name, g.X0, p.MinX, p.MaxX)
		}
		last = g.X0 + float64(g.NX-1)*g.DX
		var squares, n float64
		for i := range p.Z { // the nearest node is as high as the reading, but for what the face does on the way
			x, y := (p.X[i]-g.X0)/g.DX, (p.Y[i]-g.Y0)/g.DY
			a, b := int(math.Round(x)), int(math.Round(y))
			if a < 0 || b < 0 || a >= g.NX || b >= g.NY || math.IsNaN(g.Z[b*g.NX+a]) {
				continue
			}
			n++
			squares += math.Pow(g.Z[b*g.NX+a]-p.Z[i], 2)
		}
		if rms := math.Sqrt(squares / n); n < 50 || rms > 0.01 {
			t.Errorf("%s: %g readings are beside the grid by %v", g.Name, n, rms)
		}
	}
	if a := r.AskBedMap(triple, 900); a.State != measured.Ready {
		t.Errorf("%+v", a.State)
	}
}

func TestDraw(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	for _, f := range demoFaces()[:3] {
		svg, err := r.Draw(context.Background(), store.put(t, f), measured.Picture{EdgeBand: 20})
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"<svg", f.Piece + ", top", "invented data", "head", "foot", "edge band", "touches the upper plane", "read here"} {
			if !strings.Contains(string(svg), want) {
				t.Errorf("%s: the picture does not say %q", f.Piece, want)
			}
		}
		if strings.Contains(string(svg), " style=") || strings.Contains(string(svg), "<script") {
			t.Error("the picture has what pages forbid")
		}
	}
}

func BenchmarkMapOfAMillionReadings(b *testing.B) {
	store := newFiles()
	digest := putPLY(b, store, scan(b, 1000, 1000))
	for b.Loop() {
		r := measured.New(store, measured.Options{})
		if _, err := r.Map(context.Background(), digest, 900); err != nil {
			b.Fatal(err)
		}
		r.Close()
	}
}
