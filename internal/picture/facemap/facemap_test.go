package facemap_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/facemap"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/trouble"
)

const mark = "invented data, not a real certificate"

// saddle is a face that was read up to 20 mm from its edges.
func saddle() facemap.Map {
	m := facemap.Map{Title: "QH-0101, top", About: "Heights over the middle of the zone.", Mark: mark, MinX: -457, MaxX: 457, MinY: -736.5, MaxY: 736.5,
		EdgeBand: 20, Words: facemap.English(), Warnings: []string{"one corner was not read"}}
	const nx, ny = 40, 60
	m.Mesh = contour.Mesh{NX: nx, NY: ny}
	for i := range nx {
		for j := range ny {
			x, y := -437+874*float64(i)/(nx-1), -716.5+1433*float64(j)/(ny-1)
			z := 0.2 * (math.Pow(x/457, 2) - math.Pow(y/736.5, 2))
			if i > 35 && j > 55 {
				z = math.NaN()
			}
			m.Mesh.X, m.Mesh.Y, m.Mesh.Z = append(m.Mesh.X, x), append(m.Mesh.Y, y), append(m.Mesh.Z, z)
		}
	}
	m.Readings = []contour.Point{{X: 0, Y: 0}, {X: 100, Y: 200}}
	m.Contacts = []facemap.Contact{{X: -437, Y: 0, Upper: true}, {X: 0, Y: -716.5}}
	return m
}

func drawn(t *testing.T, m facemap.Map) string {
	t.Helper()
	var b bytes.Buffer
	if err := m.SVG(&b, 120); err != nil {
		t.Fatal(err)
	}
	for d := xml.NewDecoder(bytes.NewReader(b.Bytes())); ; {
		if _, err := d.Token(); err != nil {
			if err.Error() != "EOF" {
				t.Fatal(err)
			}
			return b.String()
		}
	}
}

func TestAPictureSaysWhatItShows(t *testing.T) {
	svg := drawn(t, saddle())
	for _, want := range []string{mark, "QH-0101, top", "over the middle of the zone", "head", "foot", "left", "right", "touches the upper plane",
		"touches the lower plane", "read here", "not read", "edge band, 20 mm", "below the zone's middle", "A line every 0.05 mm.", "+0.10", "\u22120.10", "+3.9", "one corner was not read"} {
		if !strings.Contains(svg, want) {
			t.Errorf("the picture does not say %q", want)
		}
	}
	for _, never := range []string{"<script", " style=", "<style", "href", " id="} {
		if strings.Contains(svg, never) {
			t.Errorf("the picture has %q", never)
		}
	}
	if svg != drawn(t, saddle()) {
		t.Error("the same map gives another picture")
	}
}

func TestTheHighestPlaceIsNamed(t *testing.T) {
	m := saddle()
	for k := range m.Mesh.Z {
		m.Mesh.Z[k] = -0.2 * (math.Pow(m.Mesh.X[k]/457, 2) + math.Pow((m.Mesh.Y[k]-100)/736.5, 2))
	}
	if svg := drawn(t, m); !strings.Contains(svg, ">high<") || strings.Contains(svg, ">low<") { // low is a corner, without room
		t.Error("the middle is not named as the highest place, or a corner is as the lowest")
	}
}

// Only the bottom has the head at its right.
func TestWhereTheHeadIs(t *testing.T) {
	at := func(svg, word string) float64 {
		i := strings.Index(svg, ">"+word+"<")
		if i < 0 {
			t.Fatalf("no %s", word)
		}
		open := svg[strings.LastIndex(svg[:i], "<text"):i]
		var x struct {
			X float64 `xml:"x,attr"`
		}
		if err := xml.Unmarshal([]byte(open+"></text>"), &x); err != nil {
			t.Fatal(err)
		}
		return x.X
	}
	m := saddle()
	if svg := drawn(t, m); !(at(svg, "head") < at(svg, "foot")) {
		t.Error("the top has its head at the right")
	}
	m.Bottom = true
	if svg := drawn(t, m); !(at(svg, "head") > at(svg, "foot")) {
		t.Error("the bottom has its head at the left")
	}
}

