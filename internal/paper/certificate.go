package paper

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"slatewright/internal/picture/bedmap"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/judge"
	"slatewright/trouble"
)

// Certificate is what the paper of a conforming set says. The sealed certificate itself is another file; the paper carries
// its digest.
type Certificate struct {
	Mark     string // on every page, as the sealed certificate bears it; empty: none
	Mill     string // who answers for it
	Set      string // set number
	DateCode string // as cut into the stone
	Issued   string // YYYY-MM-DD, or empty; also the date inside the PDF
	Pattern  string // table pattern with its revision

	Verdict judge.Verdict
	Basis   string // what it rests on, beside the verdict
	Reason  string // one sentence under that; may be empty
	Map     bedmap.Map
	Results []Result // in the order of the table
	Pieces  [3]Piece
	Method  Method
	// NotChecked lists the clauses of the tournament text that this certificate says nothing about.
	NotChecked []string
	Shims      ShimCard
	Levels     LevelCard
	LayUp      *LayUp // nil: predicted from three pieces
	Warnings   []string

	Page    string // address of its public page, for the code; empty: none is known
	Digest  string // SHA-256 of the sealed certificate, 64 hexadecimal digits
	KeyID   string // the signer's key
	Program string // program and version that computed it
}

// PDF writes the certificate. The same certificate and form give the same bytes. It is an error of the caller's when the
// verdict is not "conforms": a set that was not found to conform gets a Refusal.
func (c Certificate) PDF(w io.Writer, f Form) error {
	if err := f.Check(); err != nil {
		return err
	}
	if err := c.check(); err != nil {
		return err
	}
	made, err := day(c.Issued, c.Set)
	if err != nil {
		return err
	}
	c.Map = laidUp(c.Map, c.LayUp)
	c.Map.Words = f.Words
	r, err := c.Map.Relief()
	if err != nil {
		return err
	}
	p, err := setWithin(2, f.Words.Language(), func(l layout) (*press, error) { return c.set(r, f, made, l) })
	if err != nil {
		return err
	}
	return p.finish(w)
}

// set lays the certificate out.
func (c Certificate) set(r bedmap.Relief, f Form, made time.Time, l layout) (*press, error) {
	say := said{f.Words}
	title := ink.Title{Name: say.Say("paper.certificate-name", "set", c.Set), Subject: subject(c.Mark, say.Say("paper.certificate-subject")), Author: c.Mill, Maker: c.Program, Made: made}
	p := newPress(f, title, c.Mark, say.footLine(c.Mill, say.Say("paper.certificate-foot", "set", c.Set), c.DateCode, c.Program, c.Digest), l)
	if err := p.certificateHead(c); err != nil {
		return nil, err
	}
	p.verdictLine(c.Verdict, c.Basis, c.Reason)
	note := p.resultsNote(c.Results, c.Method.Coverage)
	rest := p.resultsHeight(c.Results, note)
	if l.smallMap {
		rest += p.piecesHeight(c.Pieces[:])
	}
	p.bed(c.Map, r, rest)
	p.results(c.Results, note)
	p.pieces(c.Pieces[:])
	p.method(c.Method, c.LayUp, c.NotChecked, allWarnings(c.Warnings, c.Map))
	p.levels(c.Levels, c.Shims.Shims, c.Map)
	p.shims(c.Shims, c.Map)
	p.cautions(Cautions(p.Words, KindCertificate, c.Pieces[:]))
	p.seal(c)
	return p, nil
}

func (c Certificate) check() error {
	if c.Verdict != judge.Conforms {
		return trouble.Own("not-a-certificate", c.Set, fmt.Sprintf("the verdict is %v", c.Verdict), "write a refusal instead")
	}
	if len(c.Digest) != 64 || strings.Trim(c.Digest, "0123456789abcdef") != "" {
		return trouble.Own("bad-digest", c.Set, fmt.Sprintf("%q is no SHA-256 digest", c.Digest), "give its 64 lower-case hexadecimal digits")
	}
	if err := CheckMark(c.Mark, c.Map, c.Set); err != nil {
		return err
	}
	if err := CheckResults(c.Results, c.Set); err != nil {
		return err
	}
	if len(c.Levels.Marks) > mostMarks || len(c.Shims.Shims) > 3*mostShims {
		return trouble.Own("crowded", c.Set, fmt.Sprintf("%d marks and %d shims do not fit a page", len(c.Levels.Marks), len(c.Shims.Shims)),
			fmt.Sprintf("give at most %d marks, and %d shims a piece", mostMarks, mostShims))
	}
	if err := c.Levels.check(c.Set); err != nil {
		return err
	}
	return c.Map.Check()
}

