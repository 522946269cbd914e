package paper

import (
	"cmp"
	"io"
	"slices"
	"strings"

	"slatewright/internal/picture/bedmap"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
)

// press sets a document: it keeps the place on the page, begins pages, and draws what stands on each.
type press struct {
	*ink.PDF
	said
	w, h        float64
	left, right float64
	bottom      float64
	y, fresh    float64  // the place on the page, and where it was when the page began
	letters     float64  // of the usual size of long texts
	mark        string   // over every page; empty: none
	foot        []string // at the bottom of every page; the first are left out where there is not room for all
	air         float64  // of the usual white space between things; 1 unless a paper would run over
}

// layout is what a paper may give up so as not to run over.
type layout struct {
	air      float64 // of the usual white space between things
	smallMap bool    // the pieces stand on the first page, under a smaller map
	letters  float64 // of the usual size of long texts; 0: that
}

// layouts begins with the handsomest.
var layouts = []layout{{air: 1}, {air: 0.8}, {air: 0.6}, {1, true, 1}, {0.8, true, 1}, {0.6, true, 1}, {0.4, true, 1}, {0.2, true, 1}, {0.1, true, 1}}

// smaller are further layouts of papers that say the same in more words than the English ones.
var smaller = []layout{{0.6, true, 0.94}, {0.4, true, 0.94}, {0.2, true, 0.94}, {0.1, true, 0.94}}

// layoutsOf lists the layouts of papers in a language.
func layoutsOf(l tongue.Language) []layout {
	if l == tongue.English {
		return layouts
	}
	return append(slices.Clone(layouts), smaller...)
}

// setWithin sets a paper in the first layout that has at most so many pages; if none has, in the handsomest.
func setWithin(pages int, language tongue.Language, set func(layout) (*press, error)) (*press, error) {
	var first *press
	for _, l := range layoutsOf(language) {
		p, err := set(l)
		if err != nil || p.Pages() <= pages {
			return p, err
		}
		if first == nil {
			first = p
		}
	}
	return first, nil
}

const (
	pageMargin = 16.0
	pageTop    = 8.0
)

func newPress(f Form, t ink.Title, mark string, foot []string, l layout) *press {
	w, h := f.Size.mm()
	t.Language = f.Words.Language().Tag()
	p := &press{PDF: ink.NewPDF(w, h, t, f.Font), said: said{f.Words}, w: w, h: h, left: pageMargin, right: w - pageMargin, mark: bedmap.Banner(f.Words, mark), foot: foot, air: l.air, letters: cmp.Or(l.letters, 1)}
	p.bottom = h - 12.5
	p.page()
	return p
}

// width is the width of the text.
func (p *press) width() float64 { return p.right - p.left }

// page begins a page, with the mark over it.
func (p *press) page() {
	p.Page()
	p.y = pageTop
	if p.mark != "" {
		p.y += look.DrawBanner(p, p.mark, p.left, p.y, p.width(), look.Banner) + 3.2
	}
	p.fresh = p.y
}

// need begins a new page unless there are so many mm left on this one.
func (p *press) need(h float64) {
	if p.y+h > p.bottom {
		p.page()
	}
}

// space is the room above a heading.
func (p *press) space() float64 { return fullSpace * p.air }

// section leaves the space above a heading and makes sure of so many mm below it; at the top of a page it leaves none.
func (p *press) section(h float64) {
	if p.y > p.fresh {
		p.y += p.space()
	}
	p.need(h)
}

// text sets words at the left of the current place and moves below them.
func (p *press) text(words string, t ink.Type) { p.y += p.block(words, t, p.left, p.y, p.width()) }

// block sets words into a column at (x, y) and returns the height used.
func (p *press) block(words string, t ink.Type, x, y, w float64) float64 {
	lines := ink.Wrap(p, words, t, w)
	for i, l := range lines {
		p.Text(ink.Point{X: x, Y: y + t.Height() + look.Leading(t)*float64(i)}, l, t)
	}
	return look.Leading(t) * float64(len(lines))
}

// high returns the height of words in a column w wide.
func (p *press) high(words string, t ink.Type, w float64) float64 {
	return look.Leading(t) * float64(len(ink.Wrap(p, words, t, w)))
}

// long is the type of a long text: smaller where the paper would run over.
func (p *press) long(t ink.Type) ink.Type { return t.Sized(t.Size * p.letters) }

// head sets a heading at (x, y) with a hairline over the column and returns the height used.
func (p *press) head(words string, x, y, w float64) float64 {
	p.Stroke(ink.Segment(x, y, x+w, y), ink.Pen{Colour: look.Stone, Width: 0.3})
	p.Text(ink.Point{X: x, Y: y + 2 + look.Head.Height()}, words, look.Head)
	return headHeight
}

const (
	headHeight = 7.2
	fullSpace  = 4.2 // above a heading
	captionGap = 1.4 // above a caption under a table
)

// finish writes the foot of every page and then the document.
func (p *press) finish(w io.Writer) error {
	n := p.Pages()
	for k := 1; k <= n; k++ {
		p.Turn(k)
		y := p.h - 7.5
		p.Stroke(ink.Segment(p.left, y-3.6, p.right, y-3.6), ink.Pen{Colour: look.Hair, Width: 0.2})
		number := p.Say("paper.page", "page", k, "pages", n)
		p.Text(ink.Point{X: p.right, Y: y}, number, look.Small.To(ink.Right))
		room := p.width() - p.Width(number, look.Small) - 6
		p.Text(ink.Point{X: p.left, Y: y}, p.footWords(room), look.Small)
	}
	return p.Write(w)
}

func (p *press) footWords(room float64) string {
	for i := range p.foot {
		if words := strings.Join(p.foot[i:], "  ·  "); p.Width(words, look.Small) <= room {
			return words
		}
	}
	return ""
}

// frame draws a box with a thin edge.
func (p *press) frame(x, y, w, h float64, c ink.Colour) {
	p.Fill([]contour.Line{ink.Rect(x, y, w, h)}, look.Page)
	p.Stroke(ink.Rect(x, y, w, h), ink.Pen{Colour: c, Width: 0.3})
}
