package floor

import (
	"strconv"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/shell"
)

// fact is one thing that is known: its name's key, and what it is.
type fact struct {
	Key, Value string
	Ref        book.Ref // when it names a thing
}

type facts []fact

// line writes the first facts in one line.
func (f facts) line() string {
	var words []string
	for _, x := range f[:min(4, len(f))] {
		words = append(words, x.Value)
	}
	return strings.Join(words, " · ")
}

// teller gathers facts in the reader's words, leaving out what is not known.
type teller struct {
	*shell.Visit
	list facts
}

func (t *teller) text(key, value string) {
	if value != "" {
		t.list = append(t.list, fact{Key: key, Value: value})
	}
}

func (t *teller) size(key string, mm float64) {
	if mm > 0 {
		t.text(key, t.Size(mm))
	}
}

func (t *teller) mass(kg float64) {
	if kg > 0 {
		t.text("field.mass_kg", t.Mass(kg))
	}
}

func (t *teller) count(key string, n int) {
	if n > 0 {
		t.text(key, strconv.Itoa(n))
	}
}

func (t *teller) day(key string, ms int64) {
	if ms > 0 {
		t.text(key, t.Day(time.UnixMilli(ms).In(t.Now.Location())))
	}
}

func (t *teller) thing(key string, k book.Kind, id string) {
	if id != "" {
		t.list = append(t.list, fact{key, id, book.Ref{Kind: k, ID: id}})
	}
}

// factsOf tells what is known of a thing, most telling first.
func factsOf(v *shell.Visit, thing book.Thing) (facts, error) {
	state, err := book.StateOf(thing)
	if err != nil {
		return nil, err
	}
	t := &teller{Visit: v}
	switch s := state.(type) {
	case *book.LayerState:
		t.size("field.thickness_mm", s.ThicknessMM)
		t.count("field.cracks", s.Cracks)
		t.size("field.clear_mm", s.ClearMM)
	case *book.BlockState:
		t.stone(&s.StoneState)
		t.count("field.cracks", s.Cracks)
	case *book.SlabState:
		t.stone(&s.StoneState)
	case *book.PieceState:
		t.piece(s)
	case *book.SetState:
		t.set(s)
	default:
		t.other(thing, state)
	}
	return t.list, nil
}

func (t *teller) stone(s *book.StoneState) {
	if s.LengthMM > 0 && s.WidthMM > 0 {
		t.text("field.size", t.Say("floor.by", "length_size", s.LengthMM, "width_size", s.WidthMM))
	}
	t.size("field.thickness_mm", s.ThicknessMM)
	t.mass(s.MassKg)
	if s.Rejected != "" {
		t.text("field.cause", t.Word("cause", s.Rejected))
	}
}

func (t *teller) piece(s *book.PieceState) {
	t.thing("kind.set", book.KindSet, s.Set)
	t.stone(&s.StoneState)
	if s.MarkedOn != "" {
		t.text("field.marked_on", t.Word("surface", string(s.MarkedOn)))
	}
	t.thing("field.room", book.KindRoom, s.Room)
	t.text("field.pattern", s.Pattern)
}

func (t *teller) set(s *book.SetState) {
	t.text("field.pieces", strings.Join(s.Pieces, ", "))
	if s.Verdict != "" {
		t.text("field.verdict", t.Word("verdict", s.Verdict))
	}
	t.thing("field.order", book.KindOrder, s.Order)
	t.thing("field.certificate", book.KindCertificate, s.Certificate)
	t.thing("field.shipment", book.KindShipment, s.Shipment)
	t.mass(s.MassKg)
	t.text("field.why", s.Parted)
}

func (t *teller) other(thing book.Thing, state any) {
	switch s := state.(type) {
	case *book.CertificateState:
		t.thing("field.set", book.KindSet, s.Set)
		t.day("field.at", s.AtMS)
		t.text("field.digest", s.Digest)
	case *book.ShipmentState:
		for _, set := range s.Sets {
			t.thing("kind.set", book.KindSet, set)
		}
		t.thing("field.order", book.KindOrder, s.Order)
		t.text("field.to", s.To)
	case *book.InstrumentState:
		t.text("field.sort", t.Word("sort", s.Sort))
		if n := len(s.Calibrations); n > 0 {
			t.day("field.due", s.Calibrations[n-1].DueMS)
		}
	case *book.ToolState:
		t.size("field.diameter_mm", s.DiameterMM)
		t.text("field.grit", s.Grit)
		t.count("field.bits", s.Bits)
	case *book.RoomState:
		t.count("field.places", s.Places)
	case *book.BatchState:
		t.text("field.sort", s.Sort)
		t.size("field.thickness_mm", s.ThicknessMM)
		if s.UseBefore != nil {
			t.text("field.use_before", t.Day(*s.UseBefore))
		}
	case *book.OrderState:
		t.text("field.size", s.Size)
		t.count("field.sets", s.Sets)
		t.text("field.due", t.Day(s.Due))
		t.text("field.class", s.Class)
	case *book.PersonState:
		t.text("field.called", s.Called)
		t.text("field.role", t.Word("role", string(s.Role)))
	}
}

// massOf is the mass of a thing as the book has it, 0 when it is not known.
func massOf(t book.Thing) float64 {
	state, err := book.StateOf(t)
	if err != nil {
		return 0
	}
	switch s := state.(type) {
	case *book.BlockState:
		return s.MassKg
	case *book.SlabState:
		return s.MassKg
	case *book.PieceState:
		return s.MassKg
	case *book.SetState:
		return s.MassKg
	}
	return 0
}
