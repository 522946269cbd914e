package stone

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/measured"
	"slatewright/internal/web/shell"
)

// piecePage is a piece.
type piecePage struct {
	About    about
	Thing    book.Thing
	Set      string
	Place    string // in its set
	Line     []book.Ref
	Facts    []fact
	Face     faceView
	Shape    shapeView
	Readings []readingRow
	Past     []past
	More     string
	Here     string // address of the page with what it shows
	Live     string
	Waits    bool // something is being computed
}

// fact is one thing that is known: the key of its name, and what it is.
type fact struct {
	Key, Value, More string
	Ref              book.Ref
}

func (r room) piece(v *shell.Visit) error {
	t, state, err := v.Thing(book.KindPiece, v.R.PathValue("number"))
	if err != nil {
		return err
	}
	s := state.(*book.PieceState)
	p := piecePage{Thing: t, Set: s.Set, Here: v.R.URL.RequestURI(), Live: t.Ref.String()}
	if p.About, err = r.about(v, t, nil); err != nil {
		return err
	}
	line, err := lineOf(v, t)
	if err != nil {
		return err
	}
	for _, up := range line[:len(line)-1] {
		p.Line = append(p.Line, up.Ref)
	}
	if p.Place, err = placeIn(v, s.Set, t.ID); err != nil {
		return err
	}
	var history measured.Asked[measured.History]
	p.Shape, history = r.shapeView(v, faceOf(v.R.URL.Query().Get("face")), s.Readings)
	if p.Face, err = r.faceView(v, t.ID, s, history); err != nil {
		return err
	}
	mass := massOf(s, line)
	p.Facts, p.Readings = piecesFacts(v, t, s, mass), r.readings(v, t.ID, s.Readings)
	if p.Past, p.More, err = pastOf(v, t); err != nil {
		return err
	}
	p.Waits = p.Shape.State == measured.Computing.String() || p.Face.State == measured.Computing.String()
	r.again(v, p.Waits)
	return v.Show(shell.Page{Name: "stone/piece", Title: t.ID, Here: string(t.Station), Uses: []string{"facemap"}, Data: p,
		Care: caution.OnPage(v.Words, caution.AtStation(t.Station), caution.Load{Name: t.ID, Kg: mass.Kg})})
}

// lookAgain is how soon, in seconds, a page without scripts is asked for again while something is being computed.
const lookAgain = "3"

// again has a browser without scripts ask again. With scripts the part of the page does so itself.
func (r room) again(v *shell.Visit, waits bool) {
	if waits && (v.Scripts == nil || v.Scripts.Path("everywhere") == "") {
		v.W.Header().Set("Refresh", lookAgain)
	}
}

// placeIn is the place of a piece in its set.
func placeIn(v *shell.Visit, set, piece string) (string, error) {
	if set == "" {
		return "", nil
	}
	_, state, err := v.Thing(book.KindSet, set)
	if err != nil {
		return "", err
	}
	return placeNamed(v, state.(*book.SetState).Pieces, piece), nil
}

// places are the names of the places in a bed of three.
var places = []string{"head", "centre", "foot"}

func placeNamed(v *shell.Visit, pieces []string, piece string) string {
	if i := slices.Index(pieces, piece); i >= 0 && len(pieces) == len(places) {
		return v.Word("place", places[i])
	}
	return ""
}

// mass is what a piece weighs, as it was weighed or as its measures say.
type mass struct {
	Kg       float64
	Computed bool
}

// usualDensity is slate's, kg/m³, where the layer's is not in the book. Common practice, no source.
const usualDensity = 2750

// massOf is what a piece weighs. line is the piece and what it was cut from.
func massOf(s *book.PieceState, line []book.Thing) mass {
	if s.MassKg > 0 || s.LengthMM*s.WidthMM*s.ThicknessMM == 0 {
		return mass{s.MassKg, false}
	}
	density := 0.0
	for _, up := range line {
		if state, err := book.StateOf(up); err == nil {
			if layer, ok := state.(*book.LayerState); ok {
				density = layer.DensityKgM3
			}
		}
	}
	return mass{s.LengthMM * s.WidthMM * s.ThicknessMM * 1e-9 * cmp.Or(density, usualDensity), true}
}

