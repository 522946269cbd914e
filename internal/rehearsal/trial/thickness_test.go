package trial

import (
	"math"
	"testing"

	"slatewright/chance"
	"slatewright/internal/rehearsal/families"
	"slatewright/wholeface"
)

// caliper reads the thickness of a piece of two faces and a wedge at n by m places, and tells its true mean and least inside the band.
func caliper(f families.Family, i, n, m int, u float64) (list []wholeface.Thickness, mean, least float64) {
	top, back := families.New(f, 20_000+i), families.New(f, 30_000+i)
	s := chance.NewStream(uint64(i)).Split("caliper").Split(f.String())
	tx, ty := 0.1*s.Normal(), 0.1*s.Normal()
	at := func(xs, ys []float64) []float64 {
		z, other := top.Grid(xs, ys), back.Grid(xs, ys)
		for k := range z {
			z[k] += 25 + other[k] + tx*xs[k/len(ys)]/457 + ty*ys[k%len(ys)]/737
		}
		return z
	}
	xs, ys := families.Even(60, families.SizeX, Band), families.Even(96, families.SizeY, Band)
	least = math.Inf(1)
	z := at(xs, ys)
	for _, t := range z {
		mean += t / float64(len(z))
		least = math.Min(least, t)
	}
	xs, ys = families.Even(n, families.SizeX, 40), families.Even(m, families.SizeY, 40)
	for k, t := range at(xs, ys) {
		list = append(list, wholeface.Thickness{X: xs[k/m], Y: ys[k%m], T: t + u*s.Normal()})
	}
	return list, mean, least
}

// Nothing is learned about thickness, so its interval must be wide enough by itself: read at 24 places, the least thickness lies in nine of
// ten intervals within three standard deviations of 120 pieces (8 %), ridges and chips among them. The mean is not asked of
// ridges: their tracks may keep step with the places read, which the answer warns of.
func TestThicknessHoldsWhatItSays(t *testing.T) {
	if testing.Short() {
		t.Skip("counts how often an interval holds")
	}
	const pieces = 40
	fields := wholeface.NewFields(families.SizeX, families.SizeY, Band, 1)
	least, mean := 0, 0
	for _, f := range families.All() {
		for i := range pieces {
			list, trueMean, trueLeast := caliper(f, i, 4, 6, 0.02)
			q := wholeface.Question{SizeX: families.SizeX, SizeY: families.SizeY, Band: Band, Cutoff: 25, U: 0.012, Seed: 1, Fields: fields,
				Draws: wholeface.LeastDraws, Caliper: list, CaliperU: 0.02}
			for _, xy := range [][2]float64{{-400, -700}, {400, -700}, {-400, 700}, {400, 700}, {0, 0}, {100, 300}} {
				q.Readings = append(q.Readings, wholeface.Reading{X: xy[0], Y: xy[1]})
			}
			a, err := wholeface.Of(q, nil)
			if err != nil {
				t.Fatal(err)
			}
			if in := a.Thickness.Least; trueLeast >= in.Low && trueLeast <= in.High {
				least++
			}
			if in := a.Thickness.Mean; f != families.Ridges && trueMean >= in.Low && trueMean <= in.High {
				mean++
			}
		}
	}
	if share := float64(least) / (3 * pieces); math.Abs(share-0.9) > 0.08 {
		t.Errorf("the least thickness lies in %.1f %% of its intervals", 100*share)
	}
	if share := float64(mean) / (2 * pieces); math.Abs(share-0.9) > 0.1 {
		t.Errorf("the mean thickness lies in %.1f %% of its intervals", 100*share)
	}
}
