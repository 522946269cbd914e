package face

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/bits"

	"slatewright/measure"
	"slatewright/trouble"
)

// A vertices is how the vertices of a PLY file are laid out.
type vertices struct {
	unit    measure.Unit
	count   int64
	big     bool
	stride  int
	wanted  [4]int    // in a binary record, where x, y, z and the row mark begin; in a text line, which word they are; -1 = no mark
	kinds   [4]scalar // their types
	columns int
}

func readPLY(s *source) (*Face, error) {
	h, err := readPLYHead(s)
	if err != nil {
		return nil, err
	}
	if err := h.read(); err != nil {
		return nil, err
	}
	for _, e := range h.elements[:h.vertex] {
		if err := h.skip(s, e); err != nil {
			return nil, err
		}
	}
	v := h.layout()
	var all readings
	var where place
	var rest []byte
	if h.format == ASCII {
		where = linesOf(s.name, s.lines)
		rest, err = v.readText(s, &all, where)
	} else {
		where = verticesOf(s.name)
		rest, err = v.readBinary(s, &all, where)
	}
	if err != nil {
		return nil, stopped(err, where, all.records)
	}
	if int64(all.records) < v.count {
		return nil, trouble.Data("truncated", where(all.records+1), fmt.Sprintf("the file ends after %d of the %d vertices that its head declares", all.records, v.count),
			"export or copy the file again")
	}
	if h.vertex == len(h.elements)-1 && more(io.MultiReader(bytes.NewReader(rest), s)) {
		return nil, trouble.Data("excess", where(all.records+1), fmt.Sprintf("the file goes on after the %d vertices that its head declares", v.count),
			"export the file again: its head and its data disagree")
	}
	return h.face(&all, where)
}

// more tells whether anything but space follows, as far as the next 4 KiB.
func more(r io.Reader) bool {
	var next [4096]byte
	n, _ := io.ReadFull(r, next[:])
	return len(bytes.TrimSpace(next[:n])) > 0
}

// layout finds where the values of a vertex stand.
func (h *plyHead) layout() *vertices {
	e := h.elements[h.vertex]
	v := &vertices{unit: h.Unit, count: e.count, big: h.format == BinaryBigEndian, wanted: [4]int{-1, -1, -1, -1}, columns: len(e.properties)}
	offset := 0
	for column, p := range e.properties {
		for k, name := range [...]string{"x", "y", "z", "row"} {
			if p.name == name {
				v.kinds[k], v.wanted[k] = p.kind, offset
				if h.format == ASCII {
					v.wanted[k] = column
				}
			}
		}
		offset += scalarSizes[p.kind]
	}
	v.stride = offset
	return v
}

// skip passes over an element that stands before the vertices.
func (h *plyHead) skip(s *source, e element) error {
	cut := func() error {
		return trouble.Data("truncated", s.name, fmt.Sprintf("the file ends inside the element %q", e.name), "export or copy the file again")
	}
	if h.format == ASCII {
		for range e.count {
			if _, err := s.line(); err == io.EOF {
				return cut()
			} else if err != nil {
				return err
			}
		}
		return nil
	}
	stride, fixed := e.stride()
	if len(e.properties) == 0 {
		return nil
	}
	for range e.count {
		if err := h.skipRecord(s, e, stride, fixed); err != nil {
			return cut()
		}
	}
	return nil
}

func (h *plyHead) skipRecord(s *source, e element, stride int, fixed bool) error {
	if fixed {
		_, err := s.Discard(stride)
		return err
	}
	for _, p := range e.properties {
		size := scalarSizes[p.kind]
		if p.list {
			var length [4]byte
			if _, err := io.ReadFull(s, length[:scalarSizes[p.length]]); err != nil {
				return err
			}
			size *= int(max(p.length.load(length[:], h.format == BinaryBigEndian), 0))
		}
		if _, err := s.Discard(size); err != nil {
			return err
		}
	}
	return nil
}

// readBinary reads the vertices of a binary file. Space is set aside for what the head declares only as far as the size of the file,
// if that is known, bears it out.
func (v *vertices) readBinary(s *source, all *readings, where place) ([]byte, error) {
	all.reserve(min(v.count, s.size/int64(v.stride)))
	limit := int64(math.MaxInt64)
	if v.count < limit/int64(v.stride) {
		limit = v.count * int64(v.stride)
	}
	whole := func(text []byte) (int, bool) { return len(text) - len(text)%v.stride, false }
	merge := func(b *block) error {
		if f := all.merge(&b.readings); f != nil {
			return f.at(where)
		}
		return nil
	}
	_, err := inOrder(io.LimitReader(s, limit), false, whole, v.block, merge)
	return nil, err
}

