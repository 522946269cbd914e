package face

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"slatewright/trouble"
)

// PLYFormat is one of the three encodings of a PLY file.
type PLYFormat int

// The encodings.
const (
	ASCII PLYFormat = iota
	BinaryLittleEndian
	BinaryBigEndian
)

var plyFormats = [...]string{"ascii", "binary_little_endian", "binary_big_endian"}

// String returns the encoding as a PLY file names it.
func (f PLYFormat) String() string { return plyFormats[f] }

// scalar is a number type of PLY.
type scalar int

const (
	int8Type scalar = iota
	uint8Type
	int16Type
	uint16Type
	int32Type
	uint32Type
	floatType
	doubleType
)

// scalarTypes are the names of the types: the first form of the format, and the one with sizes.
var scalarTypes = map[string]scalar{
	"char": int8Type, "uchar": uint8Type, "short": int16Type, "ushort": uint16Type,
	"int": int32Type, "uint": uint32Type, "float": floatType, "double": doubleType,
	"int8": int8Type, "uint8": uint8Type, "int16": int16Type, "uint16": uint16Type,
	"int32": int32Type, "uint32": uint32Type, "float32": floatType, "float64": doubleType,
}

var scalarSizes = [...]int{1, 1, 2, 2, 4, 4, 4, 8}

// load reads a number from the start of b.
func (s scalar) load(b []byte, big bool) float64 {
	var bits uint64
	switch scalarSizes[s] {
	case 1:
		bits = uint64(b[0])
	case 2:
		bits = uint64(binary.LittleEndian.Uint16(b))
		if big {
			bits = uint64(binary.BigEndian.Uint16(b))
		}
	case 4:
		bits = uint64(binary.LittleEndian.Uint32(b))
		if big {
			bits = uint64(binary.BigEndian.Uint32(b))
		}
	default:
		bits = binary.LittleEndian.Uint64(b)
		if big {
			bits = binary.BigEndian.Uint64(b)
		}
	}
	switch s {
	case doubleType:
		return math.Float64frombits(bits)
	case floatType:
		return float64(math.Float32frombits(uint32(bits)))
	case int8Type:
		return float64(int8(bits))
	case int16Type:
		return float64(int16(bits))
	case int32Type:
		return float64(int32(bits))
	}
	return float64(bits)
}

// A property is one value of an element; of a list, the type of its length and of its members.
type property struct {
	name   string
	kind   scalar
	list   bool
	length scalar
}

// An element is a table of the file: vertices, faces and so on.
type element struct {
	name       string
	count      int64
	properties []property
	line       int
}

// stride is the size of one record in bytes, and whether all records have it.
func (e *element) stride() (bytes int, fixed bool) {
	for _, p := range e.properties {
		if p.list {
			return 0, false
		}
		bytes += scalarSizes[p.kind]
	}
	return bytes, true
}

// A plyHead is the head of a PLY file.
type plyHead struct {
	heading
	format   PLYFormat
	formatAt int // line, 0 = not met
	elements []element
	vertex   int // index of the vertex element
}

// headLimit is how many bytes a PLY head may have.
const headLimit = 1 << 22

func plyTrouble(name string, line int, format string, args ...any) error {
	return trouble.Data("ply-header", at(name, line), fmt.Sprintf(format, args...),
		"export the scan again as PLY with the vertex properties x, y and z")
}

// readPLYHead takes the head of the file.
func readPLYHead(s *source) (*plyHead, error) {
	h := &plyHead{heading: heading{Header: Header{Name: s.name}}, vertex: -1}
	for taken := 0; taken < headLimit; {
		line, err := s.line()
		if err == io.EOF {
			return nil, trouble.Data("truncated", at(s.name, s.lines+1), "the file ends inside its head, before end_header", "export or copy the file again")
		}
		if err != nil {
			return nil, err
		}
		taken += len(line) + 1
		if s.lines == 1 {
			if string(line) != "ply" {
				return nil, trouble.Data("ply-header", at(s.name, 1), "the file does not begin with the line 'ply'", "give a PLY file, or read it as CSV")
			}
			continue
		}
		if string(bytes.TrimSpace(line)) == "end_header" {
			return h, h.complete(s.lines)
		}
		if err := h.take(line, s.lines); err != nil {
			return nil, err
		}
	}
	return nil, plyTrouble(s.name, s.lines, "the head is longer than 4 MiB")
}

