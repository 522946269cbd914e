package drawing_test

import (
	"errors"
	"math"
	"os/exec"
	"strings"
	"testing"

	"slatewright/cutting/drawing"
	"slatewright/trouble"
)

// file is a drawing with these entities, each given as code and value by turns.
func file(pairs ...string) string {
	return "0\nSECTION\n2\nENTITIES\n" + strings.Join(pairs, "\n") + "\n0\nENDSEC\n0\nEOF\n"
}

const header = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n"

func read(t *testing.T, text string) *drawing.Drawing {
	t.Helper()
	d, err := drawing.Read("f", text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func at(p drawing.Point, x, y float64) bool { return math.Hypot(p.X-x, p.Y-y) < 1e-6 }

func TestShapes(t *testing.T) {
	d := read(t, header+file("0", "LINE", "8", "CRACK", "10", "1", "20", "2", "11", "3", "21", "4.5",
		"0", "POLYLINE", "8", "OUTLINE", "66", "1", "10", "0", "20", "0", "70", "1",
		"0", "VERTEX", "8", "0", "10", "0", "20", "0", "0", "VERTEX", "10", "9", "20", "0", "0", "VERTEX", "10", "9", "20", "6", "0", "SEQEND",
		"0", "LWPOLYLINE", "8", `ST\U+00C4IN`, "90", "3", "70", "0", "10", "1", "20", "1", "10", "2", "20", "1", "10", "1", "20", "1",
		"0", "POINT", "8", "CRACK", "10", "5", "20", "5",
		"0", "TEXT", "8", "CRACK", "10", "1", "20", "2", "40", "0.15", "1", "J 1",
		"0", "MTEXT", "8", "CRACK", "10", "1", "20", "2", "40", "0.15", "1", `{\fArial|b0;J\H2x;2}\PX`,
		"0", "SPLINE", "8", "CRACK", "10", "1", "20", "2", "0", "HATCH", "8", "STAIN", "0", "SPLINE", "8", "CRACK"))
	if len(d.Shapes) != 4 || !d.Stated || d.Unit != 1000 {
		t.Fatalf("%+v", d)
	}
	line, ring, zone, point := d.Shapes[0], d.Shapes[1], d.Shapes[2], d.Shapes[3]
	if line.Layer != "CRACK" || line.Closed || !at(line.Points[0], 1000, 2000) || !at(line.Points[1], 3000, 4500) {
		t.Errorf("%+v", line)
	}
	if ring.Layer != "OUTLINE" || !ring.Closed || len(ring.Points) != 3 || !at(ring.Points[2], 9000, 6000) {
		t.Errorf("%+v", ring)
	}
	if zone.Layer != "STÄIN" || len(zone.Points) != 3 || len(point.Points) != 1 {
		t.Errorf("%+v, %+v", zone, point)
	}
	if d.Told() != "1 HATCH, 2 SPLINE" {
		t.Errorf("left: %q", d.Told())
	}
	if len(d.Names) != 2 || d.Names[0].Text != "J 1" || d.Names[1].Text != "J2 X" || d.Names[0].High != 150 {
		t.Errorf("%+v", d.Names)
	}
}

// A bulge of 1 is half a circle, to the left of the way; one of tan(22.5°) a quarter.
func TestArcs(t *testing.T) {
	d := read(t, file("0", "LWPOLYLINE", "8", "OUTLINE", "70", "1", "10", "0", "20", "0", "42", "1", "10", "2000", "20", "0", "42", "0.41421356237309503", "10", "1000", "20", "1000",
		"0", "POLYLINE", "8", "A", "0", "VERTEX", "10", "0", "20", "0", "42", "-1", "0", "VERTEX", "10", "2000", "20", "0"))
	if len(d.Shapes) != 2 { // a polyline that nothing ends is not lost
		t.Fatalf("%+v", d)
	}
	var lowest float64
	p := d.Shapes[0].Points
	for i, q := range p {
		if q.Y < 0 && math.Abs(math.Hypot(q.X-1000, q.Y)-1000) > 1e-6 {
			t.Errorf("%d: %v is not on the half circle", i, q)
		}
		if q.X > 1000 && q.Y > 1e-6 && math.Abs(math.Hypot(q.X-1000, q.Y)-1000) > 1e-6 {
			t.Errorf("%d: %v is not on the quarter", i, q)
		}
		lowest = math.Min(lowest, q.Y)
	}
	if math.Abs(lowest+1000) > 2 || len(p) < 60 {
		t.Errorf("%d places, the lowest at %v", len(p), lowest)
	}
	highest := 0.0
	for _, q := range d.Shapes[1].Points {
		highest = math.Max(highest, q.Y)
	}
	if math.Abs(highest-1000) > 2 {
		t.Errorf("an arc to the right rises to %v", highest)
	}
}

func TestWhatIsNotRead(t *testing.T) {
	line := []string{"10", "0", "20", "0", "11", "1", "21", "1"}
	with := func(kind string, more ...string) string {
		return file(append(append([]string{"0", kind, "8", "A"}, line...), more...)...)
	}
	for text, want := range map[string]string{
		with("LINE", "67", "1"):                             "1 PAPERSPACE",
		with("LINE", "210", "1"):                            "1 TILTED LINE",
		with("POLYLINE", "70", "64", "0", "SEQEND"):         "1 MESH",
		with("POLYLINE", "0", "SEQEND"):                     "1 POLYLINE",
		with("INSERT", "2", "B"):                            "1 INSERT",
		with("LINE"):                                        "",
		file("0", "VERTEX", "10", "1", "0", "SEQEND"):       "",
		file("0", "LWPOLYLINE", "8", "A", "10", "1"):        "1 LWPOLYLINE",
		file("0", "CIRCLE", "8", "A", "10", "1", "40", "2"): "1 CIRCLE",
	} {
		if got := read(t, text).Told(); got != want {
			t.Errorf("%q: left %q, want %q", text, got, want)
		}
	}
	if d := read(t, file("0", "LWPOLYLINE", "8", "A", "10", "1", "20", "1", "10", "2", "20", "1", "230", "-1")); !at(d.Shapes[0].Points[1], -2, 1) {
		t.Errorf("seen from below: %+v", d.Shapes)
	}
	if d := read(t, with("LINE", "230", "-1")); !at(d.Shapes[0].Points[1], 1, 1) {
		t.Errorf("a line stands in the frame of the drawing: %+v", d.Shapes)
	}
	if d := read(t, "0\nSECTION\n2\nBLOCKS\n0\nLINE\n10\n1\n0\nENDSEC\n"+file("999", "a remark")); len(d.Shapes) != 0 {
		t.Errorf("a block is no shape: %+v", d.Shapes)
	}
}

func TestRefused(t *testing.T) {
	for _, text := range []string{"AutoCAD Binary DXF\r\n\x1a\x00\x00", "AC1032\x00\x00", "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1", "0\nSECTION\nx\nENTITIES\n", file("0", "LINE", "10", "left"), file("0", "LINE", "10", "1e300"),
		file("0", "LINE", "10", "NaN"), file("0", "LWPOLYLINE", "70", "open"), strings.Replace(header, "\n6\n", "\n3\n", 1) + file("999", "a remark")} {
		if !drawing.Looks(text) {
			t.Errorf("%q does not look like a drawing", text)
		}
		_, err := drawing.Read("f", text)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != "bad-drawing" {
			t.Errorf("%.60q: %v", text, err)
		}
	}
	for _, text := range []string{"", "0", "what,x,y\n", "{}", "AC10", "0\r\nTABLE\r\n"} {
		if drawing.Looks(text) {
			t.Errorf("%q looks like a drawing", text)
		}
	}
}

func TestJoin(t *testing.T) {
	line := func(x ...float64) (s drawing.Shape) {
		for i := 0; i < len(x); i += 2 {
			s.Points = append(s.Points, drawing.Point{X: x[i], Y: x[i+1]})
		}
		return s
	}
	got := drawing.Join([]drawing.Shape{line(0, 0, 900, 0), line(900, 600, 900.5, 0), line(5000, 0, 6000, 0), line(0, 0, 0, 600), line(0, 600, 900, 600)})
	if len(got) != 2 || !got[0].Closed || len(got[0].Points) != 4 || got[1].Closed || len(got[1].Points) != 2 {
		t.Errorf("%+v", got)
	}
	if got = drawing.Join([]drawing.Shape{line(0, 0, 1, 5), {Points: []drawing.Point{{}}}}); len(got) != 2 {
		t.Errorf("%+v", got)
	}
}

// Another writer's files are read: ezdxf makes the same shapes in the oldest release and in a new one.
func TestAnotherWriter(t *testing.T) {
	const script = `
import io, sys, ezdxf
doc = ezdxf.new(sys.argv[1])
doc.header['$INSUNITS'] = 5
m = doc.modelspace()
m.add_polyline2d([(0, 0), (900, 0), (900, 600), (0, 600)], dxfattribs={'layer': 'OUTLINE'}, format='xy').close(True)
m.add_line((100, 0), (120.25, 600), dxfattribs={'layer': 'CRACK_STEEP'})
m.add_text('J 7', dxfattribs={'layer': 'CRACK_STEEP', 'height': 15, 'insert': (100, 0)})
m.add_circle((5, 5), 2, dxfattribs={'layer': 'STAIN'})
m.add_point((7, 8), dxfattribs={'layer': 'Spalte Ü'})
if sys.argv[1] != 'R12':
    m.add_lwpolyline([(300, 300, 1), (400, 300, 0)], format='xyb', close=True, dxfattribs={'layer': 'STAIN'})
    m.add_mtext('J\\P8', dxfattribs={'layer': 'VEIN', 'char_height': 15, 'insert': (1, 2)})
    m.add_spline([(0, 0), (5, 5), (9, 1)], dxfattribs={'layer': 'VEIN'})
else:
    m.add_polyline2d([(300, 300, 1), (400, 300, 0)], format='xyb', dxfattribs={'layer': 'STAIN'}).close(True)
doc.write(sys.stdout)
`
	for _, c := range []struct{ release, left string }{{"R12", "1 CIRCLE"}, {"R2000", "1 CIRCLE, 1 SPLINE"}, {"R2018", "1 CIRCLE, 1 SPLINE"}} {
		cmd := exec.Command("/usr/bin/python3", "-c", script, c.release)
		cmd.Env = append(cmd.Environ(), "PYTHONIOENCODING=utf-8", "HOME="+t.TempDir())
		text, err := cmd.Output()
		if err != nil {
			var exit *exec.ExitError
			if errors.As(err, &exit) {
				t.Fatalf("ezdxf (Debian package python3-ezdxf): %v\n%s", err, exit.Stderr)
			}
			t.Fatal(err)
		}
		d := read(t, string(text))
		if c.release == "R12" && !d.Stated { // that release has no such header variable
			d = read(t, strings.Replace(string(text), "$ACADVER", "$INSUNITS\n 70\n5\n  9\n$ACADVER", 1))
		}
		if d.Unit != 10 || d.Told() != c.left || len(d.Shapes) != 4 {
			t.Errorf("%s: unit %v, left %q, %d shapes", c.release, d.Unit, d.Told(), len(d.Shapes))
			continue
		}
		ring, line, point, zone := d.Shapes[0], d.Shapes[1], d.Shapes[2], d.Shapes[3]
		if ring.Layer != "OUTLINE" || !ring.Closed || len(ring.Points) != 4 || !at(ring.Points[2], 9000, 6000) || !at(line.Points[1], 1202.5, 6000) || !at(point.Points[0], 70, 80) || point.Layer != "Spalte Ü" {
			t.Errorf("%s: %+v", c.release, d.Shapes)
		}
		if !zone.Closed || len(zone.Points) < 60 {
			t.Errorf("%s: half a circle has %d places", c.release, len(zone.Points))
		}
		if d.Names[0].Text != "J 7" || d.Names[0].High != 150 {
			t.Errorf("%s: %+v", c.release, d.Names)
		}
	}
}

// Whatever is given is read or refused, and nothing that is read is out of reach.
func FuzzRead(f *testing.F) {
	f.Add(header + file("0", "LINE", "8", "CRACK", "10", "1", "20", "2", "11", "3", "21", "4"))
	f.Add(file("0", "LWPOLYLINE", "8", "A", "70", "1", "10", "0", "20", "0", "42", "-1", "10", "2", "20", "0", "0", "TEXT", "1", `\U+00DC`, "10", "1"))
	f.Add(file("0", "POLYLINE", "0", "VERTEX", "10", "1", "42", "1e-9", "0", "VERTEX", "10", "2", "0", "SEQEND"))
	f.Add("AutoCAD Binary DXF\r\n\x1a\x00")
	f.Fuzz(func(t *testing.T, text string) {
		drawing.Looks(text)
		d, err := drawing.Read("f", text)
		if err != nil {
			var tr *trouble.Trouble
			if !errors.As(err, &tr) || tr.Code == "" || tr.Kind != trouble.KindData {
				t.Fatal(err)
			}
			return
		}
		for _, s := range d.Shapes {
			if len(s.Points) == 0 {
				t.Fatal("a shape without a place")
			}
			for _, p := range s.Points {
				if !(math.Abs(p.X) < 1e20 && math.Abs(p.Y) < 1e20) {
					t.Fatal(p)
				}
			}
		}
		drawing.Join(d.Shapes)
	})
}
