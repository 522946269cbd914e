package face

import (
	"fmt"
	"math"
	"strings"

	"slatewright/measure"
)

// SupportKind is how the piece was held while it was read.
type SupportKind int

// The kinds. Gravity bends a piece differently on each, so the support is part of every number.
const (
	SupportUnknown SupportKind = iota // not given, or words without a place
	SupportBench                      // flat on a bench that carries it everywhere
	SupportLines                      // on bars across the full width of the piece
	SupportPoints                     // on points, such as three jacks
)

// String returns "unknown", "bench", "lines" or "points".
func (k SupportKind) String() string { return [...]string{"unknown", "bench", "lines", "points"}[k] }

// Line is a support across the full width of the piece: all places with x = At (Axis 'x') or y = At (Axis 'y'), mm.
type Line struct {
	Axis byte
	At   float64
}

// Support is how the piece was held. Places are in mm in the file's frame.
type Support struct {
	Kind     SupportKind
	Text     string  // as written
	Fraction float64 // two lines at this fraction of the long side from each end; 0 = not given so
	Lines    []Line  // empty when a fraction was given and the size was not
	Points   [][2]float64
}

func (s Support) shifted(dx, dy float64) Support {
	lines, points := s.Lines, s.Points
	s.Lines, s.Points = nil, nil
	for _, l := range lines {
		d := dx
		if l.Axis == 'y' {
			d = dy
		}
		s.Lines = append(s.Lines, Line{l.Axis, l.At - d})
	}
	for _, p := range points {
		s.Points = append(s.Points, [2]float64{p[0] - dx, p[1] - dy})
	}
	return s
}

// written returns the support as a header value in mm, "" when it is not given.
func (s Support) written() string {
	var parts []string
	switch {
	case s.Kind == SupportBench:
		return "bench"
	case s.Kind == SupportLines && s.Fraction > 0:
		return "lines " + decimal(s.Fraction)
	case s.Kind == SupportLines:
		for _, l := range s.Lines {
			parts = append(parts, string(rune(l.Axis))+" "+decimal(l.At))
		}
		return "lines " + strings.Join(parts, "; ")
	case s.Kind == SupportPoints:
		for _, p := range s.Points {
			parts = append(parts, decimal(p[0])+" "+decimal(p[1]))
		}
		return "points " + strings.Join(parts, "; ")
	}
	return s.Text
}

// supportHow is the next step of every error about a support.
const supportHow = "write '# support: bench', 'lines 0.22' (fraction of the long side from each end), 'lines y -412.4; y 412.4' " +
	"or 'points -274 -354; 274 -354; 0 471'"

// support reads a support. Words that name none of the known ways are kept, and the support counts as unknown.
func (h *heading) support(e entry) error {
	h.Support = Support{Text: e.value}
	word, rest, _ := strings.Cut(e.value, " ")
	var err error
	switch strings.ToLower(word) {
	case "bench":
		h.Support.Kind = SupportBench
		if rest != "" {
			err = fmt.Errorf("nothing may follow 'bench'")
		}
	case "lines":
		h.Support.Kind = SupportLines
		err = h.supportLines(e, rest)
	case "points":
		h.Support.Kind = SupportPoints
		err = h.supportPoints(rest)
	default:
		h.warn(e.line, "the support %q is not one of the known ways and counts as unknown; %s", e.value, supportHow)
	}
	if err != nil {
		return h.bad(e, err, supportHow)
	}
	return nil
}

func (h *heading) supportLines(e entry, text string) error {
	parts := strings.Split(text, ";")
	if len(parts) == 1 && text != "" && !strings.ContainsAny(text[:1], "xyXY") {
		return h.fractionLines(e, text)
	}
	for _, part := range parts {
		axis, rest, _ := strings.Cut(strings.TrimSpace(part), " ")
		axis = strings.ToLower(axis)
		if axis != "x" && axis != "y" {
			return fmt.Errorf("%q does not begin with x or y", strings.TrimSpace(part))
		}
		at, err := h.lengths(rest, 1)
		if err != nil {
			return err
		}
		line := Line{axis[0], at[0]}
		x, y := line.At, h.middle(1)
		if line.Axis == 'y' {
			x, y = h.middle(0), line.At
		}
		if !h.onPiece(x, y) {
			return fmt.Errorf("the line %s %s mm is not on the piece", axis, decimal(line.At))
		}
		h.Support.Lines = append(h.Support.Lines, line)
	}
	if len(parts) < 2 {
		return fmt.Errorf("a piece cannot rest on one line")
	}
	return nil
}

