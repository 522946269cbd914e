// Package holefile reads the lists of a check: what was measured of a bed's features, and what was read of its joint edges.
//
// It knows columns and header lines, finds features by their names, and makes circles of points on a rim. It does not judge.
package holefile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/bed/holes"
	"slatewright/bed/holes/cause"
	"slatewright/bed/holes/fit"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

var optional = []string{"x", "y", "diameter", "u", "u diameter", "gauge", "plug", "point", "run", "method"}

// Read reads what was measured of the features of a drawing: columns feature and x, y, or gauge or plug; diameter, u, u_diameter, point and run besides. Errors are *trouble.Trouble with
// file and line. The warnings name header lines that mean nothing here.
func Read(s *sheet.Sheet, d *holes.Drawing) (*holes.Measured, []string, error) {
	if len(d.Features) == 0 {
		return nil, nil, trouble.Data("no-features", d.Name, "the drawing has no holes and no pockets", "add holes: and pockets: to the pattern file")
	}
	m, u, err := head(s)
	if err != nil {
		return nil, nil, err
	}
	columns, err := s.Columns([]string{"feature"}, optional...)
	if err != nil {
		return nil, nil, err
	}
	r := &reader{s: s, d: d, m: m, columns: columns, u: u, names: map[string]int{}, first: map[int]int{}, finest: math.Inf(1)}
	if err := r.check(); err != nil {
		return nil, nil, err
	}
	for i, f := range d.Features {
		r.names[strings.ToLower(f.Name)] = i
	}
	for _, row := range s.Rows {
		if err := r.row(row); err != nil {
			return nil, nil, err
		}
	}
	if err := r.rims(); err != nil {
		return nil, nil, err
	}
	if m.Finest = r.finest; math.IsInf(m.Finest, 0) {
		m.Finest = 0
	}
	return m, s.Rest(), nil
}

type reader struct {
	s       *sheet.Sheet
	d       *holes.Drawing
	m       *holes.Measured
	columns map[string]sheet.Column
	names   map[string]int
	first   map[int]int // feature → place in the readings
	points  map[int][]fit.Vector
	u       float64
	finest  float64
}

func (r *reader) has(name string) bool { _, ok := r.columns[name]; return ok }

// check refuses titles that cannot go together.
func (r *reader) check() error {
	switch {
	case r.has("x") != r.has("y"):
		return trouble.Data("columns", r.s.Name, "there is a column x or y, and not the other", "the titles are feature,x,y,diameter,u_mm")
	case !r.has("x") && !r.has("gauge") && !r.has("diameter") && !r.has("plug"):
		return trouble.Data("columns", r.s.Name, "there is neither a place nor a gauge", "the titles are feature,x,y,diameter,u_mm or feature,gauge")
	case r.has("gauge") && r.m.Pin == 0:
		return trouble.Data("no-pin", r.s.Name, "there is a column gauge, and the pins of the gauge are not known", "add a line such as # pin: 11 mm")
	}
	return nil
}

// row reads one line.
func (r *reader) row(row sheet.Row) error {
	name := row.Text(r.columns["feature"])
	i, ok := r.names[strings.ToLower(name)]
	if !ok {
		return r.s.Bad(row.Line, "no-feature", fmt.Sprintf("the drawing has no feature %q", name), r.like(name))
	}
	at, point := r.first[i], row.Text(r.columns["point"]) != ""
	if at > 0 && !point {
		return r.s.Bad(row.Line, "twice", fmt.Sprintf("the feature %s stands here and at line %d", name, r.m.Readings[at-1].Line),
			"keep one of the two; points on a rim take a column point")
	}
	reading := holes.Reading{Feature: i, Line: row.Line, U: r.u, Run: math.NaN()}
	if err := r.place(row, &reading); err != nil {
		return err
	}
	if point {
		if !reading.Located {
			return r.s.Bad(row.Line, "no-place", "a point on a rim without x and y", "write its place")
		}
		if r.points == nil {
			r.points = map[int][]fit.Vector{}
		}
		r.points[i] = append(r.points[i], reading.At)
		if at > 0 {
			first := &r.m.Readings[at-1]
			first.U = max(first.U, reading.U)
			return nil
		}
	}
	if err := r.rest(row, &reading); err != nil {
		return err
	}
	if !reading.Located && reading.Gauge == holes.NoGauge && reading.Diameter == 0 && reading.Plug == holes.NoPlug {
		return r.s.Bad(row.Line, "no-place", fmt.Sprintf("nothing was measured of %s", name), "write x and y, or what the gauge said, or leave the line out")
	}
	r.m.Readings = append(r.m.Readings, reading)
	r.first[i] = len(r.m.Readings)
	return nil
}

