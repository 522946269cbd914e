package marks_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/bed"
	"slatewright/sets/marks"
)

// three is a set as its label sheet has it.
var three = [3]string{"QH-P012", "QH-P003", "QH-P009"}

func of(set string) [4]marks.Mark { return marks.Of(set, three) }

// The rule, worked out anew in the bed's frame: x from head to foot, y from left to right as seen from the foot. A mark lies where its joint meets the left side.
func TestMarksMeetAtTheLeftOfTheirJoint(t *testing.T) {
	const piece = 900.0
	at := func(m marks.Mark) (x, y float64) {
		x = piece * (float64(m.Place) - 1)
		switch m.Corner() {
		case marks.FarLeft:
			return x - piece/2, -1
		case marks.NearLeft:
			return x + piece/2, -1
		}
		t.Fatalf("%v sits at %s", m, m.Corner())
		return 0, 0
	}
	joints := map[marks.Joint][]marks.Mark{}
	for _, m := range of("QH-0001") {
		x, y := at(m)
		if want := piece * (float64(m.Joint) - 1.5); x != want || y != -1 {
			t.Errorf("%v lies at %g, %g; its joint at %g", m, x, y, want)
		}
		joints[m.Joint] = append(joints[m.Joint], m)
	}
	for j, pair := range joints {
		if len(pair) != 2 || pair[0].Letter != pair[1].Letter || pair[0].Meets() != pair[1].Place || pair[1].Meets() != pair[0].Place {
			t.Errorf("at joint %d: %v", j, pair)
		}
	}
	if len(joints) != 2 || joints[1][0].Letter != "A" || joints[2][0].Letter != "B" {
		t.Errorf("%v", joints)
	}
}

// Sets that stand beside one another in the shop bear different letters, and no letter can be taken for another when it stands on its head.
func TestLetters(t *testing.T) {
	for _, form := range []string{"QH-%04d", "QH-S%d", "%d", "2026/%02d"} {
		for n := 1; n < 300; n++ {
			own := marks.Letters(fmt.Sprintf(form, n))
			if own[0] == own[1] || strings.ContainsAny(own[0]+own[1], "HIMNOQSUVWXZ0123456789") {
				t.Errorf("set "+form+" has %v", n, own)
			}
			for k := 1; k < 7; k++ {
				if other := marks.Letters(fmt.Sprintf(form, n+k)); other == own || other[0] == own[0] || other[1] == own[1] {
					t.Errorf("sets "+form+" and %d have %v and %v", n, n+k, own, other)
				}
			}
		}
	}
	for _, set := range []string{"", "QH", "Ω", "QH-000", "QH-99999999999999999999999999999999"} {
		if l := marks.Letters(set); l[0] == "" || l != marks.Letters(set) {
			t.Errorf("%q has %v", set, l)
		}
	}
}

// number draws what the book takes for a number.
func number(t *rapid.T, label string) string {
	return rapid.StringMatching(`[A-Za-z0-9]([A-Za-z0-9._/-]{0,38}[A-Za-z0-9])?`).Draw(t, label)
}

func TestACodeIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		set := number(t, "set")
		for _, m := range marks.Of(set, [3]string{number(t, "head"), number(t, "centre"), number(t, "foot")}) {
			for _, as := range []func(string) string{strings.ToLower, strings.ToUpper, func(s string) string { return s }} {
				got := marks.Read("  " + strings.ReplaceAll(as(m.Code()), " ", "  ") + " \r")
				if got.Kind != marks.IsMark || !strings.EqualFold(got.Mark.Piece, m.Piece) || !strings.EqualFold(got.Mark.Set, m.Set) || got.Mark.Place != m.Place || got.Mark.Joint != m.Joint || got.Mark.Letter != m.Letter {
					t.Fatalf("%s is read as %+v", m.Code(), got)
				}
			}
		}
	})
}

