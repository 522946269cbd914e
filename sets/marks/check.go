package marks

import (
	"slices"
	"strings"

	"slatewright/bed"
)

// Scan is one code as it was read, and the corner at which its mark was seen, if anybody looked.
type Scan struct {
	Text string
	Seen Corner
}

// Book is what the mill's book says; a nil Book: nobody asked it. What is not there gives false, and that is no error. Numbers are found whatever the case of
// their letters, and come back as the book has them.
type Book interface {
	Piece(number string) (Piece, bool, error)
	Set(number string) (Set, bool, error)
}

// Piece is a piece as the book has it.
type Piece struct{ Number, Set, Station string }

// Set is a set as the book has it.
type Set struct {
	Number   string
	Pieces   []string // from head to foot
	Parted   bool
	Packed   bool
	Shipment string
}

// Outcome is what the codes come to.
type Outcome string

// The outcomes.
const (
	Packs   Outcome = "packs"
	Refused Outcome = "does not pack"
	NotYet  Outcome = "not yet" // something is still to be read, or to be read again
)

// Reading is a code and what it stands for.
type Reading struct {
	Text
	Piece, Set string
	Place      bed.Place // NoPlace where it has none
	Seen       Corner
	Wrong      bool // a fault is about it
	Again      bool // it stands for a piece that was read before
}

// NoPlace is the place of what has none.
const NoPlace = bed.Place(-1)

// Absent is a piece that is still to be read, as far as somebody knows it.
type Absent struct {
	Place          bed.Place
	Piece, Station string
}

// Answer is what the codes come to.
type Answer struct {
	Outcome Outcome
	Set     string    // that is packed; "" while nobody can say which
	Pieces  [3]string // of that set as they were read, from head to foot; "" where none was
	Reads   []Reading // one for each code, in the order in which they were given
	Faults  []Fault   // the gravest first
	Missing []Absent  // of that set, from head to foot
	Packed  bool      // the book has it packed already
}

// Check says what codes, read in any order, come to. wanted is the set that is to be packed, "" when any will do. An error is the book's.
func Check(scans []Scan, wanted string, b Book) (Answer, error) {
	c := checking{book: b, sets: map[string]Set{}}
	for _, s := range scans {
		if err := c.read(s); err != nil {
			return Answer{}, err
		}
	}
	if err := c.choose(wanted); err != nil {
		return Answer{}, err
	}
	c.strangers()
	c.seat()
	c.lies()
	return c.answer()
}

// checking is a check under way.
type checking struct {
	book  Book
	sets  map[string]Set // that were asked of the book
	reads []Reading
	set   string
	known *Set // what the book says of it
	seats [3]int
	found []Fault
}

// fault notes what is wrong with a reading; without a place of its own it bears the reading's.
func (c *checking) fault(i int, f Fault) {
	r := &c.reads[i]
	r.Wrong = true
	f.Piece, f.Text, f.at = r.Piece, r.Text.Text, i+1
	if f.Place != NoPlace {
		f.Place = r.Place
	}
	c.found = append(c.found, f)
}

// pieces are the indices of readings that stand for a piece, each piece once.
func (c *checking) pieces() (list []int) {
	for i, r := range c.reads {
		if r.Piece != "" && !r.Again {
			list = append(list, i)
		}
	}
	return list
}

// choose finds the set that is packed: the one that is wanted, else the one that most pieces belong to.
func (c *checking) choose(wanted string) error {
	c.set = wanted
	if wanted == "" {
		most := 0
		for _, i := range c.pieces() {
			n := 0
			for _, k := range c.pieces() {
				if alike(c.reads[k].Set, c.reads[i].Set) {
					n++
				}
			}
			if s := c.reads[i].Set; s != "" && n > most {
				c.set, most = s, n
			} else if s != "" && n == most && !alike(s, c.set) {
				c.set = "" // as many of another: nobody can say
			}
		}
	}
	if c.set == "" || c.book == nil {
		return nil
	}
	s, there, err := c.setOf(c.set)
	switch {
	case err != nil:
		return err
	case there:
		c.set, c.known = s.Number, &s
	case wanted != "":
		c.found = append(c.found, Fault{Kind: UnknownSet, Set: wanted, Other: wanted, Place: NoPlace})
	}
	return nil
}

func (c *checking) setOf(number string) (Set, bool, error) {
	if s, there := c.sets[strings.ToUpper(number)]; there {
		return s, true, nil
	}
	s, there, err := c.book.Set(number)
	if there {
		c.sets[strings.ToUpper(number)] = s
	}
	return s, there, err
}

// strangers names the pieces of other sets.
func (c *checking) strangers() {
	all := c.pieces()
	if c.set == "" {
		var of []string
		for _, i := range all {
			if s := c.reads[i].Set; s != "" {
				of = append(of, s)
			}
		}
		if len(of) > 1 {
			for _, i := range all {
				c.reads[i].Wrong = c.reads[i].Set != ""
			}
			c.found = append(c.found, Fault{Kind: Mixed, Others: of, Place: NoPlace})
		}
		return
	}
	for _, i := range all {
		if r := c.reads[i]; r.Set != "" && !alike(r.Set, c.set) {
			c.fault(i, Fault{Kind: OtherSet, Set: c.set, Other: r.Set})
		}
	}
}

// seat puts the pieces of the set on their places.
func (c *checking) seat() {
	c.seats = [3]int{-1, -1, -1}
	for _, i := range c.pieces() {
		r := c.reads[i]
		if c.set == "" || !alike(r.Set, c.set) || r.Place == NoPlace {
			continue
		}
		if k := c.seats[r.Place]; k >= 0 {
			c.fault(i, Fault{Kind: PlaceTwice, Set: c.set, Other: c.reads[k].Piece})
			continue
		}
		c.seats[r.Place] = i
	}
	if s := c.known; s != nil {
		switch {
		case s.Parted:
			c.found = append(c.found, Fault{Kind: SetParted, Set: s.Number, Other: s.Number, Place: NoPlace})
		case len(s.Pieces) != three:
			c.found = append(c.found, Fault{Kind: NotThree, Set: s.Number, N: len(s.Pieces), Place: NoPlace})
		case s.Shipment != "":
			c.found = append(c.found, Fault{Kind: Shipped, Set: s.Number, Other: s.Shipment, Place: NoPlace})
		}
	}
}

// answer draws the sum.
func (c *checking) answer() (Answer, error) {
	a := Answer{Set: c.set, Reads: c.reads}
	for p, i := range c.seats {
		if i >= 0 {
			a.Pieces[p] = c.reads[i].Piece
			continue
		}
		m := Absent{Place: bed.Place(p)}
		if c.known != nil && len(c.known.Pieces) == three {
			m.Piece = c.known.Pieces[p]
			piece, _, err := c.book.Piece(m.Piece)
			if err != nil {
				return a, err
			}
			m.Station = piece.Station
		}
		a.Missing = append(a.Missing, m)
	}
	a.Packed = c.known != nil && c.known.Packed
	a.Faults = gathered(c.found)
	refuses := slices.ContainsFunc(a.Faults, func(f Fault) bool { return f.Kind.refuses() })
	again := slices.ContainsFunc(a.Faults, func(f Fault) bool { return f.Kind == CornerNeedsCode })
	switch {
	case refuses:
		a.Outcome = Refused
	case again || len(a.Missing) > 0:
		a.Outcome = NotYet
	default:
		a.Outcome = Packs
	}
	return a, nil
}

// alike compares numbers whatever the case of their letters: a reader with its capitals locked changes it.
func alike(a, b string) bool { return strings.EqualFold(a, b) }
