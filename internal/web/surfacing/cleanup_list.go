package surfacing

import (
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/answers"
	"slatewright/surfacing/cleanup/rough"
)

// setPlaces are the pieces of a set.
var setPlaces = []string{"head", "centre", "foot"}

// cleanupSet asks which thickness the three pieces of a set can have in common.
func cleanupSet() shell.Question {
	files := map[string]string{}
	for place, of := range map[string]string{"head": "", "centre": "centre-", "foot": "foot-"} {
		files[place+"-top"], files[place+"-bottom"] = "cleanup-"+of+"top.csv", "cleanup-"+of+"bottom.csv"
	}
	return shell.Question{Path: onSet, File: "cleanup-set", Care: cleanupCare(), Longest: 20 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			var fields []shell.ListField
			for _, place := range setPlaces {
				for _, side := range []string{"top", "bottom"} {
					f := shell.ListField{Name: place + "-" + side, Label: v.Say("cleanup.of-piece", "place", v.Word("place", place), "face", faceName(v.Words, side)), Hint: v.Say("cleanup." + side + "-hint")}
					fields = append(fields, f)
				}
			}
			return shell.Asking{Asks: v.Say("cleanup.set-asks"), About: v.Say("cleanup.set-about"), Form: shell.ListForm{Fields: fields, More: limitFields(v)},
				Links: []shell.Anchor{{Path: onCleanup, Says: v.Say("cleanup.asks")}}}
		},
		Examples: []shell.Example{{Files: files, Plain: map[string]string{"damage": "0.3 mm", "least": "25.4 mm"}}},
		Answer:   answerSet}
}

func answerSet(a shell.Asked) (shell.Reply, error) {
	l, err := limitsIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	var pieces []*answers.Slab
	for _, place := range setPlaces {
		r, err := slabIn(a, a.Word("place", place), place+"-top", place+"-bottom", l)
		if err != nil {
			return shell.Reply{}, err
		}
		pieces = append(pieces, r)
	}
	r, err := answers.OfSet(pieces)
	if err != nil {
		return shell.Reply{}, err
	}
	out := shell.Reply{JSON: r}
	out.Tone = tones[r.Answer()]
	out.Says = a.Say("cleanup.set-says", "common", thick(a.Words, r.CommonMM), "piece", r.HeldBy, "low", thick(a.Words, r.CommonIn[0]), "high", thick(a.Words, r.CommonIn[1]))
	if r.Answer() != cleanup.Possible {
		out.Next = a.Say("cleanup.set-not")
	}
	var bars []bar
	for _, p := range r.Pieces {
		bars = append(bars, bar{p.Name, p.AvailableIn[0], p.AvailableIn[1], p.AvailableMM})
		for _, text := range p.Warnings {
			if !slices.Contains(out.Notes, text) {
				out.Notes = append(out.Notes, text)
			}
		}
	}
	out.Notes = append(out.Notes, r.Warnings...)
	marks := []float64{r.CommonMM}
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML {
		return drawBars(a.Words, bars, marks, a.Say("cleanup.bars-picture", "n", len(bars)), width)
	})
	out.Caption, out.Behind, out.Tables = a.Say("cleanup.set-caption"), barTable(a.Words, bars, a.Say("cleanup.set-caption")), []shell.Table{setTable(a.Words, r)}
	return out, nil
}

// setTable is what comes off each piece.
func setTable(w tongue.Words, r *answers.Set) shell.Table {
	t := shell.Table{Title: w.Say("cleanup.set-table"), Heads: shell.Heads(w.Say("cleanup.piece"), w.Say("cleanup.off-top"), w.Say("cleanup.off-bottom"), w.Say("cleanup.stays-short"))}
	for _, p := range r.Pieces {
		row := shell.RowOf(p.Name)
		for _, o := range []answers.Off{p.OffTop, p.OffBottom} {
			row = row.With(w.Length(o.Mean), w.Say("cleanup.from-to", "low_mm", o.Min, "high_mm", o.Max))
		}
		stays := "–"
		if p.Left != nil {
			stays = w.Length(p.Left.LeftMM)
		}
		t.Rows = append(t.Rows, row.With(stays, ""))
	}
	return t
}

// cleanupRough asks which finish slabs can give by straightedge and corners alone.
func cleanupRough() shell.Question {
	return shell.Question{Path: onRough, File: "cleanup-rough", Care: cleanupCare(), Longest: 20 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("cleanup.rough-asks"), About: v.Say("cleanup.rough-about"),
				Form: shell.ListForm{Fields: []shell.ListField{{Name: "list", Label: v.Say("cleanup.rough-list"), Hint: v.Say("cleanup.rough-hint")}},
					More: append([]shell.ListChoice{{Name: "sizes", Label: v.Say("cleanup.sizes"), Hint: v.Say("cleanup.sizes-hint")}}, limitFields(v, "finish", "least", "reserve")...)},
				Links: []shell.Anchor{{Path: onCleanup, Says: v.Say("cleanup.asks")}}}
		},
		Examples: []shell.Example{{Files: map[string]string{"list": "cleanup-rough.csv"}, Plain: map[string]string{"damage": "0.3 mm"}}},
		Answer:   answerRough}
}

// mostRough is how many slabs a page bounds at once: each takes some hundredths of a second.
const mostRough = 60

