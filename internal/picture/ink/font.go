package ink

import (
	"sync"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"github.com/go-fonts/dejavu/dejavusanscondensedoblique"
	"github.com/go-fonts/dejavu/dejavusansmono"
	"github.com/go-fonts/dejavu/dejavuserifcondensed"
	"github.com/go-fonts/dejavu/dejavuserifcondensedbold"
)

// typefaces are the DejaVu fonts, which have every sign the papers use (− ± µ ° ≤ ≥ ▲ ▽ and the Latin, Greek and Cyrillic
// letters). svg is what a reader without them falls back to.
var typefaces = [faces]struct {
	name string
	data []byte
	svg  string
}{
	Plain:     {"plain", dejavusanscondensed.TTF, `font-family="'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif" font-stretch="condensed"`},
	Bold:      {"bold", dejavusanscondensedbold.TTF, `font-family="'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif" font-stretch="condensed" font-weight="bold"`},
	Slant:     {"slant", dejavusanscondensedoblique.TTF, `font-family="'DejaVu Sans Condensed','DejaVu Sans',Verdana,sans-serif" font-stretch="condensed" font-style="italic"`},
	Serif:     {"serif", dejavuserifcondensed.TTF, `font-family="'DejaVu Serif Condensed','DejaVu Serif',Georgia,serif" font-stretch="condensed"`},
	SerifBold: {"serifbold", dejavuserifcondensedbold.TTF, `font-family="'DejaVu Serif Condensed','DejaVu Serif',Georgia,serif" font-stretch="condensed" font-weight="bold"`},
	Mono:      {"mono", dejavusansmono.TTF, `font-family="'DejaVu Sans Mono',monospace"`},
}

// book is a document with the typefaces it was asked for: fpdf writes every font it was given, used or not.
type book struct {
	*fpdf.Fpdf
	has     [faces]bool
	outside bool // has the font from outside
}

// setType makes t the document's current type.
func (b *book) setType(t Type) {
	if !b.has[t.Face] {
		b.AddUTF8FontFromBytes(typefaces[t.Face].name, "", typefaces[t.Face].data)
		b.has[t.Face] = true
	}
	b.SetFont(typefaces[t.Face].name, "", t.Size)
}

// setOutside makes the font from outside the document's current type. It comes in one weight: what should be bold is set with an outline.
func (b *book) setOutside(f *Font, t Type) {
	if !b.outside {
		b.AddUTF8FontFromBytes(outside, "", f.data)
		b.outside = true
	}
	b.SetFont(outside, "", t.Size)
	if t.Face == Bold || t.Face == SerifBold {
		b.SetDrawColor(int(t.Colour.R), int(t.Colour.G), int(t.Colour.B))
		b.SetDashPattern(nil, 0)
		b.SetLineWidth(0.03 * t.Size * mmPerPoint)
		b.SetTextRenderingMode(2)
	}
}

// metric measures words, for both writers alike. It measures on a document that is never written, so that measuring leaves
// no trace in what is drawn; the fonts are read once for all sheets.
type metric struct{}

var (
	ruling sync.Mutex // the ruler's current type changes with each measurement
	ruler  = &book{Fpdf: fpdf.New("P", "mm", "A4", "")}
)

// Width returns the length of the words, mm.
func (metric) Width(words string, t Type) float64 {
	ruling.Lock()
	defer ruling.Unlock()
	ruler.setType(t)
	length := 0.0
	for _, r := range runs(words) {
		if r.outside { // signs of East Asia are as wide as they are high, in every font
			length += float64(utf8.RuneCountInString(r.words)) * t.Size * mmPerPoint
		} else {
			length += ruler.GetStringWidth(r.words)
		}
	}
	return length
}
