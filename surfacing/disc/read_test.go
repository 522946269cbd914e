package disc

import (
	"math"
	"strings"
	"testing"

	"slatewright/sheet"
)

const written = `# speed: 1400 rpm
# grade: G6.3
# rotor mass: 12 kg
# band: 50 um
# u mass: 0.02 g
# bearings: 180 mm
# body: 120 g mm at 90 deg
position,bit,angle_deg,radius_mm,mass_g,height_mm,new,runout_um
1,A7,0,150,40.1,10.02,,20
2,A8,180,150,39.9,10.00,yes,-20
3,,90,15 cm,0,,,
S1,B1,,,40.3,10.01,yes,
`

func list(text string) (*List, error) {
	s, err := sheet.Read("disc.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return Read(s)
}

func TestReading(t *testing.T) {
	l, err := list(written)
	if err != nil {
		t.Fatal(err)
	}
	if l.Duty != (Duty{1400, 6.3, 12}) || l.Band != 0.05 || l.Doubt.Mass != 0.02 || !math.IsNaN(l.Doubt.Place) || l.Bearings != 180 || len(l.Warnings) != 0 {
		t.Errorf("%+v", l)
	}
	r := l.Ring
	if len(r.Places) != 4 || r.on() != 3 || !r.Places[3].Spare || !r.Bits[1].New || r.Bits[0].Name != "A7" || r.Bits[2].Name != "3" || !r.Bits[2].none() || r.Places[2].Radius != 150 {
		t.Errorf("%+v", r)
	}
	near(t, "run-out", r.Places[1].Runout, -0.02, 1e-12)
	near(t, "body", r.Body.Y, 120, 1e-9)
	// Semicolons and decimal commas, titles without units, the contract's five columns alone.
	l, err = list("position;angle;radius;mass;height\n1;0;150;40,1;10\n2;180;150;40,1;10\n")
	if err != nil || !math.IsNaN(l.Duty.Speed) || l.Ring.Unbalance(l.Ring.AsListed()).Size() > 1e-9 {
		t.Errorf("%+v, %v", l, err)
	}
	for from, to := range map[string]string{"1400 rpm": "fast", "G6.3": "best", "12 kg": "12", "50 um": "thin", "0.02 g": "0.02 mm", "180 mm": "near", "120 g mm at 90 deg": "120 g mm", "at 90 deg": "at 90 rad",
		"1,A7,0,": ",A7,0,", "2,A8,180,150": "1,A8,180,150", "A8,180,150": "A8,,150", "40.1": "heavy", "10.02": "", "yes,-20": "maybe,-20", "-20": "out", "3,,90,15 cm": "3,,0,15 cm", "40.3": "-40.3",
		"angle_deg": "angle_rad", "position": "place", "mass_g": "mass_kg", "# band": "# grade", "15 cm": "-15 cm", "180,150": "x,150"} {
		if !strings.Contains(written, from) {
			t.Fatalf("%q is not in the list", from)
		}
		_, err := list(strings.Replace(written, from, to, 1))
		refused(t, from+" → "+to, err)
	}
}

func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		text string
		read func(string) (float64, error)
		want float64
	}{{"1400rpm", ParseSpeed, 1400}, {"23,5 /s", ParseSpeed, 1410}, {"1400/min", ParseSpeed, 1400}, {"25 Hz", ParseSpeed, 1500}, {"12kg", ParseMass, 12}, {"12000 g", ParseMass, 12}, {"100 lb", ParseMass, 45.359237},
		{"6.3", ParseGrade, 6.3}, {"G2.5", ParseGrade, 2.5}, {"G 0.4 mm/s", ParseGrade, 0.4}} {
		got, err := c.read(c.text)
		if err != nil || math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("%s: %g, %v", c.text, got, err)
		}
	}
	for _, text := range []string{"", "1400", "rpm", "1.400,5rpm", "1400 rpm now", "NaN rpm", "1e300rpm"} {
		if v, err := ParseSpeed(text); err == nil {
			t.Errorf("%q is %g rpm", text, v)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(written)
	f.Add("position;angle;radius;mass;height\n1;0;150;40,1;10\n2;180;150;40,1;10\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := list(text)
		if err != nil {
			return
		}
		if u := l.Ring.Unbalance(l.Ring.AsListed()).Size(); math.IsNaN(u) || math.IsInf(u, 0) {
			t.Fatalf("unbalance %g", u)
		}
	})
}
