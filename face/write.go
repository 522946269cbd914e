package face

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"slatewright/face/ply"
	"slatewright/measure"
	"slatewright/trouble"
)

// WriteCSV writes the face in its one canonical form: unit mm, known keys in a fixed order, then remarks and unknown keys, the titles, and
// one line a reading with the shortest decimals that read back to the same numbers. What it writes reads back, and is written again
// as the same bytes. A face that could not be read back (a reading off the piece, a NaN, text with line ends) is refused.
func (f *Face) WriteCSV(w io.Writer) error {
	lines, err := f.writable()
	if err != nil {
		return err
	}
	out := bufio.NewWriterSize(w, 1<<16)
	for _, line := range lines {
		out.WriteString("# " + line + "\n")
	}
	title := "x,y,z\n"
	if f.Row != nil {
		title = "x,y,z,row\n"
	}
	out.WriteString(title)
	var row []byte
	for i := range f.Z {
		row = append(appendDecimal(row[:0], f.X[i]), ',')
		row = append(appendDecimal(row, f.Y[i]), ',')
		row = appendDecimal(row, f.Z[i])
		if f.Row != nil {
			row = append(append(row, ','), f.Row[i].String()...)
		}
		out.Write(append(row, '\n'))
	}
	return written(f.Name, out.Flush())
}

// WritePLY writes the face as PLY with properties of type double in mm, a property uchar row where readings are marked, and the
// header lines as comments. It refuses what WriteCSV refuses.
func (f *Face) WritePLY(w io.Writer, format PLYFormat) error {
	lines, err := f.writable()
	if err != nil {
		return err
	}
	out := bufio.NewWriterSize(w, 1<<16)
	vertex := ply.Element{Name: "vertex", Count: int64(f.Len())}
	for _, name := range []string{"x", "y", "z"} {
		vertex.Properties = append(vertex.Properties, ply.Property{Name: name, Type: ply.Double})
	}
	if f.Row != nil {
		vertex.Properties = append(vertex.Properties, ply.Property{Name: "row", Type: ply.Uint8})
	}
	head := ply.Head{Format: format, Elements: []ply.Element{vertex}}
	for _, line := range lines {
		head.Comments = append(head.Comments, ply.Comment{Text: line})
	}
	out.WriteString(head.String())
	var record []byte
	for i := range f.Z {
		record = f.appendVertex(record[:0], i, format)
		out.Write(record)
	}
	return written(f.Name, out.Flush())
}

func (f *Face) appendVertex(b []byte, i int, format PLYFormat) []byte {
	mark := NoRow
	if f.Row != nil {
		mark = f.Row[i]
	}
	values := [3]float64{f.X[i], f.Y[i], f.Z[i]}
	if format == ASCII {
		b = appendDecimal(b, values[0])
		b = appendDecimal(append(b, ' '), values[1])
		b = appendDecimal(append(b, ' '), values[2])
		if f.Row != nil {
			b = append(b, ' ', '0'+byte(mark))
		}
		return append(b, '\n')
	}
	for _, v := range values {
		if format == BinaryBigEndian {
			b = binary.BigEndian.AppendUint64(b, math.Float64bits(v+0)) // -0 becomes 0
		} else {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v+0))
		}
	}
	if f.Row != nil {
		b = append(b, byte(mark))
	}
	return b
}

func written(name string, err error) error {
	if err == nil {
		return nil
	}
	return trouble.IO("unwritable", name, "the face could not be written", "check the disk, the rights and the pipe").Because(err)
}

// writable returns the header lines if what would be written can be read back.
func (f *Face) writable() ([]string, error) {
	n := f.Len()
	if len(f.X) != n || len(f.Y) != n || (f.Row != nil && len(f.Row) != n) || n == 0 {
		return nil, trouble.Data("bad-face", f.Name, fmt.Sprintf("the face has %d x, %d y, %d z and %d row marks", len(f.X), len(f.Y), n, len(f.Row)),
			"give each reading an x, a y and a z, and all or none a mark")
	}
	where := func(i int) string { return fmt.Sprintf("%s: reading %d", f.Name, i+1) }
	for i := range f.Z {
		for k, v := range [3]float64{f.X[i], f.Y[i], f.Z[i]} {
			if !(v >= -reach && v <= reach) {
				return nil, trouble.Data("bad-face", where(i), fmt.Sprintf("%c = %g is not a coordinate in mm", "xyz"[k], v), "leave out stations without a reading")
			}
		}
		if f.Row != nil && (f.Row[i] < NoRow || f.Row[i] > JointMinus) {
			return nil, trouble.Data("bad-face", where(i), fmt.Sprintf("the row mark is %d", f.Row[i]), "use NoRow, JointPlus or JointMinus")
		}
	}
	lines, err := f.Header.writable()
	if err != nil {
		return nil, err
	}
	in := *f
	in.Unit = measure.MM
	_, err = in.check(where)
	return lines, err
}

// writable returns the header lines if they read back as they are.
func (h *Header) writable() ([]string, error) {
	lines := h.written()
	back := heading{Header: Header{Name: h.Name}}
	for i, line := range lines {
		if err := back.add(line, i+1); err != nil {
			return nil, err
		}
	}
	if err := back.read(); err != nil {
		return nil, err
	}
	if !slices.Equal(back.Header.written(), lines) {
		return nil, trouble.Data("bad-face", h.Name, "the header of the face would not read back as it is",
			"use plain one-line texts, and give keys with a meaning through the fields of the header")
	}
	return lines, nil
}

// written returns the header lines in their canonical order, without # or comment.
func (h *Header) written() []string {
	var out []string
	put := func(key, value string) {
		if value = clean(value); value != "" {
			out = append(out, key+": "+value)
		}
	}
	put("piece", h.Piece)
	put("unit", measure.MM.String())
	if h.SizeX != 0 || h.SizeY != 0 {
		put("size", decimal(h.SizeX)+" x "+decimal(h.SizeY)+" mm")
	}
	if h.Side != SideUnknown {
		put("face", h.Side.String())
	}
	if h.Origin != Middle {
		put("origin", h.Origin.String())
	}
	if h.TurnFixed {
		put("turn", "fixed")
	}
	if h.Zero != nil {
		put("zero", decimal(*h.Zero))
	}
	if h.InPiece {
		put("frame", "piece")
	}
	put("support", h.Support.written())
	put("instrument", h.Instrument)
	if h.U != 0 {
		put("u", decimal(h.U))
	}
	put("temperature", h.temperatures())
	put("dry_since", h.DrySince)
	put("date", h.Date)
	for _, t := range h.Thickness {
		put("thickness", t.written())
	}
	for _, t := range h.Lined {
		put("lined", t.written())
	}
	for _, o := range h.Other {
		line := clean(o.Value)
		if o.Key != "" {
			line = clean(o.Key + ": " + o.Value)
		}
		out = append(out, line)
	}
	return out
}

func (t Thickness) written() string { return decimal(t.X) + " " + decimal(t.Y) + " " + decimal(t.T) }

func (h *Header) temperatures() string {
	if h.OneTemp && h.TempTop != nil {
		return decimal(*h.TempTop) + " C"
	}
	var parts []string
	if h.TempTop != nil {
		parts = append(parts, "top "+decimal(*h.TempTop)+" C")
	}
	if h.TempBottom != nil {
		parts = append(parts, "bottom "+decimal(*h.TempBottom)+" C")
	}
	return strings.Join(parts, ", ")
}
