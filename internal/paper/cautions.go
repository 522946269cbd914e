package paper

import (
	"strings"

	"slatewright/internal/picture/look"
)

// Kind names a kind of paper.
type Kind string

// The kinds of paper.
const (
	KindCertificate Kind = "certificate"
	KindRefusal     Kind = "refusal"
	KindIndex       Kind = "index"
	KindMap         Kind = "map"
)

// Caution is one usual caution: a word to find it by, and the text.
type Caution struct{ Word, Text string }

// The topics, in the order in which papers carry them.
type topic int

const (
	lifting topic = iota
	dust
	machines
	placing
	rules
)

// Carry lists every kind of paper with the cautions it must carry. A map is a picture without any act of work on it and
// carries none; where it stands in another paper, that paper carries them.
var carry = []struct {
	kind   Kind
	topics []topic
}{
	{KindCertificate, []topic{lifting, dust, placing, rules}},
	{KindRefusal, []topic{lifting, dust, machines, rules}},
	{KindIndex, []topic{lifting, dust, machines, rules}},
	{KindMap, nil},
}

// Kinds lists the kinds of paper.
func Kinds() []Kind {
	var kinds []Kind
	for _, c := range carry {
		kinds = append(kinds, c.kind)
	}
	return kinds
}

// Cautions returns the usual cautions that a kind of paper carries. pieces gives the masses named in the lifting caution
// and may be empty.
func Cautions(k Kind, pieces []Piece) []Caution {
	var out []Caution
	for _, c := range carry {
		if c.kind != k {
			continue
		}
		for _, t := range c.topics {
			out = append(out, caution(t, pieces))
		}
	}
	return out
}

// caution is the one shared text.
func caution(t topic, pieces []Piece) Caution {
	switch t {
	case lifting:
		return Caution{"Lifting", masses(pieces) + " Never lift or turn a piece by hand alone: use lifting gear made for the load, or enough " +
			"trained people with the right aids, and keep everyone out of the way of a fall."}
	case dust:
		return Caution{"Dust", "Slate holds crystalline silica. Cutting, drilling, grinding or sanding it dry, and sweeping its dried slurry, " +
			"sets free dust that harms the lungs for life. Work wet or with extraction; wear a fitted respirator where the rules ask for one."}
	case machines:
		return Caution{"Machines", "Saws and grinding discs maim. Guards stay on, power is locked off before a hand goes in, and only trained " +
			"people run them."}
	case placing:
		return Caution{"Placing", "A piece can slide or tip while it is shimmed or drawn together. Keep hands out of the joint and from under " +
			"the stone; follow the safety sheets of wax, filler and glue."}
	}
	return Caution{"Who rules", "Local codes and licensed practice come first. This paper reports measurements: it is no work instruction, " +
		"and the program that made it is no safety device."}
}

// masses names the computed mass of each piece.
func masses(pieces []Piece) string {
	var parts []string
	var sum float64
	for _, p := range pieces {
		if !(p.Mass > 0) {
			return "The masses of the pieces were not computed; a piece of this kind weighs far more than a person may lift."
		}
		parts = append(parts, p.Place+" "+look.Fixed(p.Mass, 1)+" kg")
		sum += p.Mass
	}
	if len(parts) == 0 {
		return "A piece weighs far more than a person may lift; its computed mass stands on its certificate or refusal."
	}
	return "Computed masses: " + strings.Join(parts, ", ") + ", together " + look.Fixed(sum, 1) + " kg."
}
