package bedmap

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/trouble"
)

func svgText(t *testing.T, m Map) (whole, text string) {
	t.Helper()
	var b bytes.Buffer
	if err := m.SVG(&b); err != nil {
		t.Fatal(err)
	}
	text, err := wellFormed(b.String())
	if err != nil {
		t.Fatal(err)
	}
	return b.String(), text
}

// wellFormed reads XML to its end and returns its text, one line for each piece of it.
func wellFormed(data string) (string, error) {
	var text strings.Builder
	for d := xml.NewDecoder(strings.NewReader(data)); ; {
		tok, err := d.Token()
		if err == io.EOF {
			return text.String(), nil
		}
		if err != nil {
			return "", err
		}
		if c, ok := tok.(xml.CharData); ok {
			text.Write(c)
			text.WriteByte('\n')
		}
	}
}

func TestMapIsWellFormedAndSaysItAll(t *testing.T) {
	m := specimenMap()
	m.Pieces[0].Serial = `<P&"012">`
	m.Warnings = []string{"steps at joint 2 were not measured at the edge"}
	m.Joints[1].NotMeasured = true
	whole, text := svgText(t, m)
	want := []string{banner, m.Title, `<P&"012">`, "QH-P003, turned", "head", "centre", "foot", "left", "right", "x", "y", "height, mm", "thou", "not measured at the edge",
		"edge band, 20 mm", "limit 0.127 mm (5.0 thou)", "centre proud", "foot proud", "head proud", "high", "low", contour.MethodColumns, look.InMM(m.Zone) + " mm", m.Warnings[0]}
	if l := lacks(text, want...); len(l) > 0 {
		t.Errorf("lacks %q", l)
	}
	if n := strings.Count(text, banner); n != 2 { // in the picture and in what is read aloud
		t.Errorf("the banner stands %d times", n)
	}
	again, _ := svgText(t, m)
	if whole != again {
		t.Error("the same map gave other bytes")
	}
	if _, err := wellFormed(strings.Replace(whole, "</svg>", "", 1)); err == nil {
		t.Error("a picture without its end was not noticed")
	}
}

// A sheet that writes down what is drawn on it.
type recorder struct {
	ink.SVG
	fills, strokes []drawnLine
	pens           []ink.Pen // of the strokes
	words          []string
}

type drawnLine struct {
	lines  []contour.Line
	colour ink.Colour
}

func (r *recorder) Fill(lines []contour.Line, c ink.Colour) {
	r.fills = append(r.fills, drawnLine{lines, c})
}
func (r *recorder) Stroke(l contour.Line, p ink.Pen) { r.Strokes([]contour.Line{l}, p) }
func (r *recorder) Strokes(lines []contour.Line, p ink.Pen) {
	r.strokes, r.pens = append(r.strokes, drawnLine{lines, p.Colour}), append(r.pens, p)
}
func (r *recorder) Text(_ ink.Point, words string, _ ink.Type) { r.words = append(r.words, words) }

// Nothing but hatching and its ground is drawn where nothing was read.
func TestNothingIsTintedOutsideTheReadArea(t *testing.T) {
	m := specimenMap()
	r, err := m.Relief()
	if err != nil {
		t.Fatal(err)
	}
	v := view{scale: 0.1, halfX: m.SizeX / 2, halfY: m.SizeY / 2}
	tinted := 0
	for i, p := range m.Pieces {
		var rec recorder
		drawTints(&rec, v, p, r.meshes[i], r)
		read := box(p)
		for _, f := range rec.fills {
			if f.colour == look.Unread {
				continue
			}
			for _, l := range f.lines {
				for _, q := range l.P {
					x, y := q.X/0.1-v.halfX, v.halfY-q.Y/0.1
					if x < read[0]-0.01 || x > read[1]+0.01 || y < read[2]-0.01 || y > read[3]+0.01 {
						t.Fatalf("%s: a tint at %g, %g, where nothing was read", p.Place, x, y)
					}
					tinted++
				}
			}
		}
	}
	if tinted < 1000 {
		t.Errorf("only %d points of tint", tinted)
	}
}

