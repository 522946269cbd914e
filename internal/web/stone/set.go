package stone

import (
	"net/url"
	"slices"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/measured"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/slip"
	"slatewright/judge"
)

// setPage is a set.
type setPage struct {
	About  about
	Thing  book.Thing
	State  *book.SetState
	Mass   string
	Facts  []fact
	Judged string // when, in words
	Old    string // what was done after the verdict
	Pieces []pieceRow
	LayUps []readingRow
	Read   []readingRow
	Bed    bedView
	Steps  []string // of the last lay-up as the book has them
	Past   []past
	More   string
	Here   string
	Live   string
}

// pieceRow is a piece of the set.
type pieceRow struct {
	ID, Place, At, Zone, Mass, Marked, Read, Since string
	Station                                        book.Station
}

// laid is a set with its pieces.
type laid struct {
	thing  book.Thing
	state  *book.SetState
	pieces []book.Thing
	states []*book.PieceState
	faces  []book.Reading // the reading of each that is shown; its Blob is empty where there is none
	layUp  book.Reading
}

// setOf reads the set that an address names.
func setOf(v *shell.Visit) (l laid, err error) {
	t, state, err := v.Thing(book.KindSet, v.R.PathValue("number"))
	if err != nil {
		return l, err
	}
	l.thing, l.state = t, state.(*book.SetState)
	for _, id := range l.state.Pieces {
		p, state, err := v.Thing(book.KindPiece, id)
		if err != nil {
			return l, err
		}
		s := state.(*book.PieceState)
		read, _ := readingOf(s.Readings, top, "")
		l.pieces, l.states, l.faces = append(l.pieces, p), append(l.states, s), append(l.faces, read)
	}
	if n := len(l.state.LayUps); n > 0 && l.state.LayUps[n-1].ExpiredBy == "" {
		l.layUp = l.state.LayUps[n-1]
	}
	return l, nil
}

// triple is what is seated and judged: as the queue asks for it, so that it is computed once. ok is false when a face was not read,
// or the bed has another number of pieces.
func (l laid) triple(demo bool) (t measured.Triple, ok bool) {
	if len(l.faces) != len(t.Faces) {
		return t, false
	}
	for i, r := range l.faces {
		if t.Faces[i] = r.Blob; r.Blob == "" {
			return t, false
		}
	}
	t.LayUp, t.Demo = l.layUp.Blob, demo
	return t, true
}

// early tells whether an act is not yet, or no longer, the set's: offering it would only be in the way.
func (l laid) early(act string) bool {
	switch act {
	case "certify":
		return l.state.Verdict != judge.Conforms.String() || l.state.Stale != ""
	case "pack":
		return l.state.Certificate == "" || l.state.Stale != "" || l.state.Packed
	case "ship":
		return !l.state.Packed
	}
	return false
}

// cut tells whether holes are cut, so that each piece has its place.
func (l laid) cut() bool {
	return slices.ContainsFunc(l.states, func(s *book.PieceState) bool { return s.Pattern != "" })
}

func (r room) set(v *shell.Visit) error {
	l, err := setOf(v)
	if err != nil {
		return err
	}
	p := setPage{Thing: l.thing, State: l.state, Here: v.R.URL.RequestURI(), Live: l.thing.Ref.String()}
	var also []book.Ref
	for _, x := range l.pieces {
		also, p.Live = append(also, x.Ref), p.Live+" "+x.Ref.String()
	}
	if p.About, err = r.about(v, l.thing, also); err != nil {
		return err
	}
	p.About.Acts = slices.DeleteFunc(p.About.Acts, func(d slip.Doing) bool { return l.early(d.Act) })
	p.Bed = r.bedView(v, l)
	loads, kg, err := r.pieceRows(v, l, &p)
	if err != nil {
		return err
	}
	if kg > 0 {
		p.Mass = v.Mass(kg)
	}
	p.Facts = setFacts(v, l, kg)
	if p.State.Verdict != "" {
		p.Judged = day(v, p.State.JudgedMS)
	}
	if p.State.Stale != "" {
		p.Old = v.Say("stone.verdict-old", "did", p.State.Stale)
	}
	for _, x := range slices.Backward(l.state.LayUps) {
		p.LayUps = append(p.LayUps, readingRowOf(v, x, ""))
	}
	for _, x := range slices.Backward(l.state.Readings) {
		p.Read = append(p.Read, readingRowOf(v, x, ""))
	}
	for _, mm := range l.state.StepsMM {
		p.Steps = append(p.Steps, v.Both(mm))
	}
	r.again(v, p.Bed.State == measured.Computing.String())
	if p.Past, p.More, err = pastOf(v, l.thing); err != nil {
		return err
	}
	return v.Show(shell.Page{Name: "stone/set", Title: v.Word("kind", "set") + " " + l.thing.ID, Here: string(l.thing.Station), Uses: []string{"facemap"}, Data: p,
		Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting, caution.Placing}, loads...)})
}