// piecesFacts are the figures of a piece.
func piecesFacts(v *shell.Visit, t book.Thing, s *book.PieceState, m mass) (list []fact) {
	add := func(key, value, more string) {
		if value != "" {
			list = append(list, fact{Key: key, Value: value, More: more})
		}
	}
	thing := func(key string, k book.Kind, id string) {
		if id != "" {
			list = append(list, fact{Key: key, Value: id, Ref: book.Ref{Kind: k, ID: id}})
		}
	}
	add("field.station", v.Word("station", string(t.Station)), v.Say("floor.since", "for", v.Since(v.Now.Sub(t.Since))))
	thing("kind.set", book.KindSet, s.Set)
	for _, set := range s.Sets {
		thing("stone.former-set", book.KindSet, set)
	}
	if s.LengthMM > 0 && s.WidthMM > 0 {
		add("field.size", v.Say("floor.by", "length_size", s.LengthMM, "width_size", s.WidthMM), s.Size)
	}
	if s.ThicknessMM > 0 {
		more := ""
		if s.Reckoned {
			more = v.Say("stone.reckoned")
		}
		add("field.thickness_mm", v.BothSizes(s.ThicknessMM), more)
	}
	if m.Kg > 0 {
		more := ""
		if m.Computed {
			more = v.Say("stone.mass-computed")
		}
		add("stone.mass", v.Mass(m.Kg), more)
	}
	if s.MarkedOn != "" {
		add("field.marked_on", v.Word("surface", string(s.MarkedOn)), "")
	}
	if s.Rejected != "" {
		add("field.cause", v.Word("cause", s.Rejected), "")
	}
	thing("field.room", book.KindRoom, s.Room)
	if s.Seasoned > 0 {
		add("stone.seasoned", v.Say("time.days", "n", int(s.Seasoned)), s.Released)
	}
	add("field.pattern", s.Pattern, "")
	if s.Surfaced > 0 {
		more := ""
		if s.FacedMS > 0 {
			more = v.Say("stone.faced", "day", day(v, s.FacedMS))
		}
		add("stone.surfacings", v.Number(float64(s.Surfaced), 0), more)
	}
	if s.Repairs > 0 {
		add("stone.repairs", v.Number(float64(s.Repairs), 0), "")
	}
	if done := doneTo(v, s); done != "" {
		add("stone.work", done, "")
	}
	return list
}

// doneTo lists the work after drilling.
func doneTo(v *shell.Visit, s *book.PieceState) string {
	var words []string
	for _, w := range []struct {
		done bool
		act  string
	}{{s.Lined, "glue-lining"}, {s.Reamed, "ream"}, {s.Finished, "finish"}} {
		if w.done {
			words = append(words, v.Word("did", w.act))
		}
	}
	return strings.Join(words, ", ")
}

// reliefPage is a map in three dimensions.
type reliefPage struct {
	Title, Back, Map, Picture, Words string
}

func (r room) pieceRelief(v *shell.Visit) error {
	s, err := shownOf(v)
	if err != nil {
		return err
	}
	which := "?face=" + s.face + "&reading=" + s.read.Entry
	at := "/piece/" + url.PathEscape(s.id)
	words := v.Word("face", s.face)
	if s.face == thickness {
		words = v.Word("reading", thickness)
	}
	return v.Show(shell.Page{Name: "stone/relief", Title: v.Say("stone.relief-of", "thing", s.id), Uses: []string{"relief"},
		Data: reliefPage{Title: s.id, Back: at + which, Map: at + "/map" + which, Picture: at + "/map.svg" + which, Words: words}})
}
