package packing

import (
	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/web/shell"
	"slatewright/sets/marks"
)

// example is a check of codes that somebody made up.
type example struct {
	path, says string
	scans      []marks.Scan
}

// invented is the book of the examples: two sets that were never laid up.
type invented struct{}

var inventedSets = map[string][3]string{"QH-S901": {"QH-9001", "QH-9002", "QH-9003"}, "QH-S902": {"QH-9004", "QH-9005", "QH-9006"}}

func (invented) Piece(number string) (marks.Piece, bool, error) {
	for set, pieces := range inventedSets {
		for _, p := range pieces {
			if p == number {
				return marks.Piece{Number: p, Set: set, Station: string(book.Bench)}, true, nil
			}
		}
	}
	return marks.Piece{}, false, nil
}

func (invented) Set(number string) (marks.Set, bool, error) {
	pieces, there := inventedSets[number]
	return marks.Set{Number: number, Pieces: pieces[:]}, there, nil
}

// code is the code of a piece of an invented set, by its place.
func code(set string, place bed.Place) string {
	for _, m := range marks.Of(set, inventedSets[set]) {
		if m.Place == place {
			return m.Code()
		}
	}
	return ""
}

// examples are the ways in which a check ends.
func examples() []example {
	const own, other = "QH-S901", "QH-S902"
	head, centre, foot := code(own, bed.Head), code(own, bed.Centre), code(own, bed.Foot)
	return []example{
		{"/packing/example", "marks.example-packs", []marks.Scan{{Text: foot}, {Text: head}, {Text: centre}}},
		{"/packing/swapped", "marks.example-swapped", []marks.Scan{{Text: head}, {Text: centre}, {Text: code(other, bed.Foot)}}},
		{"/packing/mirrored", "marks.example-mirrored", []marks.Scan{{Text: head, Seen: marks.NearLeft}, {Text: centre, Seen: marks.FarLeft}, {Text: foot, Seen: marks.FarRight}}},
		{"/packing/unread", "marks.example-unread", []marks.Scan{{Text: head}, {Text: "https://mill.example/certificate/QH-C901"}}},
	}
}

// show shows an example. What is scanned there is checked for good: the field leads to the page itself.
func (e example) show(v *shell.Visit) error {
	p, err := pageOf(v, "/packing", e.scans, "", invented{})
	if err != nil {
		return err
	}
	p.Invented, p.Pack, p.Carried = true, "", nil
	p.Anew, p.Out, p.ForgetCorners = "/packing", nil, ""
	for i := range p.Rows {
		p.Rows[i].Out = nil
		for k := range p.Rows[i].Corners {
			p.Rows[i].Corners[k].Path = ""
		}
	}
	return p.show(v)
}
