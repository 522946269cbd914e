package api

import (
	"encoding/json"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
)

// Object is JSON passed on as it is kept.
type Object json.RawMessage

// MarshalJSON writes it as it is.
func (o Object) MarshalJSON() ([]byte, error) { return json.RawMessage(o).MarshalJSON() }

// UnmarshalJSON keeps it as it is.
func (o *Object) UnmarshalJSON(text []byte) error { return (*json.RawMessage)(o).UnmarshalJSON(text) }

// Schema says that it is an object with any fields.
func (Object) Schema(huma.Registry) *huma.Schema {
	return &huma.Schema{Type: huma.TypeObject, AdditionalProperties: true}
}

// Entry is an entry of the journal.
type Entry struct {
	Seq       int64     `json:"seq" doc:"Its place in the journal" example:"4711"`
	ID        string    `json:"id" doc:"ULID, made by the sender" example:"01KB3C5V8Q3Z6J1W2Y4X7T9R0N"`
	Site      string    `json:"site" doc:"The mill" example:"quern-hollow"`
	At        time.Time `json:"at" doc:"When it was done, by the sender's clock"`
	Person    string    `json:"person" doc:"Who did it" example:"saw-1"`
	Station   string    `json:"station" doc:"Where it was done" example:"saw"`
	Act       string    `json:"act" doc:"The act's word" example:"weigh"`
	Body      Object    `json:"body" doc:"The act"`
	Prev      string    `json:"prev" doc:"Hash of the entry before, hexadecimal"`
	Hash      string    `json:"hash" doc:"SHA-256 of the entry, hexadecimal"`
	Effective time.Time `json:"effective_at,omitzero" doc:"Where it stands in the order of time: as done, or as a correction says"`
	Part      string    `json:"part,omitempty" doc:"What it has to do with the thing that was asked for: changes, looks or uses"`
	Standing  *Standing `json:"standing,omitempty" doc:"Only when it is not simply applied"`
}

// Standing says that an entry is not simply applied, and why.
type Standing struct {
	State   string   `json:"state" enum:"conflict,struck" doc:"conflict: kept but not applied, a person must resolve it; struck: a correction stands in its place"`
	BySeq   int64    `json:"by_seq,omitempty" doc:"The entry that struck it, or that it conflicts with"`
	Refusal *Refusal `json:"refusal,omitempty" doc:"Why it could not be applied"`
}

// Refusal says why an entry could not be applied.
type Refusal struct {
	Code  string `json:"code"`
	What  string `json:"what"`
	Where string `json:"where,omitempty"`
	Next  string `json:"next,omitempty"`
}

// Receipt is the answer to one entry.
type Receipt struct {
	Result   string           `json:"result" enum:"applied,repeated,conflict,refused" doc:"applied; repeated: it was there already; conflict: kept, but a person must resolve it; refused: not kept"`
	Entry    *Entry           `json:"entry,omitempty" doc:"As it stands in the journal; not when refused"`
	Repeated bool             `json:"repeated,omitempty" doc:"The same id was handed in before"`
	Problem  *problem.Problem `json:"problem,omitempty" doc:"Why it was refused"`
}

// Thing is what the book knows about a thing.
type Thing struct {
	Thing   string    `json:"thing" doc:"kind:number" example:"piece:QH-0101"`
	Kind    string    `json:"kind" example:"piece"`
	Number  string    `json:"number" example:"QH-0101"`
	Station string    `json:"station" doc:"Where it stands" example:"surfacing"`
	Since   time.Time `json:"since" doc:"Since when it stands there"`
	Parent  string    `json:"parent,omitempty" doc:"What it came from" example:"slab:QH-S31"`
	Seq     int64     `json:"seq" doc:"The last entry that changed it"`
	At      time.Time `json:"at" doc:"That entry's time"`
	State   Object    `json:"state" doc:"What follows from its entries; fields with units"`
}

// Listed is one page of a list.
type Listed[T any] struct {
	Items []T    `json:"items" nullable:"false"`
	Next  string `json:"next,omitempty" doc:"Cursor of the next page; not there on the last one"`
}

func listed[A, B any](page book.Page[A], show func(A) B) *listedAnswer[B] {
	out := &listedAnswer[B]{Body: Listed[B]{Items: make([]B, 0, len(page.Items)), Next: page.Next}}
	for _, item := range page.Items {
		out.Body.Items = append(out.Body.Items, show(item))
	}
	return out
}

// listedAnswer is the answer with one page.
type listedAnswer[T any] struct{ Body Listed[T] }

// answer is an answer with a body and nothing else.
type answer[T any] struct{ Body T }

// Paging is how a list is asked for. A cursor names the last line seen, so that what comes in between moves nothing.
type Paging struct {
	Cursor string `query:"cursor" maxLength:"512" doc:"next of the page before; leave it out for the first page"`
	Limit  int    `query:"limit" minimum:"1" maximum:"500" default:"50" doc:"Lines at most"`
}

func shownEntry(e book.Entry) *Entry {
	return &Entry{Seq: e.Seq, ID: e.ID, Site: e.Site, At: e.At, Person: e.Person, Station: string(e.Station), Act: e.Act,
		Body: Object(e.Body), Prev: e.Prev.String(), Hash: e.Hash.String()}
}

func shownPlaced(p book.Placed) Entry {
	e := shownEntry(p.Entry)
	e.Effective, e.Part = p.At, string(p.Part)
	if p.Standing.State != "" {
		e.Standing = shownStanding(p.Standing)
	}
	return *e
}

func shownStanding(s book.Standing) *Standing {
	shown := &Standing{State: s.State, BySeq: s.By}
	if s.Why == "" {
		return shown
	}
	shown.Refusal = &Refusal{}
	if json.Unmarshal([]byte(s.Why), shown.Refusal) != nil {
		shown.Refusal = &Refusal{Code: s.State, What: s.Why}
	}
	return shown
}

func shownReceipt(r book.Receipt) Receipt {
	shown := Receipt{Result: "applied", Entry: shownEntry(r.Entry), Repeated: r.Repeated}
	switch {
	case r.Conflict != nil:
		shown.Result, shown.Entry.Standing = "conflict", shownStanding(*r.Conflict)
	case r.Repeated:
		shown.Result = "repeated"
	}
	return shown
}

func shownThing(t book.Thing) Thing {
	shown := Thing{Thing: t.Ref.String(), Kind: string(t.Kind), Number: t.ID, Station: string(t.Station), Since: t.Since, Seq: t.Seq, At: t.At, State: Object(t.State)}
	if t.Parent != (book.Ref{}) {
		shown.Parent = t.Parent.String()
	}
	return shown
}
