package grinding

import (
	"math"
	"slices"
	"testing"

	"slatewright/chance"
	"slatewright/internal/truth"
)

// One track of a leaning disc leaves the hollows that were worked out by the formula and by another brute force.
func TestHollowOfOneTrack(t *testing.T) {
	rows := truth.SpindleTilts()
	if len(rows) == 0 {
		t.Fatal("no rows")
	}
	for _, row := range rows {
		m := Machine{Diameter: row.Diameter, Rim: 20, Bits: 60, Pitch: row.Width, Tracks: 1, Travel: row.Diameter, Feed: 10, Along: row.Tilt}
		z := m.Cut([]float64{0, 0, 0}, []float64{-row.Width / 2, 0, row.Width / 2})
		for _, edge := range []float64{z[0], z[2]} {
			if got := edge - z[1]; math.Abs(got-row.Brute) > 3e-6 || math.Abs(got-row.Formula) > 3e-6 {
				t.Errorf("disc %g, track %g: hollow %.6f, want %.6f (formula) and %.6f (brute force)", row.Diameter, row.Width, got, row.Formula, row.Brute)
			}
		}
	}
}

// A disc that leans across leaves steps of lean times pitch.
func TestStepBetweenTracks(t *testing.T) {
	m := Machine{Diameter: 400, Rim: 20, Bits: 60, Pitch: 150, First: -450, Tracks: 7, Travel: 600, Feed: 10, Across: 1e-4}
	var s, at []float64
	for i := range 3000 {
		s, at = append(s, 0), append(at, -150+0.1*float64(i))
	}
	z := m.Cut(s, at)
	step := 0.0
	for i := 1; i < len(z); i++ {
		step = max(step, math.Abs(z[i]-z[i-1]))
	}
	if want := 150e-4; math.Abs(step-want) > 2e-5 {
		t.Errorf("step %.5f, want %.5f", step, want)
	}
}

// Bits that come by one after the other leave the same as a ring without gaps, when none stands out and the disc turns fast.
func TestBitsAgreeWithARing(t *testing.T) {
	m := Machine{Diameter: 300, Rim: 40, Bits: 90, Pitch: 120, First: -240, Tracks: 5, Travel: 500, Feed: 1, Along: 2e-4, Across: 3e-5}
	s, at := []float64{0, 10, 33, -70, 5}, []float64{0, 30, -100, 61, 88}
	ring := m.Cut(s, at)
	m.Runout = 1e-12
	for i, z := range m.Cut(s, at) {
		if math.Abs(z-ring[i]) > 2e-6 {
			t.Errorf("place %d: bits %.6f, ring %.6f", i, z, ring[i])
		}
	}
}

// A disc out of balance leaves a ripple that comes back with every turn.
func TestRippleComesBackEveryTurn(t *testing.T) {
	m := Machine{Diameter: 400, Rim: 8, Bits: 72, Pitch: 250, First: -500, Tracks: 5, Travel: 800, Feed: 30, Runout: 0.02}
	var s, again, at []float64
	for i := range 60 {
		s, again, at = append(s, float64(i)), append(again, float64(i)+30), append(at, 20)
	}
	z, w := m.Cut(s, at), m.Cut(again, at)
	for i := range z {
		if math.Abs(z[i]-w[i]) > 1e-6 {
			t.Fatalf("%g mm: %.6f, one turn on %.6f", s[i], z[i], w[i])
		}
	}
	if h := peakToValley(z); h < 0.002 || h > 0.041 {
		t.Errorf("a ripple of %g", h)
	}
}

// The wear of the bits raises what is cut last.
func TestWearRaisesTheLastTracks(t *testing.T) {
	m := Machine{Diameter: 300, Rim: 20, Bits: 60, Pitch: 200, First: -400, Tracks: 5, Travel: 600, Feed: 10, Wear: 0.05}
	z := m.Cut([]float64{0, 0}, []float64{-400, 400})
	if z[1]-z[0] < 0.03 {
		t.Errorf("first %.4f, last %.4f", z[0], z[1])
	}
	m.Backward = true
	z = m.Cut([]float64{0, 0}, []float64{-400, 400})
	if z[0]-z[1] < 0.03 {
		t.Errorf("from the other end: %.4f, %.4f", z[0], z[1])
	}
}

