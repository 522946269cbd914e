package ply_test

import (
	"errors"
	"io"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/face/ply"
	"slatewright/face/stream"
	"slatewright/trouble"
)

const small = `ply
format binary_big_endian 1.0
comment unit: mm
obj_info who made it

element vertex 2
property float x
property float64 y
comment   in between
element face 3
property list uchar int vertex_indices
element empty 9
end_header
`

func TestHead(t *testing.T) {
	s := stream.NewSource("a", strings.NewReader(small+"data"))
	h, err := ply.ReadHead(s)
	if err != nil {
		t.Fatal(err)
	}
	want := &ply.Head{
		Format:   ply.BinaryBigEndian,
		Comments: []ply.Comment{{Text: "unit: mm", Line: 3}, {Text: "in between", Line: 9}},
		Elements: []ply.Element{
			{Name: "vertex", Count: 2, Line: 6, Properties: []ply.Property{{Name: "x", Type: ply.Float}, {Name: "y", Type: ply.Double}}},
			{Name: "face", Count: 3, Line: 10, Properties: []ply.Property{{Name: "vertex_indices", Type: ply.Int32, List: true, Length: ply.Uint8}}},
			{Name: "empty", Count: 9, Line: 12},
		},
	}
	if !reflect.DeepEqual(h, want) {
		t.Errorf("got %+v, want %+v", h, want)
	}
	if rest, _ := io.ReadAll(s); string(rest) != "data" {
		t.Errorf("behind the head stands %q", rest)
	}
	for i, want := range []struct {
		bytes int
		fixed bool
	}{{12, true}, {0, false}, {0, true}} {
		if n, fixed := h.Elements[i].Stride(); n != want.bytes || fixed != want.fixed {
			t.Errorf("%s: stride %d, %v", h.Elements[i].Name, n, fixed)
		}
	}
}

// What is written is read as the same head.
func TestHeadIsReadAsWritten(t *testing.T) {
	word := rapid.StringMatching(`[a-z][a-z_0-9]{0,8}`)
	kind := rapid.Map(rapid.IntRange(int(ply.Int8), int(ply.Double)), func(i int) ply.Type { return ply.Type(i) })
	property := rapid.Custom(func(t *rapid.T) ply.Property {
		p := ply.Property{Name: word.Draw(t, "name"), Type: kind.Draw(t, "type"), List: rapid.Bool().Draw(t, "list")}
		if p.List {
			p.Length = ply.Type(rapid.IntRange(int(ply.Int8), int(ply.Uint32)).Draw(t, "length"))
		}
		return p
	})
	rapid.Check(t, func(t *rapid.T) {
		h := &ply.Head{Format: ply.Format(rapid.IntRange(0, 2).Draw(t, "format"))}
		for range rapid.IntRange(0, 4).Draw(t, "comments") {
			h.Comments = append(h.Comments, ply.Comment{Text: rapid.StringMatching(`([!-~µ]([ -~]{0,20}[!-~])?)?`).Draw(t, "comment")})
		}
		for range rapid.IntRange(0, 4).Draw(t, "elements") {
			h.Elements = append(h.Elements, ply.Element{Name: word.Draw(t, "name"), Count: rapid.Int64Min(0).Draw(t, "count"),
				Properties: rapid.SliceOfN(property, 0, 5).Draw(t, "properties")})
		}
		text := h.String()
		back, err := ply.ReadHead(stream.NewSource("a", strings.NewReader(text)))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if again := back.String(); again != text {
			t.Fatalf("written\n%s\nread and written\n%s", text, again)
		}
	})
}

func TestHeadsThatAreRefused(t *testing.T) {
	for _, c := range []struct{ name, text, where string }{
		{"not PLY", "plx\n", "a:1"},
		{"format 2", "ply\nformat ascii 2.0\n", "a:2"},
		{"unknown format", "ply\nformat text 1.0\n", "a:2"},
		{"two formats", "ply\nformat ascii 1.0\nformat ascii 1.0\n", "a:3"},
		{"no format", "ply\nelement vertex 0\nend_header\n", "a:3"},
		{"negative count", "ply\nelement vertex -2\n", "a:2"},
		{"count missing", "ply\nelement vertex\n", "a:2"},
		{"property of nothing", "ply\nproperty float x\n", "a:2"},
		{"unknown type", "ply\nelement v 1\nproperty half x\n", "a:3"},
		{"list of unknown type", "ply\nelement v 1\nproperty list uchar half x\n", "a:3"},
		{"list length of floats", "ply\nelement v 1\nproperty list float int x\n", "a:3"},
		{"property without a name", "ply\nelement v 1\nproperty float\n", "a:3"},
		{"unknown line", "ply\ncolour red\n", "a:2"},
	} {
		_, err := ply.ReadHead(stream.NewSource("a", strings.NewReader(c.text)))
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Kind != trouble.KindData || tr.Code != "ply-header" || tr.Where != c.where || tr.Next == "" {
			t.Errorf("%s: %v, want ply-header at %s", c.name, err, c.where)
		}
	}
	for n := range len(small) - 1 {
		_, err := ply.ReadHead(stream.NewSource("a", strings.NewReader(small[:n])))
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Kind != trouble.KindData {
			t.Fatalf("cut after %q: %v", small[:n], err)
		}
	}
}

