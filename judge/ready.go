package judge

import (
	"fmt"
	"math"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/measure"
	"slatewright/trouble"
)

// What readings must be like to be judged.
const (
	// DryDays is how many days before its reading a piece must have been dry. While a face dries, its evaporation alone can
	// hold 1 K across the stone, and that bows it by 0.1 mm; one whole day lets both faces settle. Common practice, no
	// source; whether a dry piece has stopped moving is another question, which is not asked here.
	DryDays = 1
	// MaxKelvin is how much the two faces may differ: 0.3 K bow a nine-foot piece by less than 0.04 mm (computed).
	MaxKelvin = 0.3
	// MaxGap is the widest circle, by its diameter in mm, that may lie between the readings of a face: the diagonal of the
	// meshes of nine by six readings on a nine-foot piece inside a band of 20 mm, 179 x 175 mm, and 2 % for marking out by
	// hand. Nine by six is common practice for a certificate: it sees about 94 % of a smooth face's zone (computed).
	MaxGap = 255.0
	// MinThickness is how many caliper readings each piece needs. Common practice.
	MinThickness = 8
)

// Ready tells whether a piece may be judged in a set at all, whatever the other two are: it has the size that the
// specification asks for, it was dry and equally warm on both faces, its playing face was read finely enough, on the support that
// the promised state needs, with an instrument, an uncertainty and a date that are stated, and its thickness at enough places.
// issued is the day of the verdict, "" when it is not known. It looks at every reading: ask once a piece, not once a set.
func Ready(f *face.Face, spec bed.Spec, issued string) bool {
	gap, err := widestGap(f, spec.EdgeBand)
	if err != nil {
		return false
	}
	p, err := prove(spec.State, [3]*face.Face{f, f, f})
	return err == nil && len(p.Hinder) == 0 && len(readiness(f, spec, gap, issued)) == 0
}

// readiness lists what keeps a piece from being judged, apart from its support. gap is that of its readings.
func readiness(f *face.Face, spec bed.Spec, gap float64, issued string) []Hindrance {
	var list []Hindrance
	for _, h := range []*Hindrance{
		sized(f, spec), dry(f), equallyWarm(f), playingFace(f), fine(gap), thick(f), stated(readingU(f, spec)), named(f.Instrument), dated(f, issued),
	} {
		if h == nil {
			continue
		}
		h.Of = label(f)
		if h.On == nil {
			h.On = shapes()
		}
		list = append(list, *h)
	}
	return list
}

// sized holds the size of a piece against that of the specification. Sizes are compared as they are sealed.
func sized(f *face.Face, spec bed.Spec) *Hindrance {
	x, y := spec.PieceSize()
	if max(sealed(math.Abs(f.SizeX-x)), sealed(math.Abs(f.SizeY-y))) <= spec.SizeTolerance {
		return nil
	}
	return &Hindrance{Code: WrongSize,
		Why: fmt.Sprintf("The piece is %s x %s mm, and the specification asks for %s x %s mm, %s mm either way.", short(f.SizeX), short(f.SizeY),
			short(x), short(y), short(spec.SizeTolerance)),
		Next: "Judge it by the specification of its own table, or correct '# size:' where the stone measures otherwise."}
}

// short prints a length to 0.001 mm without the zeros at its end.
func short(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(mm(v), "0"), ".")
}

// days counts the days from one date to another; ok is false when either is no date.
func days(from, to string) (n int, ok bool) {
	a, err := time.Parse(time.DateOnly, from)
	if err != nil {
		return 0, false
	}
	b, err := time.Parse(time.DateOnly, to)
	if err != nil {
		return 0, false
	}
	return int(b.Sub(a) / (24 * time.Hour)), true
}

func dry(f *face.Face) *Hindrance {
	h := &Hindrance{Code: Wet}
	n, ok := days(f.DrySince, f.Date)
	switch {
	case f.DrySince == "":
		h.Why = "Nothing says that the stone was dry, and wet stone bows as it dries."
		h.Next = "Let the piece dry, read it again and write '# dry_since:' with the day from which it was dry."
	case !ok:
		return nil // no date, or a bad one: said elsewhere
	case n < 0:
		h.Why = fmt.Sprintf("The piece was read on %s and is dry only since %s.", f.Date, f.DrySince)
		h.Next = "Read it again now that it is dry."
	case n < DryDays:
		h.Why = fmt.Sprintf("The piece was read on %s, on the very day from which it is dry.", f.Date)
		h.Next = "Read it again when it has been dry for a day."
	default:
		return nil
	}
	return h
}