// take reads one line of the head.
func (h *plyHead) take(line []byte, n int) error {
	words := strings.Fields(string(line))
	if len(words) == 0 {
		return nil
	}
	switch words[0] {
	case "comment":
		return h.add(bytes.TrimPrefix(bytes.TrimSpace(line), []byte("comment")), n)
	case "obj_info":
		return nil
	case "format":
		return h.takeFormat(words, n)
	case "element":
		return h.takeElement(words, n)
	case "property":
		return h.takeProperty(words, n)
	}
	return plyTrouble(h.Name, n, "%.60q is no line of a PLY head", line)
}

func (h *plyHead) takeFormat(words []string, n int) error {
	for f, name := range plyFormats {
		if len(words) == 3 && words[1] == name && words[2] == "1.0" && h.formatAt == 0 {
			h.format, h.formatAt = PLYFormat(f), n
			return nil
		}
	}
	return plyTrouble(h.Name, n, "the format is not one of ascii, binary_little_endian and binary_big_endian, version 1.0, named once")
}

func (h *plyHead) takeElement(words []string, n int) error {
	if len(words) != 3 {
		return plyTrouble(h.Name, n, "an element has a name and a count")
	}
	count, err := strconv.ParseInt(words[2], 10, 64)
	if err != nil || count < 0 {
		return plyTrouble(h.Name, n, "%q is no count of %q", words[2], words[1])
	}
	if words[1] == "vertex" {
		if h.vertex >= 0 {
			return plyTrouble(h.Name, n, "the element vertex stands twice")
		}
		h.vertex = len(h.elements)
	}
	h.elements = append(h.elements, element{name: words[1], count: count, line: n})
	return nil
}

func (h *plyHead) takeProperty(words []string, n int) error {
	if len(h.elements) == 0 {
		return plyTrouble(h.Name, n, "a property stands before the first element")
	}
	p, ok := property{}, false
	switch {
	case len(words) == 3:
		p.kind, ok = scalarTypes[words[1]]
	case len(words) == 5 && words[1] == "list":
		p.list = true
		p.length, ok = scalarTypes[words[2]]
		if ok && p.length < floatType {
			p.kind, ok = scalarTypes[words[3]]
		} else {
			ok = false
		}
	}
	if !ok {
		return plyTrouble(h.Name, n, "%.60q is no property of a known type", strings.Join(words, " "))
	}
	p.name = words[len(words)-1]
	e := &h.elements[len(h.elements)-1]
	e.properties = append(e.properties, p)
	return nil
}

// complete checks that the head has what the readings need, at the line of end_header.
func (h *plyHead) complete(n int) error {
	if h.formatAt == 0 {
		return plyTrouble(h.Name, n, "no line names the format")
	}
	if h.vertex < 0 {
		return plyTrouble(h.Name, n, "there is no element vertex")
	}
	v := h.elements[h.vertex]
	seen := map[string]bool{}
	for _, p := range v.properties {
		if p.list {
			return plyTrouble(h.Name, v.line, "the vertices have a list, %q", p.name)
		}
		if seen[p.name] {
			return plyTrouble(h.Name, v.line, "the vertices have two properties %q", p.name)
		}
		seen[p.name] = true
	}
	for _, name := range []string{"x", "y", "z"} {
		if !seen[name] {
			return plyTrouble(h.Name, v.line, "the vertices have no property %s", name)
		}
	}
	return nil
}
