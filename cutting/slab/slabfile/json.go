// Package slabfile reads slabs and what is wanted from them: the program's own JSON, GeoJSON, drawings, lists, and published instances as CSV.
//
// It checks the form, and leaves what a slab may be to package slab. It computes nothing and writes nothing.
package slabfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"slatewright/cutting/drawing"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/orders"
	"slatewright/trouble"
)

// mostBytes is the size of a file at most.
const mostBytes = 4 << 20

type point [2]float64

type slabJSON struct {
	Name      string         `json:"name"`
	Outline   []point        `json:"outline_mm"`
	Rectangle []float64      `json:"rectangle_mm"`
	Kerf      *float64       `json:"kerf_mm"`
	Angles    []float64      `json:"angles_deg"`
	Grain     *float64       `json:"grain_deg"`
	Flaws     []flawJSON     `json:"flaws"`
	Thickness *thicknessJSON `json:"thickness"`
	Pieces    []pieceJSON    `json:"pieces"`
	unread    []string
}

type flawJSON struct {
	Name      string  `json:"name"`
	Kind      string  `json:"kind"`
	Line      []point `json:"line_mm"`
	Area      []point `json:"area_mm"`
	Clearance float64 `json:"clearance_mm"`
	Face      string  `json:"face"`
	Forbids   string  `json:"forbids"`
}

type thicknessJSON struct {
	X []float64   `json:"x_mm"`
	Y []float64   `json:"y_mm"`
	T [][]float64 `json:"t_mm"`
}

type pieceJSON struct {
	Type      string     `json:"type"`
	Place     string     `json:"place"`
	Length    float64    `json:"length_mm"`
	Width     float64    `json:"width_mm"`
	Allowance float64    `json:"allowance_mm"`
	Thickness float64    `json:"thickness_mm"`
	Value     float64    `json:"value"`
	Most      *int       `json:"most"`
	Turns     []float64  `json:"turns_deg"`
	Grain     string     `json:"grain"`
	Within    *float64   `json:"grain_within_deg"`
	Plays     string     `json:"plays"`
	CutAway   []zoneJSON `json:"cut_away"`
}

type zoneJSON struct {
	Rectangle []float64 `json:"rectangle_mm"`
	Polygon   []point   `json:"polygon_mm"`
	Centre    *point    `json:"centre_mm"`
	Radius    float64   `json:"radius_mm"`
}

// usualWithin is how far a piece may stray from the grain where the file does not say it: about what a quarter turn leaves to the nearer side.
const usualWithin = 15

// Question is what a file asks: one slab with its pieces, or several slabs and orders.
type Question struct {
	Slabs  []*slab.Slab
	Orders []orders.Order // none: one slab, which has its own pieces
}

type fileJSON struct {
	slabJSON
	Slabs  []slabJSON  `json:"slabs"`
	Orders []orderJSON `json:"orders"`
}

type orderJSON struct {
	Name   string      `json:"name"`
	Slabs  *int        `json:"slabs"`
	Pieces []pieceJSON `json:"pieces"`
}

// Read reads a slab, or several slabs and orders: the program's own JSON, GeoJSON, a drawing, or a list. Pieces that were read elsewhere take the place of the file's
// own; nil: it has its own. Errors are *trouble.Trouble.
func Read(name string, r io.Reader, pieces []slab.Type) (*Question, error) {
	text, err := whole(name, r)
	if err != nil {
		return nil, err
	}
	var f fileJSON
	one := &f.slabJSON
	switch {
	case drawing.Looks(string(text)):
		one, err = readDrawing(name, text)
	case !looksJSON(text):
		one, err = readList(name, text)
	case isCollection(text):
		one, err = readCollection(name, text)
	default:
		err = decode(name, text, &f)
	}
	if err != nil {
		return nil, err
	}
	if f.Slabs != nil || f.Orders != nil {
		if pieces != nil {
			return nil, bad(name, "orders have pieces of their own", "leave the list of pieces out")
		}
		return f.several(name)
	}
	s, err := one.slab(name)
	if err != nil {
		return nil, err
	}
	if pieces != nil {
		if len(s.Types) > 0 {
			return nil, bad(name, "the slab has pieces of its own", "leave the list of pieces out, or the pieces in the file")
		}
		s.Types = pieces
	}
	return &Question{Slabs: []*slab.Slab{s}}, within(name, s.Check())
}

