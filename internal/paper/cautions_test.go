package paper

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/caution"
	"slatewright/internal/tongue"
)

// makers says how to make each kind of paper, as plain text. A kind that is not here, or a maker whose kind is not listed,
// fails the test below: a new paper has to state its cautions. The index is made in package page, and its test looks there.
func makers(t *testing.T) map[Kind]func(pieces [3]Piece) string {
	return map[Kind]func([3]Piece) string{
		KindCertificate: func(p [3]Piece) string { c := specimenCertificate(); c.Pieces = p; return raw(t, printOut(t, c, A4)) },
		KindRefusal:     func(p [3]Piece) string { r := specimenRefusal(); r.Pieces = p; return raw(t, printOut(t, r, Letter)) },
		KindSawing: func(p [3]Piece) string {
			o := specimenOrder(t)
			// The sheet's own load is the slab: what is asked of it here is that each caution stands on it.
			text := raw(t, printOut(t, o, A4))
			for _, c := range Cautions(tongue.Words{}, KindSawing, p[:]) {
				if c.Word == "Lifting" {
					_, rest, _ := strings.Cut(c.Text, "together 290.1\u00a0kg. ")
					if m := lacks(text, "B7-2 580.0\u00a0kg", rest); len(m) == 0 {
						text += c.Text
					}
				}
			}
			return text
		},
		KindLabels: func(p [3]Piece) string {
			l := specimenLabels()
			for i := range p {
				l.MassKg[i] = p[i].Mass
			}
			return raw(t, printOut(t, l, A4))
		},
		KindMap: func([3]Piece) string {
			var b bytes.Buffer
			if err := specimenMap().SVG(&b); err != nil {
				t.Fatal(err)
			}
			return b.String()
		},
	}
}

func TestPapersCarryTheirCautions(t *testing.T) {
	must := map[Kind]string{
		KindCertificate: "Lifting Dust Placing Who rules", KindRefusal: "Lifting Dust Machines Who rules", KindIndex: "Lifting Dust Machines Who rules", KindMap: "",
		KindSawing: "Lifting Machines Dust Wet work Who rules", KindLabels: "Lifting Who rules",
	}
	made := makers(t)
	if len(made)+1 != len(Kinds()) || len(must) != len(Kinds()) {
		t.Fatalf("%d kinds of paper, %d makers and the index, %d lists of cautions", len(Kinds()), len(made), len(must))
	}
	pieces := specimenPieces()
	for _, k := range Kinds() {
		make, ok := made[k]
		if !ok && k != KindIndex {
			t.Errorf("no maker for %s", k)
			continue
		}
		text := ""
		if ok {
			text = make(pieces)
		}
		var words []string
		for _, c := range Cautions(tongue.Words{}, k, pieces[:]) {
			words = append(words, c.Word)
			if m := lacks(text, c.Word, c.Text); ok && len(m) > 0 {
				t.Errorf("the %s lacks %q", k, m)
			}
		}
		if got := strings.Join(words, " "); got != must[k] {
			t.Errorf("the %s carries %q, must carry %q", k, got, must[k])
		}
	}
}

func TestCautionsDeferAndNameTheMass(t *testing.T) {
	pieces := specimenPieces()
	for _, k := range Kinds() {
		cautions := Cautions(tongue.Words{}, k, pieces[:])
		if k == KindMap {
			continue
		}
		i := slices.IndexFunc(cautions, func(c caution.Caution) bool {
			return strings.Contains(c.Text, "Local codes and licensed practice come first")
		})
		j := slices.IndexFunc(cautions, func(c caution.Caution) bool {
			return strings.Contains(c.Text, "head 96.7\u00a0kg, centre 96.9\u00a0kg, foot 96.5\u00a0kg, together 290.1\u00a0kg")
		})
		if i < 0 || j < 0 || !strings.Contains(cautions[i].Text, "no safety device") {
			t.Errorf("%s: %v", k, cautions)
		}
	}
	pieces[1].Mass = 0
	if c := Cautions(tongue.Words{}, KindCertificate, pieces[:])[0].Text; !strings.Contains(c, "not computed") || strings.Contains(c, "kg") {
		t.Errorf("one mass is unknown: %s", c)
	}
	if Cautions(tongue.Words{}, "poster", nil) != nil {
		t.Error("a paper that does not exist carries cautions")
	}
}