func answerRough(a shell.Asked) (shell.Reply, error) {
	l, err := limitsIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	sizes, err := sizesIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	list, err := rough.Read(table)
	if err != nil {
		return shell.Reply{}, err
	}
	if len(list.Slabs) > mostRough {
		return shell.Reply{}, problem.New("too-large", "list", a.Say("cleanup.rough-many", "most", mostRough), a.Say("cleanup.too-many-next", "command", "slatewright cleanup --rough FILE"))
	}
	r, err := answers.OfRough(list, l, sizes)
	if err != nil {
		return shell.Reply{}, err
	}
	out := shell.Reply{JSON: r}
	out.Tone = tones[r.Answer()]
	able := 0
	var bars []bar
	for _, s := range r.Slabs {
		if s.BestMM != nil {
			able++
		}
		low := math.NaN()
		if s.Interval[0] != nil {
			low = *s.Interval[0] - r.Allowance
		}
		bars = append(bars, bar{s.Name, low, *s.Interval[1] - r.Allowance, math.NaN()})
	}
	out.Says, out.Next = a.Say("cleanup.rough-says", "able", able, "n", len(r.Slabs)), a.Say("cleanup.rough-next")
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML {
		return drawBars(a.Words, bars, r.SizesMM, a.Say("cleanup.bars-picture", "n", len(bars)), width)
	})
	out.Caption, out.Behind = a.Say("cleanup.rough-caption"), barTable(a.Words, bars, a.Say("cleanup.rough-caption"))
	out.Tables, out.Notes = []shell.Table{roughTable(a.Words, r)}, append([]string{r.Proves}, r.Warnings...)
	return out, nil
}

// sizesIn reads the finishes that are asked for, parted by blanks; a comma within one is a decimal comma.
func sizesIn(a shell.Asked) (list []float64, err error) {
	for _, text := range strings.FieldsFunc(a.Plain.Get("sizes"), func(r rune) bool { return r == ';' || r == ' ' }) {
		text = strings.Replace(strings.TrimSuffix(strings.TrimRight(text, ","), "mm"), ",", ".", 1)
		if x, bad := strconv.ParseFloat(text, 64); bad == nil && x > 0 && x < 1000 {
			list = append(list, x)
		} else if text != "" {
			return nil, problem.New("bad-value", "sizes", a.Say("cleanup.no-size", "typed", text), a.Say("cleanup.sizes-hint"))
		}
	}
	if len(list) > 12 {
		return nil, problem.New("bad-value", "sizes", a.Say("cleanup.no-size", "typed", a.Typed("sizes")), a.Say("cleanup.sizes-hint"))
	}
	return list, nil
}

// roughTable is which finish each slab gives.
func roughTable(w tongue.Words, r *answers.Stock) shell.Table {
	t := shell.Table{Title: w.Say("cleanup.rough-table"), Caption: w.Say("cleanup.rough-table-about")}
	heads := []string{w.Say("cleanup.slab"), w.Say("cleanup.at-least"), w.Say("cleanup.at-most")}
	for _, size := range r.SizesMM {
		heads = append(heads, w.Size(size))
	}
	t.Heads = shell.Heads(heads...)
	for _, s := range r.Slabs {
		low := "–"
		if s.Interval[0] != nil {
			low = thick(w, *s.Interval[0])
		}
		row := shell.RowOf(s.Name, low, thick(w, *s.Interval[1]))
		for i, answer := range s.Gives {
			missing := ""
			if s.Missing[i] != nil {
				missing = "−" + w.Length(*s.Missing[i])
			}
			row = row.With(w.Say("cleanup.gives-"+strings.ReplaceAll(answer, " ", "-")), missing)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// bar is a slab between its limits; at is the value, NaN where only the limits are known, and low is NaN where nothing bounds it.
type bar struct {
	name          string
	low, high, at float64
}

// drawBars draws slabs between their limits, and marks at thicknesses.
func drawBars(w tongue.Words, bars []bar, marks []float64, title string, width float64) template.HTML {
	const row, above, most = 26.0, 30.0, 40
	shown := bars[:min(len(bars), most)]
	low, high := math.Inf(1), math.Inf(-1)
	for _, b := range shown {
		for _, v := range []float64{b.low, b.high} {
			if v == v {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
	}
	for _, m := range marks {
		low, high = math.Min(low, m), math.Max(high, m)
	}
	height := above + row*float64(len(shown)) + 44
	names := math.Min(width*0.28, 120)
	g := chart.Plot{Pen: chart.New(width, height, title), X: chart.Around(low, high, names+8, width-12), Y: chart.Axis{Low: 0, High: 1, From: height - 40, To: above - 10}}
	unit, name := 1.0, "mm"
	if w.Units() == tongue.Inch {
		unit, name = 25.4, "in"
	}
	g.Across(w, unit, name)
	for _, m := range marks {
		g.Line("limit", g.X.At(m), g.Y.To, g.X.At(m), g.Y.From)
	}
	for i, b := range shown {
		y := above + row*(float64(i)+0.5)
		g.Text("tick", "start", 2, y+4, chart.Short(b.name, int(names/6.6)))
		from := b.low
		if from != from { // nothing bounds it
			from = g.X.Low
			g.Hatch("beyond", g.X.From, y-6, g.X.At(b.high)-g.X.From, 12)
		}
		g.Rect("doubt", g.X.At(from), y-6, math.Max(g.X.At(b.high)-g.X.At(from), 1), 12)
		if b.at == b.at {
			g.Line("whisker", g.X.At(b.at), y-9, g.X.At(b.at), y+9)
		}
	}
	return g.End()
}

// barTable is what the bars show.
func barTable(w tongue.Words, bars []bar, caption string) shell.Table {
	t := shell.Table{Caption: caption, Heads: shell.Heads(w.Say("cleanup.slab"), w.Say("cleanup.at-least"), w.Say("cleanup.at-most"))}
	for _, b := range bars {
		low := "–"
		if b.low == b.low {
			low = thick(w, b.low)
		}
		t.Rows = append(t.Rows, shell.RowOf(b.name, low, thick(w, b.high)))
	}
	return t
}