// several reads slabs and orders. The kerf, the angles and the grain of the file hold for slabs that do not say their own.
func (f *fileJSON) several(name string) (*Question, error) {
	if f.Outline != nil || f.Rectangle != nil || f.Flaws != nil || f.Thickness != nil || f.Pieces != nil {
		return nil, bad(name, "the file is one slab and several at once", "write outlines and flaws into slabs, and pieces into orders")
	}
	q := &Question{}
	for i, o := range f.Orders {
		order := orders.Order{Name: o.Name, Slabs: 1}
		where := fmt.Sprintf("%s: orders[%d]", name, i)
		if o.Slabs != nil {
			order.Slabs = *o.Slabs
		}
		if o.Name == "" || order.Slabs < 0 {
			return nil, bad(where, "the order has no name, or takes a negative number of slabs", "name it, and give how many slabs it takes at most")
		}
		var err error
		if order.Types, err = types(where, o.Pieces); err != nil {
			return nil, err
		}
		q.Orders = append(q.Orders, order)
	}
	for i, w := range f.Slabs {
		where := fmt.Sprintf("%s: slabs[%d]", name, i)
		if w.Name == "" || w.Pieces != nil {
			return nil, bad(where, "the slab has no name, or pieces of its own", "name it, and write pieces into orders")
		}
		if w.Kerf == nil {
			w.Kerf = f.Kerf
		}
		if w.Angles == nil {
			w.Angles = f.Angles
		}
		if w.Grain == nil {
			w.Grain = f.Grain
		}
		s, err := w.slab(where)
		if err != nil {
			return nil, err
		}
		for _, o := range q.Orders {
			if err := within(where, orders.For(s, o).Check()); err != nil {
				return nil, err
			}
		}
		q.Slabs = append(q.Slabs, s)
	}
	if len(q.Slabs) == 0 || len(q.Orders) == 0 {
		return nil, bad(name, "there are no slabs, or no orders", "list at least one of each")
	}
	return q, nil
}

// whole reads a file.
func whole(name string, r io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		return nil, trouble.IO("unreadable", name, "the file cannot be read: "+err.Error(), "check the file and its medium").Because(err)
	}
	switch {
	case len(text) > mostBytes:
		return nil, trouble.Data("too-large", name, "the file is larger than 4 MB", "give one question only")
	case !utf8.Valid(text):
		return nil, trouble.Data("encoding", name, "the file is not UTF-8 text", "save it as UTF-8")
	}
	return bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")), nil
}

// decode reads one JSON object that has no key but the known ones.
func decode(name string, text []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return badJSON(name, text, d.InputOffset(), err)
	}
	if _, err := d.Token(); err != io.EOF {
		return trouble.Data("bad-json", line(name, text, d.InputOffset()), "something follows the slab", "give one JSON object")
	}
	return nil
}

func badJSON(name string, text []byte, at int64, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return trouble.Data("bad-json", line(name, text, syntax.Offset), "this is not JSON", "check brackets, commas and quotes there").Because(err)
	case errors.As(err, &kind):
		return trouble.Data("bad-json", line(name, text, kind.Offset), fmt.Sprintf("%s holds something of another kind", field(kind.Field)), "compare it with the example in the handbook").Because(err)
	}
	if key, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		return trouble.Data("unknown-key", line(name, text, at), fmt.Sprintf("the key %s is not known", key), "check its spelling against the handbook").Because(err)
	}
	return trouble.Data("bad-json", line(name, text, at), "the file ends too early", "check that it was written to its end").Because(err)
}

