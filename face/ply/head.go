package ply

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"slatewright/face/stream"
	"slatewright/trouble"
)

// Head is the head of a file.
type Head struct {
	Format   Format
	Comments []Comment
	Elements []Element // in the order of the data
}

// Comment is the text behind the word comment, and the line of the head where it was read.
type Comment struct {
	Text string
	Line int
}

// mostHead is how many bytes a head may have.
const mostHead = 1 << 22

// ReadHead takes the head of a file, up to and with the line end_header. Errors are *trouble.Trouble with the line.
func ReadHead(s *stream.Source) (*Head, error) {
	r := headReader{name: s.Name, head: &Head{}}
	for taken := 0; taken < mostHead; {
		line, err := s.Line()
		if err == io.EOF {
			return nil, trouble.Data("truncated", stream.At(s.Name, s.Lines+1), "the file ends inside its head, before end_header", "export or copy the file again")
		}
		if err != nil {
			return nil, err
		}
		taken += len(line) + 1
		if s.Lines == 1 {
			if string(line) != "ply" {
				return nil, r.bad(1, "the file does not begin with the line 'ply'")
			}
			continue
		}
		if string(bytes.TrimSpace(line)) == "end_header" {
			if !r.formatted {
				return nil, r.bad(s.Lines, "no line names the format")
			}
			return r.head, nil
		}
		if err := r.take(line, s.Lines); err != nil {
			return nil, err
		}
	}
	return nil, r.bad(s.Lines, "the head is longer than 4 MiB")
}

// headReader makes a head of its lines.
type headReader struct {
	name      string
	head      *Head
	formatted bool // the line of the format was met
}

func (r *headReader) bad(line int, format string, args ...any) error {
	return trouble.Data("ply-header", stream.At(r.name, line), fmt.Sprintf(format, args...), "export the file again as PLY, version 1.0")
}

// take reads line n of the head.
func (r *headReader) take(line []byte, n int) error {
	words := strings.Fields(string(line))
	if len(words) == 0 {
		return nil
	}
	switch words[0] {
	case "comment":
		text := strings.TrimPrefix(string(bytes.TrimSpace(line)), "comment")
		r.head.Comments = append(r.head.Comments, Comment{strings.TrimSpace(text), n})
		return nil
	case "obj_info":
		return nil
	case "format":
		return r.format(words, n)
	case "element":
		return r.element(words, n)
	case "property":
		return r.property(words, n)
	}
	return r.bad(n, "%.60q is no line of a PLY head", line)
}

func (r *headReader) format(words []string, n int) error {
	for f, name := range formats {
		if len(words) == 3 && words[1] == name && words[2] == "1.0" && !r.formatted {
			r.head.Format, r.formatted = Format(f), true
			return nil
		}
	}
	return r.bad(n, "the format is not one of ascii, binary_little_endian and binary_big_endian, version 1.0, named once")
}

func (r *headReader) element(words []string, n int) error {
	if len(words) != 3 {
		return r.bad(n, "an element has a name and a count")
	}
	count, err := strconv.ParseInt(words[2], 10, 64)
	if err != nil || count < 0 {
		return r.bad(n, "%.60q is no count of %.60q", words[2], words[1])
	}
	r.head.Elements = append(r.head.Elements, Element{Name: words[1], Count: count, Line: n})
	return nil
}

func (r *headReader) property(words []string, n int) error {
	if len(r.head.Elements) == 0 {
		return r.bad(n, "a property stands before the first element")
	}
	p, ok := Property{Name: words[len(words)-1]}, false
	switch {
	case len(words) == 3:
		p.Type, ok = typeOf(words[1])
	case len(words) == 5 && words[1] == "list":
		p.List = true
		p.Length, ok = typeOf(words[2])
		if ok = ok && p.Length < Float; ok {
			p.Type, ok = typeOf(words[3])
		}
	}
	if !ok {
		return r.bad(n, "%.60q is no property of a known type", strings.Join(words, " "))
	}
	e := &r.head.Elements[len(r.head.Elements)-1]
	e.Properties = append(e.Properties, p)
	return nil
}

// String returns the head as it stands in a file. Names and comments must be one line of text, names one word.
func (h *Head) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "ply\nformat %s 1.0\n", h.Format)
	for _, c := range h.Comments {
		b.WriteString("comment " + c.Text + "\n")
	}
	for _, e := range h.Elements {
		fmt.Fprintf(&b, "element %s %d\n", e.Name, e.Count)
		for _, p := range e.Properties {
			kind := p.Type.String()
			if p.List {
				kind = "list " + p.Length.String() + " " + kind
			}
			b.WriteString("property " + kind + " " + p.Name + "\n")
		}
	}
	b.WriteString("end_header\n")
	return b.String()
}

// Skip passes over the data of an element. Errors are *trouble.Trouble: of kind Data if the file ends inside the element, of
// kind IO if the input failed.
func (h *Head) Skip(s *stream.Source, e Element) error {
	if h.Format != ASCII && len(e.Properties) == 0 {
		return nil
	}
	for range e.Count {
		err := h.skipRecord(s, e)
		if err == nil {
			continue
		}
		where := s.Name
		if h.Format == ASCII {
			where = stream.At(s.Name, s.Lines+1)
		}
		if err == io.EOF || err == io.ErrUnexpectedEOF {
			return trouble.Data("truncated", where, fmt.Sprintf("the file ends inside the element %.60q", e.Name), "export or copy the file again")
		}
		return stream.Stopped(err, where)
	}
	return nil
}

// skipRecord passes over one record: a line, or the bytes of its properties.
func (h *Head) skipRecord(s *stream.Source, e Element) error {
	if h.Format == ASCII {
		_, err := s.Line()
		return err
	}
	if stride, fixed := e.Stride(); fixed {
		_, err := s.Discard(stride)
		return err
	}
	for _, p := range e.Properties {
		size := p.Type.Size()
		if p.List {
			var length [4]byte
			if _, err := io.ReadFull(s, length[:p.Length.Size()]); err != nil {
				return err
			}
			size *= int(max(p.Length.Load(length[:], h.Format == BinaryBigEndian), 0))
		}
		if _, err := s.Discard(size); err != nil {
			return err
		}
	}
	return nil
}
