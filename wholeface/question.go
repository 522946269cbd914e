package wholeface

import (
	"math"
	"strconv"

	"slatewright/trouble"
)

// Reading is one height of the face, mm, in the piece frame (origin in the middle).
type Reading struct{ X, Y, Z float64 }

// Thickness is one caliper reading, mm, in the piece frame.
type Thickness struct{ X, Y, T float64 }

// Bench is what the bench under the instrument may add to every reading alike: standard uncertainties, mm. Height and tilt of a bench
// do not matter to a zone. Bow and twist cannot be told from those of the piece, so they go into the doubt whole. Map is
// what the map of the bench leaves over from place to place.
type Bench struct{ Bow, Twist, Map float64 }

// Question is what is asked about one face.
type Question struct {
	SizeX, SizeY float64 // of the piece, mm
	Band         float64 // edge band, mm: that much along each edge does not count
	Cutoff       float64 // mm; only told, for the readings of a probe are not filtered
	State        string  // "free", "laid" or "as read": what the readings hold for
	U            float64 // standard uncertainty of one reading, mm, more than 0
	Bench        Bench
	Readings     []Reading
	Caliper      []Thickness
	CaliperU     float64 // standard uncertainty of one caliper reading, mm; needed where Caliper has any
	Draws        int     // faces to draw; 0 means Draws
	Seed         uint64
	Fields       *Fields // kept from an earlier piece of the same size and band; nil: drawn anew
}

const (
	Draws        = 400 // faces drawn for an answer
	LeastDraws   = 100
	mostDraws    = 20_000
	LeastReading = 6   // fewer readings than a trend has terms say nothing
	fewReadings  = 20  // below this an answer is mostly the prior
	MostReadings = 600 // more are a scan
)

// check says what is wrong with a question.
func (q Question) check() error {
	bad := func(code, what, next string) error { return trouble.Data(code, "the face", what, next) }
	w, h := q.SizeX-2*q.Band, q.SizeY-2*q.Band
	switch {
	case !(q.SizeX > 0) || !(q.SizeY > 0):
		return bad("no-size", "the size of the piece is not given", "add a line such as '# size: 914 x 1473 mm' (x by y)")
	case !(q.Band >= 0) || !(w >= 4*NodePitch) || !(h >= 4*NodePitch) || w*h > 16e6 || math.Max(w, h) > 8000:
		return bad("bad-size", "inside the edge band a face must measure 100 mm each way, and at most 16 m²", "check the size of the piece and the edge band")
	case !(q.U > 0) || q.U > 10:
		return bad("no-u", "the standard uncertainty of one reading is not given", "add a line such as '# u: 0.012 mm'")
	case len(q.Readings) < LeastReading:
		return bad("few-readings", "there are "+strconv.Itoa(len(q.Readings))+" readings; a shape has six unknowns", "read the face on its grid")
	case len(q.Readings) > MostReadings:
		return bad("many-readings", "there are "+strconv.Itoa(len(q.Readings))+" readings; above "+strconv.Itoa(MostReadings)+" it is a scan",
			"make the true face of a scan and take its zone; nothing needs to be guessed between its points")
	case q.Draws != 0 && (q.Draws < LeastDraws || q.Draws > mostDraws):
		return bad("bad-draws", "the number of faces to draw must lie between 100 and 20000", "leave it at 400")
	case len(q.Caliper) > 0 && !(q.CaliperU > 0):
		return bad("no-caliper-u", "the standard uncertainty of a caliper reading is not given", "give it")
	case !(q.Bench.Bow >= 0) || !(q.Bench.Twist >= 0) || !(q.Bench.Map >= 0):
		return bad("bad-bench", "an uncertainty of the bench is negative", "give it as a length of 0 or more")
	}
	for _, r := range q.Readings {
		if math.IsNaN(r.X+r.Y+r.Z) || math.IsInf(r.X+r.Y+r.Z, 0) {
			return bad("not-a-number", "a reading is not a number", "take it out, or read again")
		}
	}
	return nil
}

// level takes the least-squares plane out of the readings: their height and tilt mean nothing, and large ones would cost digits.
func level(l lattice, list []Reading) (z []float64, plane [3]float64) {
	var m [3][4]float64
	for _, r := range list {
		f := l.trend(r.X, r.Y)
		for i := range 3 {
			for j := range 3 {
				m[i][j] += f[i] * f[j]
			}
			m[i][3] += f[i] * r.Z
		}
	}
	plane = solve3(m)
	z = make([]float64, len(list))
	for i, r := range list {
		f := l.trend(r.X, r.Y)
		z[i] = r.Z - plane[0] - plane[1]*f[1] - plane[2]*f[2]
	}
	return z, plane
}

// solve3 solves three normal equations; a direction that the readings do not tell is left at 0.
func solve3(m [3][4]float64) (x [3]float64) {
	for c := range 3 {
		m[c][c] += 1e-12 * (1 + m[0][0])
	}
	for c := range 3 {
		for r := c + 1; r < 3; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k < 4; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	for c := 2; c >= 0; c-- {
		v := m[c][3]
		for k := c + 1; k < 3; k++ {
			v -= m[c][k] * x[k]
		}
		x[c] = v / m[c][c]
	}
	return x
}
