package judge

import (
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/measure"
	"slatewright/trouble"
)

// AsRead is the state of readings that show neither the free shape nor the laid one: the shape as the piece was held.
const AsRead = "as read"

// Two full-width lines count as lines at 0.22 of the long side if each lies between these fractions of it from its end. Least
// sag is at 0.2232, the Bessel points at 0.2203; from 0.215 to 0.230 the sag of a nine-foot piece of 25.4 mm stays below 0.03
// mm (computed: thin plate and beam, E = 48 GPa; 0.059 mm at 0.20, 0.017 at 0.22, 0.065 at 0.25).
const (
	linesFrom = 0.215
	linesTo   = 0.230
)

// linesU is the standard uncertainty of a straightness across from what gravity does between such lines: 0.03 mm either way,
// uniform, 0.03/√3.
const linesU = 0.0173

// Proof is what the way the pieces were held can prove of what was promised, as long as gravity is not computed.
type Proof struct {
	State  string // the state that the figures hold in: bed.StateLaid, bed.StateFree or AsRead
	Proven []Name // characteristics that may be judged, in their order
	Why    string // one sentence
	Lines  bool   // read on two lines: gravity adds linesU to what is proven
	Hinder []Hindrance
}

// prove holds the supports of the three faces against the state in which the specification promises:
//
//	promised laid, all three on a full bench                 everything
//	promised free, all three on two lines at 0.22 L          straightness along the long side: across
//	anything else                                            the thickness only
//
// Two lines hide twist, and with it whatever depends on how the pieces meet. A full bench presses out up to 0.6 mm of crown and
// so proves nothing free. A file that does not say how the piece was held is an error.
func prove(state string, faces [3]*face.Face) (Proof, error) {
	for _, f := range faces {
		if f.Support.Kind == face.SupportUnknown && f.Support.Text == "" {
			return Proof{}, trouble.Data("no-support", f.Name, "the file does not say how the piece was supported, and gravity is part of every reading",
				"add '# support: bench', or where it rested: 'lines 0.22', 'lines y -412.4; y 412.4' or 'points x y; x y; x y'")
		}
	}
	p := Proof{State: AsRead, Proven: []Name{Thickness}}
	var untold []Name
	switch {
	case state == bed.StateLaid && every(faces, onBench):
		p.State, p.Proven = bed.StateLaid, Names()
		p.Why = "All three pieces lay on a full bench, which is the state promised."
	case state == bed.StateFree && every(faces, onLines):
		p.State, p.Proven, p.Lines = bed.StateFree, []Name{Across, Thickness}, true
		p.Why = "Two lines at 0.22 of the long side show the free bow along it, which is across the table, and hide the twist."
	default:
		p.Why = "The way the pieces were held does not show the state promised, and gravity is not computed yet."
	}
	for _, n := range Names() {
		if !slices.Contains(p.Proven, n) {
			untold = append(untold, n)
		}
	}
	if len(untold) > 0 {
		p.Hinder = hinder(state, faces, untold)
	}
	return p, nil
}

func every(faces [3]*face.Face, is func(*face.Face) bool) bool {
	for _, f := range faces {
		if !is(f) {
			return false
		}
	}
	return true
}

func onBench(f *face.Face) bool { return f.Support.Kind == face.SupportBench }

// onLines tells whether the piece rested on two lines at 0.22 of its long side, which lies across the table.
func onLines(f *face.Face) bool {
	if f.Support.Kind != face.SupportLines || len(f.Support.Lines) != 2 || !(f.SizeY > f.SizeX) {
		return false
	}
	c, err := f.Centred()
	if err != nil {
		return false
	}
	a, b := c.Support.Lines[0], c.Support.Lines[1]
	if a.Axis != 'y' || b.Axis != 'y' || (a.At < 0) == (b.At < 0) {
		return false
	}
	for _, l := range c.Support.Lines {
		from := measure.Round(0.5-math.Abs(l.At)/f.SizeY, 6)
		if from < linesFrom || from > linesTo {
			return false
		}
	}
	return true
}

// hinder says, face by face, why its support leaves characteristics untold.
func hinder(state string, faces [3]*face.Face, untold []Name) []Hindrance {
	const bench = "Read the piece on a full bench, '# support: bench'."
	const promise = "Promise the laid state and read the piece on a full bench; the free twist waits for gravity to be computed."
	var list []Hindrance
	for _, f := range faces {
		h := Hindrance{Code: Unsupported, Of: label(f), On: untold, Next: bench}
		if state == bed.StateFree {
			h.Next = promise
		}
		switch kind := f.Support.Kind; {
		case state == bed.StateLaid && kind == face.SupportBench:
			continue
		case state == bed.StateLaid && kind == face.SupportLines:
			h.Why = "The laid state is promised, and two or more lines let the piece sag between them."
		case state == bed.StateLaid && kind == face.SupportPoints:
			h.Why = "The laid state is promised, and on points the piece sags between them by as much as 0.7 mm."
		case state == bed.StateFree && kind == face.SupportBench:
			h.Why = "The free state is promised, and a full bench presses out up to 0.6 mm of crown."
		case state == bed.StateFree && onLines(f):
			h.Why = "The free state is promised, and two lines hide the twist of the piece."
		case state == bed.StateFree && kind == face.SupportLines:
			h.Why = "The free state is promised, and the lines are not two at 0.22 of the long side, where gravity bends the piece least."
			h.Next = "Rest the piece on two full-width lines at 0.22 of its long side from each end; that shows its bow."
		case state == bed.StateFree && kind == face.SupportPoints:
			h.Why = "The free state is promised, and what gravity does between the points is not computed yet."
		default:
			h.Why = "The support is given in words that name no place, so what gravity did is not known."
		}
		list = append(list, h)
	}
	return list
}
