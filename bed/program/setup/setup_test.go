package setup_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/setup"
	"slatewright/trouble"
)

func job(bores []setup.Bore, cuts ...setup.Cut) setup.Job {
	return setup.Job{Pattern: "p", Revision: "1", Piece: "head", Thickness: 25, Bores: bores, Cuts: cuts, Stone: shape.Rectangle(shape.Point{X: -400, Y: -600}, shape.Point{X: 400, Y: 600})}
}

func on(way machine.Way) *machine.Machine {
	return &machine.Machine{ZeroXY: machine.Middle, ZeroZ: machine.Stone, Break: machine.Breakthrough{Way: way, Board: 18, Into: 4, Overlap: 1}}
}

func of(t *testing.T, j setup.Job, m *machine.Machine) []*setup.Setup {
	t.Helper()
	list, err := setup.Of(j, m)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// The face with fewer holes through the stone comes first, the bottom where they are alike.
func TestFacesInTheirOrder(t *testing.T) {
	top, bottom := setup.Bore{Name: "a", Diameter: 8}, setup.Bore{Name: "b", X: 100, Diameter: 8, From: pattern.Bottom}
	blind := setup.Bore{Name: "c", X: 200, Diameter: 8, Depth: 5, From: pattern.Bottom}
	for _, c := range []struct {
		bores []setup.Bore
		want  []pattern.Face
	}{
		{[]setup.Bore{top}, []pattern.Face{pattern.Top}},
		{[]setup.Bore{bottom}, []pattern.Face{pattern.Bottom}},
		{[]setup.Bore{top, bottom}, []pattern.Face{pattern.Bottom, pattern.Top}},
		{[]setup.Bore{top, blind}, []pattern.Face{pattern.Bottom, pattern.Top}},
		{[]setup.Bore{bottom, {Name: "d", Diameter: 8, Depth: 5}}, []pattern.Face{pattern.Top, pattern.Bottom}},
	} {
		var got []pattern.Face
		list := of(t, job(c.bores), on(machine.OnBoard))
		for i, s := range list {
			got = append(got, s.Up)
			if s.First != (i == 0) || s.Last != (i == len(list)-1) {
				t.Errorf("%v: first %v, last %v", s.Up, s.First, s.Last)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v, want %v", got, c.want)
		}
	}
}

// From both faces: each goes half way and half the overlap, and only the second comes out.
func TestBothFacesMeet(t *testing.T) {
	list := of(t, job([]setup.Bore{{Name: "a", X: 30, Y: 40, Diameter: 8}}), on(machine.BothFaces))
	if len(list) != 2 {
		t.Fatalf("%d setups", len(list))
	}
	first, second := list[0].Targets[0], list[1].Targets[0]
	if first.Depth != 13 || first.Breaks != 0 || second.Depth != 13 || second.Breaks != 12 {
		t.Errorf("%+v, then %+v", first, second)
	}
	if math.Abs(first.Centre.X+30) > 1e-9 || math.Abs(second.Centre.X-30) > 1e-9 || math.Abs(first.Centre.Y-40) > 1e-9 {
		t.Errorf("at %v, then at %v", first.Centre, second.Centre)
	}
	if list[0].Board != 0 {
		t.Error("there is no board to cut into")
	}
}

// A hole with a counterbore on the other face comes out where the counterbore begins.
func TestCounterboreOnTheOtherFace(t *testing.T) {
	list := of(t, job([]setup.Bore{{Name: "a", Diameter: 8, Counter: &pattern.Counter{Diameter: 20, Depth: 9, From: pattern.Bottom}}}), on(machine.OnBoard))
	if len(list) != 2 || list[0].Targets[0].Name != "a counterbore" || list[1].Targets[0].Breaks != 16 || list[1].Targets[0].Depth != 25 {
		t.Errorf("%+v", list)
	}
}

// What lies beyond the stone is no wall: of a round cut about the corner a quarter is.
func TestWallsLieInTheStone(t *testing.T) {
	corner := setup.Cut{Name: "corner", Outline: shape.Circle(shape.Point{X: 400, Y: 600}, 60)}
	target := of(t, job(nil, corner), on(machine.OnBoard))[0].Targets[0]
	wall, rest := 0.0, 0.0
	for _, s := range target.Wall {
		wall += s.Length()
	}
	for _, s := range target.Rest {
		rest += s.Length()
	}
	if math.Abs(wall-math.Pi/2*60) > 1e-6 || math.Abs(rest-(2*800+2*1200-2*60)) > 1e-6 {
		t.Errorf("the wall is %.4f long, the rest of the edge %.4f", wall, rest)
	}
	if beside := of(t, job([]setup.Bore{{Name: "a", Diameter: 8}}, setup.Cut{Name: "away", Outline: shape.Circle(shape.Point{X: 900}, 60)}), on(machine.OnBoard))[0]; len(beside.Targets) != 1 {
		t.Errorf("%d targets", len(beside.Targets))
	}
}

func TestJobsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		j    setup.Job
		what string
	}{
		{setup.Job{Piece: "head"}, "no thickness"},
		{job(nil), "no hole and no cut"},
		{job([]setup.Bore{{Name: "a"}}), "diameter is missing"},
		{job([]setup.Bore{{Name: "a", Diameter: 8, Depth: 30}}), "deeper than the stone"},
		{job([]setup.Bore{{Name: "a", Diameter: 8, Counter: &pattern.Counter{Diameter: 8, Depth: 5}}}), "no wider than the hole"},
		{job([]setup.Bore{{Name: "a", Diameter: 8, Counter: &pattern.Counter{Diameter: 18, Depth: 25}}}), "as deep as the stone"},
		{job(nil, setup.Cut{Name: "k", Outline: shape.Contour{{X: 0, Y: 0}, {X: 10, Y: 10}, {X: 10, Y: 0}, {X: 0, Y: 10}}}), "cannot be cut"},
	} {
		_, err := setup.Of(c.j, on(machine.OnBoard))
		if at := new(trouble.Trouble); !errors.As(err, &at) || !strings.Contains(at.What, c.what) {
			t.Errorf("%s: %v", c.what, err)
		}
	}
}

