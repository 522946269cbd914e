package rules_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/bed/rules"
)

func read(t *testing.T, text string) pattern.Pattern {
	t.Helper()
	p, err := patternfile.Read("t.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return p
}

const (
	head = "pattern: p\nrevision: r\nsize: 2700 x 1470 mm\nthickness_min: 25 mm\n" // joints at ±450, edges at ±1350 and ±735
	wpa  = "pattern: p\nrevision: r\nsize: 2743 x 1473 mm\nfield: %F\nclaims: wpa-9ft\n"
)

// fault is a spec that just breaks a rule, and one that just keeps it.
type fault struct {
	rule, where, message string
	breaks, keeps        string
}

// hole is a group of one kind in one place; with says the rest.
func hole(name, kind, with, x, y string) string {
	return "  - {name: " + name + ", kind: " + kind + ", diameter: 12 mm, " + with + "at: [[" + x + ", " + y + "]]}\n"
}

func one(with, x, y string) string { return head + "holes:\n" + hole("a", "accessory", with, x, y) }

// faults are planted on either side of each limit, a hundredth of a millimetre apart. Defaults for 25 mm of stone: edge 37.5 mm,
// joint, pocket and support 25 mm, hole 25 mm, web 10 mm, dowel 8 mm.
func faults() []fault {
	const round = "pockets:\n  - {name: k, at: right, centre: [0 mm, 700 mm], radius: 60 mm}\n" // its drop ends at y = 640 mm
	const dowel = "joints:\n  dowels: {diameter: 8 mm, depth: 25 mm, below: %B, at: [0 mm]}\n"
	at := func(text, what string) string { return strings.NewReplacer("%B", what, "%F", what).Replace(text) }
	return []fault{
		// the hole's edge is 6 mm before its middle
		{rules.HoleEdge, "a-1", "37.49 mm of stone", one("", "1306.51 mm", "0 mm"), one("", "1306.5 mm", "0 mm")},
		{rules.HoleEdge, "a-1", "37.49 mm of stone", one("", "0 mm", "-691.51 mm"), one("", "0 mm", "-691.5 mm")},
		{rules.HoleEdge, "a-1", "breaks out", one("", "1345 mm", "0 mm"), one("", "1306 mm", "0 mm")},
		{rules.HoleEdge, "a-1", "beyond it", one("", "0 mm", "900 mm"), one("", "0 mm", "600 mm")},
		// a counterbore of 30 mm reaches 15 mm, a chamfer 1 mm more than the hole
		{rules.HoleEdge, "a-1", "37.49 mm", one("counterbore: {diameter: 30 mm, depth: 5 mm}, ", "1297.51 mm", "0 mm"), one("counterbore: {diameter: 30 mm, depth: 5 mm}, ", "1297.5 mm", "0 mm")},
		{rules.HoleEdge, "a-1", "37.49 mm", one("chamfer: 1 mm, ", "1305.51 mm", "0 mm"), one("chamfer: 1 mm, ", "1305.5 mm", "0 mm")},
		{rules.HoleEdge, "a-1", "30.00 mm of stone", one("", "1314 mm", "0 mm"), strings.Replace(one("", "1314 mm", "0 mm"), "holes:", "clearances: {edge: 30 mm}\nholes:", 1)},
		{rules.HoleJoint, "a-1", "24.99 mm of stone to the joint", one("", "480.99 mm", "0 mm"), one("", "481 mm", "0 mm")},
		{rules.HoleJoint, "a-1", "24.99 mm of stone to the joint", one("", "-419.01 mm", "0 mm"), one("", "-419 mm", "0 mm")},
		{rules.HoleJoint, "a-1", "breaks into", one("", "452 mm", "0 mm"), one("", "500 mm", "0 mm")},
		{rules.HolePocket, "a-1", "24.99 mm of stone to the pocket k", one("", "0 mm", "609.01 mm") + round, one("", "0 mm", "609 mm") + round},
		{rules.HolePocket, "a-1", "lies in the pocket k", one("", "0 mm", "690 mm") + round, one("", "100 mm", "690 mm") + round},
		{rules.HoleHole, "a-1 and b-1", "24.99 mm of stone between them", one("", "0 mm", "0 mm") + hole("b", "accessory", "", "36.99 mm", "0 mm"), one("", "0 mm", "0 mm") + hole("b", "accessory", "", "37 mm", "0 mm")},
		{rules.HoleHole, "a-1 and b-1", "run into one another", one("", "0 mm", "0 mm") + hole("b", "accessory", "", "8 mm", "8 mm"), one("", "0 mm", "0 mm") + hole("b", "accessory", "", "80 mm", "8 mm")},
		// 25 mm of stone less the depth less its tolerance
		{rules.Web, "a-1", "9.99 mm of stone under the counterbore", one("counterbore: {diameter: 30 mm, depth: 15.01 mm}, ", "0 mm", "0 mm"), one("counterbore: {diameter: 30 mm, depth: 15 mm}, ", "0 mm", "0 mm")},
		{rules.Web, "a-1", "9.99 mm of stone under the counterbore", one("tolerance: {depth: 0.51 mm}, counterbore: {diameter: 30 mm, depth: 14.5 mm}, ", "0 mm", "0 mm"), one("tolerance: {depth: 0.5 mm}, counterbore: {diameter: 30 mm, depth: 14.5 mm}, ", "0 mm", "0 mm")},
		{rules.Web, "a-1", "under the hole", one("depth: 15.01 mm, ", "0 mm", "0 mm"), one("depth: 15 mm, ", "0 mm", "0 mm")},
		// a cone of 90° from 42.02 mm to 12 mm is 15.01 mm deep
		{rules.Web, "a-1", "9.99 mm of stone under the countersink", one("countersink: {diameter: 42.02 mm, angle: 90 deg}, ", "0 mm", "0 mm"), one("countersink: {diameter: 42 mm, angle: 90 deg}, ", "0 mm", "0 mm")},
		// a counterbore from the other side meets the blind hole from this
		{rules.Web, "a-1", "9.99 mm", one("depth: 8 mm, from: top, counterbore: {diameter: 30 mm, depth: 7.01 mm, from: bottom}, ", "0 mm", "0 mm"), one("depth: 8 mm, from: top, counterbore: {diameter: 30 mm, depth: 7 mm, from: bottom}, ", "0 mm", "0 mm")},
		// pieces that end at ±x, and a drop that ends at ±60 mm
		{rules.JointPocket, "joint a and k-r", "24.99 mm of stone between joint and pocket", head + "pieces: [1265.01 mm, 1434.99 mm]\n" + round, head + "pieces: [1265 mm, 1435 mm]\n" + round},
		{rules.JointPocket, "joint a and k-r", "runs through the pocket", head + "pieces: 2\n" + round, head + "pieces: 3\n" + round},
		{rules.Dowels, "dowel-1", "7.99 mm of stone above", head + at(dowel, "11.99 mm"), head + at(dowel, "12 mm")},
		{rules.Dowels, "dowel-1", "7.99 mm of stone below", head + at(dowel, "13.01 mm"), head + at(dowel, "13 mm")},
		// a dowel's hole reaches 25 mm from the joint
		{rules.Dowels, "dowel-b1", "24.99 mm of stone between the dowel's hole and a-1", one("", "505.99 mm", "0 mm") + at(dowel, "12 mm"), one("", "506 mm", "0 mm") + at(dowel, "12 mm")},
		{rules.Dowels, "dowel-a1", "bed's edge", head + "pieces: 2\n" + strings.Replace(at(dowel, "12 mm"), "[0 mm]", "[693.51 mm]", 1), head + "pieces: 2\n" + strings.Replace(at(dowel, "12 mm"), "[0 mm]", "[693.5 mm]", 1)},
		// a support 85 mm from the drop's middle is 25 mm from its edge
		{rules.Supports, "support 1 of centre", "24.99 mm from the support's middle to the pocket k", head + round + "supports:\n  centre: [[0 mm, 615.01 mm], [-300 mm, 0 mm], [300 mm, 0 mm]]\n", head + round + "supports:\n  centre: [[0 mm, 615 mm], [-300 mm, 0 mm], [300 mm, 0 mm]]\n"},
		{rules.Supports, "support 1 of centre", "stands under the pocket k", head + round + "supports:\n  centre: [[0 mm, 700 mm], [-300 mm, 0 mm], [300 mm, 0 mm]]\n", head + round + "supports:\n  centre: [[0 mm, 500 mm], [-300 mm, 0 mm], [300 mm, 0 mm]]\n"},
		{rules.Strips, "s", "beyond the bed", head + "strips: [{name: s, from: [500 mm, 600 mm], to: [900 mm, 735.01 mm], thickness: 18 mm}]\n", head + "strips: [{name: s, from: [500 mm, 600 mm], to: [900 mm, 735 mm], thickness: 18 mm}]\n"},
		{rules.Strips, "s", "across joint b", head + "strips: [{name: s, from: [449.99 mm, 600 mm], to: [900 mm, 735 mm], thickness: 18 mm}]\n", head + "strips: [{name: s, from: [450 mm, 600 mm], to: [900 mm, 735 mm], thickness: 18 mm}]\n"},
		{rules.NotAlike, "a-1", "no such hole at the other end", head + "symmetry: ends\nholes:\n" + hole("a", "rail-bolt", "symmetry: none, ", "100 mm", "0 mm"), head + "symmetry: ends\nholes:\n" + hole("a", "rail-bolt", "", "100 mm", "0 mm")},
		{rules.NotAlike, "a-1", "no such hole on the other side", head + "symmetry: sides\nholes:\n" + hole("a", "rail-bolt", "symmetry: none, ", "100 mm", "50 mm"), head + "symmetry: sides\nholes:\n" + hole("a", "accessory", "symmetry: none, ", "100 mm", "50 mm")},
		// two groups that are each other's image but for a hundredth
		{rules.NotAlike, "a-1", "no such hole when the bed is turned", head + "symmetry: turned\nholes:\n" + hole("a", "rail-bolt", "symmetry: none, ", "100 mm", "50 mm") + hole("b", "rail-bolt", "symmetry: none, ", "-100.01 mm", "-50 mm"), head + "symmetry: turned\nholes:\n" + hole("a", "rail-bolt", "symmetry: none, ", "100 mm", "50 mm") + hole("b", "rail-bolt", "symmetry: none, ", "-100 mm", "-50 mm")},
		{rules.NotAlike, "k-r", "no such pocket on the other side", head + "symmetry: sides\n" + strings.Replace(round, "{name", "{symmetry: none, name", 1), head + "symmetry: sides\n" + round},
		{rules.NotAlike, "joint a, joint b", "no joint at the other end", head + "symmetry: ends\npieces: [900 mm, 899.99 mm, 900.01 mm]\n", head + "symmetry: ends\npieces: [900.01 mm, 899.98 mm, 900.01 mm]\n"},
		{rules.NotAlike, "dowel-1", "no such dowel when the bed is turned", head + "symmetry: turned\n" + strings.Replace(at(dowel, "12 mm"), "[0 mm]", "[300 mm]", 1), head + "symmetry: turned\n" + strings.Replace(at(dowel, "12 mm"), "[0 mm]", "[300 mm, -300 mm]", 1)},
		{rules.NotAlike, "s", "no such strip on the other side", head + "symmetry: sides\nstrips: [{name: s, symmetry: none, from: [500 mm, 600 mm], to: [900 mm, 700 mm], thickness: 18 mm}]\n", head + "symmetry: sides\nstrips: [{name: s, from: [500 mm, 600 mm], to: [900 mm, 700 mm], thickness: 18 mm}]\n"},
		{rules.NotAlike, "support 1 of head, support 2 of head, support 3 of head", "no support at the other end", head + "symmetry: ends\nsupports:\n  head: [[-300 mm, 0 mm], [300 mm, 0 mm], [0 mm, 500 mm]]\n", head + "symmetry: ends\nsupports:\n  head: [[-300 mm, 0 mm], [300 mm, 0 mm], [0 mm, 500 mm]]\n  foot: [[-300 mm, 0 mm], [300 mm, 0 mm], [0 mm, 500 mm]]\n"},
		// 12 mm less 0.2 mm less a zone of 1.3 mm is a pin of 10.5 mm; a bolt of 9 mm and a mate in a zone of 1.5 mm
		{rules.BoltFloat, "a-1", "passes a straight pin of 10.49 mm", one("bolt: 9 mm, mating: 1.5 mm, tolerance: {position: 1.31 mm, diameter: 0.2 mm}, ", "0 mm", "0 mm"), one("bolt: 9 mm, mating: 1.5 mm, tolerance: {position: 1.3 mm, diameter: 0.2 mm}, ", "0 mm", "0 mm")},
		// two places of one row in two pieces: the laying of the pieces counts
		{rules.BoltFloat, "a-1, a-2", "over pieces laid in a zone of 0.51 mm, needs 10.51 mm", spanning("0.51 mm", "600 mm"), spanning("0.5 mm", "600 mm")},
		{rules.BoltFloat, "a-1, a-2", "laid in a zone of 9.00 mm", spanning("9 mm", "600 mm"), spanning("9 mm", "300 mm")},
		{rules.BoltFloat, "a-1", "cannot be told", one("bolt: 9 mm, ", "0 mm", "0 mm"), one("", "0 mm", "0 mm")},
		{rules.Tournament, "field, along", "between the cushion noses", at(wpa, "2543.18 x 1270 mm"), at(wpa, "2543.17 x 1270 mm")},
		{rules.Tournament, "field, across", "between the cushion noses", at(wpa, "2540 x 1269.99 mm"), at(wpa, "2540 x 1270 mm")},
		{rules.Tournament, "field", "does not give the field", strings.Replace(at(wpa, ""), "field: \n", "", 1), at(wpa, "2540 x 1270 mm")},
		{rules.Tournament, "thickness_min", "ask for 25.40 mm", at(wpa, "2540 x 1270 mm") + "thickness_min: 25.39 mm\n", at(wpa, "2540 x 1270 mm") + "thickness_min: 1 in\n"},
		{rules.Tournament, "pieces", "3 pieces of equal size", at(wpa, "2540 x 1270 mm") + "pieces: 2\n", at(wpa, "2540 x 1270 mm") + "pieces: 3\n"},
		{rules.Tournament, "pieces", "equal size", at(wpa, "2540 x 1270 mm") + "pieces: [914 mm, 915 mm, 914 mm]\n", at(wpa, "2540 x 1270 mm")},
		{rules.Tournament, "limits.across", "0.255 mm is promised", at(wpa, "2540 x 1270 mm") + "limits: {across: 0.255 mm}\n", at(wpa, "2540 x 1270 mm") + "limits: {across: 0.010 in}\n"},
		{rules.Tournament, "limits.lengthwise", "promised", at(wpa, "2540 x 1270 mm") + "limits: {lengthwise: 0.6 mm}\n", at(wpa, "2540 x 1270 mm") + "limits: {lengthwise: 0.020 in}\n"},
		{rules.Tournament, "limits.step", "promised", at(wpa, "2540 x 1270 mm") + "limits: {step: 0.128 mm}\n", at(wpa, "2540 x 1270 mm") + "limits: {step: 0.005 in}\n"},
		pocketFault("a mouth of 117.48 mm", "mouth: 117.48 mm, shelf: 40 mm", "mouth: 117.475 mm, shelf: 40 mm"),
		pocketFault("a mouth of 114.29 mm", "mouth: 114.29 mm, shelf: 40 mm", "mouth: 4.5 in, shelf: 40 mm"),
		pocketFault("a shelf of 57.16 mm", "mouth: 116 mm, shelf: 57.16 mm", "mouth: 116 mm, shelf: 2 1/4 in"),
		pocketFault("a shelf of 25.39 mm", "mouth: 116 mm, shelf: 25.39 mm", "mouth: 116 mm, shelf: 1 in"),
		pocketFault("a cut angle of 143.1°", "mouth: 116 mm, shelf: 40 mm, cut_angle: 143.1 deg", "mouth: 116 mm, shelf: 40 mm, cut_angle: 143 deg"),
		pocketFault("a back draft of 15.1°", "mouth: 116 mm, shelf: 40 mm, back_draft: 15.1 deg", "mouth: 116 mm, shelf: 40 mm, back_draft: 15 deg"),
		pocketFault("the mouth is not given", "centre: [1300 mm, 665 mm]", "mouth: 116 mm, shelf: 40 mm"),
	}
}

// spanning is a row of two holes that pass a pin of 10.5 mm for a bolt of 10 mm, from the centre piece to the other x.
func spanning(placing, x string) string {
	return head + "joints: {placing: " + placing + "}\nholes:\n  - {name: a, kind: rail-bolt, diameter: 12 mm, bolt: 10 mm, tolerance: {position: 1.5 mm}, at: [[200 mm, 300 mm], [" + x + ", 300 mm]]}\n"
}

func pocketFault(message, breaks, keeps string) fault {
	text := func(with string) string {
		return strings.Replace(wpa, "%F", "2540 x 1270 mm", 1) + "pockets: [{name: c, at: corner, radius: 60 mm, " + with + "}]\n"
	}
	return fault{rules.Tournament, "c", message, text(breaks), text(keeps)}
}

func TestPlantedFaults(t *testing.T) {
	planted := map[string]bool{}
	for i, f := range faults() {
		planted[f.rule] = true
		if got := rules.Check(read(t, f.keeps)); len(got) != 0 {
			t.Errorf("%d, %s: a pattern that just keeps it has %+v", i, f.rule, got)
		}
		got := rules.Check(read(t, f.breaks))
		if len(got) == 0 {
			t.Errorf("%d, %s: a pattern that breaks it passes", i, f.rule)
			continue
		}
		if got[0].Rule != f.rule || got[0].Where != f.where || !strings.Contains(got[0].Message, f.message) {
			t.Errorf("%d: got %+v, want %s of %s: %s", i, got, f.rule, f.where, f.message)
		}
		for _, p := range got {
			if p.Rule != f.rule {
				t.Errorf("%d, %s: another rule is broken too: %+v", i, f.rule, p)
			}
		}
	}
	for _, r := range rules.Rules() {
		if !planted[r.Name] || r.Says == "" {
			t.Errorf("no fault is planted for %s", r.Name)
		}
	}
}

func TestShippedPatternsKeepTheRules(t *testing.T) {
	files, err := filepath.Glob("../../docs/examples/bed/*foot.yaml")
	if err != nil || len(files) != 4 {
		t.Fatal(files, err)
	}
	claims := 0
	for _, file := range files {
		p, err := patternfile.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if problems := rules.Check(p); len(problems) > 0 {
			t.Errorf("%s: %+v", file, problems)
		}
		if p.Claim != "" {
			claims++
		}
	}
	if claims < 3 {
		t.Errorf("only %d shipped patterns claim published rules", claims)
	}
}

// What is alike under the symmetry is told once, with every place; the line is that of the group.
func TestLikesAreToldTogether(t *testing.T) {
	p := read(t, head+"symmetry: quarter\nholes:\n"+hole("a", "rail-bolt", "", "1320 mm", "300 mm"))
	got := rules.Check(p)
	if len(got) != 1 || got[0].Line != 7 {
		t.Fatalf("%+v", got)
	}
	features := slices.Sorted(slices.Values(got[0].Features))
	if !slices.Equal(features, []string{"a-1fl", "a-1fr", "a-1hl", "a-1hr"}) || got[0].Where != "a-1" {
		t.Errorf("%+v", got)
	}
	if rules.Check(read(t, head)) != nil {
		t.Error("a bare bed has problems")
	}
}
