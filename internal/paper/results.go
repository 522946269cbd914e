package paper

import (
	"math"

	"slatewright/internal/paper/ink"
)

// results sets the table of characteristics, with what each of them is beneath.
func (p *press) results(results []Result, note string) {
	tb := resultsTable(results, p.width())
	p.section(p.resultsHeight(results, note) - p.space())
	p.y += p.head("Results", p.left, p.y, p.width())
	p.y += p.setTable(tb, p.left, p.y) + 1
	p.text(note, typeCaption)
}

func (p *press) resultsHeight(results []Result, note string) float64 {
	return p.space() + headHeight + p.tableHeight(resultsTable(results, p.width())) + 1 + p.high(note, typeCaption, p.width())
}

// columnsNote says what the columns mean.
func columnsNote(coverage string) string {
	return "U: expanded uncertainty, " + orNone(coverage) + ". Margin: how far the value lies inside its limit. Probability: that the true value conforms."
}

// resultsNote says what the columns mean and what exactly each characteristic is.
func resultsNote(results []Result, coverage string) string {
	note := columnsNote(coverage)
	for _, r := range results {
		if text := resultNote(r); text != "" {
			note += " " + capital(r.Name) + ": " + text + "."
		}
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
		tb.rows = append(tb.rows, resultRow(r))
	}
	return tb
}

func resultRow(r Result) []cell {
	least := 3
	sign := "≤ "
	if r.AtLeast {
		least, sign = 2, "≥ "
	}
	dm, dt := decimals(r, 1, least), decimals(r, 1/perThou, 1)
	unsure := r.U
	if unsure == 0 {
		unsure = math.NaN()
	}
	limit := func(x float64, d int) string {
		if math.IsNaN(x) {
			return "none"
		}
		return sign + fixed(x, d)
	}
	verdict := cell{text: string(r.Verdict), mark: r.Verdict, t: typeStrong.In(r.Verdict.colour())}
	probability := math.NaN()
	if r.Probability != nil {
		probability = *r.Probability
	}
	return []cell{strong(r.Name),
		strong(fixed(r.Value, dm)), say(fixed(unsure, least)), say(limit(r.Limit, dm)), say(signed(r.margin(), dm)),
		strong(fixed(thou(r.Value), dt)), say(fixed(thou(unsure), 1)), say(limit(thou(r.Limit), dt)), say(fixed(probability, 4)), verdict}
}

// resultNote joins the note and the bias.
func resultNote(r Result) string {
	var bias string
	switch {
	case r.Bias > 0:
		bias = "read high by about " + inMM(r.Bias) + " mm"
	case r.Bias < 0:
		bias = "read low by about " + inMM(-r.Bias) + " mm"
	}
	if r.Note != "" && bias != "" {
		return r.Note + "; " + bias
	}
	return r.Note + bias
}

// pieces sets the table of the three pieces.
func (p *press) pieces(pieces []Piece) {
	tb := table{
		columns: []column{{"piece", 23, false}, {"serial", 0, false},
			{"least", 12, true}, {"mean", 13, true}, {"least", 13, true}, {"mean", 12, true}, {"places", 10.5, true},
			{"top", 9.5, true}, {"bottom", 11.5, true}, {"read", 18, false}, {"dry since", 18, false}, {"mass, kg", 12.5, true}},
		groups: []group{{"stone thickness, mm", 2, 3}, {"thou (0.001 in)", 4, 5}, {"face, °C", 7, 8}},
	}
	tb.columns[1].w = p.width() - tb.width()
	for _, q := range pieces {
		tb.rows = append(tb.rows, pieceRow(q))
	}
	p.section(headHeight + p.tableHeight(tb))
	p.y += p.head("The three pieces", p.left, p.y, p.width())
	p.y += p.setTable(tb, p.left, p.y)
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
	return []cell{strong(place), strong(q.Serial), say(fixed(least, 2)), say(fixed(mean, 2)), say(fixed(thou(least), 0)), say(fixed(thou(mean), 0)),
		say(fixed(float64(q.ThicknessPoints), 0)), say(celsius(q.TempTop)), say(celsius(q.TempBottom)), say(orNone(q.Read)), say(orNone(q.DrySince)), say(fixed(mass, 1))}
}

func celsius(t *float64) string {
	if t == nil {
		return noFigure
	}
	return fixed(*t, 1)
}

