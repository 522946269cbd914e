package replay

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/bed/program"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
)

func TestEveryDrawnPieceIsMade(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := shipped(t)
		m.Break.Way = rapid.SampledFrom([]machine.Way{machine.OnBoard, machine.BothFaces}).Draw(t, "way")
		m.Control.Canned = rapid.Bool().Draw(t, "canned")
		if rapid.Bool().Draw(t, "from the board's corner") {
			m.ZeroXY, m.ZeroZ, m.WorkX, m.WorkY = machine.Lower, machine.Board, 600, 400
		}
		j, area := drawnPiece(t)
		all, err := setup.Of(j, &m)
		if err != nil {
			t.Fatal(err)
		}
		through := 0.0
		for _, s := range all {
			w, err := program.Write(s, &m)
			if err != nil {
				t.Fatal(err)
			}
			p, err := gcode.Parse("piece.nc", w.Text, m.Control)
			if err != nil {
				t.Fatal(err)
			}
			c, err := gcode.Follow(p)
			if err != nil {
				t.Fatal(err)
			}
			got := Of(c, s, &m)
			if len(got.Faults) > 0 {
				t.Fatalf("%s up: %+v\n%s", s.Up, got.Faults, w.Text)
			}
			for k, made := range got.Made {
				if target := s.Targets[k]; target.Kind != setup.Cone && !target.Floored() {
					through += made.Area
				}
			}
		}
		if m.Break.Way == machine.BothFaces {
			area *= 2 // each face removes its half of all
		}
		if math.Abs(through-area) > 1e-4*area {
			t.Fatalf("%.2f mm2 go through, closed forms give %.2f", through, area)
		}
	})
}

// drawnPiece draws a piece, with the area that goes through it by closed forms.
func drawnPiece(t *rapid.T) (j setup.Job, area float64) {
	j = setup.Job{Pattern: "drawn", Revision: "1", Piece: "one", Thickness: float64(rapid.IntRange(18, 45).Draw(t, "thickness")),
		Stone: shape.Rectangle(shape.Point{X: -450, Y: -700}, shape.Point{X: 450, Y: 700})}
	tol := pattern.Tolerance{Position: 0.4, Diameter: 0.2, Depth: 0.3}
	mm := func(low, high int, name string) float64 {
		return float64(rapid.IntRange(10*low, 10*high).Draw(t, name)) / 10
	}
	face := func() pattern.Face {
		return rapid.SampledFrom([]pattern.Face{pattern.Top, pattern.Bottom}).Draw(t, "face")
	}
	for i := range rapid.IntRange(0, 14).Draw(t, "holes") {
		b := setup.Bore{Name: fmt.Sprintf("h%d", i), X: -390 + 60*float64(i) + mm(-5, 5, "x"), Y: mm(-650, -250, "y"), Tolerance: tol, From: face(),
			Diameter: rapid.SampledFrom([]float64{7, 8, 9, 12, 12.7, 15}).Draw(t, "bit")}
		area += math.Pi * b.Diameter * b.Diameter / 4
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0:
			area -= math.Pi * b.Diameter * b.Diameter / 4
			b.Diameter = mm(26, 45, "wide") // by a router
			area += math.Pi * b.Diameter * b.Diameter / 4
		case 1:
			b.Counter = &pattern.Counter{Diameter: mm(17, 40, "counterbore"), Depth: mm(2, 12, "depth"), From: face()}
		case 2:
			b.Counter = &pattern.Counter{Diameter: b.Diameter + mm(2, 10, "countersink"), Angle: math.Pi / 2, From: face()}
		case 3:
			area -= math.Pi * b.Diameter * b.Diameter / 4
			b.Diameter, b.Depth = rapid.SampledFrom([]float64{4, 6, 10, 22.5}).Draw(t, "blind"), mm(2, 15, "blind depth")
		}
		j.Bores = append(j.Bores, b)
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "cuts") {
		at, r, long := shape.Point{X: -300 + 300*float64(i), Y: mm(-60, 60, "cut y")}, mm(15, 50, "cut r"), mm(0, 60, "long")
		c := shape.Circle(at, r)
		if long > 1 {
			c = shape.Contour{{X: at.X - long, Y: at.Y - r}, {X: at.X + long, Y: at.Y - r, Bulge: 1}, {X: at.X + long, Y: at.Y + r}, {X: at.X - long, Y: at.Y + r, Bulge: 1}}
		}
		area += c.Area()
		j.Cuts = append(j.Cuts, setup.Cut{Name: fmt.Sprintf("c%d", i), Outline: c, Tolerance: tol, From: face()})
	}
	// A drop about the middle of the far side, round, with flanks that open by an angle.
	r, open := mm(30, 70, "drop"), mm(0, 1, "open")*0.6
	sin, cos := math.Sincos(open)
	y := mm(640, 690, "drop y")
	flank := (720 - y + r*sin) / cos
	drop := shape.Contour{{X: r*cos + flank*sin, Y: 720}, {X: -r*cos - flank*sin, Y: 720}, {X: -r * cos, Y: y - r*sin, Bulge: math.Tan((math.Pi - 2*open) / 4)}, {X: r * cos, Y: y - r*sin}}
	left, _, err := shape.Subtract(j.Stone, drop)
	if err != nil {
		t.Fatal(err)
	}
	j.Cuts = append(j.Cuts, setup.Cut{Name: "drop", Outline: drop, Tolerance: tol, From: face()})
	area += j.Stone.Area() - left[0].Area()
	// A round one about a corner, its middle within the stone or beyond it.
	corner := shape.Circle(shape.Point{X: 450 + mm(-30, 30, "corner x"), Y: 700 + mm(-30, 30, "corner y")}, mm(45, 70, "corner r"))
	if left, _, err = shape.Subtract(j.Stone, corner); err != nil {
		t.Fatal(err)
	}
	j.Cuts = append(j.Cuts, setup.Cut{Name: "corner", Outline: corner, Tolerance: tol, From: face()})
	return j, area + j.Stone.Area() - left[0].Area()
}

func FuzzReplay(f *testing.F) {
	m := shipped(f)
	j := headPiece()
	j.Bores, j.Cuts = j.Bores[14:20], j.Cuts[1:]
	all, err := setup.Of(j, &m)
	if err != nil {
		f.Fatal(err)
	}
	for _, p := range []string{"G21 G90 G54\nT2 M6\nS3000 M3\nG43 H2\nM8\nG0 X0 Y0 Z5\nG83 X-300 Y0 Z-29 R3 Q5 F40\nG80\nM30\n",
		"G21 G90\nT4 M6\nG1 X0 Y0 Z-5 F9\nG3 X0 Y0 Z-20 I30 J0\nG2 X600 Y10 I300 J5\n", "G21 G90\nT5 M6\nF1\nG1 Z-7\nX-300Y0\nG0 X-9999"} {
		f.Add([]byte(p))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := gcode.Parse("piece.nc", text, m.Control)
		if err != nil {
			return
		}
		c, err := gcode.Follow(p)
		if err != nil {
			return
		}
		r := Of(c, all[0], &m)
		if len(r.Faults) > mostFaults+1 || len(r.Faults) == 0 {
			t.Fatalf("%d faults", len(r.Faults))
		}
		for _, v := range []float64{r.Least, r.Seconds, r.Litres, r.Stone, r.Low.X, r.High.Z, r.Cut, r.Rapid} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", r)
			}
		}
		for _, made := range r.Made {
			if v := made.Over + made.Left + made.Area + made.Drawn; math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", made)
			}
		}
	})
}
