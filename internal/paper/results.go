package paper

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"slatewright/internal/caution"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
	"slatewright/judge"
)

// results sets the table of characteristics, with what each of them is beneath.
func (p *press) results(results []Result, note string) {
	tb := resultsTable(results, p.width())
	p.section(p.resultsHeight(results, note) - p.space())
	p.y += p.head("Results", p.left, p.y, p.width())
	p.y += p.setTable(tb, p.left, p.y) + 1
	p.text(note, look.Caption)
}

func (p *press) resultsHeight(results []Result, note string) float64 {
	return p.space() + headHeight + p.tableHeight(resultsTable(results, p.width())) + 1 + p.high(note, look.Caption, p.width())
}

// columnsNote says what the columns mean.
func columnsNote(coverage string) string {
	return "U: expanded uncertainty, " + orNone(coverage) + ". Margin: how far the value lies inside its limit. Probability: that the true value conforms."
}

// resultsNote says what the columns mean, what exactly each characteristic is, and how the values came from what was read.
func resultsNote(results []Result, coverage string) string {
	note := columnsNote(coverage)
	var bias, between []string
	for _, r := range results {
		if r.Note != "" {
			note += " " + r.Name + ": " + r.Note + "."
		}
		if look.InMM(math.Abs(r.Bias)) != look.InMM(0) {
			bias = append(bias, r.Name+" "+look.Signed(-r.Bias, 3))
		}
		if r.Between != 0 {
			between = append(between, r.Name+" "+look.InMM(r.Between))
		}
	}
	if len(bias) > 0 {
		note += " Corrected for errors of the readings, mm: " + strings.Join(bias, ", ") + "."
	}
	if len(between) > 0 {
		note += " Put on for what may lie between the readings, mm: " + strings.Join(between, ", ") + "."
	}
	return note
}

func resultsTable(results []Result, width float64) table {
	tb := table{
		columns: []column{{"characteristic", 32, false},
			{"value", 15, true}, {"U", 12, true}, {"limit", 16, true}, {"margin", 15, true},
			{"value", 15, true}, {"U", 9, true}, {"limit", 16, true}, {"probability", 14, true}, {"verdict", 0, false}},
		groups: []group{{"mm", 1, 4}, {"thou (0.001 in)", 5, 7}},
	}
	tb.columns[9].w = width - tb.width()
	for _, r := range results {
		tb.rows = append(tb.rows, r.Row().cells())
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
func (r Result) Row() Row {
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
			return "none"
		}
		return sign + look.Fixed(x, d)
	}
	return Row{Name: r.Name, Note: strings.Join(present(r.Note, r.biasNote(), r.betweenNote()), "; "),
		Value: look.Fixed(r.Value, dm), U: look.Fixed(unsure, least), Limit: limit(r.Limit, dm), Margin: look.Signed(r.margin(), dm),
		ThouValue: look.Fixed(look.Thou(r.Value), dt), ThouU: look.Fixed(look.Thou(unsure), 1), ThouLimit: limit(look.Thou(r.Limit), dt),
		Probability: look.Fixed(probability, 4), Verdict: r.Verdict}
}

func (r Row) cells() []cell {
	verdict := cell{text: r.Verdict.String(), mark: r.Verdict, t: look.Strong.In(look.Colour(r.Verdict))}
	return []cell{strong(r.Name), strong(r.Value), say(r.U), say(r.Limit), say(r.Margin),
		strong(r.ThouValue), say(r.ThouU), say(r.ThouLimit), say(r.Probability), verdict}
}

// biasNote says what errors of the readings are expected to have added; empty where that is nothing as printed.
func (r Result) biasNote() string {
	switch amount := look.InMM(math.Abs(r.Bias)); {
	case amount == look.InMM(0):
		return ""
	case r.Bias > 0:
		return "read high by about " + amount + " mm, which is taken off"
	default:
		return "read low by about " + amount + " mm, which is put on"
	}
}

// betweenNote says what the value holds for the places that were not read.
func (r Result) betweenNote() string {
	if r.Between == 0 {
		return ""
	}
	return look.Both(r.Between) + " is put on for what may lie between the readings"
}

