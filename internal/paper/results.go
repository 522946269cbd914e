package paper

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"slatewright/internal/caution"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/internal/tongue"
	"slatewright/judge"
)

// results sets the table of characteristics, with what each of them is beneath.
func (p *press) results(results []Result, note string) {
	tb := p.resultsTable(results, p.width())
	p.section(p.resultsHeight(results, note) - p.space())
	p.y += p.head(p.Say("paper.results"), p.left, p.y, p.width())
	p.y += p.setTable(tb, p.left, p.y) + 1
	p.text(note, look.Caption)
}

func (p *press) resultsHeight(results []Result, note string) float64 {
	return p.space() + headHeight + p.tableHeight(p.resultsTable(results, p.width())) + 1 + p.high(note, look.Caption, p.width())
}

// columnsNote says what the columns mean.
func (w said) columnsNote(coverage string) string {
	return w.Say("paper.columns-note", "coverage", w.orNone(coverage))
}

// resultsNote says what the columns mean, what exactly each characteristic is, and how the values came from what was read.
func (w said) resultsNote(results []Result, coverage string) string {
	note := w.columnsNote(coverage)
	var bias, between []string
	for _, r := range results {
		if r.Note != "" {
			note += w.gap() + w.Say("paper.result-note", "result", r.Name, "note", r.Note)
		}
		if look.InMM(math.Abs(r.Bias)) != look.InMM(0) {
			bias = append(bias, r.Name+" "+w.Signed(-r.Bias, 3))
		}
		if r.Between != 0 {
			between = append(between, r.Name+" "+w.Number(r.Between, 3))
		}
	}
	if len(bias) > 0 {
		note += w.gap() + w.Say("paper.corrected", "list", w.listed(bias))
	}
	if len(between) > 0 {
		note += w.gap() + w.Say("paper.put-on", "list", w.listed(between))
	}
	return note
}

func (w said) resultsTable(results []Result, width float64) table {
	value, limit := w.Say("paper.value"), w.Say("paper.limit")
	tb := table{
		columns: []column{{w.Say("paper.characteristic"), 32, false},
			{value, 15, true}, {"U", 12, true}, {limit, 16, true}, {w.Say("paper.margin"), 15, true},
			{value, 15, true}, {"U", 9, true}, {limit, 16, true}, {w.Say("paper.probability"), 14, true}, {w.Say("paper.verdict"), 0, false}},
		groups: []group{{"mm", 1, 4}, {w.Say("paper.thou"), 5, 7}},
	}
	tb.columns[9].w = width - tb.width()
	for _, r := range results {
		tb.rows = append(tb.rows, r.Row(w.Words).cells(w))
	}
	return tb
}

// Row is a result as papers show it: every figure with so many decimals that value and limit stand to each other as printed
// as they do in truth.
type Row struct {
	Name, Note                  string
	Value, U, Limit, Margin     string // mm
	ThouValue, ThouU, ThouLimit string // 0.001 in
	Probability                 string
	Verdict                     judge.Verdict
}

// Row prints the result's figures.
func (r Result) Row(words tongue.Words) Row {
	w := said{words}
	least, sign := 3, "≤ "
	if r.AtLeast {
		least, sign = 2, "≥ "
	}
	dm, dt := decimals(r, 1, least), decimals(r, 1/look.PerThou, 1)
	unsure, probability := r.U, math.NaN()
	if unsure == 0 {
		unsure = math.NaN()
	}
	if r.Probability != nil {
		probability = *r.Probability
	}
	limit := func(x float64, d int) string {
		if math.IsNaN(x) {
			return w.Say("paper.no-limit")
		}
		return sign + w.Number(x, d)
	}
	return Row{Name: r.Name, Note: strings.Join(present(r.Note, r.biasNote(w), r.betweenNote(w)), w.Say("paper.between-notes")+" "),
		Value: w.Number(r.Value, dm), U: w.Number(unsure, least), Limit: limit(r.Limit, dm), Margin: w.Signed(r.margin(), dm),
		ThouValue: w.Number(look.Thou(r.Value), dt), ThouU: w.Number(look.Thou(unsure), 1), ThouLimit: limit(look.Thou(r.Limit), dt),
		Probability: w.Number(probability, 4), Verdict: r.Verdict}
}