// Any one character that is wrong, left out, or stands twice, and any two neighbours that changed places, is noticed: by trying them all.
func TestSlipsAreNoticed(t *testing.T) {
	tried := 0
	for _, m := range of("QH-0007") {
		code := m.Code()
		try := func(slip string) {
			if strings.EqualFold(strings.Join(strings.Fields(slip), " "), code) {
				return
			}
			if tried++; marks.Read(slip).Kind == marks.IsMark {
				t.Errorf("%q passes for %q", slip, code)
			}
		}
		for i := range code {
			for c := byte(' '); c <= '~'; c++ {
				try(code[:i] + string(c) + code[i+1:])
			}
			try(code[:i] + code[i+1:])
			try(code[:i] + code[i:i+1] + code[i:])
			if i > 0 {
				try(code[:i-1] + code[i:i+1] + code[i-1:i] + code[i+1:])
			}
		}
	}
	if tried < 5000 {
		t.Errorf("only %d slips", tried)
	}
}

func TestWhatATextIs(t *testing.T) {
	m := of("QH-0007")[2]
	code := m.Code()
	for text, want := range map[string]marks.Text{
		code:                                     {Kind: marks.IsMark, Mark: m, Of: m.Piece},
		"QH-P012":                                {Kind: marks.IsNumber, Of: "QH-P012"},
		"A":                                      {Kind: marks.IsLetter},
		"a|a":                                    {Kind: marks.IsLetter},
		"B B":                                    {Kind: marks.IsLetter},
		"AB":                                     {Kind: marks.IsLetter},
		"https://mill.example/certificate/QH-T7": {Kind: marks.IsCertificate, Of: "QH-T7"},
		"https://mill.example/certificate/QH-T7/?x=1#top": {Kind: marks.IsCertificate, Of: "QH-T7"},
		"set: QH-0007\nsha256: 9f2c5a1e\ninvented data":   {Kind: marks.IsCertificate, Of: "QH-0007"},
		"set: QH-0007":                     {Kind: marks.IsCertificate, Of: "QH-0007"},
		"sha256: 9f2c5a1e0b7d":             {Kind: marks.IsCertificate},
		"https://mill.example/piece/X1":    {Kind: marks.IsNumber, Of: "X1"},
		"https://example.org/":             {Kind: marks.IsAddress},
		"https://example.org":              {Kind: marks.IsAddress},
		"://":                              {Kind: marks.IsAddress},
		strings.ReplaceAll(code, "-", "'"): {Kind: marks.IsSpoilt}, // the reader types for another keyboard
		code[:len(code)-3]:                 {Kind: marks.IsSpoilt},
		"M1":                               {Kind: marks.IsNumber, Of: "M1"},
		"M1.5":                             {Kind: marks.IsNumber, Of: "M1.5"}, // a mill may number so
		"M1.07.":                           {Kind: marks.IsSpoilt},
		"M1.07.QH-P003":                    {Kind: marks.IsSpoilt},
		"M1.99.QH-P003.QH-0007.C2B.8V":     {Kind: marks.IsSpoilt},
		"M2.07.QH-P003.QH-0007.C2B.8V":     {Kind: marks.IsNewer},
		"4006381333931":                    {Kind: marks.IsNumber, Of: "4006381333931"}, // a number on any parcel: the book will not have it
		"WIFI:S:mill;T:WPA;P:x;;":          {Kind: marks.IsNothing},
		"":                                 {Kind: marks.IsNothing},
		"  \t":                             {Kind: marks.IsNothing},
		"石板":                               {Kind: marks.IsNothing},
		"two words":                        {Kind: marks.IsNothing},
		strings.Repeat("x", 100_000):       {Kind: marks.IsNothing},
	} {
		got := marks.Read(text)
		if want.Text = got.Text; got != want {
			t.Errorf("%.60q is %+v, want %+v", text, got, want)
		}
	}
}