// place reads x, y and u.
func (r *reader) place(row sheet.Row, to *holes.Reading) (err error) {
	x, y := row.Text(r.columns["x"]), row.Text(r.columns["y"])
	if (x == "") != (y == "") {
		return r.s.Bad(row.Line, "no-place", "only one of x and y is written", "write both or neither")
	}
	if x != "" {
		if to.At.X, err = r.s.Length(row, r.columns["x"]); err != nil {
			return err
		}
		if to.At.Y, err = r.s.Length(row, r.columns["y"]); err != nil {
			return err
		}
		to.Located = true
		r.finest = min(r.finest, step(r.columns["x"], x), step(r.columns["y"], y))
	}
	if err := r.method(row, to); err != nil {
		return err
	}
	if u, ok, err := r.length(row, "u"); err != nil || ok {
		to.U = u
		return err
	}
	return nil
}

// method reads by what means a row was measured, where the rows differ.
func (r *reader) method(row sheet.Row, to *holes.Reading) error {
	word := strings.ToLower(row.Text(r.columns["method"]))
	if word == "" {
		return nil
	}
	usual, ok := holes.Usual[holes.Method(word)]
	if !ok {
		return r.s.Bad(row.Line, "bad-method", fmt.Sprintf("method = %q is not known", word), "write one of: tape, template, camera, arm")
	}
	to.U, to.UDia, r.m.ByRow = usual[0], usual[1], true
	return nil
}

// rest reads diameter, gauge and run.
func (r *reader) rest(row sheet.Row, to *holes.Reading) (err error) {
	if to.Diameter, _, err = r.length(row, "diameter"); err != nil {
		return err
	}
	if u, ok, err := r.length(row, "u diameter"); err != nil {
		return err
	} else if ok {
		to.UDia = u
	}
	switch word := strings.ToLower(row.Text(r.columns["gauge"])); word {
	case "":
	case "go":
		to.Gauge = holes.Go
	case "no-go", "no go", "nogo":
		to.Gauge = holes.NoGo
	default:
		return r.s.Bad(row.Line, "bad-gauge", fmt.Sprintf("gauge = %q is no word for what a gauge says", word), "write go or no-go")
	}
	if to.Plug, err = r.plug(row, to.Feature); err != nil {
		return err
	}
	if row.Text(r.columns["run"]) != "" {
		if to.Run, err = r.s.Number(row, r.columns["run"]); err != nil {
			return err
		}
	}
	return nil
}

// plug reads what a plug gauge said.
func (r *reader) plug(row sheet.Row, feature int) (holes.Plug, error) {
	word := strings.ToLower(row.Text(r.columns["plug"]))
	i := slices.Index([]string{"", "good", "small", "large"}, word)
	kind := r.d.Features[feature].Kind
	switch {
	case i < 0:
		return 0, r.s.Bad(row.Line, "bad-gauge", fmt.Sprintf("plug = %q is no word for what a plug gauge says", word), "write good (go enters, no-go does not), small (go does not enter) or large (no-go enters)")
	case i > 0 && r.m.Plugs[kind].Go == 0:
		return 0, r.s.Bad(row.Line, "no-plug", fmt.Sprintf("the ends of the plug gauge for %s are not known", kind), fmt.Sprintf("add a line such as # plug: %s, 12.5 mm, 12.9 mm", kind))
	}
	return holes.Plug(i), nil
}

// length reads a cell above 0 that may be empty.
func (r *reader) length(row sheet.Row, name string) (mm float64, ok bool, err error) {
	c, has := r.columns[name]
	if !has || row.Text(c) == "" {
		return 0, false, nil
	}
	if mm, err = r.s.Length(row, c); err != nil {
		return 0, false, err
	}
	if !(mm > 0) {
		return 0, false, r.s.Bad(row.Line, "bad-number", fmt.Sprintf("%s must be more than 0", name), "write a length, or leave the cell empty")
	}
	return mm, true, nil
}

// rims makes circles of points on rims.
func (r *reader) rims() error {
	for i := range r.m.Readings {
		reading := &r.m.Readings[i]
		points := r.points[reading.Feature]
		if points == nil {
			continue
		}
		u := reading.U
		if u == 0 {
			u = holes.Usual[r.m.Method][0]
		}
		c, err := fit.Round(points, u)
		if err != nil {
			t, ok := err.(*trouble.Trouble)
			if !ok {
				return err
			}
			return r.s.Bad(reading.Line, t.Code, r.d.Features[reading.Feature].Name+": "+t.What, t.Next)
		}
		reading.At, reading.U, reading.Diameter, reading.UDia, reading.Form = c.Middle, c.U, 2*c.Radius, 2*c.URadius, c.Form
	}
	return nil
}

// like names features whose names begin alike.
func (r *reader) like(name string) string {
	var near []string
	for _, f := range r.d.Features {
		if n := len(name); n > 0 && len(near) < 6 && strings.HasPrefix(strings.ToLower(f.Name), strings.ToLower(name[:min(2, n)])) {
			near = append(near, f.Name)
		}
	}
	if near == nil {
		for _, f := range r.d.Features[:min(6, len(r.d.Features))] {
			near = append(near, f.Name)
		}
	}
	slices.Sort(near)
	return "its features are called such as " + strings.Join(near, ", ")
}

