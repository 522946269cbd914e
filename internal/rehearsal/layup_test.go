package rehearsal

import (
	"bytes"
	"math"
	"strings"
	"testing"
)

// steps returns the mean step of each joint.
func steps(l *LayUp) map[string]float64 {
	mean, n := map[string]float64{}, map[string]float64{}
	for _, s := range l.Steps {
		mean[s.Joint] += s.Step
		n[s.Joint]++
	}
	for joint := range mean {
		mean[joint] /= n[joint]
	}
	return mean
}

// Raising a piece shows with its sign: the piece nearer the foot proud is positive.
func TestLayUpSigns(t *testing.T) {
	m := New(6, 3)
	pieces := [3]*Piece(m.Pieces)
	flat := steps(m.LayUp(pieces, [3]Move{}))
	raised := steps(m.LayUp(pieces, [3]Move{{}, {Height: 1}, {}}))
	if d := raised["head-centre"] - flat["head-centre"]; math.Abs(d-1) > 0.002 {
		t.Errorf("raising the centre by 1 mm changes the step head-centre by %v", d)
	}
	if d := raised["centre-foot"] - flat["centre-foot"]; math.Abs(d+1) > 0.002 {
		t.Errorf("raising the centre by 1 mm changes the step centre-foot by %v", d)
	}
	// Tilting the head up towards its joint, the +x edge: the step falls by the tilt times where the tip stands.
	tilted := steps(m.LayUp(pieces, [3]Move{{TiltX: 1e-3}, {}, {}}))
	if d := tilted["head-centre"] - flat["head-centre"]; math.Abs(d+1e-3*(SizeX/2-tipFromArris)) > 0.002 {
		t.Errorf("tilting the head changes the step head-centre by %v", d)
	}
}

// The steps are those of the true faces, up to packs and gauge: over many sets, turned and not.
func TestLayUpIsTheTruth(t *testing.T) {
	m := New(12, 90)
	var errors []float64
	for i := 0; i+2 < len(m.Pieces); i++ {
		pieces := [3]*Piece{m.Pieces[i], m.Pieces[i+1], m.Pieces[i+2]}
		moves := [3]Move{{Turned: i%2 == 1}, {Turned: i%3 == 1, Height: 0.2, TiltY: 2e-4}, {Height: -0.1, TiltX: 1e-4}}
		for k, s := range m.LayUp(pieces, moves).Steps {
			joint := k / layUpStations
			x := SizeX/2 - tipFromArris
			height := func(j int, x, y float64) float64 {
				mv, sign := moves[j], 1.0
				if mv.Turned {
					sign = -1
				}
				return pieces[j].True(sign*x, sign*y) + mv.Height + mv.TiltX*x + mv.TiltY*y
			}
			errors = append(errors, s.Step-(height(joint+1, -x, s.Y)-height(joint, x, s.Y)))
		}
	}
	mean, sd := deviation(errors)
	// one station: gauge 5 µm, two packs of 6 µm, two tilts of 8e-6 each way at x = 452 and y = 444 r.m.s.
	want := math.Sqrt(0.005*0.005 + 2*0.006*0.006 + 2*8e-6*8e-6*(452*452+440*440))
	if math.Abs(mean) > 0.002 || math.Abs(sd/want-1) > 0.1 {
		t.Errorf("steps differ from the truth by %v on average, s.d. %v, want 0 and %v", mean, sd, want)
	}
}

func TestLayUpFile(t *testing.T) {
	m := New(6, 3)
	pieces := [3]*Piece(m.Pieces)
	l := m.LayUp(pieces, [3]Move{})
	var b, again bytes.Buffer
	if err := l.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	if err := m.LayUp(pieces, [3]Move{}).WriteCSV(&again); err != nil {
		t.Fatal(err)
	}
	if b.String() != again.String() {
		t.Error("the same lay-up reads otherwise the second time")
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	head := []string{"# " + Notice, "# pieces: QH-0101, QH-0102, QH-0103", "# date: 2026-11-17", "# unit: mm", "# support: bench",
		"# instrument: " + stepGauge, "# u: 0.005 mm", "joint,y_mm,step_mm"}
	if len(lines) != len(head)+2*layUpStations {
		t.Fatalf("%d lines", len(lines))
	}
	for i, want := range head {
		if lines[i] != want {
			t.Errorf("line %d is %q, want %q", i+1, lines[i], want)
		}
	}
	if first := lines[len(head)]; !strings.HasPrefix(first, "head-centre,-660,") {
		t.Errorf("the first reading is %q", first)
	}
	if layUpStations < 5 {
		t.Error("fewer than five stations a joint")
	}
}
