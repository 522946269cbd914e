package proof

import (
	"fmt"
	"html/template"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
)

// The table of feeler readings: lines of a usual pattern over the piece, station by station, to be filled in with a gloved hand. What was
// filled in becomes the same list that can be pasted.

// tablePage is the data of the page.
type tablePage struct {
	Asks       string
	Patterns   []choice
	Edges      []choice
	SizeX      string // along the table, as typed
	SizeY      string
	Unit       string // of sizes
	Strip      string // unit of strips
	Block      string
	Limits     string
	Limit      string
	Lines      []tableLine
	Plan, Slim template.HTML // the pattern before it is read
	Laid       bool
	Answer     *shell.Answer
	Files      []shell.ListFile
	Wrong      *problem.Problem
	Head       string
}

type choice struct {
	Value, Label string
	Chosen       bool
}

type tableLine struct {
	Mark, From, To string
	Stations       []tableStation
}

// tableStation is one row: two fields, or the word that a block stands there.
type tableStation struct {
	Row           int
	At            string
	Block         bool
	PassesName    string
	StopsName     string
	Passes, Stops string // as typed
}

// pattern is a usual set of lines. A line is given by its ends as shares of half the room between the outermost stations, and its number
// of stations.
type pattern struct {
	name  string
	lines []ruled
}

type ruled struct {
	x0, y0, x1, y1 float64
	n              int
}

// patterns: the union jack holds every line by two others; the star and the cross meet in the middle only, which bounds less but is soon
// read. Common practice, no source.
var patterns = []pattern{
	{"jack", []ruled{{-1, -1, -1, 1, 5}, {0, -1, 0, 1, 5}, {1, -1, 1, 1, 5}, {-1, -1, 1, -1, 3}, {-1, 0, 1, 0, 3}, {-1, 1, 1, 1, 3}, {-1, -1, 1, 1, 5}, {1, -1, -1, 1, 5}}},
	{"star", []ruled{{0, -1, 0, 1, 5}, {-1, 0, 1, 0, 5}, {-1, -1, 1, 1, 5}, {1, -1, -1, 1, 5}}},
	{"cross", []ruled{{0, -1, 0, 1, 5}, {-1, 0, 1, 0, 5}}},
}

// inset is how far from the edge of the piece the outermost stations lie, mm: beyond lies what does not count. Common practice, no source.
const inset = 50.0

// laidOut is a table as it was asked for.
type laidOut struct {
	pattern pattern
	x, y    float64 // of the piece, mm
	laid    bool
}

// usual is a nine-foot piece on blocks, mm. Common practice.
const (
	usualX = 914.0
	usualY = 1473.0
)

// layOut reads what the table is to be. What was not said, or cannot be, is as usual.
func layOut(v *shell.Visit, form url.Values) (l laidOut, err error) {
	l = laidOut{pattern: patterns[0], x: usualX, y: usualY, laid: form.Get("edge") == "laid"}
	if i := slices.IndexFunc(patterns, func(p pattern) bool { return p.name == form.Get("pattern") }); i >= 0 {
		l.pattern = patterns[i]
	}
	for _, f := range []struct {
		name string
		to   *float64
	}{{"size_x", &l.x}, {"size_y", &l.y}} {
		typed := strings.TrimSpace(form.Get(f.name))
		if typed == "" {
			continue
		}
		mm, ok := sizeOf(v.Words, typed)
		if !ok || !(mm >= 4*inset) || mm > 5000 {
			return l, problem.New("bad-value", f.name, v.Say("proof.no-size", "typed", typed), v.Say("proof.no-size-next", "least_size", 4*inset))
		}
		*f.to = mm
	}
	return l, nil
}

// sizeOf reads the size of a piece: a bare number is mm, or inches for a reader of inches.
func sizeOf(w tongue.Words, typed string) (mm float64, ok bool) {
	return shell.ReadLength(typed, sizeUnit(w))
}

func sizeUnit(w tongue.Words) string {
	if w.Units() == tongue.Inch {
		return "in"
	}
	return "mm"
}

