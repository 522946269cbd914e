package paper

import (
	"io"
	"math"
	"time"

	"slatewright/internal/picture/bedmap"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/judge"
	"slatewright/trouble"
)

// Refusal is the one page that says why a set gets no certificate, and what to do next.
type Refusal struct {
	Mark    string // as in Certificate
	Mill    string
	Set     string
	Issued  string // YYYY-MM-DD, or empty; also the date inside the PDF
	Pattern string

	Verdict judge.Verdict // does not conform, or cannot tell
	Basis   string        // what it rests on
	Reason  string        // one sentence beside the verdict: what decides, and by how much; may be empty
	Reasons []string      // beyond limits missed, as in "two lines of support prove bow but not twist"
	Results []Result
	Map     bedmap.Map
	Pieces  [3]Piece
	Method  Method
	LayUp   *LayUp

	NextStep string // the one step that helps most
	NextWhy  string // what it is expected to do, and what it costs
	Warnings []string

	Program string
}

// PDF writes the refusal, on one page unless its texts are very long. The same refusal and form give the same bytes. A
// verdict of "conforms" is an error of the caller's.
func (r Refusal) PDF(w io.Writer, f Form) error {
	if err := f.Check(); err != nil {
		return err
	}
	if err := r.check(); err != nil {
		return err
	}
	made, err := day(r.Issued, r.Set)
	if err != nil {
		return err
	}
	r.Map = laidUp(r.Map, r.LayUp)
	r.Map.Words = f.Words
	relief, err := r.Map.Relief()
	if err != nil {
		return err
	}
	p, err := setWithin(1, f.Words.Language(), func(l layout) (*press, error) { return r.set(relief, f, made, l), nil })
	if err != nil {
		return err
	}
	return p.finish(w)
}

// set lays the refusal out.
func (r Refusal) set(relief bedmap.Relief, f Form, made time.Time, l layout) *press {
	say := said{f.Words}
	title := ink.Title{Name: say.Say("paper.refusal-name", "set", r.Set), Subject: subject(r.Mark, say.Say("paper.refusal-subject")), Author: r.Mill, Maker: r.Program, Made: made}
	p := newPress(f, title, r.Mark, say.footLine(r.Mill, say.Say("paper.refusal-foot", "set", r.Set), "", r.Program, ""), l)
	p.refusalHead(r)
	p.verdictLine(r.Verdict, r.Basis, r.Reason)
	p.why(r)
	p.next(r)
	p.bedBesideJoints(r.Map, relief)
	p.results(r.Results, p.columnsNote(r.Method.Coverage))
	p.warnings(allWarnings(r.Warnings, r.Map))
	p.cautions(Cautions(p.Words, KindRefusal, r.Pieces[:]))
	return p
}

func (r Refusal) check() error {
	if err := CheckVerdict(r.Verdict, r.Set); err != nil {
		return err
	}
	if r.Verdict == judge.Conforms {
		return trouble.Own("not-a-refusal", r.Set, "the verdict is conforms", "write a certificate instead")
	}
	if r.NextStep == "" {
		return trouble.Own("no-next-step", r.Set, "a refusal without a next step", "say what helps most")
	}
	if err := CheckMark(r.Mark, r.Map, r.Set); err != nil {
		return err
	}
	if err := CheckResults(r.Results, r.Set); err != nil {
		return err
	}
	return r.Map.Check()
}

func (p *press) refusalHead(r Refusal) {
	w := p.width() * 0.62
	top := p.y
	p.identity(r.Mill, p.Say("paper.refusal-title"), r.Pattern, w)
	end := p.y
	p.y = top + 1
	x := p.left + w + 4
	y := p.y
	for _, f := range [][2]string{{p.Say("paper.set"), r.Set}, {p.Say("paper.judged"), p.date(r.Issued)}} {
		p.Text(ink.Point{X: x, Y: y + look.Small.Height()}, f[0], look.Small)
		y += look.Leading(look.Small)
		y += p.block(p.orNone(f[1]), look.Strong.Sized(10.5), x, y, p.right-x) + 1
	}
	p.y = max(end, y)
}