// A case is its number, and its fault leaves what it says it leaves.
func TestACaseIsItsNumber(t *testing.T) {
	a, b := NewCase(BedWave, 5, 3, false), NewCase(BedWave, 5, 3, false)
	if !slices.Equal(a.Faces[0].Z, b.Faces[0].Z) || slices.Equal(a.Faces[0].Z, NewCase(BedWave, 5, 4, false).Faces[0].Z) {
		t.Error("a case is not what its number says")
	}
	s, at := a.coarse()
	z := make([]float64, len(s))
	for i := range z {
		z[i] = a.Machine.Bed(s[i], at[i])
	}
	if got := peakToValley(a.beyondBow(s, at, z)); math.Abs(got/a.Strength-1) > 0.01 {
		t.Errorf("a wave of %g, said to be %g", got, a.Strength)
	}
}

// Few pieces of a case are its first; the wear's wedge is the mean of theirs, and it is not the same from both ends.
func TestFirstPieces(t *testing.T) {
	unlike := 0
	for n := range 6 {
		c := NewCase(WearWedge, 5, n, false)
		if len(c.Faces) < 6 || len(c.Faces) > 12 {
			t.Errorf("%d pieces", len(c.Faces))
		}
		few := c.First(1)
		if len(few.Faces) != 1 || len(few.Starts) != 1 || !slices.Equal(few.Faces[0].Z, c.Faces[0].Z) {
			t.Errorf("case %d: %d faces of one", n, len(few.Faces))
		}
		if want := c.wornFrom(few.Starts[0]); math.Abs(few.Strength-want) > 1e-12 {
			t.Errorf("case %d: a wedge of %g, want %g", n, few.Strength, want)
		}
		if math.Abs(c.wornFrom(1)/c.wornFrom(-1)-1) > 0.02 {
			unlike++
		}
	}
	if unlike == 0 {
		t.Error("all machines lie alike from both ends")
	}
}

// A thickness holds the piece's unevenness, and not by how much it lies bent.
func TestThicknessIsNoBow(t *testing.T) {
	m := Machine{Diameter: 400, Rim: 10, Bits: 60, Pitch: 200, First: -630, Tracks: 7, Travel: 700, Feed: 15}
	size := [2]float64{914, 1473}
	thick := func(st Stone) float64 {
		var s, at []float64
		for range 2 {
			s, at = append(s, 0), append(at, 0)
		}
		sum := 0.0
		for _, c := range st.Cut(&m, size, s, at, Reading{}, chance.NewStream(9)).Calipers {
			sum += math.Abs(c[2] - 25.8)
		}
		return sum
	}
	if got := thick(Stone{BowS: 1, BowT: 1, Twist: 1}); got > 1e-9 {
		t.Errorf("a bow of %g in the thickness", got)
	}
	if got := thick(Stone{Sigma: 0.005, Length: 150}); got < 0.005 {
		t.Errorf("an unevenness of %g in eight thicknesses", got)
	}
}

// The field has the Matérn covariance that it is drawn for; 1,500 fields leave a standard error of 0.04 in a correlation, four of them are allowed.
func TestFieldHasItsCovariance(t *testing.T) {
	d := chance.NewStream(3)
	at := []float64{0, 60, 150, 400}
	sums := make([]float64, len(at))
	const n = 1500
	for range n {
		w := waves(d, 1, 150)
		for i, x := range at {
			var a, b float64
			for _, v := range w {
				a, b = a+v.height*math.Cos(v.phase+v.kt*9), b+v.height*math.Cos(v.ks*x+v.kt*9+v.phase)
			}
			sums[i] += a * b / n
		}
	}
	for i, r := range at {
		x := math.Sqrt(3) * r / 150
		if want := (1 + x) * math.Exp(-x); math.Abs(sums[i]-want) > 0.16 {
			t.Errorf("distance %g: covariance %.3f, want %.3f", r, sums[i], want)
		}
	}
}
