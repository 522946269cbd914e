package face

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/bits"

	"slatewright/face/ply"
	"slatewright/face/stream"
	"slatewright/measure"
	"slatewright/trouble"
)

// PLYFormat is one of the three encodings of a PLY file.
type PLYFormat = ply.Format

// The encodings.
const (
	ASCII              = ply.ASCII
	BinaryLittleEndian = ply.BinaryLittleEndian
	BinaryBigEndian    = ply.BinaryBigEndian
)

func readPLY(s *stream.Source) (*Face, error) {
	file, err := ply.ReadHead(s)
	if err != nil {
		return nil, err
	}
	h := heading{Header: Header{Name: s.Name}}
	for _, c := range file.Comments {
		if err := h.add(c.Text, c.Line); err != nil {
			return nil, err
		}
	}
	n, err := vertexElement(file, s)
	if err != nil {
		return nil, err
	}
	if err := h.read(); err != nil {
		return nil, err
	}
	for _, e := range file.Elements[:n] {
		if err := file.Skip(s, e); err != nil {
			return nil, err
		}
	}
	v := layout(file, file.Elements[n], h.Unit)
	all, where, err := v.read(s, file.Format, n == len(file.Elements)-1)
	if err != nil {
		return nil, err
	}
	return h.face(all, where)
}

// vertexElement returns the number of the element of the vertices if it has what readings need.
func vertexElement(file *ply.Head, s *stream.Source) (int, error) {
	bad := func(line int, format string, args ...any) (int, error) {
		return 0, trouble.Data("ply-header", stream.At(s.Name, line), fmt.Sprintf(format, args...),
			"export the scan again as PLY with the vertex properties x, y and z")
	}
	found := -1
	for i, e := range file.Elements {
		if e.Name == "vertex" {
			if found >= 0 {
				return bad(e.Line, "the element vertex stands twice")
			}
			found = i
		}
	}
	if found < 0 {
		return bad(s.Lines, "there is no element vertex")
	}
	v, seen := file.Elements[found], map[string]bool{}
	for _, p := range v.Properties {
		if p.List {
			return bad(v.Line, "the vertices have a list, %q", p.Name)
		}
		if seen[p.Name] {
			return bad(v.Line, "the vertices have two properties %q", p.Name)
		}
		seen[p.Name] = true
	}
	for _, name := range []string{"x", "y", "z"} {
		if !seen[name] {
			return bad(v.Line, "the vertices have no property %s", name)
		}
	}
	return found, nil
}

// vertices is how the vertices of a PLY file are laid out.
type vertices struct {
	unit    measure.Unit
	count   int64
	big     bool
	stride  int
	wanted  [4]int      // in a binary record, where x, y, z and the row mark begin; in a text line, which word they are; -1 = no mark
	kinds   [4]ply.Type // their types
	columns int
}

// layout finds where the values of a vertex stand.
func layout(file *ply.Head, e ply.Element, u measure.Unit) *vertices {
	v := &vertices{unit: u, count: e.Count, big: file.Format == BinaryBigEndian, wanted: [4]int{-1, -1, -1, -1}, columns: len(e.Properties)}
	for column, p := range e.Properties {
		for k, name := range [...]string{"x", "y", "z", "row"} {
			if p.Name == name {
				v.kinds[k], v.wanted[k] = p.Type, v.stride
				if file.Format == ASCII {
					v.wanted[k] = column
				}
			}
		}
		v.stride += p.Type.Size()
	}
	return v
}

// read reads the vertices; nothing but space may follow the last element of the file.
func (v *vertices) read(s *stream.Source, format PLYFormat, last bool) (all *readings, where place, err error) {
	all = &readings{}
	var rest []byte
	if format == ASCII {
		where = linesOf(s.Name, s.Lines)
		rest, err = v.readText(s, all, where)
	} else {
		where = verticesOf(s.Name)
		rest, err = v.readBinary(s, all, where)
	}
	next := where(all.records + 1)
	if err != nil {
		return nil, nil, stream.Stopped(err, next)
	}
	if int64(all.records) < v.count {
		return nil, nil, trouble.Data("truncated", next, fmt.Sprintf("the file ends after %d of the %s its head declares", all.records, trouble.Count(v.count, "vertex that", "vertices that")),
			"export or copy the file again")
	}
	if !last {
		return all, where, nil
	}
	more, err := goesOn(io.MultiReader(bytes.NewReader(rest), s))
	if err != nil {
		return nil, nil, stream.Stopped(err, next)
	}
	if more {
		return nil, nil, trouble.Data("excess", next, fmt.Sprintf("the file goes on after the %s that its head declares", trouble.Count(v.count, "vertex", "vertices")),
			"export the file again: its head and its data disagree")
	}
	return all, where, nil
}