// at is the place of a station, mm from the middle of the piece, to a tenth.
func (l laidOut) at(line, station int) [2]float64 {
	r := l.pattern.lines[line]
	t := float64(station) / float64(r.n-1)
	return [2]float64{measure.Round((r.x0+(r.x1-r.x0)*t)*(l.x/2-inset), 1) + 0, measure.Round((r.y0+(r.y1-r.y0)*t)*(l.y/2-inset), 1) + 0}
}

// block tells whether a block stands at a station.
func (l laidOut) block(line, station int) bool {
	return !l.laid && (station == 0 || station == l.pattern.lines[line].n-1)
}

// mark names a line.
func mark(line int) string { return string(rune('A' + line)) }

// firstRow is the line of the list on which the first reading stands, below its header and titles.
const firstRow = 4

// lines fills the table with what was typed.
func (l laidOut) lines(v *shell.Visit, typed url.Values) (list []tableLine) {
	row := firstRow
	for i, r := range l.pattern.lines {
		t := tableLine{Mark: mark(i), From: spotOf(v.Words, l.at(i, 0)), To: spotOf(v.Words, l.at(i, r.n-1))}
		for k := range r.n {
			s := tableStation{Row: row, At: spotOf(v.Words, l.at(i, k)), Block: l.block(i, k), PassesName: fmt.Sprintf("p.%d.%d", i, k), StopsName: fmt.Sprintf("s.%d.%d", i, k)}
			s.Passes, s.Stops = typed.Get(s.PassesName), typed.Get(s.StopsName)
			t.Stations = append(t.Stations, s)
			row++
		}
		list = append(list, t)
	}
	return list
}

func spotOf(w tongue.Words, at [2]float64) string { return w.Size(at[0]) + " · " + w.Size(at[1]) }

// list writes the table as the list that can be pasted, in mm.
func (l laidOut) list(v *shell.Visit, typed url.Values) (string, error) {
	var b strings.Builder
	number := func(where, text string) (string, error) {
		if text = strings.TrimSpace(text); text == "" {
			return "", nil
		}
		mm, ok := shell.SmallLength(v.Words, text)
		if !ok || !(mm >= 0) {
			return "", problem.New("bad-value", where, v.Say("proof.no-strip", "typed", text), v.Say("proof.no-strip-next", "unit", shell.SmallUnit(v.Words)))
		}
		return measure.Decimal(mm, 5), nil
	}
	limits, err := number(v.Say("proof.strip-limits"), typed.Get("limits"))
	if err != nil {
		return "", err
	}
	how := "laid"
	if !l.laid {
		height, err := number(v.Say("proof.block-height"), typed.Get("block"))
		if err != nil {
			return "", err
		}
		if height == "" {
			return "", problem.New("missing", v.Say("proof.block-height"), v.Say("proof.no-block"), v.Say("proof.no-block-next"))
		}
		how = "blocks " + height + " mm"
	}
	if limits == "" {
		limits = "0"
	}
	fmt.Fprintf(&b, "# edge: %s\n# strip limits: %s mm\nline,x,y,passes_mm,stops_mm\n", how, limits)
	for i, line := range l.lines(v, typed) {
		for k, s := range line.Stations {
			where := fmt.Sprintf("%s, %s", line.Mark, s.At)
			passes, err := number(where, s.Passes)
			if err != nil {
				return "", err
			}
			stops, err := number(where, s.Stops)
			if err != nil {
				return "", err
			}
			at := l.at(i, k)
			fmt.Fprintf(&b, "%s,%s,%s,%s,%s\n", line.Mark, measure.Decimal(at[0], 1), measure.Decimal(at[1], 1), passes, stops)
		}
	}
	return b.String(), nil
}

// table shows the empty table.
func (r room) table(v *shell.Visit) error {
	l, err := layOut(v, v.R.URL.Query())
	if err != nil && shell.Mendable(err) == nil {
		return err
	}
	return showTable(v, l, v.R.URL.Query(), nil, err)
}

