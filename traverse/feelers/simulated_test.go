package feelers_test

import (
	"flag"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/flatness"
	"slatewright/traverse/feelers"
)

var cases = flag.Int("cases", 800, "simulated faces; docs/traverse.md tells of 10,000")

// face is a smooth face with a ripple and a step: heights in mm over mm.
type trueFace struct{ c [8]float64 }

func newFace(s *chance.Stream) trueFace {
	var f trueFace
	for i := range f.c {
		f.c[i] = 2*s.Float64() - 1
	}
	return f
}

func (f trueFace) at(p [2]float64) float64 {
	x, y := p[0]/400, p[1]/700
	z := 0.15*(f.c[0]*x*x+f.c[1]*y*y+f.c[2]*x*y) + 0.05*f.c[3]*x*x*x + 0.03*math.Sin(5*f.c[4]*x+7*f.c[5]*y)
	if x > f.c[6] {
		z += 0.03 * f.c[7]
	}
	return z
}

// edge is a straightedge that is not quite straight.
type edge struct{ a, w, phase float64 }

func (e edge) at(t float64) float64 { return e.a / 2 * math.Sin(e.w*t+e.phase) } // within ± a/2

// layouts are places of the edge: stations of each line.
func layout(s *chance.Stream) (lines [][][2]float64) {
	xs, ys := []float64{-390, 0, 390}, []float64{-660, 0, 660}
	at := func(i, j int) [2]float64 { return [2]float64{xs[i], ys[j]} }
	jack := [][3][2]int{{{0, 0}, {1, 0}, {2, 0}}, {{0, 2}, {1, 2}, {2, 2}}, {{0, 0}, {0, 1}, {0, 2}}, {{2, 0}, {2, 1}, {2, 2}}, {{0, 1}, {1, 1}, {2, 1}}, {{1, 0}, {1, 1}, {1, 2}}}
	for _, l := range jack[:2+s.IntN(5)] {
		lines = append(lines, [][2]float64{at(l[0][0], l[0][1]), at(l[1][0], l[1][1]), at(l[2][0], l[2][1])})
	}
	return append(lines, [][2]float64{{-390, -660}, {0, 0}, {390, 660}}, [][2]float64{{390, -660}, {0, 0}, {-390, 660}})
}

// strips are the thicknesses at hand, mm; off is how wrong each is.
func gap(g float64, strips, off []float64, limit float64, s *chance.Stream) (passes, stops string) {
	for i, nominal := range strips {
		touch := (2*s.Float64() - 1) * limit / 2
		if nominal+off[i]+touch <= g {
			passes = fmt.Sprintf("%.2f", nominal)
		} else {
			return passes, fmt.Sprintf("%.2f", nominal)
		}
	}
	return passes, ""
}

// read lays the edge on every line and tries strips under it.
func read(f trueFace, lines [][][2]float64, laid bool, s *chance.Stream) string {
	const straight, limit, block = 0.010, 0.004, 2.0
	e := edge{straight, 4 * s.Float64(), 6 * s.Float64()}
	var strips, off []float64
	for v := 0.03; v < 1.2; v += 0.03 + 0.04*s.Float64() {
		v = math.Round(v*100) / 100
		strips, off = append(strips, v), append(off, (2*s.Float64()-1)*limit/2)
	}
	var b strings.Builder
	b.WriteString("# edge: laid\n")
	if !laid {
		b.Reset()
		b.WriteString("# edge: blocks 2.00 mm\n")
		for i := range strips {
			strips[i] += 1.40
		}
	}
	fmt.Fprintf(&b, "# edge straightness: %g mm\n# strip limits: %g mm\nline,x,y,passes_mm,stops_mm\n", straight, limit)
	for n, line := range lines {
		ends := [2][2]float64{line[0], line[2]}
		on := func(t float64) [2]float64 {
			return [2]float64{ends[0][0] + t*(ends[1][0]-ends[0][0]), ends[0][1] + t*(ends[1][1]-ends[0][1])}
		}
		lay := func(t float64) float64 { return f.at(on(t)) - e.at(t) } // height of the edge's straight line where it touches at t
		z0, z1 := lay(0)+block, lay(1)+block
		if laid {
			z0, z1 = rest(lay)
		}
		for _, p := range line {
			t := (p[1] - ends[0][1]) / (ends[1][1] - ends[0][1])
			if ends[1][1] == ends[0][1] {
				t = (p[0] - ends[0][0]) / (ends[1][0] - ends[0][0])
			}
			passes, stops := gap(z0+t*(z1-z0)+e.at(t)-f.at(p), strips, off, limit, s)
			if !laid && (t == 0 || t == 1) {
				passes, stops = "", ""
			}
			fmt.Fprintf(&b, "L%d,%g,%g,%s,%s\n", n, p[0], p[1], passes, stops)
		}
	}
	return b.String()
}

// rest finds where an edge carried by its middle comes to rest: the lowest line above the profile at t = 1/2, by its height there, over
// 101 places, which include the three stations but for rounding.
func rest(profile func(float64) float64) (z0, z1 float64) {
	best := math.Inf(1)
	const n = 100
	var z [n + 1]float64
	for i := range z {
		z[i] = profile(float64(i) / n)
	}
	for i := 0; i <= n/2; i++ {
		for j := n / 2; j <= n; j++ {
			if i == j {
				continue
			}
			slope := (z[j] - z[i]) / float64(j-i)
			if mid := z[i] + slope*float64(n/2-i); mid < best {
				above := true
				for k := range z {
					if z[k] > z[i]+slope*float64(k-i)+1e-12 {
						above = false
						break
					}
				}
				if above {
					best, z0, z1 = mid, z[i]-slope*float64(i), z[i]+slope*float64(n-i)
				}
			}
		}
	}
	return z0, z1
}

// True faces read by a simulated edge: strips within their limits, an edge within its straightness. The truth lies between the bounds
// every time.
func TestTruthLiesBetweenTheBounds(t *testing.T) {
	stream := chance.NewStream(20261125)
	bounded, exact, width := 0, 0, 0.0
	if testing.Short() {
		*cases = 100
	}
	for n := range *cases {
		s := stream.Split(fmt.Sprint(n))
		f, lines := newFace(s), layout(s)
		text := read(f, lines, n%2 == 1, s)
		set, b := bound(t, text)
		if len(b.Contradictions) > 0 {
			t.Fatalf("case %d: a contradiction\n%s", n, text)
		}
		truth := zoneAt(t, f, set)
		if truth < b.Low-1e-9 || truth > b.High+1e-9 {
			t.Errorf("case %d: %.6f is not in [%.6f, %.6f]\n%s", n, truth, b.Low, b.High, text)
		}
		if !math.IsInf(b.High, 1) {
			bounded++
			width += b.High - b.Low
		}
		if b.HighIsExact {
			exact++
		}
	}
	t.Logf("%d cases, %d bounded above, %d exactly, mean width %.3f mm", *cases, bounded, exact, width/float64(bounded))
	if *cases == 0 || bounded < *cases/2 {
		t.Errorf("%d of %d bounded", bounded, *cases)
	}
}

func zoneAt(t *testing.T, f trueFace, set *feelers.Set) float64 {
	t.Helper()
	var p flatness.Points
	for i, at := range set.At {
		if set.Read[i] {
			p.X, p.Y, p.Z = append(p.X, at[0]), append(p.Y, at[1]), append(p.Z, f.at(at))
		}
	}
	z, err := flatness.MinimumZone(p)
	if err != nil {
		t.Fatal(err)
	}
	return z.Value
}