func TestOtherWordsAndCommas(t *testing.T) {
	m := saddle()
	m.Words = facemap.Words{Head: "cabeceira", Foot: "pé", Left: "esquerda", Right: "direita", High: "alto", Low: "baixo", Height: "altura, mm", Upper: "a", Lower: "b",
		Read: "c", NotRead: "d", Band: "e", Below: "f", Thou: "thou", Every: "Uma linha a cada {n} mm.", Comma: true}
	svg := drawn(t, m)
	for _, want := range []string{"cabeceira", "Uma linha a cada 0,05 mm.", "+0,10", "+3,9"} {
		if !strings.Contains(svg, want) {
			t.Errorf("the picture does not say %q", want)
		}
	}
	for _, never := range []string{"head", "high", "+0.10"} {
		if strings.Contains(svg, ">"+never+"<") {
			t.Errorf("the picture says %q", never)
		}
	}
}

// Figures are printed on the lines whose heights they are, none over another, none outside of the edge band.
func TestFiguresStandOnTheirLines(t *testing.T) {
	m := saddle()
	v, scale := m.View(10, 20, 110), m.Scale()
	lines := m.Lines(v, scale, look.Level)
	var labels []contour.Label
	for _, l := range lines {
		for _, b := range l.Labels {
			labels = append(labels, b)
			at := v.Back(b.At)
			if z := 0.2 * (math.Pow(at.X/457, 2) - math.Pow(at.Y/736.5, 2)); math.Abs(z-l.Level) > 0.004 {
				t.Errorf("%s stands where it is %.3f", l.Figure, z)
			}
			if math.Abs(at.X) > 437 || math.Abs(at.Y) > 716.5 {
				t.Errorf("%s stands in the edge band", l.Figure)
			}
		}
	}
	if len(labels) < len(scale.Levels) {
		t.Errorf("%d figures for %d levels", len(labels), len(scale.Levels))
	}
	for i, a := range labels {
		for _, b := range labels[:i] {
			if a.Overlaps(b.Box) {
				t.Error("two figures overlap")
			}
		}
	}
	p := contour.Point{X: 123, Y: -45}
	if q := v.Back(v.At(p)); math.Hypot(q.X-p.X, q.Y-p.Y) > 1e-9 {
		t.Errorf("%v came back as %v", p, q)
	}
	if a, b := v.At(contour.Point{X: -457, Y: 736.5}), (ink.Point{X: 10, Y: 20}); a != b {
		t.Errorf("the corner is at %v", a)
	}
}

func TestThicknessHasNoSigns(t *testing.T) {
	m := saddle()
	m.Unsigned, m.Contacts, m.Bottom = true, nil, false
	for k := range m.Mesh.Z {
		m.Mesh.Z[k] += 26
	}
	m.Middle = 26
	svg := drawn(t, m)
	if !strings.Contains(svg, ">26.05<") || strings.Contains(svg, "+26") || strings.Contains(svg, "below the zone") || strings.Contains(svg, "touches") {
		t.Error("thickness is drawn as heights are")
	}
	s := m.Scale()
	if a, b := s.Share(0), s.Share(len(s.Levels)); !(a < -0.8 && b > 0.8) {
		t.Errorf("shares from %v to %v", a, b)
	}
}

func TestAFlatFaceAndAnEmptyMap(t *testing.T) {
	m := saddle()
	for k := range m.Mesh.Z {
		m.Mesh.Z[k] = 0
	}
	if svg := drawn(t, m); strings.Contains(svg, "A line every") || strings.Contains(svg, ">high<") {
		t.Error("a flat face has lines")
	}
	for name, change := range map[string]func(m *facemap.Map){
		"no mesh": func(m *facemap.Map) { m.Mesh = contour.Mesh{} },
		"no size": func(m *facemap.Map) { m.MaxX = m.MinX },
	} {
		m := saddle()
		change(&m)
		var told *trouble.Trouble
		if err := m.SVG(&bytes.Buffer{}, 120); !errors.As(err, &told) || told.Kind != trouble.KindOwn {
			t.Errorf("%s: %v", name, err)
		}
	}
}
