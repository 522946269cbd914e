package judge_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/trouble"
)

// on is a face that was held so.
func on(s face.Support) *face.Face {
	f := grid(flat)
	f.Support = s
	return f
}

func bench() face.Support { return face.Support{Kind: face.SupportBench, Text: "bench"} }

// lines are two full-width lines at that fraction of the long side from each end.
func lines(fraction float64) face.Support {
	at := (0.5 - fraction) * pieceY
	return face.Support{Kind: face.SupportLines, Text: "lines", Fraction: fraction, Lines: []face.Line{{Axis: 'y', At: -at}, {Axis: 'y', At: at}}}
}

func points() face.Support {
	return face.Support{Kind: face.SupportPoints, Text: "points", Points: [][2]float64{{-274, -354}, {274, -354}, {0, 471}}}
}

func supported(a, b, c face.Support) [3]*face.Face { return [3]*face.Face{on(a), on(b), on(c)} }

func prove(t *testing.T, state string, faces [3]*face.Face) judge.Proof {
	t.Helper()
	p, err := judge.Prove(state, faces)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What each support proves of each promise.
func TestSupportDecidesTheState(t *testing.T) {
	all, across, none := judge.Names(), []judge.Name{judge.Across, judge.Thickness}, []judge.Name{judge.Thickness}
	words := face.Support{Text: "two trestles"}
	skew := lines(0.22)
	skew.Lines[1].At += 30
	along := face.Support{Kind: face.SupportLines, Lines: []face.Line{{Axis: 'x', At: -256}, {Axis: 'x', At: 256}}}
	oneSide := face.Support{Kind: face.SupportLines, Lines: []face.Line{{Axis: 'y', At: 412}, {Axis: 'y', At: 413}}}
	three := lines(0.22)
	three.Lines = append(three.Lines, face.Line{Axis: 'y'})
	cases := []struct {
		name, promised string
		faces          [3]*face.Face
		state          string
		proven         []judge.Name
	}{
		{"bench, laid", bed.StateLaid, supported(bench(), bench(), bench()), bed.StateLaid, all},
		{"bench, free", bed.StateFree, supported(bench(), bench(), bench()), judge.AsRead, none},
		{"lines, free", bed.StateFree, supported(lines(0.22), lines(0.22), lines(0.22)), bed.StateFree, across},
		{"lines at the ends of the range, free", bed.StateFree, supported(lines(0.215), lines(0.230), lines(0.22)), bed.StateFree, across},
		{"lines too far out, free", bed.StateFree, supported(lines(0.22), lines(0.2149), lines(0.22)), judge.AsRead, none},
		{"lines too far in, free", bed.StateFree, supported(lines(0.22), lines(0.2301), lines(0.22)), judge.AsRead, none},
		{"one line slipped by 30 mm, free", bed.StateFree, supported(lines(0.22), skew, lines(0.22)), judge.AsRead, none},
		{"lines the other way, free", bed.StateFree, supported(along, along, along), judge.AsRead, none},
		{"both lines on one side, free", bed.StateFree, supported(oneSide, oneSide, oneSide), judge.AsRead, none},
		{"a third line, free", bed.StateFree, supported(three, three, three), judge.AsRead, none},
		{"lines, laid", bed.StateLaid, supported(lines(0.22), lines(0.22), lines(0.22)), judge.AsRead, none},
		{"points, laid", bed.StateLaid, supported(points(), points(), points()), judge.AsRead, none},
		{"points, free", bed.StateFree, supported(points(), points(), points()), judge.AsRead, none},
		{"one of them otherwise, laid", bed.StateLaid, supported(bench(), lines(0.22), bench()), judge.AsRead, none},
		{"one of them otherwise, free", bed.StateFree, supported(lines(0.22), lines(0.22), bench()), judge.AsRead, none},
		{"in words, laid", bed.StateLaid, supported(words, bench(), bench()), judge.AsRead, none},
		{"in words, free", bed.StateFree, supported(words, lines(0.22), lines(0.22)), judge.AsRead, none},
	}
	for _, c := range cases {
		p := prove(t, c.promised, c.faces)
		if p.State != c.state || !slices.Equal(p.Proven, c.proven) || p.Why == "" {
			t.Errorf("%s: %+v", c.name, p)
		}
		if (len(p.Hinder) == 0) != (len(c.proven) == len(all)) {
			t.Errorf("%s: hindrances %+v", c.name, p.Hinder)
		}
		for _, h := range p.Hinder {
			if h.Code != judge.Unsupported || h.Why == "" || h.Next == "" || len(h.On)+len(p.Proven) != len(all) {
				t.Errorf("%s: %+v", c.name, h)
			}
		}
	}
}

// The one that lies wrong is named, not the others.
func TestTheWrongSupportIsNamed(t *testing.T) {
	faces := supported(bench(), lines(0.22), bench())
	faces[1].Piece = "QH-0105"
	h := prove(t, bed.StateLaid, faces).Hinder
	if len(h) != 1 || h[0].Of != "QH-0105" || !strings.Contains(h[0].Next, "full bench") {
		t.Errorf("%+v", h)
	}
}

// A corner origin moves the lines with the piece.
func TestLinesFromTheCorner(t *testing.T) {
	faces := supported(lines(0.22), lines(0.22), lines(0.22))
	for _, f := range faces {
		f.Origin = face.Corner
		for i := range f.Support.Lines {
			f.Support.Lines[i].At += pieceY / 2
		}
	}
	if p := prove(t, bed.StateFree, faces); !p.Lines {
		t.Errorf("%+v", p)
	}
}

// Where the long side lies along the table, lines prove nothing about the bed.
func TestLongSideAlong(t *testing.T) {
	faces := supported(lines(0.22), lines(0.22), lines(0.22))
	for _, f := range faces {
		f.SizeX, f.SizeY = 1600, pieceY
	}
	if p := prove(t, bed.StateFree, faces); p.Lines || len(p.Proven) != 1 {
		t.Errorf("%+v", p)
	}
}

func TestSupportMustBeStated(t *testing.T) {
	faces := supported(bench(), face.Support{}, bench())
	faces[1].Name = "centre.csv"
	_, err := judge.Prove(bed.StateLaid, faces)
	var is *trouble.Trouble
	if !errors.As(err, &is) || is.Kind != trouble.KindData || is.Code != "no-support" || is.Where != "centre.csv" || !strings.Contains(is.Next, "# support:") {
		t.Errorf("%v", err)
	}
	in := input(t, question(bed.NineFoot(), faces[:]...), judge.FewestDraws)
	if _, err := judge.Set(in); !errors.As(err, &is) || is.Code != "no-support" {
		t.Errorf("judged without a support: %v", err)
	}
}