// goesOn tells whether anything but space follows, as far as the next 4 KiB.
func goesOn(r io.Reader) (bool, error) {
	var next [4096]byte
	n, err := io.ReadFull(r, next[:])
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		err = nil
	}
	return len(bytes.TrimSpace(next[:n])) > 0, err
}

// readBinary reads the vertices of a binary file. Space is set aside for what the head declares only as far as the size of the file,
// if that is known, bears it out.
func (v *vertices) readBinary(s *stream.Source, all *readings, where place) ([]byte, error) {
	all.reserve(min(v.count, s.Size/int64(v.stride)))
	limit := int64(math.MaxInt64)
	if v.count < limit/int64(v.stride) {
		limit = v.count * int64(v.stride)
	}
	whole := func(text []byte) (int, bool) { return len(text) - len(text)%v.stride, false }
	merge := func(b *block) error {
		if f := all.merge(&b.Fruit); f != nil {
			return f.at(where)
		}
		return nil
	}
	_, err := stream.InOrder(io.LimitReader(s, limit), false, whole, v.block, merge)
	return nil, err
}

// block reads the vertices of one block.
func (v *vertices) block(b *block) {
	n, r := len(b.Text)/v.stride, &b.Fruit
	r.reset()
	for i := 0; i < n; i++ {
		i += v.plainRun(r, b.Text[i*v.stride:n*v.stride])
		if i == n {
			break
		}
		r.records++
		if f := v.record(r, b.Text[i*v.stride:(i+1)*v.stride]); f != nil {
			r.stop(f)
			return
		}
	}
}

// record reads one vertex of any kind.
func (v *vertices) record(r *readings, record []byte) *fault {
	var value [3]float64
	for k := range value {
		value[k] = v.kinds[k].Load(record[v.wanted[k]:], v.big)
	}
	mark := NoRow
	if v.wanted[3] >= 0 {
		var f *fault
		if mark, f = markOf(v.kinds[3].Load(record[v.wanted[3]:], v.big)); f != nil {
			return f
		}
	}
	return r.takeFloats(value, mark, v.unit)
}

// plainRun reads vertices as long as they are plain: floats or doubles in mm, all three within reach, and no row mark to look
// at. It returns how many it read; the others need a closer look.
func (v *vertices) plainRun(r *readings, text []byte) int {
	kind := v.kinds[0]
	if kind < ply.Float || v.kinds[1] != kind || v.kinds[2] != kind || v.wanted[3] >= 0 || v.unit != measure.MM {
		return 0
	}
	had := len(r.z)
	n := len(text) / v.stride
	r.lengthen(n)
	x, y, z := r.x[had:], r.y[had:], r.z[had:]
	i := 0
	for ; i < n; i++ {
		record := text[i*v.stride : (i+1)*v.stride]
		x[i] = v.load(record[v.wanted[0]:])
		y[i] = v.load(record[v.wanted[1]:])
		z[i] = v.load(record[v.wanted[2]:])
		if !(within(x[i]) && within(y[i]) && within(z[i])) {
			break
		}
	}
	r.shorten(n - i)
	if i > 0 {
		r.runs = append(r.runs, run{had, r.records + 1})
	}
	r.records += i
	return i
}

// within tells whether v is a number within reach.
func within(v float64) bool { return v >= -reach && v <= reach }

// load reads a coordinate where all are floats or all are doubles.
func (v *vertices) load(b []byte) float64 {
	if v.kinds[0] == ply.Float {
		u := binary.LittleEndian.Uint32(b)
		if v.big {
			u = bits.ReverseBytes32(u)
		}
		return float64(math.Float32frombits(u)) + 0 // -0 becomes 0
	}
	u := binary.LittleEndian.Uint64(b)
	if v.big {
		u = bits.ReverseBytes64(u)
	}
	return math.Float64frombits(u) + 0
}

