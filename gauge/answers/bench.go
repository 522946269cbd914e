package answers

import (
	"bytes"
	"fmt"
	"math"

	"slatewright/face"
	"slatewright/gauge"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Bench is what is left of readings when the bench's own map is taken off.
type Bench struct {
	File       string       `json:"file"`
	Map        string       `json:"map"`
	Points     int          `json:"points"`
	Heights    [][4]float64 `json:"heights"` // x, y, z, u in mm
	Covariance [][]float64  `json:"covariance_mm2"`
	UMM        float64      `json:"u_mm"`
	ReadingUMM float64      `json:"reading_u_mm"`
	LowMM      float64      `json:"map_low_mm"`
	HighMM     float64      `json:"map_high_mm"`
	Out        string       `json:"out,omitempty"`
	Warnings   []string     `json:"warnings"`
}

// mostReadings bounds the covariance, which has the square of that.
const mostReadings = 3000

// LessBench takes the bench's map off the readings of a face. u (mm) is the standard uncertainty of one reading; 0: the face's own.
func LessBench(f *face.Face, list *sheet.Sheet, u float64) (*Bench, error) {
	m, warnings, err := gauge.ReadBenchMap(list)
	if err != nil {
		return nil, at(list.Name, err)
	}
	if u == 0 {
		u = f.U
	}
	switch {
	case !(u > 0):
		return nil, trouble.Data("no-u", f.Name, "the doubt of one reading is not given", "write '# u: 0.004 mm' into the readings, or give --u; 'slatewright gauge budget' works it out")
	case f.Len() > mostReadings:
		return nil, trouble.Data("too-many-points", f.Name, fmt.Sprintf("%d readings: a dial on a bench reads %d at most", f.Len(), mostReadings), "a scan is not read from a bench with a map")
	}
	places := make([][2]float64, f.Len())
	for i := range places {
		places[i] = [2]float64{f.X[i], f.Y[i]}
	}
	z, covariance, err := m.Subtract(places, f.Z, u)
	if err != nil {
		return nil, at(f.Name, err)
	}
	r := &Bench{File: f.Name, Map: list.Name, Points: f.Len(), Covariance: covariance, ReadingUMM: u, LowMM: math.Inf(1), HighMM: math.Inf(-1), Warnings: append(append([]string{}, f.Warnings...), warnings...)}
	for i := range z {
		r.Heights = append(r.Heights, [4]float64{f.X[i], f.Y[i], z[i], math.Sqrt(covariance[i][i])})
		r.UMM += covariance[i][i] / float64(len(z))
		r.LowMM, r.HighMM = min(r.LowMM, f.Z[i]-z[i]), max(r.HighMM, f.Z[i]-z[i])
	}
	r.UMM = math.Sqrt(r.UMM)
	return r, nil
}

// CSV is the readings without the bench, ready to be read as a face. It changes the face.
func (r *Bench) CSV(f *face.Face) ([]byte, error) {
	f.U = measure.Round(r.UMM, 6)
	for i := range r.Heights {
		f.Z[i] = measure.Round(r.Heights[i][2], 6)
	}
	f.Other = append(f.Other, face.KeyValue{Value: "bench map taken off: " + r.Map})
	var text bytes.Buffer
	err := f.WriteCSV(&text)
	return text.Bytes(), err
}