func (c LevelCard) check(where string) error {
	for _, k := range c.Marks {
		for _, r := range [2]LevelReading{k.Along, k.Across} {
			if len(r.Divisions) != len(c.Divisions) {
				return trouble.Own("bad-levels", where, fmt.Sprintf("mark %s has readings of %d levels, and %d are named", k.Name, len(r.Divisions), len(c.Divisions)),
					"give one reading for each level")
			}
		}
	}
	return nil
}

// CheckMark is an error of the caller's when a paper and the map in it do not bear the same mark.
func CheckMark(mark string, m bedmap.Map, where string) error {
	if mark != m.Mark {
		return trouble.Own("half-marked", where, fmt.Sprintf("the paper bears the mark %q and its map %q", mark, m.Mark), "set the same Mark on both")
	}
	return nil
}

// CheckResults is an error of the caller's when there are no results, or one without a verdict.
func CheckResults(results []Result, where string) error {
	if len(results) == 0 {
		return trouble.Own("no-results", where, "a paper without results", "give every characteristic that was judged")
	}
	for _, r := range results {
		if err := CheckVerdict(r.Verdict, where+", "+r.Name); err != nil {
			return err
		}
	}
	return nil
}

// QRText is what the code on the certificate says: the address of its public page; where none is known, set number and digest, and
// the mark.
func (c Certificate) QRText() string {
	if c.Page != "" {
		return c.Page
	}
	text := "set: " + c.Set + "\nsha256: " + c.Digest
	if c.Mark != "" {
		text += "\n" + c.Mark
	}
	return text
}

// allWarnings joins a paper's warnings with those of its map, each once.
func allWarnings(warnings []string, m bedmap.Map) []string {
	var all []string
	for _, w := range append(slices.Clone(warnings), m.Warnings...) {
		if !slices.Contains(all, w) {
			all = append(all, w)
		}
	}
	return all
}

func subject(mark, what string) string {
	if mark != "" {
		return what + "; " + mark
	}
	return what
}

// footLine is what stands at the bottom of every page.
func (w said) footLine(mill, what, dateCode, program, digest string) []string {
	if dateCode != "" {
		dateCode = w.Say("paper.foot-date-code", "code", dateCode)
	}
	if digest != "" {
		digest = w.Say("paper.foot-digest", "digest", digest[:16]+"…")
	}
	return present(mill, what, dateCode, program, digest)
}

const qrSize = 29.0 // mm, quiet zone included

// certificateHead sets title and identity, with the code at the right.
func (p *press) certificateHead(c Certificate) error {
	top := p.y
	if err := ink.QR(p, c.QRText(), p.right-qrSize, top-1.5, qrSize, look.Stone, look.Sheet); err != nil {
		return err
	}
	w := p.width() - qrSize - 4
	p.identity(c.Mill, p.Say("paper.certificate-title"), c.Pattern, w)
	p.facts([][2]string{{p.Say("paper.set"), c.Set}, {p.Say("paper.date-code"), c.DateCode}, {p.Say("paper.issued"), p.date(c.Issued)}}, w)
	p.y = max(p.y, top+qrSize-2)
	return nil
}

// identity sets the mill's name, the title and the pattern.
func (p *press) identity(mill, title, pattern string, w float64) {
	if mill != "" {
		p.y += p.block(mill, look.Strong.Sized(9).In(look.Soft), p.left, p.y, w) + 1.6
	}
	t := ink.Fit(p, title, look.Title, w, 12)
	p.y += p.block(title, t, p.left, p.y, w) - 1
	p.y += p.block(pattern, look.Text, p.left, p.y, w) + 2.4
}

