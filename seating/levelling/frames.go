package levelling

import (
	"slices"
	"strings"

	"slatewright/trouble"
)

// Frame is a pattern of supports that a frame of unknown make may have: what a bed is levelled on when nobody knows the customer's.
type Frame struct {
	Name  string
	Words string
	at    func(x, y float64) [][2]float64
}

// Frames are the patterns to assume, all without a source: common practice. x and y are the size of a piece, mm.
func Frames() []Frame {
	rows := func(xs, ys []float64) func(x, y float64) [][2]float64 {
		return func(x, y float64) (list [][2]float64) {
			for _, u := range xs {
				for _, v := range ys {
					list = append(list, [2]float64{float64(u * x), float64(v * y)})
				}
			}
			return list
		}
	}
	return []Frame{
		{"joint-beams", "a beam across the table under every joint and end, three supports on each under a piece", rows([]float64{-0.42, 0.42}, []float64{-0.35, 0, 0.35})},
		{"two-rails", "two rails along the table at a quarter of its width, three supports on each under a piece", rows([]float64{-0.42, 0, 0.42}, []float64{-0.25, 0.25})},
		{"ring", "a frame under the outer edges and no beam inside: the ends of each piece only", rows([]float64{-0.42, 0, 0.42}, []float64{-0.45, 0.45})},
		{"joint-beams-and-rail", "beams under the joints and a rail along the middle of the table", func(x, y float64) [][2]float64 {
			return append(rows([]float64{-0.42, 0.42}, []float64{-0.4, -0.2, 0, 0.2, 0.4})(x, y), [2]float64{})
		}},
	}
}

// FrameNamed finds a pattern.
func FrameNamed(name string) (Frame, error) {
	var names []string
	for _, f := range Frames() {
		if f.Name == name {
			return f, nil
		}
		names = append(names, f.Name)
	}
	slices.Sort(names)
	return Frame{}, trouble.Usage("no-frame", "frame", "there is no frame called "+name, "name one of "+strings.Join(names, ", "))
}

// Supports are those under a piece of the given size, from its middle, mm.
func (f Frame) Supports(x, y float64) [][2]float64 { return f.at(x, y) }