func equallyWarm(f *face.Face) *Hindrance {
	h := &Hindrance{Code: Unequal, Next: "Let the piece lie until both faces agree within 0.3 K, away from sun, heater and draught, and read it again."}
	switch {
	case f.TempTop == nil || f.TempBottom == nil || f.OneTemp:
		h.Why = "The temperatures of top and bottom are not both given, and 1 K between them bows the piece by 0.1 mm."
		h.Next = "Measure both faces and write '# temperature: top 20.1 C, bottom 20.3 C'."
		return h
	}
	kelvin := measure.Round(math.Abs(*f.TempTop-*f.TempBottom), lengthDecimals)
	if kelvin <= MaxKelvin {
		return nil
	}
	h.Why = fmt.Sprintf("Top and bottom are %s K apart, more than %g K.", measure.Decimal(kelvin, 2), MaxKelvin)
	return h
}

func playingFace(f *face.Face) *Hindrance {
	if f.Side != face.Bottom {
		return nil
	}
	return &Hindrance{Code: Side, Why: "These are readings of the bottom face.", Next: "Read the playing face, '# face: top'."}
}

func fine(gap float64) *Hindrance {
	if gap <= MaxGap {
		return nil
	}
	return &Hindrance{Code: Coarse,
		Why:  fmt.Sprintf("A circle of %.0f mm lies between the readings, wider than %.0f mm, and what it hides is not known.", gap, MaxGap),
		Next: "Read the piece on a grid of nine by six or finer, out to the edge band."}
}

// unread says which figures of the seated bed rest on too few readings, or on none.
func unread(in Input) (list []Hindrance) {
	for _, c := range []struct {
		name  Name
		lines int
	}{{Lengthwise, in.Result.Lengthwise.Lines}, {Across, in.Result.Across.Lines}} {
		if c.lines == 0 {
			list = append(list, Hindrance{Code: NoLines, Of: "all three pieces", On: []Name{c.name},
				Why:  fmt.Sprintf("No line of the bed holds three readings, so %s is not known.", c.name),
				Next: "Read the pieces on a grid of nine by six or finer, at the same stations."})
		}
	}
	for i, joint := range in.Result.Joints {
		if !joint.Covered {
			head, foot := in.Result.Pieces[i].Index, in.Result.Pieces[i+1].Index
			list = append(list, Hindrance{Code: ShortJoint, Of: label(in.Question.Faces[head]) + ", " + label(in.Question.Faces[foot]), On: shapes()[3+i : 4+i],
				Why:  fmt.Sprintf("The joint was not read from end to end on both pieces, so %s is not known everywhere.", shapes()[3+i]),
				Next: "Read a joint row at nine places or more, from end to end of both edges."})
		}
	}
	return list
}

func thick(f *face.Face) *Hindrance {
	n := len(f.Thickness)
	if n >= MinThickness {
		return nil
	}
	return &Hindrance{Code: FewThickness, On: []Name{Thickness},
		Why:  fmt.Sprintf("The thickness of the stone is given at %s, fewer than %d.", trouble.Count(n, "place", "places"), MinThickness),
		Next: fmt.Sprintf("Measure it at %d places or more, within 150 mm of the edges and over the supports, '# thickness: x y t'.", MinThickness)}
}

func stated(u float64) *Hindrance {
	if u > 0 {
		return nil
	}
	return &Hindrance{Code: NoU, Why: "Neither the file nor the specification states the uncertainty of a reading.",
		Next: "Write '# u:' with the standard uncertainty of one reading, such as '# u: 0.010 mm'."}
}

func named(instrument string) *Hindrance {
	if instrument != "" {
		return nil
	}
	return &Hindrance{Code: NoInstrument, Why: "The instrument is not named, so nobody can trace its calibration.",
		Next: "Write '# instrument:' with the mark of the gauge and of the bench or straightedge it ran on."}
}

func dated(f *face.Face, issued string) *Hindrance {
	if f.Date == "" {
		return &Hindrance{Code: NoDate, Why: "The day of the reading is not given.", Next: "Write '# date:' with the day on which the piece was read."}
	}
	for _, date := range []string{f.Date, f.DrySince} {
		if h := calendar(date); h != nil {
			return h
		}
	}
	if n, ok := days(f.Date, issued); ok && n < 0 {
		return &Hindrance{Code: BadDate, Why: fmt.Sprintf("The reading is dated %s, after the day of this verdict, %s.", f.Date, issued),
			Next: "Correct the date of the reading or of the certificate."}
	}
	return nil
}

// calendar refuses a date, if one is given, that is no day.
func calendar(date string) *Hindrance {
	if _, ok := days(date, date); ok || date == "" {
		return nil
	}
	return &Hindrance{Code: BadDate, Why: fmt.Sprintf("%q is not a day of the calendar.", date), Next: "Write year-month-day, such as 2026-11-25."}
}