// takeTable answers for a table that was filled in.
func (r room) takeTable(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	l, err := layOut(v, form)
	var got shell.Reply
	text := ""
	if err == nil {
		text, err = l.list(v, form)
	}
	if err == nil {
		list := shell.List{Name: v.Say("proof.table"), Text: text}
		got, err = r.asks.Work(v, askFeelers(), shell.Lists{Lists: map[string]shell.List{"list": list}, Plain: form})
	}
	if err != nil && shell.Mendable(err) == nil {
		return err
	}
	switch as := form.Get("as"); {
	case err != nil:
		return showTable(v, l, form, nil, err)
	case as == "json":
		return v.GiveJSON("feelers.json", got.JSON)
	case as == "csv":
		return v.Give("feelers.csv", "text/csv; charset=utf-8", []byte(text))
	}
	return showTable(v, l, form, &got.Answer, nil)
}

func showTable(v *shell.Visit, l laidOut, typed url.Values, answer *shell.Answer, err error) error {
	p := tablePage{Asks: v.Say("proof.feelers"), SizeX: typed.Get("size_x"), SizeY: typed.Get("size_y"), Unit: sizeUnit(v.Words), Strip: shell.SmallUnit(v.Words), Block: typed.Get("block"),
		Limits: typed.Get("limits"), Limit: typed.Get("limit"), Lines: l.lines(v, typed), Laid: l.laid, Answer: answer}
	if p.SizeX == "" {
		p.SizeX = plain(v.Words, l.x)
	}
	if p.SizeY == "" {
		p.SizeY = plain(v.Words, l.y)
	}
	for _, k := range patterns {
		p.Patterns = append(p.Patterns, choice{k.name, v.Say("proof.pattern-" + k.name), k.name == l.pattern.name})
	}
	p.Edges = []choice{{"blocks", v.Say("proof.edge-blocks"), !l.laid}, {"laid", v.Say("proof.edge-laid"), l.laid}}
	page := shell.Page{Name: "proof/table", Title: p.Asks, Here: "gauging", Near: true}
	if wrong := shell.Mendable(err); wrong != nil {
		p.Wrong, p.Head, page.Code = wrong, v.HeadOf(wrong), wrong.Status
	}
	if answer == nil {
		p.Plan, p.Slim = chart.Both(func(width float64) template.HTML { return l.picture(v.Words, width) })
	} else {
		p.Files = shell.JSONAndCSV(v.Words)
	}
	page.Data = p
	return v.Show(page)
}

// plain writes a size for a field, without its unit.
func plain(w tongue.Words, mm float64) string {
	if w.Units() == tongue.Inch {
		return strconv.FormatFloat(math.Round(mm/25.4*100)/100, 'f', -1, 64)
	}
	return strconv.FormatFloat(mm, 'f', -1, 64)
}

// picture draws the pattern before it is read: where the edge goes, and which line has which letter.
func (l laidOut) picture(w tongue.Words, width float64) template.HTML {
	x, y := l.x/2, l.y/2
	p := planOf(w, width, 0, [][2]float64{{-x, -y}, {x, y}}, w.Say("proof.pattern-picture", "many", len(l.pattern.lines)))
	x0, y0 := p.place([2]float64{-x, y})
	x1, y1 := p.place([2]float64{x, -y})
	p.Rect("piece", x0, y0, x1-x0, y1-y0)
	for i, r := range l.pattern.lines {
		x0, y0 := p.place(l.at(i, 0))
		x1, y1 := p.place(l.at(i, r.n-1))
		p.Line("step", x0, y0, x1, y1)
	}
	for i, r := range l.pattern.lines {
		for k := range r.n {
			x, y := p.place(l.at(i, k))
			if l.block(i, k) {
				p.Rect("base", x-5, y-5, 10, 10)
			} else {
				p.Disc("spot", x, y, 3.2)
			}
			p.Block(x, y, 5)
		}
	}
	for i, r := range l.pattern.lines { // beside the middle of the line, or where there is room
		for _, k := range []float64{0.25, 0.75, 0.12, 0.88} {
			from, to := l.at(i, 0), l.at(i, r.n-1)
			x, y := p.place([2]float64{from[0] + k*(to[0]-from[0]), from[1] + k*(to[1]-from[1])})
			if p.Label("strong", x, y, mark(i), false) {
				break
			}
		}
	}
	p.edges()
	p.axes()
	return p.End()
}