func (r Row) cells(w said) []cell {
	verdict := cell{text: w.verdict(r.Verdict), mark: r.Verdict, t: look.Strong.In(look.Colour(r.Verdict))}
	return []cell{strong(r.Name), strong(r.Value), say(r.U), say(r.Limit), say(r.Margin),
		strong(r.ThouValue), say(r.ThouU), say(r.ThouLimit), say(r.Probability), verdict}
}

// biasNote says what errors of the readings are expected to have added; empty where that is nothing as printed.
func (r Result) biasNote(w said) string {
	switch amount := look.InMM(math.Abs(r.Bias)); {
	case amount == look.InMM(0):
		return ""
	case r.Bias > 0:
		return w.Say("paper.read-high", "amount", w.Number(r.Bias, 3))
	default:
		return w.Say("paper.read-low", "amount", w.Number(-r.Bias, 3))
	}
}

// betweenNote says what the value holds for the places that were not read.
func (r Result) betweenNote(w said) string {
	if r.Between == 0 {
		return ""
	}
	return w.Say("paper.between", "amount", w.both(r.Between))
}

// listed parts figures with their names: where the comma is the decimal mark, something else must part them.
func (w said) listed(figures []string) string {
	return strings.Join(figures, w.Say("paper.between-figures")+" ")
}

