package api

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"reflect"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/trouble"
)

// ahead is how far the sender's clock may be before ours.
const ahead = 5 * time.Minute

// oldest is the earliest time that an act can have: before any clock that could send one.
var oldest = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

type actInput struct{ Body json.RawMessage }

type actAnswer struct {
	Status int
	Body   Receipt
}

// addActs makes one route for each act that the book knows.
func (d *desk) addActs() {
	common := book.DefaultRoute()
	d.bodies = map[string]*huma.Schema{}
	for _, act := range book.Acts() {
		word := act.Word()
		body := d.schemaOf(reflect.TypeOf(act))
		d.bodies[word] = body
		r := Route{
			Method: http.MethodPost, Path: "/acts/" + word, ID: "act-" + word, Tag: "acts", Summary: "Hand in the act: " + strings.ReplaceAll(word, "-", " "),
			Text:  "The answer says how it stands in the journal: 201 for a new entry, 200 when the same id was handed in before. A mill may set another least role in its route.",
			Least: leastIn(common, word), Fails: actFails, status: http.StatusCreated, also: http.StatusOK,
			Example: exampleOf(act), Answer: exampleReceipt(act), request: envelopeSchema(body, passphrases[word]), act: word,
		}
		add(d, r, func(ctx context.Context, in *actInput) (*actAnswer, error) { return d.act(ctx, word, in.Body) })
	}
}

// certify is the act that asks for the passphrase again, and so does its correction.
var certify, correct = (&book.Certify{}).Word(), (&book.Correct{}).Word()

// asking says how an act asks for the passphrase again: not at all, when it comes to a certificate, or always.
type asking int

const (
	never asking = iota
	sometimes
	always
)

var passphrases = map[string]asking{certify: always, correct: sometimes}

// actFails are problems that any act can meet.
var actFails = append(problem.OfActs(), "bad-entry-id", "clock-behind", "name-taken", "wrong-passphrase", "too-many")

// leastIn is the least role of an act in a route; one that stands in no route is for the lead.
func leastIn(r book.Route, word string) book.Role {
	for _, step := range r.Steps {
		if step.Act == word {
			return step.May
		}
	}
	return book.Lead
}

// leastHere is the least role of an act in this mill's route. It is asked before the act is looked at, so that who may not do it hears that
// and nothing else, and no passphrase is tried; the book asks again, with the act itself.
func (d *desk) leastHere(ctx context.Context, word string) (book.Role, error) {
	_, m, err := d.settled(ctx)
	if isUnknown(err) {
		return leastIn(book.DefaultRoute(), word), nil // the book will say that it knows no mill yet
	}
	if err != nil {
		return "", err
	}
	return leastIn(m.Route, word), nil
}

// envelopeSchema describes an act with what stands around it.
func envelopeSchema(body *huma.Schema, passphrase asking) *huma.Schema {
	s := &huma.Schema{Type: huma.TypeObject, AdditionalProperties: false, Required: []string{"station", "body"}, Properties: map[string]*huma.Schema{
		"id":      {Type: huma.TypeString, Description: "ULID made by the sender, so that sending again is harmless; without it one is made and returned", MaxLength: new(26)},
		"at":      {Type: huma.TypeString, Format: "date-time", Description: "When it was done; now without it"},
		"station": {Type: huma.TypeString, Description: "Where it was done", Enum: stationWords()},
		"body":    body,
	}}
	if passphrase != never {
		s.Properties["passphrase"] = &huma.Schema{Type: huma.TypeString, Format: "password", MinLength: new(1), MaxLength: new(1024), Description: "The passphrase of who is signed in, again; it is neither kept nor logged"}
	}
	switch passphrase {
	case always:
		s.Required = append(s.Required, "passphrase")
	case sometimes:
		s.Properties["passphrase"].Description += ". Needed when the correction strikes out the act certify, or puts one in its place"
	}
	s.PrecomputeMessages()
	return s
}

func stationWords() (words []any) {
	for _, s := range book.Stations() {
		words = append(words, string(s))
	}
	return words
}

// act hands one act in for the sender.
func (d *desk) act(ctx context.Context, word string, body []byte) (*actAnswer, error) {
	e, err := openEnvelope(body, "body.")
	if err != nil {
		return nil, err
	}
	e.Act = word
	caller := d.caller(ctx)
	if passphrases[word] == always || passphrases[word] == sometimes && e.Passphrase != "" {
		q := asked(ctx)
		if err := d.Gate.Reaffirm(ctx, q.sender.Identity, e.Passphrase, from(q)); err != nil {
			return nil, err
		}
		caller.Reaffirmed = true
	}
	receipt, err := d.handIn(ctx, e, caller, false)
	if err != nil {
		return nil, err
	}
	out := &actAnswer{Status: http.StatusCreated, Body: shownReceipt(receipt)}
	if receipt.Repeated {
		out.Status = http.StatusOK
	}
	return out, nil
}

// caller is the sender as the book wants to know them.
func (d *desk) caller(ctx context.Context) book.Caller {
	s := asked(ctx).sender
	return book.Caller{Person: s.Person, Role: s.Role, Machine: s.Machine}
}

// handIn makes an entry of an envelope and appends it.
func (d *desk) handIn(ctx context.Context, e envelope, caller book.Caller, late bool) (book.Receipt, error) {
	id, err := d.id(e.ID)
	if err != nil {
		return book.Receipt{}, err
	}
	if e.At == nil && e.ID != "" {
		if e.At, err = d.atFirst(ctx, id); err != nil {
			return book.Receipt{}, err
		}
	}
	at, err := d.time(e.At)
	if err != nil {
		return book.Receipt{}, err
	}
	if err := d.noMachine(ctx, e.Act, e.Body); err != nil {
		return book.Receipt{}, err
	}
	return d.Ledger.Append(ctx, book.Submission{Caller: caller, Late: late, Entry: book.Entry{
		ID: id, Site: d.Ledger.Site(), At: at, Person: caller.Person, Station: book.Station(e.Station), Act: e.Act, Body: e.Body,
	}})
}

// id is an entry's id in its one form; without one it is made.
func (d *desk) id(said string) (string, error) {
	if said == "" {
		return ulid.MustNew(ulid.Timestamp(d.Clock()), ulid.DefaultEntropy()).String(), nil
	}
	id, err := ulid.ParseStrict(said)
	if err != nil {
		return "", trouble.Data("bad-entry-id", "id", "this is no ULID", "make one: 26 letters and digits, the first ten tell the time")
	}
	return id.String(), nil
}

// atFirst is when an entry was done that was handed in before without a time: sent again, it must be the same entry.
func (d *desk) atFirst(ctx context.Context, id string) (*time.Time, error) {
	p, err := d.Ledger.Entry(ctx, id)
	if t := (*trouble.Trouble)(nil); errors.As(err, &t) && t.Code == "no-such-entry" {
		return nil, nil
	}
	return &p.Entry.At, err
}

// time is when an act was done: as the sender says, or now.
func (d *desk) time(said *time.Time) (time.Time, error) {
	now := d.Clock()
	switch {
	case said == nil:
		return now.UTC().Truncate(time.Millisecond), nil
	case said.After(now.Add(ahead)):
		return time.Time{}, trouble.Data("clock-ahead", "at", "this lies in the future", "set the sender's clock, then send it again with the same id")
	case said.Before(oldest):
		return time.Time{}, trouble.Data("clock-behind", "at", "this lies before the year 2000", "set the sender's clock, then send it again with the same id")
	}
	return said.UTC().Truncate(time.Millisecond), nil
}