// takeFloats takes a reading given as floats in the unit.
func (r *readings) takeFloats(v [3]float64, mark Row, u measure.Unit) *fault {
	var absent [3]bool
	for k := range v {
		mm := v[k]
		if mm-mm == 0 {
			mm = u.FromFloat(mm)
		}
		switch {
		case mm != mm:
			absent[k] = true
		case mm > math.MaxFloat64 || mm < -math.MaxFloat64:
			return infinite.fault("xyz"[k], "")
		case mm > reach || mm < -reach:
			return tooLarge.fault("xyz"[k], decimal(v[k]))
		}
		v[k] = mm
	}
	return r.place(v, absent, mark)
}

func markOf(v float64) (Row, *fault) {
	switch v {
	case 0, 1, 2:
		return Row(v), nil
	}
	return NoRow, &fault{code: "bad-row", what: fmt.Sprintf("the row mark is %g", v), next: "write 0 for none, 1 for joint+ and 2 for joint-"}
}

// readText reads the vertices of an ascii file: one line each.
func (v *vertices) readText(s *stream.Source, all *readings, where place) ([]byte, error) {
	all.reserve(min(v.count, s.Size/int64(2*v.columns))) // a digit and a space a number
	left := v.count
	lines := func(text []byte) (int, bool) {
		if n := int64(bytes.Count(text, []byte("\n"))); n < left {
			left -= n
			return stream.WholeLines(text)
		}
		end := 0
		for ; left > 0; left-- {
			end += bytes.IndexByte(text[end:], '\n') + 1
		}
		return end, true
	}
	merge := func(b *block) error {
		if f := all.merge(&b.Fruit); f != nil {
			return f.at(where)
		}
		return nil
	}
	return stream.InOrder(s, true, lines, v.lines, merge)
}

// lines reads the vertices of one block of text.
func (v *vertices) lines(b *block) {
	r := &b.Fruit
	r.reset()
	r.reserve(int64(len(b.Text) / 24))
	for p := 0; p < len(b.Text); {
		r.records++
		end := p + bytes.IndexByte(b.Text[p:], '\n')
		f := v.line(r, b.Text[p:end+1])
		p = end + 1
		if f != nil && b.Torn && p == len(b.Text) {
			f = tornLine(f)
		}
		if f != nil {
			r.stop(f)
			return
		}
	}
}

// line reads one vertex. The text ends with a line end.
func (v *vertices) line(r *readings, text []byte) *fault {
	words := 0
	var value [3]float64
	var absent [3]bool
	mark := NoRow
	for p := 0; ; words++ {
		for text[p] == ' ' || text[p] == '\t' || text[p] == '\r' {
			p++
		}
		if text[p] == '\n' {
			break
		}
		end := p
		for !isSpace(text[end]) {
			end++
		}
		for k, column := range v.wanted {
			if column != words {
				continue
			}
			var f *fault
			if k == 3 {
				mark, f = markIn(text[p:end])
			} else {
				value[k], absent[k], f = v.number(k, text, p, end)
			}
			if f != nil {
				return f
			}
		}
		p = end
	}
	if words != v.columns {
		return &fault{code: "columns", what: fmt.Sprintf("%s instead of the %d of a vertex", trouble.Count(words, "number", "numbers"), v.columns),
			next: "export the file again: each vertex has one line with one number a property"}
	}
	return r.place(value, absent, mark)
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\r' || c == '\n' }

// number reads the coordinate that stands in text[p:end].
func (v *vertices) number(axis int, text []byte, p, end int) (mm float64, absent bool, f *fault) {
	mm, stop, _ := plain(text, p, false, v.unit)
	if stop == end {
		return mm, false, nil
	}
	cell := string(text[p:end])
	mm, _, form := careful(cell, false, v.unit)
	return mm, form == missing, form.fault("xyz"[axis], cell)
}

func markIn(word []byte) (Row, *fault) {
	if len(word) == 1 && word[0] >= '0' && word[0] <= '2' {
		return Row(word[0] - '0'), nil
	}
	return NoRow, &fault{code: "bad-row", what: fmt.Sprintf("the row mark is %q", word), next: "write 0 for none, 1 for joint+ and 2 for joint-"}
}
