// Package ply knows the structure of PLY files: the head with its elements and properties, what a number looks like in the
// data, and how to pass over an element.
//
// It reads the head of all three encodings of version 1.0 and writes it. It does not know what an element or a property means,
// has no units, and leaves the numbers of the elements that somebody wants to whoever wants them.
package ply

import (
	"encoding/binary"
	"math"
)

// Format is one of the three encodings of the data.
type Format int

// The encodings.
const (
	ASCII Format = iota
	BinaryLittleEndian
	BinaryBigEndian
)

var formats = [...]string{"ascii", "binary_little_endian", "binary_big_endian"}

// String returns the encoding as a PLY file names it.
func (f Format) String() string { return formats[f] }

// Type is a type of number.
type Type int

// The types.
const (
	Int8 Type = iota
	Uint8
	Int16
	Uint16
	Int32
	Uint32
	Float
	Double
)

// types are the names of the types: those of the first form of the format, and those with sizes.
var types = [2][8]string{
	{"char", "uchar", "short", "ushort", "int", "uint", "float", "double"},
	{"int8", "uint8", "int16", "uint16", "int32", "uint32", "float32", "float64"},
}

// String returns the type as a PLY file names it, in the first form.
func (t Type) String() string { return types[0][t] }

// typeOf returns the type of that name.
func typeOf(name string) (Type, bool) {
	for _, form := range types {
		for t, known := range form {
			if name == known {
				return Type(t), true
			}
		}
	}
	return 0, false
}

// Size is the number of bytes of the type in binary data.
func (t Type) Size() int { return [...]int{1, 1, 2, 2, 4, 4, 4, 8}[t] }

// Load reads a number of binary data from the start of b; big says that its first byte is the highest.
func (t Type) Load(b []byte, big bool) float64 {
	order := binary.ByteOrder(binary.LittleEndian)
	if big {
		order = binary.BigEndian
	}
	switch t {
	case Int8:
		return float64(int8(b[0]))
	case Uint8:
		return float64(b[0])
	case Int16:
		return float64(int16(order.Uint16(b)))
	case Uint16:
		return float64(order.Uint16(b))
	case Int32:
		return float64(int32(order.Uint32(b)))
	case Uint32:
		return float64(order.Uint32(b))
	case Float:
		return float64(math.Float32frombits(order.Uint32(b)))
	}
	return math.Float64frombits(order.Uint64(b))
}

// Property is one value of an element; of a list, the type of its length and of its members.
type Property struct {
	Name   string
	Type   Type
	List   bool
	Length Type
}

// Element is a table of the file: vertices, faces and so on.
type Element struct {
	Name       string
	Count      int64
	Properties []Property
	Line       int // of the head, where it was read
}

// Stride is the size of one record in binary data, and whether all records have it.
func (e Element) Stride() (bytes int, fixed bool) {
	for _, p := range e.Properties {
		if p.List {
			return 0, false
		}
		bytes += p.Type.Size()
	}
	return bytes, true
}
