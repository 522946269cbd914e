package gauge_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/gauge"
	"slatewright/internal/truth"
	"slatewright/sheet"
	"slatewright/trouble"
)

func made(t *testing.T, kind string, lines ...string) *gauge.Instrument {
	t.Helper()
	in, err := gauge.New(kind, "", components(lines...))
	if err != nil {
		t.Fatalf("%s: %v", kind, err)
	}
	return in
}

func components(lines ...string) (list []gauge.Component) {
	for _, l := range lines {
		name, text, _ := strings.Cut(l, ",")
		list = append(list, gauge.Component{Name: name, Text: text})
	}
	return list
}

func worked(t *testing.T, in *gauge.Instrument) *gauge.Budget {
	t.Helper()
	b, err := in.Work(0.95, 1, 1)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// Every kind with all that it may state, its value and u against the sum of squares written out by hand.
func TestEveryKindByHand(t *testing.T) {
	type figure struct {
		lines    []string
		value, u float64
	}
	root := func(parts ...float64) float64 {
		s := 0.0
		for _, p := range parts {
			s += p * p
		}
		return math.Sqrt(s)
	}
	third := math.Sqrt(3)
	bow := 9e-6 * 0.4 * 1473 * 1473 / (8 * 25.4) // mm
	cases := map[string]figure{
		"dial": {[]string{"reading,0.120 mm", "resolution,0.001 mm", "calibration,U 0.004 mm k 2", "repeatability,u 0.003 mm dof 9", "zero,± 0.001 mm", "bench map,0.010 mm u 0.002 mm",
			"face difference,0.4 K ± 0.3 K", "length,1473 mm", "thickness,25.4 mm", "expansion,9e-6 1/K ± 1e-6 1/K"},
			0.120 - 0.010 - bow, root(0.0005/third, 0.002, 0.003, 0.001/third, 0.002, bow*0.3/0.4/third, bow/9/third)},
		"opposed dials": {[]string{"reading,0.030 mm", "setting,25 mm u 0.001 mm", "resolution,0.002 mm", "calibration,U 0.004 mm k 2", "repeatability,u 0.003 mm", "offset,± 1 mm", "slope,2 mm/m"},
			25.03, root(0.001, 0.001/third, 0.001/third, 0.002, 0.002, 0.003, 0.002/third)},
		"straightedge on blocks": {[]string{"strip,0.20 mm", "next strip,0.05 mm", "strip error,± 0.005 mm", "touch,u 0.015 mm", "straightness,± 0.020 mm", "sag,0.045 mm ± 0.009 mm", "blocks,0.1 mm ± 0.002 mm"},
			0.20 + 0.025 + 0.045 - 0.1, root(0.025/third, 0.005/third, 0.015, 0.020/third, 0.009/third, 0.002/third)},
		"straightedge laid on": {[]string{"strip,0.20 mm", "next strip,0.05 mm", "strip error,± 0.005 mm", "touch,u 0.015 mm", "straightness,± 0.020 mm"},
			0.225, root(0.025/third, 0.005/third, 0.015, 0.020/third)},
		"level": {[]string{"reading,3 div", "resolution,0.2 div", "division,0.02 mm/m ± 0.001 mm/m", "foot,200 mm", "zero,0.5 div u 0.1 div", "repeatability,u 0.15 div"},
			2.5 * 0.004, root(0.1/third*0.004, 2.5*0.2e-3/third, 0.1*0.004, 0.15*0.004)},
		"scanner": {[]string{"reading,0.5 mm", "noise,u 0.02 mm", "points,25", "scale error,± 100 ppm", "reference,U 0.006 mm k 2", "drift,± 0.003 mm"},
			0.5, root(0.004, 0.00005/third, 0.003, 0.003/third)},
		"tape": {[]string{"reading,1473 mm", "resolution,1 mm", "calibration,U 0.2 mm k 2", "placing,u 0.3 mm", "temperature,5 K ± 5 K", "tape's expansion,11.5e-6 1/K"},
			1473 * (1 + 57.5e-6), root(0.5/third, 0.1, 0.3, 1473*11.5e-6*5/third)},
		"scale": {[]string{"reading,96.4 kg", "resolution,0.1 kg", "calibration,U 50 g k 2", "repeatability,u 0.03 kg dof 9", "place,± 0.1 kg"},
			96.4, root(0.05/third, 0.025, 0.03, 0.1/third)},
	}
	if len(cases) != len(gauge.Kinds()) {
		t.Fatalf("%d cases for %d kinds", len(cases), len(gauge.Kinds()))
	}
	for kind, c := range cases {
		in := made(t, kind, c.lines...)
		b := worked(t, in)
		near(t, kind+": value", b.Value, c.value, 1e-9)
		near(t, kind+": u", b.U, c.u, 1e-4*c.u)
		if b.Drawn == nil || math.Abs(b.Drawn.U-b.U) > 0.1*b.U || len(in.Units) != len(in.Quantity.Inputs) || len(gauge.Properties(kind)) == 0 {
			t.Errorf("%s: drawn %+v", kind, b.Drawn)
		}
	}
}

// A tenth of a millimetre for one kelvin on a piece of a nine-foot bed, with the expansion of either data sheet.
func TestBowByTemperature(t *testing.T) {
	near(t, "9.6e-6", gauge.Bow(9.6e-6, 1, 1470, 25.4), 0.1, 0.01)
	for _, alpha := range truth.SlateExpansions() {
		if b := gauge.Bow(alpha, 1, 1470, 25.4); b < 0.08 || b > 0.125 {
			t.Errorf("expansion %g bends it by %g", alpha, b)
		}
	}
	// The sagitta of the circle of curvature αΔT/t over a chord L, without the approximation.
	const alpha, difference, length, thickness = 9.6e-6, 3.0, 1470.0, 25.4
	r := thickness / (alpha * difference)
	near(t, "sagitta", gauge.Bow(alpha, difference, length, thickness), r-math.Sqrt(r*r-length*length/4), 1e-6)
}

// A warm hand on an edge lets its middle rise, so the gap looks larger than it is; a top warmer than the bottom lets the stone's middle rise, so the
// gap at one temperature is larger than what was read.
func TestSignsOfWarmth(t *testing.T) {
	base := []string{"strip,0.20 mm", "next strip,0.05 mm", "strip error,u 1 um", "touch,u 1 um", "straightness,u 1 um"}
	edge := made(t, "straightedge laid on", append(base, "edge difference,1 K", "edge length,1473 mm", "edge height,80 mm", "edge expansion,11.5e-6 1/K")...)
	near(t, "warm edge", worked(t, edge).Value, 0.225-11.5e-6*1473*1473/640, 1e-12)
	stone := made(t, "straightedge laid on", append(base, "face difference,1 K", "length,1473 mm", "thickness,25.4 mm", "expansion,9e-6 1/K")...)
	near(t, "warm face", worked(t, stone).Value, 0.225+9e-6*1473*1473/203.2, 1e-12)
	if len(edge.Warnings) != 1 || !strings.Contains(edge.Warnings[0], "rocks") {
		t.Errorf("%q", edge.Warnings)
	}
}

// A plunger that may lean either way reads short by a cosine: the first order sees nothing of it, and that is said.
func TestATiltedPlungerIsBent(t *testing.T) {
	in := made(t, "dial", "reading,8 mm", "resolution,0.0001 mm", "calibration,u 0.0001 mm", "repeatability,u 0.0001 mm", "tilt,± 3 deg")
	b := worked(t, in)
	a := 3 * math.Pi / 180
	// mean of 8·cos θ over ± a: 8·sin(a)/a; variance from the mean square.
	mean, square := 8*math.Sin(a)/a, 64*(0.5+math.Sin(2*a)/(4*a))
	near(t, "mean", b.Drawn.Value, mean, 5*b.Drawn.Tolerance)
	near(t, "standard deviation", b.Drawn.U, math.Sqrt(square-mean*mean), 5*b.Drawn.Tolerance)
	if b.Comparison.Agree || !strings.Contains(b.Comparison.Why, "bent") {
		t.Errorf("%+v", b.Comparison)
	}
}

func TestWaysToWriteADoubt(t *testing.T) {
	third := math.Sqrt(3)
	for text, u := range map[string]float64{"± 0.003 mm": 0.003 / third, "+- 3um": 0.003 / third, "+/-0.003mm": 0.003 / third, "u 0.002 mm": 0.002, "U 0.004 mm k 2": 0.002,
		"U 4 µm k 2 dof 8": 0.002, "± 0.002 mm triangular": 0.002 / math.Sqrt(6), "± 0.002 mm swings": 0.002 / math.Sqrt2, "0.1 mm u 0.002 mm": 0.002} {
		in := made(t, "dial", "resolution,0.001 mm", "calibration,"+text, "repeatability,u 0.001 mm")
		near(t, text, in.Quantity.Inputs[1].U, u, 1e-12)
	}
	for _, text := range []string{"", "0.004 mm", "U 0.004 mm", "u 0.004 mm k 2", "± 1 mm u 1 mm", "± 1 mm ± 2 mm", "u -0.1 mm", "u 1", "u mm", "U 1 mm k 0", "u 1 mm dof 0", "dof 3", "u 1 mm swings", "± 1 mm swings triangular", "± 1 mm swings 3",
		"0.1 mm dof 4", "-1 mm", "± 1 K"} {
		_, err := gauge.New("dial", "", components("resolution,0.001 mm", "calibration,"+text, "repeatability,u 0.001 mm"))
		refused(t, text, err, "bad-component")
	}
}

func refused(t *testing.T, what string, err error, code string) {
	t.Helper()
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Code != code || told.Next == "" {
		t.Errorf("%s: want %s, got %v", what, code, err)
	}
}

func TestRefusedInstruments(t *testing.T) {
	_, err := gauge.New("sextant", "", nil)
	refused(t, "kind", err, "unknown-kind")
	_, err = gauge.New("dial", "", components("colour,red"))
	refused(t, "component", err, "bad-component")
	_, err = gauge.New("dial", "", components("resolution,1 um", "resolution,2 um"))
	refused(t, "twice", err, "bad-component")
	_, err = gauge.New("dial", "", components("resolution,1 um"))
	refused(t, "missing", err, "missing-component")
	_, err = gauge.New("dial", "", components("resolution,-1 um", "calibration,u 1 um", "repeatability,u 1 um"))
	refused(t, "negative step", err, "bad-component")
	in := made(t, "dial", "resolution,1 um", "calibration,u 1 um", "repeatability,u 3 um dof 2", "face difference,1 K ± 1 K", "length,1 m")
	if b := worked(t, in); b.Drawn != nil || !strings.Contains(b.Undrawn, "repeatability") || len(in.Warnings) != 2 {
		t.Errorf("%q, %q", b.Undrawn, in.Warnings)
	}
}

const file = "# kind: Dial\n# name: no. 7\n# odd: 1\ncomponent,value,remark\nresolution,0.001 mm,\ncalibration,U 0.004 mm k 2,certificate\nrepeatability,u 0.002 mm dof 9,study\n"

func TestReadingAnInstrument(t *testing.T) {
	read := func(text string) (*gauge.Instrument, error) {
		s, err := sheet.Read("i.csv", strings.NewReader(text))
		if err != nil {
			return nil, err
		}
		return gauge.Read(s)
	}
	in, err := read(file)
	if err != nil || in.Kind != "dial" || in.Name != "no. 7" || len(in.Quantity.Inputs) != 3 || len(in.Warnings) != 1 {
		t.Fatalf("%+v, %v", in, err)
	}
	_, err = read(strings.Replace(file, "# kind: Dial\n", "", 1))
	refused(t, "no kind", err, "no-kind")
	_, err = read(strings.Replace(file, "U 0.004 mm k 2", "U 0.004 mm", 1))
	refused(t, "no factor", err, "bad-component")
	if !strings.Contains(err.Error(), "line 6, calibration") {
		t.Error(err)
	}
}

func FuzzReadInstrument(f *testing.F) {
	f.Add(file)
	f.Add("# kind: level\ncomponent,value\nresolution,0.2div\ndivision,0.02 mm/m\nfoot,200 mm\nzero,0 div ± 0.1div\nrepeatability,u 0.1 div\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil {
			return
		}
		in, err := gauge.Read(s)
		if err != nil {
			return
		}
		if b, err := in.Quantity.Propagate(0.95); err == nil && b.U < 0 {
			t.Fatalf("%+v", b)
		}
	})
}
