package marks

import (
	"slices"

	"slatewright/bed"
)

// unread says which fault a text is that stands for no piece.
var unread = map[Kind]FaultKind{IsLetter: Letter, IsCertificate: CertificateCode, IsAddress: Address, IsSpoilt: Spoilt, IsNewer: Newer, IsNothing: Nothing}

// read takes a scan: what it is, which piece it stands for, and whether that was read before.
func (c *checking) read(s Scan) error {
	c.reads = append(c.reads, Reading{Text: Read(s.Text), Place: NoPlace, Seen: s.Seen})
	i := len(c.reads) - 1
	r := &c.reads[i]
	var err error
	switch kind, no := unread[r.Kind]; {
	case no:
		c.fault(i, Fault{Kind: kind, Other: r.Of, Place: NoPlace})
	case r.Kind == IsMark:
		r.Piece, r.Set, r.Place = r.Mark.Piece, r.Mark.Set, r.Mark.Place
		if c.book != nil {
			err = c.marked(i)
		}
	case c.book == nil:
		c.fault(i, Fault{Kind: NeedsBook, Other: r.Of, Place: NoPlace})
	default:
		err = c.typed(i)
	}
	if r.Piece == "" {
		return err
	}
	for _, before := range c.reads[:i] {
		if alike(before.Piece, r.Piece) {
			kind := SamePiece
			if alike(before.Text.Text, r.Text.Text) {
				kind = SameCode
			}
			r.Again = true
			c.found = slices.DeleteFunc(c.found, func(f Fault) bool { return f.at == i+1 }) // said of its first reading
			c.fault(i, Fault{Kind: kind})
			break
		}
	}
	return err
}

// marked holds a mark against the book.
func (c *checking) marked(i int) error {
	r := &c.reads[i]
	p, there, err := c.book.Piece(r.Piece)
	if err != nil {
		return err
	}
	if !there {
		c.fault(i, Fault{Kind: Unknown, Other: r.Piece})
		return nil
	}
	was := r.Set
	r.Piece, r.Set = p.Number, p.Set
	if !alike(was, p.Set) {
		kind := Moved
		old, there, err := c.setOf(was)
		switch {
		case err != nil:
			return err
		case !there:
			kind = UnknownSet
		case old.Parted && p.Set == "":
			kind = Parted
		case old.Parted:
			kind = PartedNow
		}
		c.fault(i, Fault{Kind: kind, Set: p.Set, Other: was})
		if p.Set == "" {
			return nil
		}
	}
	place, err := c.placeIn(p)
	if err != nil || place == NoPlace {
		return err
	}
	old := r.Place
	if r.Place = place; place != old && alike(was, p.Set) {
		c.fault(i, Fault{Kind: OldPlace, Set: p.Set, Was: old})
	}
	return nil
}

// typed finds what a number that was typed by hand is.
func (c *checking) typed(i int) error {
	r := &c.reads[i]
	p, there, err := c.book.Piece(r.Of)
	if err != nil {
		return err
	}
	if there {
		r.Piece, r.Set = p.Number, p.Set
		if p.Set == "" {
			c.fault(i, Fault{Kind: NoSet, Place: NoPlace})
			return nil
		}
		r.Place, err = c.placeIn(p)
		return err
	}
	s, there, err := c.setOf(r.Of)
	if there {
		c.fault(i, Fault{Kind: SetNumber, Other: s.Number, Place: NoPlace})
		return err
	}
	c.fault(i, Fault{Kind: UnknownNumber, Other: r.Of, Place: NoPlace})
	return err
}

// placeIn is a piece's place in its set as the book has it.
func (c *checking) placeIn(p Piece) (bed.Place, error) {
	s, there, err := c.setOf(p.Set)
	if err != nil || !there || len(s.Pieces) != three {
		return NoPlace, err
	}
	return bed.Place(slices.Index(s.Pieces, p.Number)), nil
}
