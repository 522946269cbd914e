package ink

import (
	"encoding/binary"
	"fmt"
	"strings"
	"sync"

	"codeberg.org/go-pdf/fpdf"

	"slatewright/trouble"
)

// firstOutside is the first character that the fonts of this program never have: the writing of East Asia and its full-width signs
// begin here (The Unicode Standard, block CJK Radicals Supplement). They are set in a Font that is brought along.
const firstOutside = 0x2E80

// LargestFont is the largest font file to read, in bytes: those of Chinese have some 5 to 25 MB.
const LargestFont = 64 << 20

// Font is a typeface from outside, for characters that the fonts of this program do not have. Nil is none.
type Font struct {
	name   string
	data   []byte
	cmap   []byte // the table of characters, format 4 of the OpenType specification
	ruling sync.Mutex
	ruler  *fpdf.Fpdf
}

// ReadFont reads a TrueType font (.ttf), whose outlines a PDF can hold. name is what the file is called.
func ReadFont(name string, data []byte) (f *Font, err error) {
	bad := func(what string) error {
		return trouble.Data("bad-font", name, what, "give a TrueType font, a .ttf file with outlines, and no collection (.ttc) or .otf")
	}
	tables := fontTables(data)
	if tables["glyf"] == nil || tables["loca"] == nil {
		return nil, bad("this is no TrueType font with outlines")
	}
	f = &Font{name: name, data: data, cmap: characters(tables["cmap"])}
	if f.cmap == nil {
		return nil, bad("the font does not say which characters it has")
	}
	defer func() { // the library trusts the tables of a font
		if recover() != nil {
			f, err = nil, bad("the font is broken or of a kind that cannot be set")
		}
	}()
	f.ruler = fpdf.New("P", "mm", "A4", "")
	f.ruler.AddUTF8FontFromBytes(outside, "", data)
	f.ruler.SetFont(outside, "", 10)
	f.ruler.GetStringWidth("0")
	if f.ruler.Err() {
		return nil, bad("the font cannot be set: " + f.ruler.Error().Error())
	}
	return f, nil
}

// outside is what documents call the font from outside.
const outside = "outside"

// fontTables finds the tables of a font by their tags; what does not lie within the file is left out.
func fontTables(data []byte) map[string][]byte {
	tables := map[string][]byte{}
	if len(data) < 12 || binary.BigEndian.Uint32(data) != 0x00010000 && string(data[:4]) != "true" {
		return tables
	}
	for k := 0; k < int(binary.BigEndian.Uint16(data[4:])) && 28+16*k <= len(data); k++ {
		entry := data[12+16*k:]
		from, n := uint64(binary.BigEndian.Uint32(entry[8:])), uint64(binary.BigEndian.Uint32(entry[12:]))
		if from+n <= uint64(len(data)) {
			tables[string(entry[:4])] = data[from : from+n]
		}
	}
	return tables
}

// characters finds the table of characters of the basic plane: format 4, Unicode.
func characters(cmap []byte) []byte {
	if len(cmap) < 4 {
		return nil
	}
	for k := 0; k < int(binary.BigEndian.Uint16(cmap[2:])) && 12+8*k <= len(cmap); k++ {
		entry := cmap[4+8*k:]
		platform, encoding, at := binary.BigEndian.Uint16(entry), binary.BigEndian.Uint16(entry[2:]), uint64(binary.BigEndian.Uint32(entry[4:]))
		if platform != 0 && (platform != 3 || encoding != 1) || at+14 > uint64(len(cmap)) || binary.BigEndian.Uint16(cmap[at:]) != 4 {
			continue
		}
		return cmap[at:]
	}
	return nil
}

// has tells whether the font has a character.
func (f *Font) has(r rune) bool {
	at := func(i int) int {
		if i < 0 || i+2 > len(f.cmap) {
			return 0
		}
		return int(binary.BigEndian.Uint16(f.cmap[i:]))
	}
	n := at(6) / 2 // segments: their ends, two bytes of nothing, their beginnings, differences and offsets
	for k := range n {
		if int(r) > at(14+2*k) {
			continue
		}
		first, delta, place := at(16+2*n+2*k), at(16+4*n+2*k), 16+6*n+2*k
		if int(r) < first {
			return false
		}
		if offset := at(place); offset != 0 {
			return at(place+offset+2*(int(r)-first)) != 0
		}
		return (int(r)+delta)&0xFFFF != 0
	}
	return false
}

// width is the length of words in the font, mm.
func (f *Font) width(words string, t Type) float64 {
	f.ruling.Lock()
	defer f.ruling.Unlock()
	f.ruler.SetFont(outside, "", t.Size)
	return f.ruler.GetStringWidth(words)
}

// run is a stretch of words in one font.
type run struct {
	words   string
	outside bool
}

// runs parts words where the font changes.
func runs(words string) (list []run) {
	from, out := 0, false
	for i, r := range words {
		if now := r >= firstOutside; now != out {
			if i > from {
				list = append(list, run{words[from:i], out})
			}
			from, out = i, now
		}
	}
	return append(list, run{words[from:], out})
}

// unset are characters that were to be set, and that no font of the document has.
type unset struct {
	list  []rune
	count int
}

func (u *unset) note(words string, f *Font) {
	for _, r := range words {
		if f != nil && f.has(r) {
			continue
		}
		u.count++
		if len(u.list) < 8 && !strings.ContainsRune(string(u.list), r) {
			u.list = append(u.list, r)
		}
	}
}

// err says which characters could not be set.
func (u *unset) err(f *Font) error {
	switch {
	case u.count == 0:
		return nil
	case f == nil:
		return trouble.Usage("no-font", "the paper", fmt.Sprintf("the fonts of this program have no %s: they hold no Chinese, Japanese or Korean characters", string(u.list)),
			"name a font that has them: --font FILE.ttf")
	}
	return trouble.Usage("no-font", f.name, fmt.Sprintf("the font has no %s", string(u.list)), "name a font that has these characters: --font FILE.ttf")
}