// pieceRows lists the pieces and returns what is lifted, and the mass of all.
func (r room) pieceRows(v *shell.Visit, l laid, p *setPage) (loads []caution.Load, kg float64, err error) {
	all := true
	for i, t := range l.pieces {
		s := l.states[i]
		line, err := lineOf(v, t)
		if err != nil {
			return nil, 0, err
		}
		m := massOf(s, line)
		row := pieceRow{ID: t.ID, Place: placeNamed(v, l.state.Pieces, t.ID), At: v.Word("station", string(t.Station)), Station: t.Station, Since: v.Say("floor.since", "for", v.Since(v.Now.Sub(t.Since))), Zone: "–", Mass: "–"}
		if m.Kg > 0 {
			row.Mass, kg = v.Mass(m.Kg), kg+m.Kg
			loads = append(loads, caution.Load{Name: t.ID, Kg: m.Kg})
		} else {
			all = false
		}
		if s.MarkedOn != "" {
			row.Marked = v.Word("surface", string(s.MarkedOn))
		}
		if read := l.faces[i]; read.Blob != "" {
			row.Read = day(v, read.AtMS)
			if read.ExpiredBy != "" {
				row.Read = v.Say("stone.expired", "did", read.ExpiredAct, "day", day(v, read.ExpiredMS))
			}
			flat := r.measured.KnownFlat(read.Blob) // what the bed is made from is measured with it
			if p.Bed.State != measured.Computing.String() {
				flat = r.measured.AskFlat(read.Blob)
			}
			if flat.State == measured.Ready {
				row.Zone = v.Length(flat.Value.ZoneMM)
			}
		}
		p.Pieces = append(p.Pieces, row)
	}
	switch {
	case l.state.MassKg > 0 && l.state.Packed:
		return []caution.Load{{Name: l.thing.ID, Kg: l.state.MassKg}}, l.state.MassKg, nil // it is moved as one
	case l.state.MassKg > 0:
		return loads, l.state.MassKg, nil
	case !all:
		return loads, 0, nil // a part of the mass would be worse than none
	}
	return loads, kg, nil
}

func setFacts(v *shell.Visit, l laid, kg float64) (list []fact) {
	s := l.state
	list = append(list, fact{Key: "field.station", Value: v.Word("station", string(l.thing.Station)), More: v.Say("floor.since", "for", v.Since(v.Now.Sub(l.thing.Since)))})
	for _, x := range []struct {
		key, id string
		kind    book.Kind
	}{{"field.order", s.Order, book.KindOrder}, {"field.certificate", s.Certificate, book.KindCertificate}, {"field.shipment", s.Shipment, book.KindShipment}} {
		if x.id != "" {
			list = append(list, fact{Key: x.key, Value: x.id, Ref: book.Ref{Kind: x.kind, ID: x.id}})
		}
	}
	if kg > 0 {
		more := v.Say("stone.mass-sum")
		if s.MassKg > 0 {
			more = v.Say("stone.mass-weighed")
		}
		list = append(list, fact{Key: "stone.mass", Value: v.Mass(kg), More: more})
	}
	if len(s.StepsMM) == 2 {
		list = append(list, fact{Key: "stone.steps-laid-up", Value: v.Length(s.StepsMM[0]) + " · " + v.Length(s.StepsMM[1]), More: v.Say("stone.head-foot")})
	}
	return list
}

// bedOf is what an address of a set's data asks for.
func (r room) bedOf(v *shell.Visit) (l laid, t measured.Triple, err error) {
	if l, err = setOf(v); err != nil {
		return l, t, err
	}
	t, ok := l.triple(v.Demo)
	if !ok {
		err = problem.New("no-such-thing", l.thing.ID, v.Say("stone.no-bed", "set", l.thing.ID), v.Say("stone.not-read-next"))
	}
	return l, t, err
}

func (r room) setMap(v *shell.Visit) error {
	l, t, err := r.bedOf(v)
	if err != nil {
		return err
	}
	m, err := r.measured.BedMap(v.R.Context(), t, pixels(v.R))
	if err != nil {
		return err
	}
	return answer(v, spoken(v.Words, v.Word("kind", "set")+" "+l.thing.ID, datum(v.Words, "stone.datum-bed"), m))
}

func (r room) setPicture(v *shell.Visit) error {
	l, t, err := r.bedOf(v)
	if err != nil {
		return err
	}
	b, err := r.measured.Bed(v.R.Context(), t)
	if err != nil {
		return err
	}
	svg, err := bedPicture(v, l.thing.ID, b)
	if err != nil {
		return err
	}
	return picture(v, svg)
}

func (r room) setRelief(v *shell.Visit) error {
	l, _, err := r.bedOf(v)
	if err != nil {
		return err
	}
	at := "/set/" + url.PathEscape(l.thing.ID)
	return v.Show(shell.Page{Name: "stone/relief", Title: v.Say("stone.relief-of", "thing", l.thing.ID), Uses: []string{"relief"},
		Data: reliefPage{Title: l.thing.ID, Back: at, Map: at + "/map", Picture: at + "/map.svg", Words: v.Word("kind", "set")}})
}
