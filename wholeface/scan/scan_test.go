package scan_test

import (
	"errors"
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/flatness"
	"slatewright/trouble"
	"slatewright/wholeface/scan"
)

const sizeX, sizeY, band = 914.0, 1473.0, 20.0

// face is a smooth face: crown, dish, twist and two long waves, mm.
func face(x, y float64) float64 {
	u, v := 2*x/sizeX, 2*y/sizeY
	return 0.06*(1-u*u) - 0.09*(1-v*v) + 0.02*u*v + 0.015*math.Sin(x/95+0.3)*math.Cos(y/120) + 2 + 0.002*x - 0.001*y
}

// read scans with nx by ny points over the whole piece, with noise.
func read(t *testing.T, nx, ny int, noise float64, height func(x, y float64) float64) (*scan.Scan, flatness.Points) {
	t.Helper()
	s, err := scan.New(sizeX, sizeY, 0, band)
	if err != nil {
		t.Fatal(err)
	}
	var inside flatness.Points
	draw := chance.NewStream(3)
	for i := range nx {
		for j := range ny {
			x, y := sizeX*((float64(i)+0.5)/float64(nx)-0.5), sizeY*((float64(j)+0.5)/float64(ny)-0.5)
			z := height(x, y)
			if math.Abs(x) <= sizeX/2-band && math.Abs(y) <= sizeY/2-band {
				inside.X, inside.Y, inside.Z = append(inside.X, x), append(inside.Y, y), append(inside.Z, z)
			}
			s.Add(x, y, z+noise*draw.Normal())
		}
	}
	return s, inside
}

// A scan of three million points: the zone of its true face is the exact minimum zone of all points of the face itself, to
// within the instrument's noise of 0.01 mm (and far better); the exact zone of the noisy points is not.
func TestThreeMillionPoints(t *testing.T) {
	nx, ny := 1365, 2200
	if testing.Short() {
		nx, ny = 400, 640
	}
	const noise = 0.01
	s, inside := read(t, nx, ny, noise, face)
	want, err := flatness.MinimumZone(inside)
	if err != nil {
		t.Fatal(err)
	}
	f, err := s.True()
	if err != nil {
		t.Fatal(err)
	}
	got, err := f.Zone()
	if err != nil {
		t.Fatal(err)
	}
	if !f.Filtered || math.Abs(got-want.Value) > noise/2 {
		t.Errorf("true face of %d points: zone %.5f, exactly %.5f without noise", s.Points(), got, want.Value)
	}
	draw := chance.NewStream(3)
	for i := range inside.Z {
		inside.Z[i] += noise * draw.Normal()
	}
	raw, err := flatness.ZoneValue(inside)
	if err != nil {
		t.Fatal(err)
	}
	if raw < want.Value+4*noise {
		t.Errorf("the zone of the noisy points is %.4f, hardly above %.4f: the check shows nothing", raw, want.Value)
	}
}

// The filter's transmission: a wave as long as the cutoff keeps half its height (ISO 16610-61, by definition of the cutoff),
// waves of 50 and 100 mm exp(−π α² (λc/λ)²) = 0.841 and 0.958 of it. Cells of a fifth of the cutoff blur as much as the kernel was
// narrowed for, but for terms of fourth order: 2 %.
func TestTransmission(t *testing.T) {
	for _, c := range []struct{ wave, keeps float64 }{{25, 0.5}, {50, 0.8409}, {100, 0.9576}} {
		s, _ := read(t, 914*2, 300, 0, func(x, _ float64) float64 { return math.Cos(2 * math.Pi * x / c.wave) })
		f, err := s.True()
		if err != nil {
			t.Fatal(err)
		}
		top, down := 0.0, 0.0 // regression of the heights on the wave
		for i, x := range f.Nodes.X {
			if math.Abs(x) > 400 {
				continue
			}
			w := math.Cos(2 * math.Pi * x / c.wave)
			top, down = top+w*f.Nodes.Z[i], down+w*w
		}
		if got := top / down; math.Abs(got-c.keeps) > 0.02 {
			t.Errorf("a wave of %g mm keeps %.3f, want %.3f", c.wave, got, c.keeps)
		}
	}
}

// A tilted plane stays a plane up to the band, whatever the filter.
func TestPlaneStays(t *testing.T) {
	s, _ := read(t, 150, 240, 0, func(x, y float64) float64 { return 1 + 0.01*x - 0.02*y })
	f, err := s.True()
	if err != nil {
		t.Fatal(err)
	}
	zone, err := f.Zone()
	if err != nil {
		t.Fatal(err)
	}
	if zone > 1e-9 {
		t.Errorf("the zone of a plane is %g", zone)
	}
	if x := f.Nodes.X[0]; x != -(sizeX/2 - band) {
		t.Errorf("the first node lies at %g", x)
	}
}

func TestCoarseScanStaysAsItIs(t *testing.T) {
	s, inside := read(t, 61, 98, 0, face)
	f, err := s.True()
	if err != nil {
		t.Fatal(err)
	}
	want, err := flatness.ZoneValue(inside)
	if err != nil {
		t.Fatal(err)
	}
	got, err := f.Zone()
	if err != nil {
		t.Fatal(err)
	}
	if f.Filtered || len(f.Warnings) != 1 || math.Abs(got-want) > 1e-9 {
		t.Errorf("filtered %v, warnings %q, zone %.6f, of its points %.6f", f.Filtered, f.Warnings, got, want)
	}
}

// Noise: what the filter leaves of independent errors is as said, by the scatter of the nodes.
func TestNoiseOfANode(t *testing.T) {
	s, _ := read(t, 457, 736, 0.02, func(_, _ float64) float64 { return 0 })
	f, err := s.True()
	if err != nil {
		t.Fatal(err)
	}
	sum, n := 0.0, 0
	for i, x := range f.Nodes.X {
		if math.Abs(x) < 400 && math.Abs(f.Nodes.Y[i]) < 680 {
			sum += f.Nodes.Z[i] * f.Nodes.Z[i]
			n++
		}
	}
	if got, said := math.Sqrt(sum/float64(n)), s.Noise(0.02); n == 0 || math.Abs(got/said-1) > 0.1 {
		t.Errorf("nodes scatter by %.5f, said to by %.5f", got, said)
	}
}

func TestWhatIsNoScanIsRefused(t *testing.T) {
	refused := func(err error, code string) {
		t.Helper()
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != code {
			t.Errorf("got %v, want %s", err, code)
		}
	}
	_, err := scan.New(100, 1473, 0, 20)
	refused(err, "bad-size")
	_, err = scan.New(sizeX, sizeY, 1, 20)
	refused(err, "bad-cutoff")
	s, err := scan.New(sizeX, sizeY, 0, band)
	if err != nil {
		t.Fatal(err)
	}
	s.Add(0, 0, 1)
	s.Add(5000, 0, 1)
	_, err = s.True()
	refused(err, "thin-scan")
}