// why says which limit was missed by how much, and every other reason.
func (p *press) why(r Refusal) {
	p.y += 1.5
	t := look.Text.Sized(9)
	for _, text := range append(p.misses(r.Results), r.Reasons...) {
		p.need(p.high(text, t, p.width()))
		p.y += p.block(text, t, p.left, p.y, p.width()) + 0.5
	}
}

// misses puts each result that does not conform, or cannot be told for its doubt, into words. The failures come first.
func (w said) misses(results []Result) []string {
	var out []string
	for _, r := range results {
		if r.Verdict == judge.DoesNotConform {
			out = append(out, w.missed(r))
		}
	}
	for _, r := range results {
		if r.Verdict == judge.CannotTell && !r.Withheld {
			out = append(out, w.unclear(r))
		}
	}
	return out
}

func (w said) missed(r Result) string {
	d, margin := decimals(r, 1, 3), r.margin()
	key, amount := "paper.missed-over", -margin
	switch {
	case math.IsNaN(margin):
		return w.Say("paper.missed", "result", r.Name)
	case margin >= 0:
		key, amount = "paper.missed-inside", margin
	case r.AtLeast:
		key = "paper.missed-under"
	}
	return w.Say(key, "result", r.Name, "value", w.Number(r.Value, d), "bound", w.Number(r.Limit, d), "amount", w.both(amount), "doubt", w.uncertain(r))
}

func (w said) unclear(r Result) string {
	margin := r.margin()
	if math.IsNaN(margin) {
		return w.Say("paper.unclear", "result", r.Name)
	}
	d, key := decimals(r, 1, 3), "paper.unclear-inside"
	if margin < 0 {
		key = "paper.unclear-outside"
	}
	return w.Say(key, "result", r.Name, "value", w.Number(r.Value, d), "amount", w.both(math.Abs(margin)), "bound", w.Number(r.Limit, d), "doubt", w.uncertain(r))
}

// uncertain goes on in a sentence; it is empty where no uncertainty is known.
func (w said) uncertain(r Result) string {
	if !(r.U > 0) {
		return ""
	}
	return w.Say("paper.uncertain", "amount", w.both(r.U))
}

// next sets the one next step in a frame.
func (p *press) next(r Refusal) {
	const inset = 3.5
	step := ink.Type{Face: ink.Bold, Size: 10.5, Colour: look.Stone}
	names := max(22, p.Width(p.Say("paper.next"), step.Sized(9))+3)
	w := p.width() - 2*inset - names
	h := 2*inset + p.high(r.NextStep, step, w) - 1
	if r.NextWhy != "" {
		h += p.high(r.NextWhy, look.Text, w)
	}
	p.y += 2
	p.need(h)
	p.frame(p.left, p.y, p.width(), h, look.Stone)
	y := p.y + inset
	p.Text(ink.Point{X: p.left + inset, Y: y + step.Height()}, p.Say("paper.next"), step.In(look.Soft).Sized(9))
	y += p.block(r.NextStep, step, p.left+inset+names, y, w)
	if r.NextWhy != "" {
		p.block(r.NextWhy, look.Text, p.left+inset+names, y, w)
	}
	p.y += h + 3
}

// bedBesideJoints sets the map at the left and the joints one below the other at its right, with the scales beneath.
func (p *press) bedBesideJoints(m bedmap.Map, r bedmap.Relief) {
	const gap = 6.0
	w := 0.56 * p.width()
	p.need(bedmap.Height(p, m, w) + 24)
	bedmap.Draw(p, m, r, p.left-3, p.y, w)
	x := p.left + w + gap - 3
	for i := range m.Joints {
		bedmap.DrawJoint(p, m, i, x, p.y+2+(bedmap.JointsHeight(m)+1)*float64(i), p.right-x)
	}
	p.y += max(bedmap.Height(p, m, w), 2*bedmap.JointsHeight(m)+4)
	p.y += bedmap.DrawScales(p, m, r, p.left, p.y, p.width())
}

func (p *press) warnings(texts []string) {
	if len(texts) == 0 {
		return
	}
	p.y += 2
	p.runOn(p.warned(texts))
}
