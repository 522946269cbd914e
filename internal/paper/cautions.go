package paper

import (
	"slatewright/internal/caution"
	"slatewright/internal/tongue"
)

// Kind names a kind of paper.
type Kind string

// The kinds of paper.
const (
	KindCertificate Kind = "certificate"
	KindRefusal     Kind = "refusal"
	KindIndex       Kind = "index"
	KindMap         Kind = "map"
	KindSawing      Kind = "sawing order"
	KindLabels      Kind = "labels"
)

// Carry lists every kind of paper with the cautions it must carry, before who rules. A map is a picture without any act of work on it
// and carries none; where it stands in another paper, that paper carries them.
var carry = []struct {
	kind   Kind
	topics []caution.Topic
}{
	{KindCertificate, []caution.Topic{caution.Lifting, caution.Dust, caution.Placing}},
	{KindRefusal, []caution.Topic{caution.Lifting, caution.Dust, caution.Machines}},
	{KindIndex, []caution.Topic{caution.Lifting, caution.Dust, caution.Machines}},
	{KindMap, nil},
	{KindLabels, []caution.Topic{caution.Lifting}}, // one a page for a label printer they have no room for it
	{KindSawing, []caution.Topic{caution.Lifting, caution.Machines, caution.Dust, caution.Wet}},
}

// Kinds lists the kinds of paper.
func Kinds() []Kind {
	var kinds []Kind
	for _, c := range carry {
		kinds = append(kinds, c.kind)
	}
	return kinds
}

// Cautions returns the usual cautions that a kind of paper carries, in words of a language. pieces gives the masses named in the lifting
// caution and may be empty.
func Cautions(w tongue.Words, k Kind, pieces []Piece) []caution.Caution {
	var loads []caution.Load
	for _, p := range pieces {
		loads = append(loads, caution.Load{Name: p.Place, Kg: p.Mass})
	}
	return caution.OnPaper(w, topicsOf(k), loads...)
}

func topicsOf(k Kind) []caution.Topic {
	for _, c := range carry {
		if c.kind == k {
			return c.topics
		}
	}
	return nil
}