// field is the path of keys to a value, as they are written.
func field(path string) string {
	keys := slices.DeleteFunc(strings.Split(path, "."), func(k string) bool { return k == "" || strings.HasSuffix(k, "JSON") })
	if len(keys) == 0 {
		return "the file"
	}
	return strings.Join(keys, ".")
}

func line(name string, text []byte, at int64) string {
	at = min(max(at, 0), int64(len(text)))
	return fmt.Sprintf("%s:%d", name, 1+bytes.Count(text[:at], []byte("\n")))
}

// slab turns what was written into a slab.
func (f *slabJSON) slab(name string) (*slab.Slab, error) {
	s := &slab.Slab{Name: f.Name, Outline: points(f.Outline), Angles: f.Angles, Grain: f.Grain, Unread: f.unread}
	if f.Rectangle != nil {
		if len(f.Rectangle) != 2 || f.Outline != nil {
			return nil, bad(name+": rectangle_mm", "a rectangle is its length and its width, in place of an outline", "write [3000, 1800]")
		}
		l, w := f.Rectangle[0], f.Rectangle[1]
		s.Outline = []slab.Point{{}, {X: l}, {X: l, Y: w}, {Y: w}}
	}
	if f.Kerf != nil {
		s.Kerf = *f.Kerf
	}
	if len(s.Angles) == 0 {
		s.Angles = []float64{0}
	}
	for i, w := range f.Flaws {
		flaw, err := w.flaw(fmt.Sprintf("%s: flaws[%d]", name, i))
		if err != nil {
			return nil, err
		}
		s.Flaws = append(s.Flaws, flaw)
	}
	if t := f.Thickness; t != nil {
		s.Thickness = &slab.Thickness{X: t.X, Y: t.Y, T: t.T}
	}
	var err error
	s.Types, err = types(name+":", f.Pieces)
	return s, err
}