func box(p Piece) [4]float64 {
	b := [4]float64{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	for k := range p.X {
		b[0], b[1] = math.Min(b[0], p.X[k]), math.Max(b[1], p.X[k])
		b[2], b[3] = math.Min(b[2], p.Y[k]), math.Max(b[3], p.Y[k])
	}
	return b
}

// Seen from above with z towards the reader, x runs right and y up, and right is the right hand of one who stands at the
// foot and looks to the head: forward (−x) times up (z) is +y.
func TestTheBedIsNotMirrored(t *testing.T) {
	v := view{scale: 0.1, halfX: 100, halfY: 50}
	o, x, y := v.xy(0, 0), v.xy(10, 0), v.xy(0, 10)
	if x.X <= o.X || x.Y != o.Y || y.Y >= o.Y || y.X != o.X {
		t.Errorf("x goes from %v to %v, y to %v", o, x, y)
	}
}

// The edge band runs along every edge of every piece: at a joint it stands on both sides.
func TestEdgeBandIsDrawnPerPiece(t *testing.T) {
	m := specimenMap()
	var rec recorder
	drawFrame(&rec, view{scale: 1, halfX: m.SizeX / 2, halfY: m.SizeY / 2}, m)
	var bands [][2]float64 // left and right edge, bed frame
	for i, s := range rec.strokes {
		if rec.pens[i].Dash != nil {
			bands = append(bands, [2]float64{s.lines[0].P[0].X - m.SizeX/2, s.lines[0].P[2].X - m.SizeX/2})
		}
	}
	if len(bands) != len(m.Pieces) {
		t.Fatalf("%d bands for %d pieces", len(bands), len(m.Pieces))
	}
	for i, p := range m.Pieces {
		if math.Abs(bands[i][0]-p.MinX-m.EdgeBand) > 1e-9 || math.Abs(bands[i][1]-p.MaxX+m.EdgeBand) > 1e-9 {
			t.Errorf("%s reaches from %g to %g mm, its band is drawn from %g to %g", p.Place, p.MinX, p.MaxX, bands[i][0], bands[i][1])
		}
	}
}

func TestWedgesPointOverTheProudSide(t *testing.T) {
	m := Map{SizeX: 3, SizeY: 3, StepLimit: 0.1}
	v := view{scale: 10, halfX: 1.5, halfY: 1.5}
	for _, c := range []struct{ step, tip float64 }{{0.1, wedgeLong}, {-0.05, -wedgeLong / 2}} {
		w := wedges(v, m, Joint{Steps: []Step{{0, c.step}}})
		if len(w) != 1 || math.Abs(w[0].P[2].X-w[0].P[0].X-c.tip) > 1e-12 {
			t.Errorf("step %g: %v", c.step, w)
		}
	}
	if w := wedges(v, m, Joint{Steps: []Step{{0, 0}}}); len(w) != 0 {
		t.Error("no step, and a wedge")
	}
}

func TestJointSummary(t *testing.T) {
	j := Joint{Steps: []Step{{-100, 0.02}, {50, -0.0508}}}
	if got := jointSummary(Map{}, j, "head", "centre"); got != "largest step 0.051 mm (2.0 thou), head proud, at y = +50 mm" {
		t.Error(got)
	}
	j.Steps[0].Height = 0.0762
	if got := jointSummary(Map{}, j, "head", "centre"); got != "largest step 0.076 mm (3.0 thou), centre proud, at y = −100 mm" {
		t.Error(got)
	}
}

func TestBarsStandUpWhereTheFootSideIsProud(t *testing.T) {
	m := Map{SizeY: 100, StepLimit: 0.1}
	var rec recorder
	at := func(y float64) float64 { return y }
	drawSteps(&rec, m, Joint{Steps: []Step{{-20, 0.05}, {20, -0.1}}}, 0, 100, 50, at)
	middle := 100 + jointPlot/2
	for i, want := range []float64{middle - 0.94*jointPlot/4, middle + 0.94*jointPlot/2} {
		tip := rec.fills[i].lines[0].P[0].Y
		if want > middle {
			tip = rec.fills[i].lines[0].P[2].Y
		}
		if math.Abs(tip-want) > 1e-9 {
			t.Errorf("bar %d ends at %g, want %g", i, tip, want)
		}
	}
}

func TestContactsPointToTheirPlane(t *testing.T) {
	for _, upper := range []bool{true, false} {
		var rec recorder
		m := Map{Contacts: []Contact{{X: 0, Y: 0, Upper: upper}}}
		drawMarks(&rec, view{}, m)
		tri := rec.fills[0]
		tip, base := tri.lines[0].P[2], tri.lines[0].P[0]
		if (tip.Y < base.Y) != upper || (tri.colour == look.Stone) != upper {
			t.Errorf("upper %v: %v", upper, tri)
		}
	}
}

// Each line is drawn but for the stretches where its heights stand.
func TestHeightsAreSetIntoTheirLines(t *testing.T) {
	m := specimenMap()
	r, err := m.Relief()
	if err != nil {
		t.Fatal(err)
	}
	v := view{scale: 0.06, halfX: m.SizeX / 2, halfY: m.SizeY / 2}
	var want, got float64
	for _, l := range isolines(v, r) {
		want += l.line.Length()
	}
	var rec recorder
	drawLines(&rec, v, m, r)
	for _, s := range rec.strokes {
		for _, l := range s.lines {
			got += l.Length()
		}
	}
	heights := 0
	for _, w := range rec.words {
		if w != "high" && w != "low" {
			heights++
			want -= rec.Width(w, look.Level) + rec.Width("0", look.Level) + 2*0.8 // the words, a digit of room, and the room at both ends
		}
	}
	if heights < 20 || math.Abs(got-want) > 1e-6*want {
		t.Errorf("%d heights; %.3f mm of line are drawn, want %.3f", heights, got, want)
	}
}

func TestScaleHasBothUnits(t *testing.T) {
	var rec recorder
	r := Relief{low: -0.05, high: 0.09, step: 0.02, Levels: []float64{-0.04, -0.02, 0, 0.02, 0.04, 0.06, 0.08}}
	drawHeights(&rec, Map{}, r, 0, 0, 120)
	got := strings.Join(rec.words, " ")
	want := "height, mm thou −0.04 −1.6 −0.02 −0.8 0.00 0.0 +0.02 +0.8 +0.04 +1.6 +0.06 +2.4 +0.08 +3.1"
	if got != want {
		t.Errorf("%s, want %s", got, want)
	}
	rec = recorder{}
	if drawHeights(&rec, Map{}, r, 0, 0, 60); len(rec.words) >= 16 || !strings.Contains(strings.Join(rec.words, " "), " 0.00 0.0 ") {
		t.Errorf("a narrow scale: %q", rec.words)
	}
}

func TestTintsGrowWithHeight(t *testing.T) {
	r := Relief{low: -0.2, high: 0.1}
	if r.tint(0) != look.MidTint || r.tint(-0.2) != look.LowTint || r.tint(0.2) != look.HighTint {
		t.Errorf("%v %v %v", r.tint(0), r.tint(-0.2), r.tint(0.2))
	}
	if (Relief{}).tint(0) != look.MidTint {
		t.Error("a flat bed has a tint")
	}
}

func TestSignDashAndWeightTellHighFromLowWithoutColour(t *testing.T) {
	low, mid, high := look.LevelPen(-0.02), look.LevelPen(0), look.LevelPen(0.02)
	if low.Dash == nil || mid.Dash != nil || high.Dash != nil || mid.Width <= high.Width {
		t.Errorf("%v %v %v", low, mid, high)
	}
}

func TestAFlatBedCanBeDrawn(t *testing.T) {
	m := specimenMap()
	for i := range m.Pieces {
		for k := range m.Pieces[i].Z {
			m.Pieces[i].Z[k] = 0
		}
	}
	m.Zone, m.StepLimit, m.Contacts = 0, 0, nil
	for i := range m.Joints {
		for k := range m.Joints[i].Steps {
			m.Joints[i].Steps[k].Height = 0
		}
	}
	m.Joints[1].Steps = nil
	_, text := svgText(t, m)
	if l := lacks(text, "steps not computed", "largest step 0.000 mm"); len(l) > 0 || strings.Contains(text, "NaN") {
		t.Errorf("lacks %q", l)
	}
}

func TestMapsThatCannotBeDrawn(t *testing.T) {
	for code, spoil := range map[string]func(*Map){
		"bad-map 1":        func(m *Map) { m.SizeX = 0 },
		"bad-map 2":        func(m *Map) { m.Pieces[1].MaxX = m.Pieces[1].MinX },
		"bad-map 3":        func(m *Map) { m.Joints[0].Steps[2].Height = math.NaN() },
		"bad-map 4":        func(m *Map) { m.Joints[0].Predicted = []float64{1} },
		"too-few-points 5": func(m *Map) { m.Pieces[2].X, m.Pieces[2].Y, m.Pieces[2].Z = nil, nil, nil },
	} {
		m := specimenMap()
		spoil(&m)
		err := m.SVG(io.Discard)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || !strings.HasPrefix(code, tr.Code+" ") {
			t.Errorf("%s: %v", code, err)
		}
	}
}