// The jobs of a pattern: all holes and pockets of the bed in some piece, in that piece's own frame.
func TestJobsOfAPattern(t *testing.T) {
	p, err := patternfile.ReadFile("../../../docs/examples/bed/snooker-twelve-foot.yaml")
	if err != nil {
		t.Fatal(err)
	}
	jobs, err := setup.From(p, "", 0)
	if err != nil {
		t.Fatal(err)
	}
	bores, cuts := 0, map[string]bool{}
	for i, j := range jobs {
		bores += len(j.Bores)
		for _, b := range j.Bores {
			at := slices.IndexFunc(p.Holes, func(h pattern.Hole) bool { return h.Name == b.Name })
			if at < 0 || math.Abs(p.Holes[at].X-p.Pieces[i].Middle.X-b.X) > 1e-9 || !j.Stone.Inside(shape.Point{X: b.X, Y: b.Y}) {
				t.Errorf("%s in %s", b.Name, j.Piece)
			}
		}
		for _, c := range j.Cuts {
			cuts[c.Name] = true
		}
	}
	if len(jobs) != 5 || bores != len(p.Holes) || len(cuts) != len(p.Pockets) || bores == 0 {
		t.Errorf("%d pieces, %d of %d holes, %d of %d pockets", len(jobs), bores, len(p.Holes), len(cuts), len(p.Pockets))
	}
	if thick, err := setup.From(p, "head", 51.5); err != nil || len(thick) != 1 || thick[0].Thickness != 51.5 {
		t.Errorf("%v", err)
	}
	if _, err := setup.From(p, "tail", 0); err == nil {
		t.Error("there is a piece called tail")
	}
}