// fractionLines reads "0.22": lines square to the long side, that fraction of it from each end.
func (h *heading) fractionLines(e entry, text string) error {
	f, err := measure.ParseNumber(text)
	if err != nil || !(f > 0 && f < 0.5) {
		return fmt.Errorf("%q is not a fraction between 0 and 0.5", text)
	}
	h.Support.Fraction = f
	switch {
	case h.SizeX == 0:
		h.warn(e.line, "the support lines are a fraction of the long side, and the size is not given; add '# size:' (x by y)")
		return nil
	case h.SizeX == h.SizeY:
		return fmt.Errorf("the piece is square, so it has no long side: say x or y and the place of each line")
	}
	axis, long, mid := byte('y'), h.SizeY, h.middle(1)
	if h.SizeX > h.SizeY {
		axis, long, mid = 'x', h.SizeX, h.middle(0)
	}
	off := float64((0.5 - f) * long)
	h.Support.Lines = []Line{{axis, mid - off}, {axis, mid + off}}
	return nil
}

func (h *heading) supportPoints(text string) error {
	parts := strings.Split(text, ";")
	for _, part := range parts {
		p, err := h.lengths(part, 2)
		if err != nil {
			return err
		}
		if !h.onPiece(p[0], p[1]) {
			return fmt.Errorf("the point %s %s mm is not on the piece", decimal(p[0]), decimal(p[1]))
		}
		h.Support.Points = append(h.Support.Points, [2]float64{p[0], p[1]})
	}
	if len(parts) < 3 {
		return fmt.Errorf("a piece cannot rest on fewer than three points")
	}
	return nil
}

// Thicknesses outside these, in mm, are taken for a wrong unit or a slip. Finished pieces are 19 to 30 mm, near-net ones up to about
// 125 mm before slicing (common practice, no source).
const (
	thinnest = 5
	thickest = 200
)

const thicknessHow = "write '# thickness: x y t', such as '# thickness: -400 -700 25.61'; numbers are in the file's unit unless they carry one"

// thickness reads "x y t".
func (h *heading) thickness(e entry) (Thickness, error) {
	v, err := h.lengths(e.value, 3)
	switch {
	case err != nil:
	case !h.onPiece(v[0], v[1]):
		err = fmt.Errorf("the place %s %s mm is not on the piece", decimal(v[0]), decimal(v[1]))
	case v[2] < thinnest || v[2] > thickest:
		err = fmt.Errorf("a thickness of %s mm is outside %d to %d mm", decimal(v[2]), thinnest, thickest)
	}
	if err != nil {
		return Thickness{}, h.bad(e, err, thicknessHow)
	}
	return Thickness{v[0], v[1], v[2]}, nil
}

// slack is how far, in mm, a place may lie off the piece: sizes are written to the whole mm, and edges are hand dressed
// (common practice, no source).
const slack = 1

// onPiece tells whether a place in the file's frame lies on the piece, as far as is known.
func (h *Header) onPiece(x, y float64) bool {
	return h.SizeX == 0 ||
		math.Abs(x-h.middle(0)) <= float64(h.SizeX/2)+slack && math.Abs(y-h.middle(1)) <= float64(h.SizeY/2)+slack
}

// middle returns the x (axis 0) or y (axis 1) of the piece's middle in the file's frame; 0 if the size that it needs is not known.
func (h *Header) middle(axis int) float64 {
	if h.Origin == Middle {
		return 0
	}
	return float64([2]float64{h.SizeX, h.SizeY}[axis] / 2)
}
