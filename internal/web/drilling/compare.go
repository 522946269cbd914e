package drilling

import (
	"bytes"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/revision"
	"slatewright/bed/rules/answers"
	"slatewright/internal/picture/beddrawing"
	"slatewright/internal/picture/chart"
	"slatewright/internal/picture/drafting"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

const onCompare = at + "/compare"

// compared asks what two revisions of a pattern differ in.
func compared() shell.Question {
	return shell.Question{Path: onCompare, File: "compare", Care: care(), Form: compareForm,
		Examples: []shell.Example{{Files: map[string]string{"before": "nine-foot.yaml", "after": "nine-foot-revision-b.yaml"}}},
		Answer:   answerCompare}
}

func compareForm(v *shell.Visit) shell.Asking {
	return shell.Asking{Asks: v.Say("revision.asks"), About: v.Say("revision.about"),
		Form: shell.ListForm{Fields: []shell.ListField{{Name: "before", Label: v.Say("revision.before"), Hint: v.Say("drilling.spec-hint")}, {Name: "after", Label: v.Say("revision.after"), Hint: v.Say("revision.after-hint")}}}}
}

func answerCompare(a shell.Asked) (shell.Reply, error) {
	old, before, err := patternIn(a, "before")
	if err != nil {
		return shell.Reply{}, err
	}
	file, after, err := patternIn(a, "after")
	if err != nil {
		return shell.Reply{}, err
	}
	s := overlaid{a.Words, answers.Compared(old, before, file, after), before, after, a.Demo}
	out := shell.Reply{JSON: s.Compare, CSV: s.csv(), Loads: loadsOf(a.Words, after)}
	out.Says, out.Next = s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = s.Say("revision.caption", "before", s.Before.Revision, "after", s.After.Revision), s.one()
	out.Figures, out.Tables, out.Notes = s.figures(), s.tables(), s.Warnings
	out.Files, err = s.files(a.Plain.Get("as"))
	return out, err
}

// overlaid are two patterns on their way to a page.
type overlaid struct {
	tongue.Words
	*answers.Compare
	before, after pattern.Pattern
	invented      bool // the mill is, and its drawings say so
}

// change is differences that say the same of features of one kind.
type change struct {
	revision.Difference
	bases []string
	n     int
}

// changes puts differences that are alike together, in their order.
func (s overlaid) changes() (list []change) {
	at := map[string]int{}
	for _, d := range s.Differences {
		key := strings.Join([]string{d.What, d.Of, d.Key, d.WasBase}, "\x00")
		switch d.What {
		case revision.Changed:
			key += "\x00" + d.Before + "\x00" + d.After
		case revision.Moved:
			key += fmt.Sprintf("\x00%.2f\x00%.2f", math.Abs(d.DX), math.Abs(d.DY))
		}
		i, ok := at[key]
		if !ok {
			i = len(list)
			at[key] = i
			list = append(list, change{Difference: d})
		}
		list[i].n++
		if !slices.Contains(list[i].bases, d.Base) {
			list[i].bases = append(list[i].bases, d.Base)
		}
	}
	return list
}

func (s overlaid) says() string {
	if len(s.Differences) == 0 {
		return s.Say("revision.none")
	}
	return s.Say("revision.some", "n", len(s.changes()))
}

func (s overlaid) next() string {
	if s.Before.Pattern != s.After.Pattern {
		return s.Say("revision.two", "before", s.Before.Pattern, "after", s.After.Pattern)
	}
	return s.Say("revision.from-to", "name", s.After.Pattern, "before", s.Before.Revision, "after", s.After.Revision)
}

// happened has what can have happened to a feature, its letter and its word; the sign about it has the shape that drawSign gives it.
var happened = []struct{ what, letter, key string }{
	{revision.Added, "A", "revision.added"},
	{revision.Removed, "R", "revision.removed"},
	{revision.Moved, "M", "revision.moved"},
	{revision.Changed, "C", "revision.changed"},
	{revision.Renamed, "N", "revision.renamed"},
}

// things are what can differ, with their words.
var things = map[string]string{"bed": "revision.bed", "piece": "drilling.piece", "support": "revision.support", "pocket": "revision.pocket", "hole": "revision.hole", "joint": "drilling.joint",
	"dowel": "revision.dowel", "strip": "revision.strip"}

func thing(w tongue.Words, of string) string {
	if key, ok := things[of]; ok {
		return w.Say(key)
	}
	return of
}

func (s overlaid) figures() (list []shell.Figure) {
	for _, h := range happened {
		n := 0
		for _, d := range s.Differences {
			if d.What == h.what {
				n++
			}
		}
		if n > 0 {
			list = append(list, shell.Figure{Name: h.letter + " · " + s.Say(h.key), Value: strconv.Itoa(n)})
		}
	}
	return list
}

// how says a difference beside the name of what differs.
func (s overlaid) how(d revision.Difference) string {
	switch d.What {
	case revision.Moved:
		const seen = 0.005 // mm: less is not shown
		switch x, y := math.Abs(d.DX), math.Abs(d.DY); {
		case y < seen:
			return s.Say("revision.by-along", "x_mm", x)
		case x < seen:
			return s.Say("revision.by-across", "y_mm", y)
		default:
			return s.Say("revision.by", "by_mm", d.By, "x_mm", x, "y_mm", y)
		}
	case revision.Changed:
		return d.Key + ": " + s.value(d.Before) + " → " + s.value(d.After)
	case revision.Renamed:
		return s.Say("revision.was", "name", d.Before)
	}
	return ""
}

// value is what a key says; a key that is not there says nothing.
func (s overlaid) value(text string) string {
	if text == "" {
		return "–"
	}
	return s.InWords(text)
}

// row is a difference as a line of a table.
func (s overlaid) row(d revision.Difference, which, small, how string) shell.Row {
	i := slices.IndexFunc(happened, func(h struct{ what, letter, key string }) bool { return h.what == d.What })
	sign := d.What
	if i >= 0 {
		sign = happened[i].letter + " · " + s.Say(happened[i].key)
	}
	if d.Of == "bed" {
		which = ""
	}
	return shell.Row{Cells: []shell.Cell{{Text: sign}, {Text: thing(s.Words, d.Of)}, {Text: which, Small: small}, {Text: how}}}
}

func (s overlaid) heads() []shell.Cell {
	return words(s.Say("revision.sign"), s.Say("drilling.kind"), s.Say("pattern.where"), s.Say("pattern.what"))
}

// tables are the differences, those that are alike in one line.
func (s overlaid) tables() []shell.Table {
	t := shell.Table{Title: s.Say("revision.list"), Caption: s.Say("revision.list-about"), Heads: s.heads()}
	for _, c := range s.changes() {
		small, how := "", s.how(c.Difference)
		if c.n > 1 {
			small = s.Say("pattern.places", "n", c.n)
		}
		if c.What == revision.Renamed {
			how = s.Say("revision.was", "name", c.WasBase)
		}
		t.Rows = append(t.Rows, s.row(c.Difference, s.List(c.bases...), small, how))
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []shell.Table{t}
}

// one is every feature by itself.
func (s overlaid) one() shell.Table {
	t := shell.Table{Heads: s.heads()}
	for _, d := range s.Differences {
		t.Rows = append(t.Rows, s.row(d, d.Feature, "", s.how(d)))
	}
	return t
}

// csv is every feature by itself as a list.
func (s overlaid) csv() []byte {
	var b bytes.Buffer
	b.WriteString("what,of,feature,key,before,after,dx_mm,dy_mm\n")
	for _, d := range s.Differences {
		fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%s,%.4g,%.4g\n", d.What, d.Of, quoted(d.Feature), quoted(d.Key), quoted(d.Before), quoted(d.After), d.DX, d.DY)
	}
	return b.Bytes()
}

// files are the overlay as a drawing; only the one that is asked for is made.
func (s overlaid) files(asked string) (list []shell.ReplyFile, err error) {
	for _, f := range []struct {
		as, says, name, kind string
		write                func(*drafting.Drawing, *bytes.Buffer) error
	}{
		{"pdf", "revision.pdf", "compare.pdf", "application/pdf", func(d *drafting.Drawing, b *bytes.Buffer) error {
			return beddrawing.PDF(b, d.Title, beddrawing.Options{Reader: lettered(s.Words)}, []*drafting.Drawing{d})
		}},
		{"svg", "revision.svg", "compare.svg", "image/svg+xml", func(d *drafting.Drawing, b *bytes.Buffer) error { return d.SVG(b) }},
		{"dxf", "revision.dxf", "compare.dxf", "application/dxf", func(d *drafting.Drawing, b *bytes.Buffer) error { return d.DXF(b) }},
	} {
		var text bytes.Buffer
		if f.as == asked {
			on := s
			if f.as != "svg" {
				on.Words = lettered(s.Words)
			}
			d, err := beddrawing.Overlay(s.before, s.after, s.Differences, on.lines(), on.options())
			if err != nil {
				return nil, err
			}
			if err := f.write(d, &text); err != nil {
				return nil, err
			}
		}
		list = append(list, shell.ReplyFile{ListFile: shell.ListFile{As: f.as, Label: s.Say(f.says)}, Name: f.name, Kind: f.kind, Content: text.Bytes()})
	}
	return list, nil
}

func (s overlaid) options() beddrawing.Options {
	return beddrawing.Options{Paper: beddrawing.A3, Invented: s.invented, Reader: s.Words}
}

// lines say the differences on the drawing, those that are alike in one line.
func (s overlaid) lines() (list []string) {
	for _, c := range s.changes() {
		what := thing(s.Words, c.Of)
		if c.Of != "bed" {
			what += " " + s.List(c.bases...)
		}
		if c.n > 1 {
			what += " (" + s.Say("pattern.places", "n", c.n) + ")"
		}
		how := s.how(c.Difference)
		if c.What == revision.Renamed {
			how = s.Say("revision.was", "name", c.WasBase)
		}
		for _, h := range happened {
			if h.what == c.What {
				list = append(list, strings.TrimSpace(what+": "+s.Say(h.key)+" "+how))
			}
		}
	}
	return list
}