// block reads the vertices of one block.
func (v *vertices) block(b *block) {
	n := len(b.text) / v.stride
	for i := 0; i < n; i++ {
		i += v.plainRun(b, b.text[i*v.stride:n*v.stride])
		if i == n {
			break
		}
		b.records++
		record := b.text[i*v.stride : (i+1)*v.stride]
		x := v.kinds[0].load(record[v.wanted[0]:], v.big)
		y := v.kinds[1].load(record[v.wanted[1]:], v.big)
		z := v.kinds[2].load(record[v.wanted[2]:], v.big)
		mark := NoRow
		if v.wanted[3] >= 0 {
			var f *fault
			if mark, f = markOf(v.kinds[3].load(record[v.wanted[3]:], v.big)); f != nil {
				b.stop(f)
				return
			}
		}
		if f := b.takeFloats([3]float64{x, y, z}, mark, v.unit); f != nil {
			b.stop(f)
			return
		}
	}
}

// plainRun reads vertices as long as they are plain: floats or doubles in mm, all three within reach, and no row mark to look
// at. It returns how many it read; the others need a closer look.
func (v *vertices) plainRun(b *block, text []byte) int {
	kind := v.kinds[0]
	if kind < floatType || v.kinds[1] != kind || v.kinds[2] != kind || v.wanted[3] >= 0 || v.unit != measure.MM {
		return 0
	}
	had := len(b.z)
	n := len(text) / v.stride
	b.lengthen(n)
	x, y, z := b.x[had:], b.y[had:], b.z[had:]
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
	b.shorten(n - i)
	if i > 0 {
		b.runs = append(b.runs, run{had, b.records + 1})
	}
	b.records += i
	return i
}

// within tells whether v is a number within reach.
func within(v float64) bool { return v >= -reach && v <= reach }

// load reads a coordinate where all are floats or all are doubles.
func (v *vertices) load(b []byte) float64 {
	if v.kinds[0] == floatType {
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
func (b *block) takeFloats(v [3]float64, mark Row, u measure.Unit) *fault {
	var absent [3]bool
	for k := range v {
		mm := fromFloatOrNaN(v[k], u)
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
	return b.place(v, absent, mark)
}

func fromFloatOrNaN(v float64, u measure.Unit) float64 {
	if v-v != 0 { // NaN and infinities
		return v
	}
	return fromFloat(v, u)
}

func markOf(v float64) (Row, *fault) {
	switch v {
	case 0, 1, 2:
		return Row(v), nil
	}
	return NoRow, &fault{code: "bad-row", what: fmt.Sprintf("the row mark is %g", v), next: "write 0 for none, 1 for joint+ and 2 for joint-"}
}

// readText reads the vertices of an ascii file: one line each.
func (v *vertices) readText(s *source, all *readings, where place) ([]byte, error) {
	all.reserve(min(v.count, s.size/int64(2*v.columns))) // a digit and a space a number
	left := v.count
	lines := func(text []byte) (int, bool) {
		if n := int64(bytes.Count(text, []byte("\n"))); n < left {
			left -= n
			return wholeLines(text)
		}
		end := 0
		for ; left > 0; left-- {
			end += bytes.IndexByte(text[end:], '\n') + 1
		}
		return end, true
	}
	merge := func(b *block) error {
		if f := all.merge(&b.readings); f != nil {
			return f.at(where)
		}
		return nil
	}
	return inOrder(s, true, lines, v.lines, merge)
}

// lines reads the vertices of one block of text.
func (v *vertices) lines(b *block) {
	b.reserve(int64(len(b.text) / 24))
	for p := 0; p < len(b.text); {
		b.records++
		end := p + bytes.IndexByte(b.text[p:], '\n')
		f := v.line(b, b.text[p:end+1])
		p = end + 1
		if f != nil && b.torn && p == len(b.text) {
			f = tornLine(f)
		}
		if f != nil {
			b.stop(f)
			return
		}
	}
}

// line reads one vertex. The text ends with a line end.
func (v *vertices) line(b *block, text []byte) *fault {
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
		return &fault{code: "columns", what: fmt.Sprintf("%d numbers instead of the %d of a vertex", words, v.columns),
			next: "export the file again: each vertex has one line with one number a property"}
	}
	return b.place(value, absent, mark)
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
