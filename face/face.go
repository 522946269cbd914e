// Package face holds what an instrument said about one face of a piece: readings (x, y, z) and what was written beside
// them, read from and written to CSV and PLY.
//
// It checks what a reader of the file alone can check (units, axes, places off the piece, gaps, repeats, cut files) and
// says at which line and what to do. It does not compute: no flatness, no gravity, no averaging, no outlier removal. It never
// moves or drops a reading silently: stations without a reading are left out and counted in a warning.
//
// Below it stand face/stream, which takes large files apart, and face/ply, which knows the structure of PLY files; neither knows
// what a face is. The formats are described, with examples that the tests run, in docs/formats.md.
package face

import (
	"errors"
	"io"
	"io/fs"
	"os"

	"slatewright/face/stream"
	"slatewright/measure"
	"slatewright/trouble"
)

// Side is the face that was read.
type Side int

// The sides of a piece. A bottom face is read turned over about the y axis, z pointing out of it.
const (
	SideUnknown Side = iota
	Top              // the playing face
	Bottom
)

// String returns "unknown", "top" or "bottom".
func (s Side) String() string { return [...]string{"unknown", "top", "bottom"}[s] }

// Origin is where the file counts x and y from.
type Origin int

// The two origins. Both have x along the table and y across it.
const (
	Middle Origin = iota // the middle of the piece
	Corner               // the corner at −x and −y, so that all positions are positive
)

// String returns "middle" or "corner".
func (o Origin) String() string { return [...]string{"middle", "corner"}[o] }

// Row marks a reading that belongs to a joint row: a line of readings close to an edge that meets another piece.
type Row int8

// The marks.
const (
	NoRow      Row = iota
	JointPlus      // along the +x edge, written joint+
	JointMinus     // along the −x edge, written joint-
)

// String returns "", "joint+" or "joint-", as written in a file.
func (r Row) String() string { return [...]string{"", "joint+", "joint-"}[r] }

// Thickness is one caliper reading: thickness T at the place X, Y, all in mm, the place in the file's frame.
type Thickness struct{ X, Y, T float64 }

// KeyValue is a header line that this package gives no meaning to. Key is empty for a remark (a # line that is not
// "key: value").
type KeyValue struct{ Key, Value string }

// Header is what stands above the readings. Lengths are mm whatever the file's unit; positions are in the file's frame and
// counted from the file's origin, as the readings are.
type Header struct {
	Name         string       // path as given, for messages; not written
	Piece        string       // mark of the piece; "" = not given
	Unit         measure.Unit // unit of the file as it was read
	SizeX, SizeY float64      // size of the piece along x and along y; 0 = not given
	Side         Side
	Origin       Origin
	TurnFixed    bool // the piece may not be turned end for end
	// Zero is the height of the gauge's zero outward from the middle plane of the piece; nil = not given. InPiece: x and z are in the piece frame
	// already, z up, whichever face was read.
	Zero                *float64
	InPiece             bool
	Support             Support
	Instrument          string
	U                   float64  // standard uncertainty of one reading; 0 = not given
	TempTop, TempBottom *float64 // °C; nil = not given
	OneTemp             bool     // one temperature was given for the whole piece: both are set to it, and their difference says nothing
	DrySince, Date      string   // calendar dates YYYY-MM-DD; "" = not given
	Thickness           []Thickness
	Lined               []Thickness // stone and lining together
	Other               []KeyValue  // remarks, and unknown keys (with a warning), in their order
}

// Face is one face as read. X, Y and Z have one entry a reading, in mm, in the order, frame and origin of the file.
type Face struct {
	Header
	X, Y, Z  []float64
	Row      []Row    // one entry a reading, or nil when no reading is marked
	Warnings []string // doubts that every output must show, each with file:line where there is one
}

// Len returns the number of readings.
func (f *Face) Len() int { return len(f.Z) }

// ReadFile reads the file at path as Read does.
func ReadFile(path string) (*Face, error) {
	file, err := os.Open(path)
	if err != nil {
		next := "check that the file is there and may be read"
		if errors.Is(err, fs.ErrNotExist) {
			next = "check the name: there is no such file"
		}
		return nil, trouble.IO("unreadable", path, "the file cannot be opened", next).Because(err)
	}
	defer file.Close()
	return Read(path, file)
}

// Read reads a face from r: PLY if it begins as PLY does, otherwise CSV. The name is used in messages. Errors are
// *trouble.Trouble with the line.
func Read(name string, r io.Reader) (*Face, error) {
	s := stream.NewSource(name, r)
	if magic, _ := s.Peek(4); len(magic) == 4 && string(magic[:3]) == "ply" && (magic[3] == '\n' || magic[3] == '\r') {
		return readPLY(s)
	}
	return readCSV(s)
}

// ReadCSV reads a face written as CSV.
func ReadCSV(name string, r io.Reader) (*Face, error) { return readCSV(stream.NewSource(name, r)) }

// Centred returns a copy of the face in the piece frame: readings, support and thickness positions counted from the middle of the
// piece. What need not change is shared (always Z and Row). A face with its origin in a corner needs its size; without it the error
// says so.
func (f *Face) Centred() (*Face, error) {
	c := *f
	if f.Origin == Middle {
		return &c, nil
	}
	if f.SizeX == 0 {
		return nil, trouble.Data("no-size", f.Name, "the origin is a corner, and the size of the piece is not given",
			"add a line such as '# size: 914 x 1473 mm' (x by y)")
	}
	dx, dy := float64(f.SizeX/2), float64(f.SizeY/2) // a halving is a product to the compiler: not to be fused
	c.Origin = Middle
	c.X, c.Y = shifted(f.X, dx), shifted(f.Y, dy)
	c.Thickness, c.Lined = shiftedThickness(f.Thickness, dx, dy), shiftedThickness(f.Lined, dx, dy)
	c.Support = f.Support.shifted(dx, dy)
	return &c, nil
}

func shifted(v []float64, d float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = v[i] - d
	}
	return out
}

func shiftedThickness(v []Thickness, dx, dy float64) []Thickness {
	var out []Thickness
	for _, t := range v {
		out = append(out, Thickness{t.X - dx, t.Y - dy, t.T})
	}
	return out
}

func isTrouble(err error, code string) bool {
	var t *trouble.Trouble
	return errors.As(err, &t) && t.Code == code
}
