package holes

import (
	"math"
	"slices"
)

// Method is how places were measured.
type Method string

// The methods.
const (
	Tape     Method = "tape"
	Template Method = "template"
	Camera   Method = "camera"
	Arm      Method = "arm"
	NoMethod Method = ""
)

// Usual are the standard uncertainties of each coordinate and of a diameter by method, mm, where the list states none. Common practice, no source: a
// tape is read to half a millimetre and its hook and slope add as much; a template's pins have play and its holes wear; a camera on a gantry reaches 0.2 to
// 0.5 mm over 1.5 m, twice that u; an arm 0.05 to 0.1 mm with its probe in a rough rim. A tape can therefore never show 0.79 mm, whose guard band it uses up by
// itself at 95 %.
var Usual = map[Method][2]float64{
	Tape:     {0.5, 0.3},
	Template: {0.2, 0.1},
	Camera:   {0.15, 0.1},
	Arm:      {0.05, 0.05},
}

// Methods lists the methods that are known.
func Methods() []Method { return []Method{Tape, Template, Camera, Arm} }

// scatterOf estimates the standard uncertainty from the distances themselves: the median of them by that of a Rayleigh distribution, with what a rigid fit of n
// places takes away, and never less than what rounding of the last digit does. What spoils every place alike is not in it.
func scatterOf(distances []float64, finest float64) float64 {
	n := float64(len(distances))
	rounding := finest / math.Sqrt(12)
	if n < 2 {
		return rounding
	}
	return math.Max(rounding, median(distances)/math.Sqrt(2*math.Ln2)*math.Sqrt(n/(n-1.5)))
}

// spread is a standard deviation by the median of the distances from the median.
func spread(values []float64) float64 {
	if len(values) < 2 {
		return 0
	}
	middle := median(values)
	off := make([]float64, len(values))
	for i, v := range values {
		off[i] = math.Abs(v - middle)
	}
	return median(off) / 0.6744897501960817 // the normal distribution's quartile
}

func median(values []float64) float64 {
	v := slices.Clone(values)
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}