// present keeps the texts that are not empty.
func present(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

// pieces sets the table of the three pieces.
func (p *press) pieces(pieces []Piece) {
	p.section(p.piecesHeight(pieces) - p.space())
	p.y += p.head(p.Say("paper.pieces"), p.left, p.y, p.width())
	p.y += p.setTable(p.piecesTable(pieces, p.width()), p.left, p.y)
}

func (p *press) piecesHeight(pieces []Piece) float64 {
	return p.space() + headHeight + p.tableHeight(p.piecesTable(pieces, p.width()))
}

func (w said) piecesTable(pieces []Piece, width float64) table {
	least, mean := w.Say("paper.least"), w.Say("paper.mean")
	tb := table{
		columns: []column{{w.Say("paper.piece"), 23, false}, {w.Say("paper.serial"), 0, false},
			{least, 12, true}, {mean, 13, true}, {least, 13, true}, {mean, 12, true}, {w.Say("paper.places"), 10.5, true},
			{w.Say("paper.top"), 9.5, true}, {w.Say("paper.bottom"), 11.5, true}, {w.Say("paper.read"), 18, false}, {w.Say("paper.dry-since"), 18, false},
			{w.Say("paper.mass"), 12.5, true}},
		groups: []group{{w.Say("paper.thickness"), 2, 3}, {w.Say("paper.thou"), 4, 5}, {w.Say("paper.face"), 7, 8}},
	}
	tb.columns[1].w = width - tb.width()
	for _, q := range pieces {
		tb.rows = append(tb.rows, w.pieceRow(q))
	}
	return tb
}

func (w said) pieceRow(q Piece) []cell {
	place := w.place(q.Place)
	if q.Turned {
		place = w.Say("paper.turned", "piece", place)
	}
	least, mean, mass := q.ThicknessMin, q.ThicknessMean, q.Mass
	for _, x := range [3]*float64{&least, &mean, &mass} {
		if *x == 0 {
			*x = math.NaN()
		}
	}
	return []cell{strong(place), strong(q.Serial), say(w.Number(least, 2)), say(w.Number(mean, 2)), say(w.Number(look.Thou(least), 0)), say(w.Number(look.Thou(mean), 0)),
		say(w.Number(float64(q.ThicknessPoints), 0)), say(w.celsius(q.TempTop)), say(w.celsius(q.TempBottom)), say(w.orNone(w.date(q.Read))), say(w.orNone(w.date(q.DrySince))), say(w.Number(mass, 1))}
}

func (w said) celsius(t *float64) string {
	if t == nil {
		return look.NoFigure
	}
	return w.Number(*t, 1)
}

// method sets how the set was measured and what was not checked at the left, every sentence of the statement of method at the
// right, and all warnings under whichever of them leaves the page shorter; the columns are as wide as leaves it shortest. What is
// too long for that stands one below the other and runs over as many pages as it needs.
func (p *press) method(m Method, l *LayUp, notChecked, warnings []string) {
	title := p.Say("paper.method")
	rows := p.methodRows(m, l)
	gaps, how, warn := p.unchecked(notChecked), p.statement(m.Statement), p.warned(warnings)
	var best twoColumns
	for _, share := range []float64{0.42, 0.46, 0.5, 0.54, 0.58} {
		if c := p.columnsOf(rows, gaps, how, warn, share); best.high == 0 || c.high < best.high {
			best = c
		}
	}
	if best.high > p.bottom-pageTop-20 {
		p.section(headHeight + p.factsHeight(rows, p.width()))
		p.y += p.head(title, p.left, p.y, p.width())
		p.y += p.factRows(rows, p.left, p.y, p.width())
		for _, list := range []items{how, gaps, warn} {
			p.longList(list)
		}
		return
	}
	p.section(best.high)
	y := p.y + p.head(title, p.left, p.y, best.left)
	y += p.factRows(rows, p.left, y, best.left)
	p.listUnder(gaps, p.left, y, best.left)
	x := p.right - best.right
	p.list(how, x, p.y+p.head(how.title, x, p.y, best.right), best.right)
	if best.warnLeft {
		p.listUnder(warn, p.left, p.y+best.leftHigh, best.left)
	} else {
		p.listUnder(warn, x, p.y+best.rightHigh, best.right)
	}
	p.y += best.high
}

// twoColumns is how the statement of method stands in two columns.
type twoColumns struct {
	left, right         float64 // widths
	leftHigh, rightHigh float64 // without the warnings
	high                float64 // of all
	warnLeft            bool
}

// columnsOf measures the two columns, the left one with its share of the width.
func (p *press) columnsOf(rows [][2]string, gaps, how, warn items, share float64) twoColumns {
	const gap = 7.0
	left := (p.width() - gap) * share
	c := twoColumns{left: left, right: p.width() - gap - left}
	c.leftHigh = headHeight + p.factsHeight(rows, left) + p.underHigh(gaps, left)
	c.rightHigh = headHeight + p.listHeight(how, c.right)
	underLeft := max(c.leftHigh+p.underHigh(warn, left), c.rightHigh)
	underRight := max(c.leftHigh, c.rightHigh+p.underHigh(warn, c.right))
	c.high, c.warnLeft = min(underLeft, underRight), underLeft <= underRight
	return c
}

// underHigh is the height of a list under what stands in a column, with its title and the space above it; 0 when it is empty.
func (p *press) underHigh(l items, w float64) float64 {
	if len(l.texts) == 0 {
		return 0
	}
	return p.space() + headHeight + p.listHeight(l, w)
}

// listUnder sets a list with its title under what stands in a column.
func (p *press) listUnder(l items, x, y, w float64) {
	if len(l.texts) == 0 {
		return
	}
	y += p.space()
	y += p.head(l.title, x, y, w)
	p.list(l, x, y, w)
}

// longList sets a list over the whole width, and over pages.
func (p *press) longList(l items) {
	if len(l.texts) == 0 {
		return
	}
	p.section(headHeight + p.listHeight(l.one(0), p.width()))
	p.y += p.head(l.title, p.left, p.y, p.width())
	p.runOn(l)
}

// runOn sets a list without its title over the whole width, and over pages.
func (p *press) runOn(l items) {
	for i := range l.texts {
		p.need(p.listHeight(l.one(i), p.width()))
		p.y += p.list(l.one(i), p.left, p.y, p.width())
	}
}

func (w said) methodRows(m Method, l *LayUp) [][2]string {
	band, pitch := w.Say("paper.no-band"), w.Say("paper.not-stated")
	if m.EdgeBand > 0 {
		band = w.Say("paper.band", "wide", w.Number(m.EdgeBand, 0), "inches", w.inches(m.EdgeBand, 2))
	}
	if m.PitchX > 0 && m.PitchY > 0 {
		pitch = w.Say("paper.pitch", "along", w.Number(m.PitchX, 0), "across", w.Number(m.PitchY, 0), "along_in", w.inches(m.PitchX, 1), "across_in", w.inches(m.PitchY, 1))
	}
	state := w.orNone(m.State)
	if key := "paper.state-" + strings.ReplaceAll(m.State, " ", "-"); w.Has(key) {
		state = w.Say(key)
	}
	rows := [][2]string{
		{w.Say("paper.readings"), w.Say("paper.readings-pitch", "readings", w.orNone(m.Readings), "pitch", pitch)}, {w.Say("paper.instrument"), w.orNone(m.Instrument)},
		{w.Say("paper.support"), w.Say("paper.support-held", "support", w.orNone(m.Support), "held", state)}, {w.Say("paper.edge-band"), band},
	}
	if l != nil {
		rows = append(rows, [2]string{w.Say("paper.lay-up"), w.layUpNote(l)})
	}
	return rows
}

const factName = 20.0 // mm for the names of facts

func (p *press) factsHeight(rows [][2]string, w float64) float64 {
	var h float64
	for _, r := range rows {
		h += p.high(r[1], p.long(look.Fine), w-factName) + 0.7*p.air
	}
	return h
}

// factRows sets names with their facts and returns the height used.
func (p *press) factRows(rows [][2]string, x, y, w float64) float64 {
	start := y
	for _, r := range rows {
		p.Text(ink.Point{X: x, Y: y + look.Fine.Height()}, r[0], ink.Fit(p, r[0], look.Small, factName-1, 4.5))
		y += p.block(r[1], p.long(look.Fine), x+factName, y, w-factName) + 0.7*p.air
	}
	return y - start
}

// items is a list whose entries stand behind a sign.
type items struct {
	title, sign string
	texts       []string
	t           ink.Type
}

func (w said) unchecked(texts []string) items {
	return items{w.Say("paper.not-checked"), "–", texts, look.Fine}
}

func (w said) statement(texts []string) items {
	return items{w.Say("paper.statement"), "–", texts, look.Fine}
}

func (w said) warned(texts []string) items {
	return items{w.Say("paper.warnings"), "!", texts, look.Text}
}

// one is the list of its entry i alone.
func (l items) one(i int) items {
	l.texts = l.texts[i : i+1]
	return l
}

func (p *press) listHeight(l items, w float64) float64 {
	var h float64
	for _, text := range l.texts {
		h += p.high(text, p.long(l.t), w-4) + 0.7*p.air
	}
	return h
}

// list sets a list without its title and returns the height used.
func (p *press) list(l items, x, y, w float64) float64 {
	start := y
	for _, text := range l.texts {
		p.Text(ink.Point{X: x, Y: y + l.t.Height()}, l.sign, look.Strong)
		y += p.block(text, p.long(l.t), x+4, y, w-4) + 0.7*p.air
	}
	return y - start
}

// cautions sets the usual cautions in a frame.
func (p *press) cautions(cautions []caution.Caution) {
	const inset = 2.2
	t := p.long(look.Fine)
	bold := look.Strong.Sized(t.Size)
	names := 15.5
	for _, c := range cautions {
		names = max(names, p.Width(c.Word, bold)+1.5)
	}
	w, gap := p.width()-2*inset-names, 0.3+0.3*p.air
	h := 2*inset - gap - (look.Leading(t) - t.Height()) // as much room below the last line as above the first
	for _, c := range cautions {
		h += p.high(c.Text, t, w) + gap
	}
	p.section(h)
	p.frame(p.left, p.y, p.width(), h, look.Soft)
	y := p.y + inset
	for _, c := range cautions {
		p.Text(ink.Point{X: p.left + inset, Y: y + t.Height()}, c.Word, bold)
		y += p.block(c.Text, t, p.left+inset+names, y, w) + gap
	}
	p.y += h
}

// decimals returns how many decimals a result needs in a unit (perMM of it make a mm): at least so many that the printed
// value lies on the same side of the printed limit as the true ones, and at most six.
func decimals(r Result, perMM float64, least int) int {
	value, limit := r.Value*perMM, r.Limit*perMM
	if math.IsNaN(value) || math.IsNaN(limit) {
		return least
	}
	for d := least; d < 6; d++ {
		a, _ := strconv.ParseFloat(strconv.FormatFloat(value, 'f', d, 64), 64)
		b, _ := strconv.ParseFloat(strconv.FormatFloat(limit, 'f', d, 64), 64)
		if value < limit && a < b || value > limit && a > b || value == limit {
			return d
		}
	}
	return 6
}
