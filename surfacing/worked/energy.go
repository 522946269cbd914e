package worked

import (
	"fmt"
	"math"

	"slatewright/gauge/tables"
	"slatewright/trouble"
)

// Energy is what it took to cut, in passes whose power was read.
type Energy struct {
	Each []PassEnergy
	Mean Measured // J/mm³; U from the scatter of the passes and from what is not known of their depths
	// Trend is by how much it grows with each litre of stone the stage took, as a share: 0.1 is 10 %. NaN with fewer than three passes.
	Trend  Interval
	Litres float64 // of stone that the stage took from the first of these passes to the last
	// Duller tells that it rises, by 97.5 of 100 at least.
	Duller bool

	uneven float64 // the largest of how unevenly the passes cut, as a share
}

// PassEnergy is that of one pass.
type PassEnergy struct {
	Pass   int     // index into the job's passes
	Energy float64 // J/mm³
}

// A pass must cut this share of the face, and no more unevenly than by this share of its depth, for its power to mean anything: the drive's display is read
// somewhere on the way.
const (
	fullCover = 0.9
	evenCut   = 0.25
)

// powerDoubt is the standard uncertainty of a power reading common to a job, as a share: a display of the drive, not a calibrated meter. Common
// practice, no source.
const powerDoubt = 0.05

// energy is specific energy pass by pass: power over depth, width and feed.
func (f *Found) energy(q Question, c *course) {
	run := c.follow(nil)
	area := q.SizeX * q.SizeY
	for k := range f.Stages {
		st := &f.Stages[k]
		e := &Energy{Trend: Interval{math.NaN(), math.NaN(), math.NaN()}}
		var at []float64 // litres that the stage took up to the middle of the pass
		taken, partial := 0.0, 0
		for i, p := range q.Job.Passes {
			if p.Stage != st.Index {
				continue
			}
			middle := taken + run.depth[i]*area/2e6
			taken += run.depth[i] * area / 1e6
			if p.Power == 0 || p.Depth == 0 {
				continue
			}
			if run.cover[i] < fullCover || run.uneven[i] > evenCut*run.depth[i] || run.depth[i] < p.Depth/4 {
				partial++
				continue
			}
			rate := run.depth[i] * q.width(st.Index) * p.Feed // mm³/s
			e.uneven = math.Max(e.uneven, run.uneven[i]/run.depth[i])
			e.Each, at = append(e.Each, PassEnergy{i, p.Power * 1000 / rate}), append(at, middle)
		}
		if partial > 0 {
			f.warn(fmt.Sprintf("the power of %s of %q is left out: the whole face was not cut, or not evenly", trouble.Count(partial, "pass", "passes"), q.Machine.Stages[st.Index].Name))
		}
		if len(e.Each) == 0 {
			continue
		}
		e.Litres = at[len(at)-1] - at[0]
		e.tell(at, c.relative())
		st.Energy = e
		if e.Duller {
			f.warn(fmt.Sprintf("the stage %q took more power for the same stone as the job went on: its bits grow dull. Dress them in free-cutting stone, or look whether water and feed are as they should be", q.Machine.Stages[st.Index].Name))
		}
	}
}

// tell takes the mean and the trend of the logarithm over the stone that was cut.
func (e *Energy) tell(at []float64, relative float64) {
	n := float64(len(at))
	var mx, my float64
	for i, p := range e.Each {
		mx, my = mx+at[i]/n, my+math.Log(p.Energy)/n
	}
	var xx, xy, yy float64
	for i, p := range e.Each {
		dx, dy := at[i]-mx, math.Log(p.Energy)-my
		xx, xy, yy = xx+dx*dx, xy+dx*dy, yy+dy*dy
	}
	u := math.Hypot(powerDoubt, e.uneven/math.Sqrt(n))
	if n > 1 {
		u = math.Hypot(u, math.Sqrt(yy/(n-1)/n))
	}
	e.Mean = Measured{math.Exp(my), math.Exp(my) * u}
	if n < 3 || xx == 0 {
		return
	}
	slope := xy / xx
	se := math.Sqrt(math.Max(yy-slope*xy, 0) / (n - 2) / xx)
	t := tables.StudentPoint(0.975, n-2)
	e.Trend = Interval{math.Expm1(slope), math.Expm1(slope - t*se), math.Expm1(slope + t*se)}
	// what the depths of the first passes are off by, where the loop yields otherwise than believed, must not pass for dullness
	e.Duller = e.Trend.Low > 0 && slope*e.Litres > 0.05*math.Max(1, relative)
}