// Bytes and numbers by hand: two's complement, IEEE 754.
func TestLoad(t *testing.T) {
	for _, c := range []struct {
		kind  ply.Type
		bytes string // highest first
		want  float64
	}{
		{ply.Int8, "\xff", -1}, {ply.Uint8, "\xff", 255}, {ply.Int16, "\xff\xfe", -2}, {ply.Uint16, "\xff\xfe", 65534},
		{ply.Int32, "\x80\x00\x00\x00", -2147483648}, {ply.Uint32, "\x80\x00\x00\x01", 2147483649},
		{ply.Float, "\xc1\x4c\x00\x00", -12.75}, {ply.Double, "\x3f\xf8\x00\x00\x00\x00\x00\x00", 1.5},
		{ply.Float, "\x7f\x80\x00\x00", math.Inf(1)},
	} {
		if c.kind.Size() != len(c.bytes) {
			t.Errorf("%s has %d bytes", c.kind, c.kind.Size())
			continue
		}
		low := []byte(c.bytes)
		for i := range len(low) / 2 {
			low[i], low[len(low)-1-i] = low[len(low)-1-i], low[i]
		}
		if got := c.kind.Load([]byte(c.bytes), true); got != c.want {
			t.Errorf("%s, highest byte first: %v, want %v", c.kind, got, c.want)
		}
		if got := c.kind.Load(low, false); got != c.want {
			t.Errorf("%s, lowest byte first: %v, want %v", c.kind, got, c.want)
		}
	}
}

func TestSkip(t *testing.T) {
	fixed := ply.Element{Name: "fixed", Count: 2, Properties: []ply.Property{{Type: ply.Int16}, {Type: ply.Uint8}}}
	list := ply.Element{Name: "list", Count: 2, Properties: []ply.Property{{Type: ply.Uint8}, {Type: ply.Int16, List: true, Length: ply.Int16}}}
	for _, c := range []struct {
		name   string
		format ply.Format
		of     ply.Element
		data   string
	}{
		{"lines", ply.ASCII, fixed, "1 2\n3 4\n"},
		{"records", ply.BinaryBigEndian, fixed, "abcABC"},
		{"lists", ply.BinaryBigEndian, list, "f\x00\x02abcdf\x00\x00"},
		{"lists, lowest byte first", ply.BinaryLittleEndian, list, "f\x02\x00abcdf\x00\x00"},
		{"a list of less than nothing", ply.BinaryBigEndian, list, "f\xff\xfff\x00\x01ab"},
		{"no properties", ply.BinaryBigEndian, ply.Element{Name: "none", Count: math.MaxInt64}, ""},
	} {
		h := ply.Head{Format: c.format}
		s := stream.NewSource("a", strings.NewReader(c.data+"rest"))
		if err := h.Skip(s, c.of); err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if rest, _ := io.ReadAll(s); string(rest) != "rest" {
			t.Errorf("%s: left is %q", c.name, rest)
		}
		if c.data == "" {
			continue
		}
		err := h.Skip(stream.NewSource("a", strings.NewReader(c.data[:len(c.data)/2])), c.of)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != "truncated" || !strings.Contains(tr.What, c.of.Name) {
			t.Errorf("%s, cut: %v", c.name, err)
		}
	}
}

func FuzzHead(f *testing.F) {
	f.Add(small)
	f.Add("ply\r\nformat ascii 1.0\r\nelement vertex 1\r\nproperty list uint8 float32 x\r\nend_header\r\n")
	f.Add("ply\nformat ascii 1.0\ncomment\ncomment comment\nend_header")
	f.Fuzz(func(t *testing.T, text string) {
		h, err := ply.ReadHead(stream.NewSource("a", strings.NewReader(text)))
		if err != nil {
			var tr *trouble.Trouble
			if !errors.As(err, &tr) || tr.Where == "" || tr.What == "" || tr.Next == "" {
				t.Fatalf("an error without place or next step: %v", err)
			}
			return
		}
		back, err := ply.ReadHead(stream.NewSource("a", strings.NewReader(h.String())))
		if err != nil || back.String() != h.String() {
			t.Fatalf("%v\nread as\n%s", err, h)
		}
	})
}