// present keeps the texts that are not empty.
func present(texts ...string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

// pieces sets the table of the three pieces.
func (p *press) pieces(pieces []Piece) {
	p.section(p.piecesHeight(pieces) - p.space())
	p.y += p.head("The three pieces", p.left, p.y, p.width())
	p.y += p.setTable(piecesTable(pieces, p.width()), p.left, p.y)
}

func (p *press) piecesHeight(pieces []Piece) float64 {
	return p.space() + headHeight + p.tableHeight(piecesTable(pieces, p.width()))
}

func piecesTable(pieces []Piece, width float64) table {
	tb := table{
		columns: []column{{"piece", 23, false}, {"serial", 0, false},
			{"least", 12, true}, {"mean", 13, true}, {"least", 13, true}, {"mean", 12, true}, {"places", 10.5, true},
			{"top", 9.5, true}, {"bottom", 11.5, true}, {"read", 18, false}, {"dry since", 18, false}, {"mass, kg", 12.5, true}},
		groups: []group{{"stone thickness, mm", 2, 3}, {"thou (0.001 in)", 4, 5}, {"face, °C", 7, 8}},
	}
	tb.columns[1].w = width - tb.width()
	for _, q := range pieces {
		tb.rows = append(tb.rows, pieceRow(q))
	}
	return tb
}

func pieceRow(q Piece) []cell {
	place := q.Place
	if q.Turned {
		place += ", turned"
	}
	least, mean, mass := q.ThicknessMin, q.ThicknessMean, q.Mass
	for _, x := range [3]*float64{&least, &mean, &mass} {
		if *x == 0 {
			*x = math.NaN()
		}
	}
	return []cell{strong(place), strong(q.Serial), say(look.Fixed(least, 2)), say(look.Fixed(mean, 2)), say(look.Fixed(look.Thou(least), 0)), say(look.Fixed(look.Thou(mean), 0)),
		say(look.Fixed(float64(q.ThicknessPoints), 0)), say(celsius(q.TempTop)), say(celsius(q.TempBottom)), say(orNone(q.Read)), say(orNone(q.DrySince)), say(look.Fixed(mass, 1))}
}

func celsius(t *float64) string {
	if t == nil {
		return look.NoFigure
	}
	return look.Fixed(*t, 1)
}

// method sets how the set was measured and what was not checked at the left, every sentence of the statement of method at the
// right, and all warnings under whichever of them leaves the page shorter; the columns are as wide as leaves it shortest. What is
// too long for that stands one below the other and runs over as many pages as it needs.
func (p *press) method(m Method, l *LayUp, notChecked, warnings []string) {
	const title = "How it was measured"
	rows := methodRows(m, l)
	gaps, how, warn := unchecked(notChecked), statement(m.Statement), warned(warnings)
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

func methodRows(m Method, l *LayUp) [][2]string {
	band, pitch := "none", "not stated"
	if m.EdgeBand > 0 {
		band = look.Fixed(m.EdgeBand, 0) + " mm (" + look.Fixed(m.EdgeBand/25.4, 2) + " in) along every edge is not judged"
	}
	if m.PitchX > 0 && m.PitchY > 0 {
		pitch = look.Fixed(m.PitchX, 0) + " mm along the table, " + look.Fixed(m.PitchY, 0) + " mm across (" + look.Fixed(m.PitchX/25.4, 1) + " by " + look.Fixed(m.PitchY/25.4, 1) + " in)"
	}
	rows := [][2]string{
		{"readings", orNone(m.Readings) + "; pitch " + pitch}, {"instrument", orNone(m.Instrument)},
		{"support", orNone(m.Support) + "; state " + orNone(m.State)}, {"edge band", band},
	}
	if l != nil {
		rows = append(rows, [2]string{"lay-up", layUpNote(l)})
	}
	return rows
}

const factName = 20.0 // mm for the names of facts

func (p *press) factsHeight(rows [][2]string, w float64) float64 {
	var h float64
	for _, r := range rows {
		h += p.high(r[1], look.Fine, w-factName) + 0.7*p.air
	}
	return h
}

// factRows sets names with their facts and returns the height used.
func (p *press) factRows(rows [][2]string, x, y, w float64) float64 {
	start := y
	for _, r := range rows {
		p.Text(ink.Point{X: x, Y: y + look.Fine.Height()}, r[0], look.Small)
		y += p.block(r[1], look.Fine, x+factName, y, w-factName) + 0.7*p.air
	}
	return y - start
}

// items is a list whose entries stand behind a sign.
type items struct {
	title, sign string
	texts       []string
	t           ink.Type
}

func unchecked(texts []string) items { return items{"Not checked", "–", texts, look.Fine} }
func statement(texts []string) items {
	return items{"How it was computed and judged", "–", texts, look.Fine}
}
func warned(texts []string) items { return items{"Warnings", "!", texts, look.Text} }

// one is the list of its entry i alone.
func (l items) one(i int) items {
	l.texts = l.texts[i : i+1]
	return l
}

func (p *press) listHeight(l items, w float64) float64 {
	var h float64
	for _, text := range l.texts {
		h += p.high(text, l.t, w-4) + 0.7*p.air
	}
	return h
}

// list sets a list without its title and returns the height used.
func (p *press) list(l items, x, y, w float64) float64 {
	start := y
	for _, text := range l.texts {
		p.Text(ink.Point{X: x, Y: y + l.t.Height()}, l.sign, look.Strong)
		y += p.block(text, l.t, x+4, y, w-4) + 0.7*p.air
	}
	return y - start
}

// cautions sets the usual cautions in a frame.
func (p *press) cautions(cautions []caution.Caution) {
	const inset, names = 2.2, 15.5
	t, bold := look.Fine, look.Strong.Sized(look.Fine.Size)
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

// orNone stands in for a phrase that was not given.
func orNone(s string) string {
	if strings.TrimSpace(s) == "" {
		return "not stated"
	}
	return s
}