func TestCodesThatComeTogetherAreParted(t *testing.T) {
	all := of("QH-0007")
	a, b := all[0].Code(), all[3].Code()
	for text, want := range map[string][]string{
		a:                      {a},
		a + b:                  {a, b},
		a + " " + b:            {a, b},
		a + "\n" + b + "\r\n":  {a, b},
		"QH-P012, QH-P003;A":   {"QH-P012", "QH-P003", "A"},
		"QH-P012\t" + a:        {"QH-P012", a},
		"":                     nil,
		" \n ":                 nil,
		"set: X, a\nsha256: 9": {"set: X, a\nsha256: 9"},
	} {
		if got := marks.Split(text); fmt.Sprint(got) != fmt.Sprint(want) || len(got) != len(want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func TestSizesOfLabels(t *testing.T) {
	for typed, want := range map[string][2]float64{"62x29": {62, 29}, " 57 × 32 ": {57, 32}, "100X50": {100, 50}, "45x16": {45, 16}, "210x150": {210, 150}, "62.5x29.5": {62.5, 29.5}} {
		if w, h, ok := marks.ReadSize(typed); !ok || [2]float64{w, h} != want {
			t.Errorf("%q: %g x %g, %v", typed, w, h, ok)
		}
	}
	for _, typed := range []string{"", "62", "62x", "44x16", "45x15", "211x150", "62x62", "29x62", "1e3x20", "-62x29", "62mm x 29mm", "big"} {
		if _, _, ok := marks.ReadSize(typed); ok {
			t.Errorf("%q passes", typed)
		}
	}
	for _, s := range marks.Sizes() {
		if !marks.Fits(s[0], s[1]) {
			t.Errorf("%v is offered and does not fit", s)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, m := range of("QH-0007") {
		f.Add(m.Code())
	}
	f.Add("https://mill.example/certificate/QH-T7")
	f.Add("set: X\nsha256: 99")
	f.Add("M1.00..A.H1A.22")
	f.Add("M1.40.A.B.H1A.22")
	f.Fuzz(func(t *testing.T, text string) {
		got := marks.Read(text)
		if got.Kind == marks.IsMark {
			if again := marks.Read(got.Mark.Code()); again.Kind != marks.IsMark || again.Mark != got.Mark {
				t.Errorf("%q gives %+v, and that again %+v", text, got, again)
			}
		}
		for _, part := range marks.Split(text) {
			if strings.TrimSpace(part) == "" {
				t.Errorf("%q has an empty part", text)
			}
		}
		if _, err := marks.Check([]marks.Scan{{Text: text, Seen: marks.FarRight}, {Text: text}}, "", nil); err != nil {
			t.Error(err)
		}
	})
}

// mill is a book of two sets, one that was parted, one of five pieces and one that was shipped.
type mill struct {
	pieces map[string]marks.Piece
	sets   map[string]marks.Set
	err    error
}

func (m mill) Piece(n string) (marks.Piece, bool, error) {
	p, ok := m.pieces[strings.ToUpper(n)]
	return p, ok, m.err
}

func (m mill) Set(n string) (marks.Set, bool, error) {
	s, ok := m.sets[strings.ToUpper(n)]
	return s, ok, m.err
}

func newMill() mill {
	m := mill{pieces: map[string]marks.Piece{}, sets: map[string]marks.Set{}}
	add := func(s marks.Set) {
		m.sets[s.Number] = s
		for _, p := range s.Pieces {
			if s.Parted {
				m.pieces[p] = marks.Piece{Number: p, Station: "sets"}
				continue
			}
			m.pieces[p] = marks.Piece{Number: p, Set: s.Number, Station: "bench"}
		}
	}
	add(marks.Set{Number: "S1", Pieces: []string{"P1", "P2", "P3"}})
	add(marks.Set{Number: "S2", Pieces: []string{"P4", "P5", "P6"}})
	add(marks.Set{Number: "S3", Pieces: []string{"P7", "P8", "P9"}, Parted: true})
	add(marks.Set{Number: "S4", Pieces: []string{"Q1", "Q2", "Q3", "Q4", "Q5"}})
	add(marks.Set{Number: "S5", Pieces: []string{"R1", "R2", "R3"}, Shipment: "H1", Packed: true})
	add(marks.Set{Number: "S6", Pieces: []string{"T1", "T2", "T3"}, Packed: true})
	m.pieces["LOOSE"] = marks.Piece{Number: "LOOSE"}
	return m
}

// mark is the code of a piece of a set of the mill: by its place, and of the centre by either joint.
func (m mill) mark(set string, place bed.Place, joint marks.Joint) string {
	s := m.sets[set]
	for _, mark := range marks.Of(set, [3]string(s.Pieces[:3])) {
		if mark.Place == place && (mark.Joint == joint || place != bed.Centre) {
			return mark.Code()
		}
	}
	panic("no mark")
}