// facts sets small headings with a fact under each, side by side.
func (p *press) facts(facts [][2]string, w float64) {
	each := w / float64(len(facts))
	fact := look.Strong.Sized(10.5)
	h := 0.0
	for i, f := range facts {
		x := p.left + each*float64(i)
		p.Text(ink.Point{X: x, Y: p.y + look.Small.Height()}, f[0], look.Small)
		h = max(h, p.block(p.orNone(f[1]), fact, x, p.y+look.Leading(look.Small), each-3))
	}
	p.y += look.Leading(look.Small) + h
}

// verdictLine sets the verdict with its mark, what it stands on, and why.
func (p *press) verdictLine(v judge.Verdict, basis, reason string) {
	word := ink.Type{Face: ink.SerifBold, Size: 17, Colour: look.Colour(v)}
	p.y += 2.5
	look.DrawVerdict(p, v, p.left+4.2, p.y+4.2, 8.4)
	p.Text(ink.Point{X: p.left + 12, Y: p.y + 4.2 + word.Height()/2}, p.verdict(v), word)
	x := p.left + 12 + p.Width(p.verdict(v), word) + 6
	w := p.right - x
	h := p.high(basis, look.Strong, w)
	if reason != "" {
		h += p.high(reason, look.Text, w)
	}
	y := p.y + max(0, (8.4-h+look.Leading(look.Strong)-look.Strong.Height())/2)
	y += p.block(basis, look.Strong, x, y, w)
	if reason != "" {
		p.block(reason, look.Text, x, y, w)
	}
	p.y += max(8.4, h) + 1.5
}

// bed sets the map in the middle of the page, as wide as leaves room for the rest of the page, with its scales and joints.
func (p *press) bed(m bedmap.Map, r bedmap.Relief, rest float64) {
	const scales, gap = 21.5, 2.5 // scale of heights, key and two lines of method; space above the joints
	room := p.bottom - p.y - rest - scales - gap - bedmap.JointsHeight(m)
	w := p.width()
	for bedmap.Height(p, m, w) > room && w > 0.5*p.width() {
		w--
	}
	bedmap.Draw(p, m, r, p.left+(p.width()-w)/2, p.y, w)
	p.y += bedmap.Height(p, m, w)
	p.y += bedmap.DrawScales(p, m, r, p.left, p.y, p.width()) + gap
	bedmap.DrawJoints(p, m, p.left, p.y, p.width())
	p.y += bedmap.JointsHeight(m)
}

// seal sets digest, key and program.
func (p *press) seal(c Certificate) {
	check := p.Say("paper.seal-check")
	if p.Language() != tongue.English {
		check += "\n" + p.Say("paper.translated")
	}
	by, with := p.Say("paper.signed-by"), p.Say("paper.computed-by")
	half := p.width() / 2
	mono := ink.Type{Face: ink.Mono, Size: 7, Colour: look.Stone}
	last := max(p.named(by, p.orNone(c.KeyID), mono, p.left, 0, half-4, false), p.named(with, p.orNone(c.Program), mono, 0, 0, half, false))
	p.section(2 + p.named("SHA-256", c.Digest, mono, 0, 0, p.width(), false) + last + p.high(check, look.Small, p.width()))
	p.Stroke(ink.Segment(p.left, p.y, p.right, p.y), ink.Pen{Colour: look.Stone, Width: 0.3})
	p.y += 2
	p.y += p.named("SHA-256", c.Digest, mono, p.left, p.y, p.width(), true)
	p.named(by, p.orNone(c.KeyID), mono, p.left, p.y, half-4, true)
	p.named(with, p.orNone(c.Program), mono, p.left+half, p.y, half, true)
	p.y += last
	p.text(check, look.Small)
}

// named sets a fact behind its name, or only measures, and returns the height.
func (p *press) named(name, fact string, t ink.Type, x, y, w float64, draw bool) float64 {
	room := p.Width(name, look.Small) + 2.5
	if draw {
		p.Text(ink.Point{X: x, Y: y + t.Height()}, name, look.Small)
		p.block(fact, t, x+room, y, w-room)
	}
	return p.high(fact, t, w-room)
}
