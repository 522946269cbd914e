package bending

import (
	"fmt"
	"io"
	"math"

	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/internal/flat"
	"slatewright/measure"
	"slatewright/plate"
	"slatewright/plate/shape"
	"slatewright/trouble"
)

// freeReport is a measured face with gravity taken off.
type freeReport struct {
	File        string     `json:"file"`
	Turned      *string    `json:"turned"`
	AsReadMM    float64    `json:"zone_as_read_mm"`
	ZoneMM      *float64   `json:"zone_mm"`   // null: what it lay on hides the shape
	ZoneUMM     *float64   `json:"zone_u_mm"` // from modulus and thickness; null where the reversal needs neither
	GravityMM   float64    `json:"gravity_mm"`
	Shape       flat.Shape `json:"shape"`
	ModulusGPa  *float64   `json:"modulus_gpa"` // by the reversal
	ModulusUGPa *float64   `json:"modulus_u_gpa"`
	RemainderMM *float64   `json:"remainder_mm"` // of the supports' share that gravity does not explain
}

// faces reads the readings, in the piece frame.
func (v Sag) faces(s *verb.Session) (top, bottom *face.Face, err error) {
	if v.Turned != "" && v.Face == "" {
		return nil, nil, trouble.Usage("no-face", "slatewright sag", "--turned without --face", "name the readings before the piece was turned by --face")
	}
	for i, name := range []string{v.Face, v.Turned} {
		if name == "" {
			continue
		}
		f, err := verb.Read(s, name, face.Read)
		if err != nil {
			return nil, nil, err
		}
		if f, err = f.Centred(); err != nil {
			return nil, nil, err
		}
		if i == 0 {
			top = f
		} else {
			bottom = f
		}
	}
	return top, bottom, nil
}

// free takes gravity off the face, by computing it, or by the reading of the other side.
func (r *sagReport) free(top, bottom *face.Face) error {
	before, err := flat.Of(top)
	if err != nil {
		return err
	}
	r.Free = &freeReport{File: top.Name, AsReadMM: before.ZoneMM}
	at := make([]plate.Point, top.Len())
	for i := range at {
		at[i] = plate.Point{X: top.X[i], Y: top.Y[i]}
	}
	if r.under.Bench != nil {
		r.status = verb.CannotTell
		r.warn("a bench that carries everywhere presses a crown of up to half a millimetre flat: what the free shape is cannot be told from readings on it. Read the face on three points or on two bars")
		return nil
	}
	if len(r.under.Lines) > 0 {
		r.warn("bars press twist out of a piece: the twist of the free shape is not in these numbers. Read it on three points where twist matters")
	} else if len(r.under.Points) > 3 {
		r.warn("more than three points can force a piece: what they press out of it is not in these numbers")
	}
	var left []float64
	if bottom == nil {
		left, err = r.computed(top, at)
	} else {
		left, err = r.reversed(top, bottom, at)
	}
	if err != nil {
		return err
	}
	free := *top
	free.Z, free.Support = left, face.Support{}
	after, err := flat.Of(&free)
	if err != nil {
		return err
	}
	r.Free.ZoneMM, r.Free.Shape = &after.ZoneMM, after.Shape
	for _, text := range top.Warnings {
		r.warn(text)
	}
	return nil
}

func (r *sagReport) computed(top *face.Face, at []plate.Point) ([]float64, error) {
	f, err := shape.Free(r.piece, r.under, at, top.Z, shape.Doubt{Modulus: r.known.modulus, Thickness: r.known.thickness})
	if err != nil {
		return nil, err
	}
	r.Free.GravityMM = f.Peak
	r.Free.ZoneUMM = ptr(math.Hypot(f.UModulus, f.USection)*f.Peak + r.ErrorEstimateMM)
	return f.Heights, nil
}

// reversed pairs the readings of both sides: the place (x, y) of the piece lies at (−x, y) when it is turned over about y.
func (r *sagReport) reversed(top, bottom *face.Face, at []plate.Point) ([]float64, error) {
	const near = 1 // mm: stations set by hand
	z := make([]float64, len(at))
	for i, q := range at {
		found := false
		for j := range bottom.Z {
			if math.Abs(bottom.X[j]+q.X) <= near && math.Abs(bottom.Y[j]-q.Y) <= near {
				z[i], found = bottom.Z[j], true
				break
			}
		}
		if !found {
			return nil, trouble.Data("unpaired", bottom.Name, fmt.Sprintf("no reading of the other side lies under the one at (%g, %g)", q.X, q.Y), "read both sides at the same stations: x changes its sign when the piece is turned over about y")
		}
	}
	u := math.Max(top.U, bottom.U)
	f, err := shape.Reverse(r.piece, r.under, at, top.Z, z, u)
	if err != nil {
		return nil, err
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range f.Support {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	r.Free.Turned, r.Free.GravityMM, r.Free.RemainderMM = &bottom.Name, high-low, &f.Remainder
	if math.IsNaN(f.Modulus) {
		r.warn("gravity is too small beside the doubt of the readings to give the modulus: read the piece on supports on which it sags more, such as its ends")
		return f.Shape, nil
	}
	r.Free.ModulusGPa, r.Free.ModulusUGPa = ptr(f.Modulus/1000), ptr(f.UModulus/1000)
	return f.Shape, nil
}

func (r *sagReport) printFree(w io.Writer) {
	f := r.Free
	if f == nil {
		return
	}
	verb.Section(w, "The free shape of "+f.File)
	if f.ZoneMM == nil {
		verb.Columns(w, [][2]string{{"zone as read", measure.Decimal(f.AsReadMM, 3) + " mm"}, {"zone of the free shape", "cannot tell"}})
		return
	}
	rows := [][2]string{{"zone as read", measure.Decimal(f.AsReadMM, 3) + " mm"}, {"gravity", measure.Decimal(f.GravityMM, 3) + " mm peak to valley at the readings"}}
	zone := measure.Decimal(*f.ZoneMM, 3) + " mm"
	if f.ZoneUMM != nil {
		zone += ", standard uncertainty " + measure.Decimal(*f.ZoneUMM, 3) + " mm from modulus and thickness"
	} else {
		rows[1] = [2]string{"supports and gravity", measure.Decimal(f.GravityMM, 3) + " mm peak to valley at the readings, by turning the piece over"}
	}
	rows = append(rows, [2]string{"zone of the free shape", zone})
	if f.Shape.BowAlongMM != nil && f.Shape.BowAcrossMM != nil {
		rows = append(rows, [2]string{"bow along, across", measure.Decimal(*f.Shape.BowAlongMM, 3) + " mm, " + measure.Decimal(*f.Shape.BowAcrossMM, 3) + " mm, + is high in the middle"})
	}
	if f.ModulusGPa != nil {
		rows = append(rows, [2]string{"modulus of this stone", fmt.Sprintf("%s GPa, standard uncertainty %s GPa, if the bench under the supports is flat", measure.Decimal(*f.ModulusGPa, 1), measure.Decimal(*f.ModulusUGPa, 1))})
	}
	verb.Columns(w, rows)
}
