package measured_test

import (
	"bytes"
	"context"
	"encoding/json"
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
	f := scan(t, 1000, 1000)
	digest := putPLY(t, store, f)
	m, err := r.Map(context.Background(), digest, 900)
	if err != nil {
		t.Fatal(err)
	}
	if m.Points != 1_000_000 || len(m.Readings) != 0 || m.Width != 800 || m.Mark == "" || m.State != "laid" {
		t.Errorf("%d readings, %d listed, %d wide, %q, %s", m.Points, len(m.Readings), m.Width, m.Mark, m.State)
	}
	cells := m.Columns * m.Rows
	if cells > 40_000 || cells < 20_000 || len(m.Mid) != cells || len(m.Low) != cells || len(m.High) != cells {
		t.Errorf("%d x %d cells, %d, %d, %d", m.Columns, m.Rows, len(m.Mid), len(m.Low), len(m.High))
	}
	low, high, read := math.Inf(1), math.Inf(-1), 0
	for k := range m.Mid {
		if math.IsNaN(m.Mid[k]) {
			continue
		}
		read++
		if m.Low[k] > m.Mid[k] || m.High[k] < m.Mid[k] {
			t.Fatalf("cell %d: %v, %v, %v", k, m.Low[k], m.Mid[k], m.High[k])
		}
		low, high = min(low, m.Low[k]), max(high, m.High[k])
	}
	// The specks carry the zone, whose middle is height 0.
	near(t, "highest", high, m.ZoneMM/2, 1e-6)
	near(t, "lowest", low, -m.ZoneMM/2, 1e-6)
	near(t, "highest reading", m.Highest.Z, high, 1e-12)
	near(t, "lowest reading", m.Lowest.Z, low, 1e-12)
	if read < cells*9/10 {
		t.Errorf("%d of %d cells were read", read, cells)
	}
	text := marshalled(t, m)
	if len(text) > 1<<20 {
		t.Errorf("%d bytes go to the screen", len(text))
	}
	labels := 0
	for _, l := range m.Lines {
		labels += len(l.Labels)
	}
	if len(m.Levels) < 4 || len(m.Lines) == 0 || labels == 0 || len(m.Bands) != len(m.Levels)+1 {
		t.Errorf("%d levels, %d lines, %d labels, %d bands", len(m.Levels), len(m.Lines), labels, len(m.Bands))
	}
	before := store.opened.Load()
	if _, err := r.Map(context.Background(), digest, 800); err != nil || store.opened.Load() != before {
		t.Errorf("the same map was made again: %v", err)
	}
}

// On a grid every reading is listed, and a contour line runs where the heights are the line's.
func TestMapOfAGrid(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	const a = 0.4
	f := piece("QH-0101", func(x, y float64) float64 { return a * (1 - math.Pow(2*y/1473, 2)) })
	m, err := r.Map(context.Background(), store.put(t, f), 700)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Readings) != f.Len() || m.Low != nil || m.High != nil || m.Width != 640 || m.EdgesRead || m.Edges != [4]float64{-457, 457, -736.5, 736.5} {
		t.Errorf("%d listed, low %d, high %d, width %d, edges %v", len(m.Readings), len(m.Low), len(m.High), m.Width, m.Edges)
	}
	top := a / 2 * math.Pow(2*721.5/1473, 2) // the middle of the zone is height 0
	height := func(y float64) float64 { return top - a*math.Pow(2*y/1473, 2) }
	near(t, "highest", m.Highest.Z, top, 1e-6)
	places := 0
	for _, l := range m.Lines {
		for _, part := range l.Parts {
			for k := 0; k < len(part); k += 2 {
				places++
				if got := height(part[k+1]); math.Abs(got-l.LevelMM) > 0.002 { // half a pixel of a slope of 1 in 1000, and the mesh
					t.Fatalf("a line of %v runs where it is %v", l.LevelMM, got)
				}
			}
		}
		for _, b := range l.Labels {
			if got := height(b.Y); math.Abs(got-l.LevelMM) > 0.002 {
				t.Errorf("the figure %s stands where it is %v", l.Figure, got)
			}
		}
	}
	if places < 20 {
		t.Errorf("only %d places on lines", places)
	}
	for k, z := range m.Mid {
		j := k % m.Rows
		y := -736.5 + (float64(j)+0.5)*1473/float64(m.Rows)
		if read := math.Abs(y) < 721 && math.Abs(-457+(float64(k/m.Rows)+0.5)*914/float64(m.Columns)) < 441; read && math.IsNaN(z) {
			t.Fatalf("cell %d was not read", k)
		}
		if !math.IsNaN(z) {
			near(t, "cell", z, height(y), 1e-3)
		}
	}
	for i := 1; i < len(m.Bands); i++ {
		if m.Bands[i].Share <= m.Bands[i-1].Share {
			t.Error("the bands do not rise")
		}
	}
}

// What the script reads.
func TestMapInJSON(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	f := piece("QH-0101", func(x, y float64) float64 { return 1e-4 * x * y / 100 })
	f.Origin, f.X, f.Y, f.SizeX, f.SizeY = face.Middle, f.X[19:], f.Y[19:], 0, 0
	f.Z = f.Z[19:]
	m, err := r.Map(context.Background(), store.put(t, f), 100)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Edges     [4]float64 `json:"edges_mm"`
		EdgesRead bool       `json:"edges_are_readings"`
		Width     int        `json:"width_px"`
		Low       []float64  `json:"low_um"`
		Lines     []struct {
			Parts [][]float64 `json:"parts"`
		} `json:"lines"`
		Warnings []string `json:"warnings"`
	}
	if err := json.Unmarshal(marshalled(t, m), &got); err != nil {
		t.Fatal(err)
	}
	if !got.EdgesRead || got.Width != 240 || len(got.Lines) == 0 || len(got.Lines[0].Parts) == 0 || math.Abs(got.Edges[2]+721.5) > 1e-9 {
		t.Errorf("%+v", got)
	}
	if !strings.Contains(strings.Join(got.Warnings, "\n"), "size of the piece is not known") {
		t.Errorf("%q", got.Warnings)
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