func types(where string, list []pieceJSON) (out []slab.Type, err error) {
	for i, p := range list {
		t, err := p.piece(fmt.Sprintf("%s pieces[%d]", where, i))
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// within puts the name of the file before a place.
func within(name string, err error) error {
	var t *trouble.Trouble
	if errors.As(err, &t) && t.Kind == trouble.KindData {
		t.Where = name + ": " + t.Where
	}
	return err
}

func bad(where, what, next string) error { return trouble.Data("bad-slab", where, what, next) }

func points(list []point) (out []slab.Point) {
	for _, p := range list {
		out = append(out, slab.Point{X: p[0], Y: p[1]})
	}
	return out
}

// word finds a word among known ones; the first stands for none.
func word[T any](where, key, got string, words []string, values []T) (T, error) {
	for i, w := range words {
		if got == w || got == "" && i == 0 {
			return values[i], nil
		}
	}
	var none T
	return none, bad(where, fmt.Sprintf("%s is %q", key, got), "write one of: "+strings.Join(words, ", "))
}

func (f flawJSON) flaw(where string) (w slab.Flaw, err error) {
	kind, err := word(where, "kind", f.Kind, []string{"crack", "vein", "stain", "hole"}, []string{"crack", "vein", "stain", "hole"})
	if err != nil {
		return w, err
	}
	if (f.Line == nil) == (f.Area == nil) {
		return w, bad(where, "a flaw is a line or an area", "give line_mm or area_mm")
	}
	w = slab.Flaw{Name: f.Name, Clearance: f.Clearance, Area: f.Area != nil, Points: points(f.Line)}
	if w.Name == "" {
		w.Name = kind
	}
	if w.Area {
		w.Points = points(f.Area)
	}
	if w.Face, err = word(where, "face", f.Face, []string{"through", "top", "bottom"}, []slab.Face{slab.Through, slab.Top, slab.Bottom}); err != nil {
		return w, err
	}
	forbids := []string{"any", "playing"}
	playing := []bool{false, true}
	if kind == "stain" {
		forbids, playing = []string{"playing", "any"}, []bool{true, false}
	}
	w.Playing, err = word(where, "forbids", f.Forbids, forbids, playing)
	return w, err
}

func (p pieceJSON) piece(where string) (t slab.Type, err error) {
	t = slab.Type{Name: p.Type, Place: p.Place, Length: p.Length, Width: p.Width, Allowance: p.Allowance, Thickness: p.Thickness, Most: -1, GrainWithin: usualWithin}
	if t.Name == "" {
		return t, bad(where, "the piece has no type", "name it, for example \"9 ft head\"")
	}
	if _, err = word(where, "place", p.Place, []string{"", "head", "centre", "foot"}, []int{0, 0, 0, 0}); err != nil {
		return t, err
	}
	if t.Value, err = value(where, p.Value); err != nil {
		return t, err
	}
	if p.Most != nil {
		if t.Most = *p.Most; t.Most < 0 {
			return t, bad(where, "most is negative", "give how many are wanted at most, or leave it out")
		}
	}
	if t.Quarters, err = quarters(where, p.Turns); err != nil {
		return t, err
	}
	if t.Grain, err = word(where, "grain", p.Grain, []string{"any", "along", "across"}, []slab.Grain{slab.AnyGrain, slab.AlongGrain, slab.AcrossGrain}); err != nil {
		return t, err
	}
	if p.Within != nil {
		t.GrainWithin = *p.Within
	}
	t.Shown, err = word(where, "plays", p.Plays, []string{"top", "bottom", "either", "none"}, []slab.Shown{slab.PlaysTop, slab.PlaysBottom, slab.PlaysEither, slab.PlaysNone})
	if err != nil {
		return t, err
	}
	for i, z := range p.CutAway {
		zone, err := z.zone(fmt.Sprintf("%s.cut_away[%d]", where, i))
		if err != nil {
			return t, err
		}
		t.Zones = append(t.Zones, zone)
	}
	return t, nil
}

// value is a worth in ten-thousandths.
func value(where string, v float64) (int64, error) {
	scaled := v * slab.Unit
	if !(v >= 0 && scaled <= float64(slab.MostValue)) {
		return 0, bad(where, fmt.Sprintf("a value of %g", v), fmt.Sprintf("give what one is worth, between 0 and %g", math.Floor(float64(slab.MostValue)/slab.Unit)))
	}
	if math.Abs(scaled-math.Round(scaled)) > 1e-6*math.Max(1, scaled) {
		return 0, bad(where, fmt.Sprintf("a value of %g", v), "give at most four decimals")
	}
	return int64(math.Round(scaled)), nil
}

// quarters reads the turns in which a piece may lie; all where none is named.
func quarters(where string, turns []float64) (q [4]bool, err error) {
	if turns == nil {
		return [4]bool{true, true, true, true}, nil
	}
	for _, t := range turns {
		k := t / 90
		if k != math.Trunc(k) || k < 0 || k > 3 {
			return q, bad(where, fmt.Sprintf("a turn of %g degrees", t), "write turns as 0, 90, 180 and 270; other angles are the slab's")
		}
		q[int(k)] = true
	}
	return q, nil
}

func (z zoneJSON) zone(where string) (slab.Zone, error) {
	switch {
	case len(z.Rectangle) == 4 && z.Polygon == nil && z.Centre == nil:
		r := z.Rectangle
		return slab.Zone{Corners: []slab.Point{{X: r[0], Y: r[1]}, {X: r[2], Y: r[1]}, {X: r[2], Y: r[3]}, {X: r[0], Y: r[3]}}}, nil
	case z.Polygon != nil && z.Rectangle == nil && z.Centre == nil:
		return slab.Zone{Corners: points(z.Polygon)}, nil
	case z.Centre != nil && z.Radius > 0 && z.Rectangle == nil && z.Polygon == nil:
		return slab.Zone{Centre: slab.Point{X: z.Centre[0], Y: z.Centre[1]}, Radius: z.Radius}, nil
	}
	return slab.Zone{}, bad(where, "what is cut away has no shape", "give rectangle_mm [x1, y1, x2, y2], polygon_mm, or centre_mm and radius_mm")
}
