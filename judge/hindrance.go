package judge

import (
	"slices"
	"strings"

	"slatewright/face"
)

// Hindrance is something that keeps characteristics from being judged, with what to do about it.
type Hindrance struct {
	Code Code
	Of   string // the file, or files, it is about
	Why  string // one sentence
	Next string // what to do, one sentence
	On   []Name // the characteristics it leaves untold
}

// Code is a short word for programs.
type Code string

// The hindrances, in the order in which they should be dealt with: first a piece that belongs to another table, then what
// takes waiting, then what asks for other readings, then what is only to be written down.
const (
	WrongSize    Code = "wrong-size"    // not of the size that the specification asks for
	Wet          Code = "wet"           // not known to be dry long enough
	Unequal      Code = "unequal-faces" // top and bottom differ in temperature, or nothing says that they do not
	Side         Code = "side"          // not the playing face
	Unsupported  Code = "support"       // the support does not show what is promised
	Coarse       Code = "coarse-grid"   // readings too far apart
	NoLines      Code = "no-lines"      // no line of readings in one direction
	ShortJoint   Code = "short-joint"   // a joint that was not read from end to end
	FewThickness Code = "few-thickness" // too few caliper readings
	Misfit       Code = "misfit"        // the lay-up contradicts what was predicted
	NoU          Code = "no-u"          // no uncertainty of the readings anywhere
	NoInstrument Code = "no-instrument"
	NoDate       Code = "no-date"
	BadDate      Code = "bad-date"
)

var codeOrder = []Code{WrongSize, Wet, Unequal, Side, Unsupported, Coarse, NoLines, ShortJoint, FewThickness, Misfit, NoU, NoInstrument, NoDate, BadDate}

// gather makes one hindrance of all with the same words, naming every file, and puts them in their order.
func gather(list []Hindrance) []Hindrance {
	out := []Hindrance{}
	for _, h := range list {
		i := slices.IndexFunc(out, func(o Hindrance) bool { return o.Code == h.Code && o.Why == h.Why })
		if i < 0 {
			out = append(out, h)
		} else {
			out[i].Of += ", " + h.Of
		}
	}
	slices.SortStableFunc(out, func(a, b Hindrance) int {
		return slices.Index(codeOrder, a.Code) - slices.Index(codeOrder, b.Code)
	})
	return out
}

// label names a piece: its mark, else its file.
func label(f *face.Face) string {
	if f.Piece != "" {
		return f.Piece
	}
	if f.Name != "" {
		return f.Name
	}
	return "a piece without a name"
}

// capital raises the first letter of a phrase.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