// methodAndGaps sets the statement of method at the left, what was not checked at the right, and all warnings under whichever
// of them leaves the page shorter. Lists that are too long for that stand one below the other and run over as many pages as they need.
func (p *press) methodAndGaps(rows [][2]string, notChecked, warnings []string) {
	const gap = 7.0
	left := (p.width() - gap) * 0.6
	right := p.width() - gap - left
	leftHigh := headHeight + p.factsHeight(rows, left)
	rightHigh := headHeight + listHeight(p, notChecked, right)
	underLeft := p.warningsHigh(warnings, left)
	underRight := p.warningsHigh(warnings, right)
	atLeft := max(leftHigh+underLeft, rightHigh) <= max(leftHigh, rightHigh+underRight)
	h := min(max(leftHigh+underLeft, rightHigh), max(leftHigh, rightHigh+underRight))
	if h > p.bottom-pageTop-20 {
		p.section(headHeight + p.factsHeight(rows, p.width()))
		p.y += p.head(methodTitle, p.left, p.y, p.width())
		p.y += p.factRows(rows, p.left, p.y, p.width())
		p.longList("Not checked", notChecked, "–")
		p.longList("Warnings", warnings, "!")
		return
	}
	p.section(h)
	y := p.y + p.head(methodTitle, p.left, p.y, left)
	p.factRows(rows, p.left, y, left)
	x := p.left + left + gap
	y = p.y + p.head("Not checked", x, p.y, right)
	p.list(notChecked, "–", x, y, right)
	if atLeft {
		p.warningsUnder(warnings, p.left, p.y+leftHigh, left)
	} else {
		p.warningsUnder(warnings, x, p.y+rightHigh, right)
	}
	p.y += h
}

// warningsHigh is the height of the warnings under a column, with the space above them; 0 when there are none.
func (p *press) warningsHigh(warnings []string, w float64) float64 {
	if len(warnings) == 0 {
		return 0
	}
	return p.space() + headHeight + listHeight(p, warnings, w)
}

// warningsUnder sets the warnings under a column.
func (p *press) warningsUnder(warnings []string, x, y, w float64) {
	if len(warnings) == 0 {
		return
	}
	y += p.space()
	y += p.head("Warnings", x, y, w)
	p.list(warnings, "!", x, y, w)
}

const methodTitle = "How it was measured and judged"

// longList sets a list over the whole width, and over pages.
func (p *press) longList(title string, items []string, sign string) {
	if len(items) == 0 {
		return
	}
	p.section(headHeight + listHeight(p, items[:1], p.width()))
	p.y += p.head(title, p.left, p.y, p.width())
	for i := range items {
		p.need(listHeight(p, items[i:i+1], p.width()))
		p.y += p.list(items[i:i+1], sign, p.left, p.y, p.width())
	}
}

func methodRows(m Method, l *LayUp) [][2]string {
	band, pitch := "none", "not stated"
	if m.EdgeBand > 0 {
		band = fixed(m.EdgeBand, 0) + " mm (" + fixed(m.EdgeBand/25.4, 2) + " in) along every edge is not judged"
	}
	if m.PitchX > 0 && m.PitchY > 0 {
		pitch = fixed(m.PitchX, 0) + " mm along the table, " + fixed(m.PitchY, 0) + " mm across (" + fixed(m.PitchX/25.4, 1) + " by " + fixed(m.PitchY/25.4, 1) + " in)"
	}
	rows := [][2]string{
		{"method", orNone(m.Measuring)}, {"instrument", orNone(m.Instrument)}, {"support", orNone(m.Support)}, {"state", orNone(m.State)},
		{"edge band", band}, {"pitch", pitch}, {"decision rule", orNone(m.Decision)}, {"limits", orNone(m.Limits)},
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
		h += p.high(r[1], typeText, w-factName) + 0.7*p.air
	}
	return h
}

// factRows sets names with their facts and returns the height used.
func (p *press) factRows(rows [][2]string, x, y, w float64) float64 {
	start := y
	for _, r := range rows {
		p.Text(ink.Point{X: x, Y: y + typeText.Height()}, r[0], typeSmall)
		y += p.block(r[1], typeText, x+factName, y, w-factName) + 0.7*p.air
	}
	return y - start
}

func listHeight(p *press, items []string, w float64) float64 {
	var h float64
	for _, text := range items {
		h += p.high(text, typeText, w-4) + 0.7*p.air
	}
	return h
}

// list sets items behind a sign and returns the height used.
func (p *press) list(items []string, sign string, x, y, w float64) float64 {
	start := y
	for _, text := range items {
		p.Text(ink.Point{X: x, Y: y + typeText.Height()}, sign, typeStrong)
		y += p.block(text, typeText, x+4, y, w-4) + 0.7*p.air
	}
	return y - start
}

// cautions sets the usual cautions in a frame.
func (p *press) cautions(cautions []Caution) {
	const inset, names = 2.6, 18.0
	t, bold := typeCaution, typeStrong.Sized(typeCaution.Size)
	w := p.width() - 2*inset - names
	h := 2 * inset
	for _, c := range cautions {
		h += p.high(c.Text, t, w) + 0.6
	}
	p.section(h)
	p.frame(p.left, p.y, p.width(), h-1.2, soft)
	y := p.y + inset
	for _, c := range cautions {
		p.Text(ink.Point{X: p.left + inset, Y: y + t.Height()}, c.Word, bold)
		y += p.block(c.Text, t, p.left+inset+names, y, w) + 0.6
	}
	p.y += h - 1.4
}
