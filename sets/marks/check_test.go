package marks_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/sets/marks"
)

// told are the faults of an answer, as "kind of piece".
func told(a marks.Answer) string {
	var list []string
	for _, f := range a.Faults {
		s := string(f.Kind)
		if f.Piece != "" {
			s += " " + f.Piece
		}
		if f.Other != "" {
			s += " (" + f.Other + ")"
		}
		list = append(list, s)
	}
	return strings.Join(list, ", ")
}

// orders are all orders of three.
var orders = [][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}

func check(t *testing.T, wanted string, b marks.Book, scans ...marks.Scan) marks.Answer {
	t.Helper()
	a, err := marks.Check(scans, wanted, b)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func scans(texts ...string) (list []marks.Scan) {
	for _, x := range texts {
		list = append(list, marks.Scan{Text: x})
	}
	return list
}

// Three right codes pack in any order, with either mark of the centre, typed or scanned, with a book and without.
func TestThreeRightCodesPackInAnyOrder(t *testing.T) {
	m := newMill()
	for _, order := range orders {
		for _, joint := range []marks.Joint{1, 2} {
			codes := [3]string{m.mark("S1", bed.Head, 1), m.mark("S1", bed.Centre, joint), m.mark("S1", bed.Foot, 2)}
			for typed := range 8 {
				var given []string
				for k, i := range order {
					c := codes[i]
					if typed&(1<<k) != 0 {
						c = strings.ToLower(m.sets["S1"].Pieces[i])
					}
					given = append(given, c)
				}
				a := check(t, "", m, scans(given...)...)
				if a.Outcome != marks.Packs || a.Set != "S1" || a.Pieces != [3]string{"P1", "P2", "P3"} || len(a.Faults) != 0 || len(a.Missing) != 0 {
					t.Errorf("%q: %+v", given, a)
				}
				if typed == 0 {
					if a := check(t, "", nil, scans(given...)...); a.Outcome != marks.Packs || a.Set != "S1" || a.Pieces != [3]string{"P1", "P2", "P3"} {
						t.Errorf("without a book, %q: %+v", given, a)
					}
				}
			}
		}
	}
}

// Every fault, by what somebody at the bench does wrong. Each kind is met.
func TestEveryFaultIsNamed(t *testing.T) {
	m := newMill()
	h1, c1, f1 := m.mark("S1", bed.Head, 1), m.mark("S1", bed.Centre, 1), m.mark("S1", bed.Foot, 2)
	c1b := m.mark("S1", bed.Centre, 2)
	h2, c2, f2 := m.mark("S2", bed.Head, 1), m.mark("S2", bed.Centre, 1), m.mark("S2", bed.Foot, 2)
	h3, c3, f3 := m.mark("S3", bed.Head, 1), m.mark("S3", bed.Centre, 1), m.mark("S3", bed.Foot, 2)
	relabelled := func(set string, pieces ...string) []string {
		var codes []string
		for _, k := range marks.Of(set, [3]string(pieces)) {
			codes = append(codes, k.Code())
		}
		return codes
	}
	moved := newMill() // S3 was parted, and two of its pieces were laid up anew
	moved.sets["S7"] = marks.Set{Number: "S7", Pieces: []string{"P7", "P8", "P1"}}
	for _, p := range []string{"P7", "P8"} {
		moved.pieces[p] = marks.Piece{Number: p, Set: "S7"}
	}
	met := map[marks.FaultKind]bool{}
	for _, c := range []struct {
		name   string
		codes  []string
		wanted string
		book   marks.Book
		says   marks.Outcome
		set    string
		faults string
	}{
		{"nothing yet", nil, "", m, marks.NotYet, "", ""},
		{"one", []string{h1}, "", m, marks.NotYet, "S1", ""},
		{"two", []string{f1, h1}, "", m, marks.NotYet, "S1", ""},
		{"one of another set", []string{h1, c1, f2}, "", m, marks.Refused, "S1", "other-set P6 (S2)"},
		{"one of another set first", []string{f2, c1, h1}, "", m, marks.Refused, "S1", "other-set P6 (S2)"},
		{"one of another set at another place", []string{h1, c1, h2}, "", m, marks.Refused, "S1", "other-set P4 (S2)"},
		{"two of the other", []string{h2, c1, f2}, "", m, marks.Refused, "S2", "other-set P2 (S1)"},
		{"without a book", []string{h2, c1, f2}, "", nil, marks.Refused, "S2", "other-set P2 (S1)"},
		{"the wanted set wins", []string{h2, c1, f2}, "S1", m, marks.Refused, "S1", "other-set P4 (S2), other-set P6 (S2)"},
		{"a first code of another set than wanted", []string{h2}, "s1", m, marks.Refused, "S1", "other-set P4 (S2)"},
		{"a wanted set that is not there", []string{h1}, "S99", m, marks.Refused, "S99", "unknown-set (S99), other-set P1 (S1)"},
		{"two of two sets", []string{h1, f2}, "", m, marks.Refused, "", "mixed"},
		{"three of three sets", []string{h1, f2, m.mark("S6", bed.Centre, 1)}, "", m, marks.Refused, "", "mixed"},
		{"two and two", []string{h1, f2, c1, h2}, "", m, marks.Refused, "", "mixed"},
		{"the same code twice", []string{h1, h1, f1}, "", m, marks.NotYet, "S1", "same-code P1"},
		{"the same code twice, capitals locked", []string{h1, strings.ToLower(h1), f1}, "", m, marks.NotYet, "S1", "same-code P1"},
		{"three times", []string{h1, h1, h1}, "", m, marks.NotYet, "S1", "same-code P1, same-code P1"},
		{"both marks of the centre", []string{c1, c1b, f1}, "", m, marks.NotYet, "S1", "same-piece P2"},
		{"a code and its number", []string{h1, "P1", f1}, "", m, marks.NotYet, "S1", "same-piece P1"},
		{"the same twice, and then all", []string{h1, h1, c1, f1}, "", m, marks.Packs, "S1", "same-code P1"},
		{"the old marks of a parted set", []string{h3, c3, f3}, "", m, marks.Refused, "", "set-parted (S3)"},
		{"a parted set that is wanted", nil, "S3", m, marks.Refused, "S3", "set-parted (S3)"},
		{"a parted set that is wanted, with its old marks", []string{h3, c3, f3}, "S3", m, marks.Refused, "S3", "set-parted (S3)"},
		{"one old mark", []string{h1, c1, f3}, "", m, marks.Refused, "S1", "parted P9 (S3)"},
		{"the same old mark twice", []string{f3, f3}, "", m, marks.Refused, "", "parted P9 (S3), same-code P9"},
		{"an old mark of a piece in a new set", []string{h3, c3}, "", moved, marks.Refused, "S7", "parted-now P7 (S3), parted-now P8 (S3)"},
		{"a mark of a set that it never was in", []string{relabelled("S2", "P1", "P2", "P3")[0]}, "", m, marks.Refused, "S1", "moved P1 (S2)"},
		{"marks put on in another order", relabelled("S1", "P3", "P2", "P1"), "", m, marks.Refused, "S1", "old-place P3, old-place P1, same-piece P2"},
		{"two for one place", []string{h1, relabelled("S1", "X1", "X2", "X3")[0], f1}, "", nil, marks.Refused, "S1", "place-twice X1 (P1)"},
		{"a loose piece typed", []string{h1, c1, "loose"}, "", m, marks.Refused, "S1", "no-set LOOSE"},
		{"a mark of a set that the book does not have", []string{relabelled("S98", "P1", "P2", "P3")[0]}, "", m, marks.Refused, "S1", "unknown-set P1 (S98)"},
		{"a mark of another mill", []string{of("QH-0007")[0].Code()}, "", m, marks.Refused, "QH-0007", "unknown QH-P012 (QH-P012)"},
		{"five pieces", []string{"Q1", "Q2", "Q3"}, "", m, marks.Refused, "S4", "not-three"},
		{"shipped", []string{"R1", "R2", "R3"}, "", m, marks.Refused, "S5", "shipped (H1)"},
		{"packed already", []string{"T1", "T2", "T3"}, "", m, marks.Packs, "S6", ""},
		{"a letter for a code", []string{h1, "A", f1}, "", m, marks.NotYet, "S1", "letter"},
		{"the certificate's address", []string{"https://mill.example/certificate/QH-T7", c1, f1}, "", m, marks.NotYet, "S1", "certificate (QH-T7)"},
		{"the certificate's code", []string{"set: S1\nsha256: 9f2c5a1e", c1, f1}, "", m, marks.NotYet, "S1", "certificate (S1)"},
		{"a parcel's address", []string{"https://example.org/track/7", c1, f1}, "", m, marks.NotYet, "S1", "address"},
		{"a reader of another keyboard", []string{strings.ReplaceAll(h1, "1", "!"), h1[:6] + strings.ReplaceAll(h1[6:], "P", "?"), f1}, "", m, marks.NotYet, "S1", "spoilt, nothing"},
		{"a later form", []string{"M7.07.ABC.DEF", c1, f1}, "", m, marks.NotYet, "S1", "newer"},
		{"garbage", []string{"%%%", c1, f1}, "", m, marks.NotYet, "S1", "nothing"},
		{"garbage besides", []string{h1, c1, "%%%", f1}, "", m, marks.Packs, "S1", "nothing"},
		{"the set's number", []string{"s1", c1, f1}, "", m, marks.NotYet, "S1", "set-number (S1)"},
		{"a slip of the finger", []string{"P11", c1, f1}, "", m, marks.NotYet, "S1", "unknown-number (P11)"},
		{"typed without a book", []string{"P1", c1, f1}, "", nil, marks.NotYet, "S1", "needs-book (P1)"},
	} {
		for _, f := range check(t, c.wanted, c.book, scans(c.codes...)...).Faults {
			met[f.Kind] = true
		}
		a := check(t, c.wanted, c.book, scans(c.codes...)...)
		if a.Outcome != c.says || a.Set != c.set || told(a) != c.faults {
			t.Errorf("%s: %s of %q, %q; want %s of %q, %q", c.name, a.Outcome, a.Set, told(a), c.says, c.set, c.faults)
		}
		if len(a.Reads) != len(c.codes) {
			t.Errorf("%s: %d codes came to %d", c.name, len(c.codes), len(a.Reads))
		}
		for _, f := range a.Faults {
			if f.Piece != "" && !slices.ContainsFunc(a.Reads, func(r marks.Reading) bool { return r.Wrong && r.Piece == f.Piece }) {
				t.Errorf("%s: no code is marked for %v", c.name, f)
			}
		}
	}
	for _, codes := range orders { // swapped pieces of two sets, in any order
		given := []string{h1, c2, f1}
		a := check(t, "", m, scans(given[codes[0]], given[codes[1]], given[codes[2]])...)
		if a.Outcome != marks.Refused || told(a) != "other-set P5 (S2)" || len(a.Missing) != 1 || a.Missing[0] != (marks.Absent{Place: bed.Centre, Piece: "P2", Station: "bench"}) {
			t.Errorf("%v: %+v", codes, a)
		}
	}
	for _, seen := range [][3]marks.Corner{{marks.FarRight}, {marks.NearRight}, {marks.FarLeft}, {"", marks.NearLeft}, {marks.FarRight, marks.NearRight, marks.NearRight}, {marks.NearRight, marks.FarRight, marks.FarRight}} {
		for _, f := range check(t, "", m, seenAt([3]string{h1, c1, f1}, seen)...).Faults {
			met[f.Kind] = true
		}
	}
	for _, f := range check(t, "", m, seenAt([3]string{h1, "P2", f1}, [3]marks.Corner{"", marks.FarRight})...).Faults {
		met[f.Kind] = true
	}
	for _, k := range marks.FaultKinds() {
		if !met[k] {
			t.Errorf("nothing came to %s", k)
		}
	}
}

func seenAt(codes [3]string, seen [3]marks.Corner) (list []marks.Scan) {
	for i, c := range codes {
		list = append(list, marks.Scan{Text: c, Seen: seen[i]})
	}
	return list
}

// corner is the corner of a piece at which a point of it lies: x toward the foot, y to the right.
func corner(x, y float64) marks.Corner {
	switch {
	case x < 0 && y < 0:
		return marks.FarLeft
	case x < 0:
		return marks.FarRight
	case y < 0:
		return marks.NearLeft
	}
	return marks.NearRight
}

// lie is how a piece may lie: what becomes of a point of it.
type lie struct {
	name string
	x, y float64
}

// All ways in which three pieces may lie, each turned or mirrored by the geometry of the bed's frame, in all orders, with either mark of the centre.
func TestAllTurnsAndMirrors(t *testing.T) {
	m := newMill()
	ways := []lie{{"right", 1, 1}, {"turned", -1, -1}, {"mirrored-side", 1, -1}, {"mirrored-end", -1, 1}}
	count := 0
	for _, joint := range []marks.Joint{1, 2} {
		codes := [3]string{m.mark("S1", bed.Head, 1), m.mark("S1", bed.Centre, joint), m.mark("S1", bed.Foot, 2)}
		end := [3]float64{1, map[marks.Joint]float64{1: -1, 2: 1}[joint], -1} // where the mark is by the rule: at the joint, and on the left
		for n := range 64 {
			lies := [3]lie{ways[n%4], ways[n/4%4], ways[n/16]}
			var seen [3]marks.Corner
			var want []string
			for i, l := range lies {
				seen[i] = corner(end[i]*l.x, -1*l.y)
				if name := l.name; name != "right" {
					if name == "mirrored-end" && i == 1 {
						name = "swapped-ends"
					}
					want = append(want, fmt.Sprintf("%s P%d", name, i+1))
				}
			}
			outcome := marks.Refused
			switch {
			case len(want) == 0:
				outcome = marks.Packs
			case lies[0] == lies[1] && lies[1] == lies[2] && lies[0].name == "turned":
				want = []string{"all-turned"}
			case lies[0] == lies[1] && lies[1] == lies[2]:
				want = []string{"all-mirrored"}
			}
			slices.Sort(want)
			for _, order := range orders {
				count++
				given := seenAt(codes, seen)
				a := check(t, "", m, given[order[0]], given[order[1]], given[order[2]])
				got := strings.Split(told(a), ", ")
				slices.Sort(got)
				if a.Outcome != outcome || strings.Join(got, ", ") != strings.Join(want, ", ") {
					t.Errorf("%v %v: %s, %q, want %q", lies, order, a.Outcome, got, want)
				}
			}
		}
	}
	if count != 2*64*6 {
		t.Errorf("%d", count)
	}
}

// A typed number of the centre does not say which mark was seen; one of an end does.
func TestCornersOfTypedNumbers(t *testing.T) {
	m := newMill()
	for _, c := range []struct {
		piece int
		seen  marks.Corner
		want  string
	}{
		{0, marks.NearLeft, ""}, {0, marks.NearRight, "mirrored-side P1"}, {0, marks.FarLeft, "mirrored-end P1"}, {0, marks.FarRight, "turned P1"},
		{1, marks.NearLeft, ""}, {1, marks.FarLeft, ""}, {1, marks.NearRight, "corner-needs-code P2"}, {1, marks.FarRight, "corner-needs-code P2"},
		{2, marks.FarLeft, ""}, {2, marks.FarRight, "mirrored-side P3"}, {2, marks.NearLeft, "mirrored-end P3"}, {2, marks.NearRight, "turned P3"},
	} {
		var seen [3]marks.Corner
		seen[c.piece] = c.seen
		a := check(t, "", m, seenAt([3]string{"P1", "P2", "P3"}, seen)...)
		if told(a) != c.want || (a.Outcome == marks.Packs) != (c.want == "") || (a.Outcome == marks.NotYet) != strings.HasPrefix(c.want, "corner") {
			t.Errorf("%+v: %s %q", c, a.Outcome, told(a))
		}
	}
}

// What is still to be read is named as the book knows it.
func TestWhatIsMissing(t *testing.T) {
	m := newMill()
	a := check(t, "", m, scans(m.mark("S2", bed.Centre, 2))...)
	want := []marks.Absent{{Place: bed.Head, Piece: "P4", Station: "bench"}, {Place: bed.Foot, Piece: "P6", Station: "bench"}}
	if !slices.Equal(a.Missing, want) || a.Pieces != [3]string{"", "P5", ""} {
		t.Errorf("%+v", a)
	}
	if a := check(t, "", nil, scans(m.mark("S2", bed.Centre, 2))...); !slices.Equal(a.Missing, []marks.Absent{{Place: bed.Head}, {Place: bed.Foot}}) {
		t.Errorf("%+v", a)
	}
	if a := check(t, "S6", m); !a.Packed || a.Set != "S6" || len(a.Missing) != 3 {
		t.Errorf("%+v", a)
	}
}

// A book that fails is not taken for one that knows nothing.
func TestABookThatFails(t *testing.T) {
	broken := newMill()
	broken.err = errors.New("the disk is gone")
	for _, codes := range [][]string{{newMill().mark("S1", bed.Head, 1)}, {"P1"}, {"no-such"}} {
		if _, err := marks.Check(scans(codes...), "", broken); !errors.Is(err, broken.err) {
			t.Errorf("%q: %v", codes, err)
		}
	}
	if _, err := marks.Check(nil, "S1", broken); !errors.Is(err, broken.err) {
		t.Errorf("%v", err)
	}
}
