package bending

import (
	"fmt"
	"strings"

	"slatewright/face"
	"slatewright/plate"
	"slatewright/trouble"
)

// supports are the flags that say what the piece lies on.
type supports struct {
	Lines  *float64 `placeholder:"F" help:"Two bars over the full width at this fraction of the long side from each end, such as 0.22."`
	Points string   `placeholder:"X,Y;…" help:"Points, mm from the middle of the piece."`
	On     string   `placeholder:"NAME" help:"One of the mill's patterns: ends, lines, three, four, six, bench."`
	Best   string   `placeholder:"KIND" help:"Look for the supports of least sag: lines, 3, 4 or 6."`
}

// under returns the supports, and what they are called.
func (v supports) under(p plate.Piece, f *face.Face) (plate.Under, string, error) {
	given := 0
	for _, is := range []bool{v.Lines != nil, v.Points != "", v.On != "", v.Best != ""} {
		if is {
			given++
		}
	}
	switch {
	case given > 1:
		return plate.Under{}, "", trouble.Usage("two-supports", "slatewright sag", "more than one of --lines, --points, --on and --best", "give one of them")
	case v.Lines != nil:
		if !(*v.Lines >= 0 && *v.Lines < 0.5) {
			return plate.Under{}, "", trouble.Usage("bad-lines", "--lines", fmt.Sprintf("%g is not a fraction from 0 to 0.5", *v.Lines), "give the fraction of the long side from each end, such as 0.22")
		}
		return plate.Bars(p.Outline, *v.Lines), "", nil
	case v.Points != "":
		list, err := places(v.Points, 2)
		var u plate.Under
		for _, q := range list {
			u.Points = append(u.Points, plate.Support{X: q[0], Y: q[1]})
		}
		return u, "", err
	case v.On != "":
		n, ok := plate.PatternNamed(v.On)
		if !ok {
			var names []string
			for _, n := range plate.Patterns() {
				names = append(names, n.Name)
			}
			return plate.Under{}, "", trouble.Usage("no-pattern", "--on", fmt.Sprintf("there is no pattern %q", v.On), "give one of "+strings.Join(names, ", "))
		}
		return n.Under(p.Outline), n.Name, nil
	case v.Best != "":
		u, err := plate.Best(p, v.Best)
		return u, "best " + v.Best, err
	case f != nil:
		u, err := lain(f)
		return u, "", err
	}
	return plate.Under{}, "", trouble.Usage("no-supports", "slatewright sag", "what the piece lies on is not given", "give --lines 0.22, --points, --on ends, or --best 3")
}

// lain is what a face's header says that the piece lay on.
func lain(f *face.Face) (u plate.Under, err error) {
	switch s := f.Support; s.Kind {
	case face.SupportBench:
		u.Bench = plate.Even(0)
	case face.SupportLines:
		for _, l := range s.Lines {
			u.Lines = append(u.Lines, plate.Line{Axis: l.Axis, At: l.At})
		}
	case face.SupportPoints:
		for _, q := range s.Points {
			u.Points = append(u.Points, plate.Support{X: q[0], Y: q[1]})
		}
	}
	if u.Bench == nil && len(u.Lines)+len(u.Points) == 0 {
		return u, trouble.Data("support-unsaid", f.Name, "the file does not say on what the piece lay", "write '# support: lines 0.22', or give it by --lines, --points or --on")
	}
	return u, nil
}
