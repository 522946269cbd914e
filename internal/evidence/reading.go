package evidence

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/face"
	"slatewright/internal/book"
)

// read holds a reading of a face against its file. What the file leaves out is the act's word alone.
func (c checking) read(a *book.Read) error {
	if a.What != "top" && a.What != "bottom" && a.What != "thickness" {
		return c.there(a.Blob)
	}
	if a.Blob == "" {
		return nil
	}
	f, err := c.face(a.Blob)
	if err != nil {
		return err
	}
	if number := numberOf(f.Piece); number != "" && number != a.Thing.ID {
		return differs("two-pieces", "thing", "the file was read from %.80q and the act says %s", "name the thing that was read, or correct the line '# piece:' of the file", number, a.Thing.ID)
	}
	if f.Side != face.SideUnknown && a.What != "thickness" && f.Side.String() != a.What {
		return differs("two-faces", "what", "the file was read on the %s and the act says %s", "name the face that was read, or correct the line '# face:' of the file", f.Side, a.What)
	}
	if !sameSupport(f, a.Support) {
		return differs("two-supports", "support", "the file says %.80q and the act says %.80q", "say how the piece was held, the same in both: it is part of the number", f.Support.Text, a.Support)
	}
	if !sameTemperature(f.TempTop, a.TopC) || !sameTemperature(f.TempBottom, a.BottomC) {
		return differs("two-temperatures", "top_c", "the file and the act state other temperatures", "give those that were read, the same in both")
	}
	if a.What != "thickness" && !spread(f.X, f.Y) {
		return differs("too-few-points", field, "the file has no three readings that are not on one line: they say nothing about a face", "read the face on its grid")
	}
	return nil
}

// spread reports whether three places or more do not lie on one line, to a millimetre.
func spread(x, y []float64) bool {
	far, most := 0, 0.0
	for i := range x {
		if d := math.Hypot(x[i]-x[0], y[i]-y[0]); d > most {
			far, most = i, d
		}
	}
	for i := range x {
		if math.Abs((x[far]-x[0])*(y[i]-y[0])-(y[far]-y[0])*(x[i]-x[0])) > oneLine*most {
			return true
		}
	}
	return false
}

// oneLine is how far beside a line a place must lie so as not to be on it, mm: a reading is not placed more exactly by hand.
const oneLine = 1.0

// face reads a blob as a face.
func (c checking) face(digest string) (*face.Face, error) {
	r, err := c.open(digest, mostReadings)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return face.Read(field, r)
}

// numberOf is the number in the mark of a piece, which may be followed by its place in the bed.
func numberOf(mark string) string {
	number, place, _ := strings.Cut(mark, " ")
	switch strings.TrimSpace(place) {
	case "", "head", "centre", "foot":
		return number
	}
	return mark
}

// sameSupport reports whether the act's words say the same as the file: in the same words, or in others with the same meaning. Words
// that are not one of the known ways say nothing that could be compared.
func sameSupport(f *face.Face, said string) bool {
	said = strings.Join(strings.Fields(said), " ")
	if said == "" || f.Support.Kind == face.SupportUnknown || strings.EqualFold(said, strings.Join(strings.Fields(f.Support.Text), " ")) {
		return true
	}
	other, err := supportAs(f, said)
	return err == nil && (other.Kind == face.SupportUnknown || sameHold(f.Support, other))
}

// supportAs reads the words as they would be read in the head of the same file.
func supportAs(f *face.Face, said string) (face.Support, error) {
	head := fmt.Sprintf("# unit: %s\n# origin: %s\n", f.Unit, f.Origin)
	if f.SizeX > 0 {
		head += fmt.Sprintf("# size: %g x %g mm\n", f.SizeX, f.SizeY)
	}
	other, err := face.ReadCSV(field, strings.NewReader(head+"# support: "+said+"\n0,0,0\n1,0,0\n0,1,0\n"))
	if err != nil {
		return face.Support{}, err
	}
	return other.Support, nil
}

// slip is how far two statements of one place or temperature may be apart by rounding, in mm and °C: common practice, no source.
const slip = 0.05

func near(a, b float64) bool { return math.Abs(a-b) <= slip }

// sameHold reports whether two supports are the same, whatever their order.
func sameHold(a, b face.Support) bool {
	if a.Kind != b.Kind || len(a.Lines) != len(b.Lines) || len(a.Points) != len(b.Points) || len(a.Lines) == 0 && a.Fraction != b.Fraction {
		return false // a fraction of a piece whose size is given is written as lines too
	}
	for _, l := range a.Lines {
		if !slices.ContainsFunc(b.Lines, func(m face.Line) bool { return l.Axis == m.Axis && near(l.At, m.At) }) {
			return false
		}
	}
	for _, p := range a.Points {
		if !slices.ContainsFunc(b.Points, func(q [2]float64) bool { return near(p[0], q[0]) && near(p[1], q[1]) }) {
			return false
		}
	}
	return true
}

// sameTemperature reports whether two temperatures are the same where both are stated.
func sameTemperature(a, b *float64) bool { return a == nil || b == nil || near(*a, *b) }
