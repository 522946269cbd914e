package height

import (
	"math"
	"testing"

	"slatewright/chance"
)

// line makes readings every 2 mm over 500 mm: a slow swell, a ripple of two overtones at 25.3 mm, and noise.
func line(noise float64, d *chance.Stream) (c Course, pv float64) {
	at := func(x float64) float64 { return 0.004*math.Sin(x) + 0.002*math.Cos(2*x+1) }
	for i := range 251 {
		s := 2*float64(i) - 250
		c.S = append(c.S, s)
		c.Z = append(c.Z, 0.02*math.Cos(s/130)+at(2*math.Pi*s/25.3)+noise*d.Normal())
	}
	low, high := 0.0, 0.0
	for i := range 1000 {
		z := at(2 * math.Pi * float64(i) / 1000)
		low, high = min(low, z), max(high, z)
	}
	return c, high - low
}

func TestRippleOfKnownHeight(t *testing.T) {
	d := chance.NewStream(1)
	c, want := line(1e-5, d)
	if got := Ripple([]Course{c}, 1/25.3); math.Abs(got.Value/want-1) > 0.02 || got.Low > want || got.High < want {
		t.Errorf("%+v, want %.5f", got, want)
	}
	for i := range c.S { // a chip, 40 mm wide
		if x := (c.S[i] - 30) / 20; math.Abs(x) < 1 {
			c.Z[i] -= 0.08 * (1 - x*x)
		}
	}
	if got := Ripple([]Course{c}, 1/25.3); math.Abs(got.Value/want-1) > 0.05 {
		t.Errorf("with a chip: %+v, want %.5f", got, want)
	}
}

// Where the noise is as high as a third of the ripple the middle of the heights is neither raised nor lowered by it, and nine of ten intervals hold the
// truth: of 80, between 64 and 79 (two in a thousand beyond).
func TestRippleIntervals(t *testing.T) {
	d := chance.NewStream(2)
	held, mean := 0, 0.0
	const n = 80
	for range n {
		c, want := line(0.003, d)
		got := Ripple([]Course{c}, 1/25.3)
		if got.Low <= want && want <= got.High {
			held++
		}
		mean += got.Value / want / n
	}
	if held < 64 || held > 79 || math.Abs(mean-1) > 0.04 {
		t.Errorf("%d of %d intervals hold the truth; mean %.3f of it", held, n, mean)
	}
}

// pieces are n faces of one wave, each with a bow of its own and an unevenness made of some waves.
func pieces(n int, size [2]float64, wave func(s, t float64) float64, own float64, d *chance.Stream) (faces []Face) {
	for range n {
		var f Face
		for i := range 40 {
			f.S = append(f.S, (float64(i)/39-0.5)*(size[0]-30))
		}
		for j := range 60 {
			f.T = append(f.T, (float64(j)/59-0.5)*(size[1]-30))
		}
		a, b := 0.05*d.Normal(), 0.03*d.Normal()
		var k [30][3]float64
		for i := range k {
			k[i] = [3]float64{d.Normal() / 110, d.Normal() / 110, 2 * math.Pi * d.Float64()}
		}
		for _, s := range f.S {
			for _, t := range f.T {
				z := wave(s, t) + a*s*s/1e6 + b*s*t/1e6 + 0.003*d.Normal()
				for _, w := range k {
					z += own * math.Sqrt(2.0/30) * math.Cos(w[0]*s+w[1]*t+w[2])
				}
				f.Z = append(f.Z, z)
			}
		}
		faces = append(faces, f)
	}
	return faces
}

// truth is the peak to valley of a wave beyond bow and twist.
func truth(size [2]float64, wave func(s, t float64) float64) float64 {
	var f Face
	for i := range net {
		f.S, f.T = append(f.S, (float64(i)/(net-1)-0.5)*size[0]), append(f.T, (float64(i)/(net-1)-0.5)*size[1])
	}
	var z []float64
	var cols [6][]float64
	for _, s := range f.S {
		for _, t := range f.T {
			z = append(z, wave(s, t))
			for k, x := range bows(2*s/size[0], 2*t/size[1]) {
				cols[k] = append(cols[k], x)
			}
		}
	}
	e := equationsOf(cols[:], z)
	low := e.with(make([]float64, 6))
	for k, c := range cols {
		for i := range z {
			z[i] -= low.mean[k] * c[i]
		}
	}
	return peakToValley([][]float64{z}, []float64{1})
}

func TestWaveOfKnownHeight(t *testing.T) {
	size := [2]float64{914, 1473}
	wave := func(s, t float64) float64 { return 0.010*math.Sin(s/120+1) + 0.007*math.Cos(s/200-t/150) }
	d := chance.NewStream(3)
	want := truth(size, wave)
	got, ok := Repeated(pieces(3, size, wave, 1e-5, d), size)
	if !ok || math.Abs(got.Value/want-1) > 0.04 {
		t.Errorf("%+v, want %.4f", got, want)
	}
	if _, ok := Repeated(pieces(1, size, wave, 1e-5, d), size); ok {
		t.Error("one piece has no wave that comes back")
	}
}

// Of 20 waves of six uneven pieces at least 14 intervals hold the truth (nine of ten are wanted: fewer in two of a thousand), and the mean is within a tenth.
func TestWaveIntervals(t *testing.T) {
	size := [2]float64{914, 1473}
	d := chance.NewStream(4)
	held, mean := 0, 0.0
	const n = 20
	for range n {
		a, b, c := 120+60*d.Float64(), 6*d.Float64(), 6*d.Float64()
		wave := func(s, t float64) float64 { return 0.008*math.Sin(s/a+b) + 0.006*math.Cos(s/200-t/a+c) }
		want := truth(size, wave)
		got, ok := Repeated(pieces(6, size, wave, 0.006, d), size)
		if !ok {
			t.Fatal("no wave")
		}
		if got.Low <= want && want <= got.High {
			held++
		}
		mean += got.Value / want / n
	}
	if held < 14 || math.Abs(mean-1) > 0.1 {
		t.Errorf("%d of %d intervals hold the truth; mean %.3f of it", held, n, mean)
	}
}

// A wave of the disc's way, with the shape that the tracks give it.
func TestWayOfKnownHeight(t *testing.T) {
	size := [2]float64{914, 1473}
	const pitch = 190.0
	wave := func(s, t float64) float64 {
		v := math.Mod(t+5*pitch, pitch) - pitch/2
		return 0.012 * math.Sin(s/130+0.5) * (1 - 0.3*v*v/(pitch*pitch/4))
	}
	d := chance.NewStream(5)
	want := truth(size, wave)
	got, ok := Led(pieces(6, size, wave, 0.004, d), size, pitch)
	if !ok || math.Abs(got.Value/want-1) > 0.08 {
		t.Errorf("%+v, want %.4f", got, want)
	}
}