// step is what the last written digit stands for, mm.
func step(c sheet.Column, text string) float64 {
	unit := measure.MM
	if u, err := measure.ParseUnit(c.Unit); c.Unit != "" && err == nil {
		unit = u
	}
	decimals := 0
	if at := strings.IndexAny(text, ".,"); at >= 0 {
		for _, ch := range text[at+1:] {
			if ch < '0' || ch > '9' {
				break
			}
			decimals++
		}
	}
	return math.Pow(10, -float64(decimals)) * unit.FromFloat(1)
}

// head reads the header lines.
func head(s *sheet.Sheet) (m *holes.Measured, u float64, err error) {
	m = &holes.Measured{Frame: holes.WholeBed, Rails: holes.RailByRail, Opens: holes.JointOpens, Slides: holes.JointSlides}
	word := func(key string, into func(string), words ...string) {
		if err != nil {
			return
		}
		var h sheet.Head
		var ok bool
		if h, ok, err = s.Take(key); err != nil || !ok {
			return
		}
		w := strings.ToLower(h.Value)
		if !slices.Contains(words, w) {
			err = s.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is not known", key, h.Value), "write one of: "+strings.Join(words, ", "))
			return
		}
		into(w)
	}
	var methods []string
	for _, w := range holes.Methods() {
		methods = append(methods, string(w))
	}
	word("method", func(w string) { m.Method = holes.Method(w) }, methods...)
	word("frame", func(w string) { m.Frame = holes.Frame(w) }, string(holes.WholeBed), string(holes.EachPiece))
	word("datum", func(w string) { m.Datum = holes.Datum(w) }, string(holes.DatumEdges), string(holes.DatumNone))
	word("rails", func(w string) { m.Rails = holes.Rails(w) }, string(holes.RailByRail), string(holes.RailsAsOne))
	if m.Frame == holes.EachPiece {
		m.Closes = holes.JointCloses
	}
	for _, l := range []struct {
		key  string
		into *float64
	}{{"u", &u}, {"pin", &m.Pin}, {"joint opens", &m.Opens}, {"joint closes", &m.Closes}, {"joint slides", &m.Slides}} {
		if err != nil {
			return nil, 0, err
		}
		v, ok, e := s.TakeLength(l.key)
		if err = e; ok {
			*l.into = v
		}
	}
	if err == nil {
		m.Stops, err = stops(s)
	}
	if err == nil {
		m.Plugs, err = plugs(s)
	}
	return m, u, err
}

// plugs reads the lines "# plug: kind, go, no-go".
func plugs(s *sheet.Sheet) (map[string]holes.PlugEnds, error) {
	all := map[string]holes.PlugEnds{}
	for _, h := range s.TakeAll("plug") {
		parts := strings.Split(h.Value, ",")
		bad := s.Bad(h.Line, "bad-header", fmt.Sprintf("# plug: %q is no plug gauge", h.Value), "write the kind of hole and the two ends, the smaller first, such as rail-bolt, 12.5 mm, 12.9 mm")
		if len(parts) != 3 {
			return nil, bad
		}
		kind := strings.ToLower(strings.TrimSpace(parts[0]))
		low, errLow := measure.ParseLength(strings.TrimSpace(parts[1]))
		high, errHigh := measure.ParseLength(strings.TrimSpace(parts[2]))
		if _, twice := all[kind]; errLow != nil || errHigh != nil || kind == "" || twice || !(low > 0 && high > low) {
			return nil, bad
		}
		all[kind] = holes.PlugEnds{Go: low, NoGo: high}
	}
	return all, nil
}

// stops reads the lines "# stop: x, y, towards +x".
func stops(s *sheet.Sheet) (list []cause.Stop, err error) {
	towards := map[string]fit.Vector{"+x": {X: 1}, "-x": {X: -1}, "+y": {Y: 1}, "-y": {Y: -1}}
	heads := s.TakeAll("stop")
	for _, h := range heads {
		parts := strings.Split(h.Value, ",")
		bad := func() error {
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# stop: %q is no stop of a fixture", h.Value), "write its place in the piece and where it pushes, such as -457 mm, 500 mm, +x")
		}
		if len(parts) != 3 {
			return nil, bad()
		}
		x, errX := measure.ParseLength(strings.TrimSpace(parts[0]))
		y, errY := measure.ParseLength(strings.TrimSpace(parts[1]))
		n, ok := towards[strings.ToLower(strings.TrimSpace(parts[2]))]
		if errX != nil || errY != nil || !ok {
			return nil, bad()
		}
		list = append(list, cause.Stop{At: fit.Vector{X: x, Y: y}, N: n})
	}
	if len(list) != 0 && len(list) != 3 {
		return nil, s.Bad(heads[0].Line, "bad-header", trouble.Count(len(list), "stop does", "stops do")+" not hold a piece", "write three lines # stop: x, y, where it pushes")
	}
	return list, nil
}
