package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/trouble"
)

// mostEntries is how many entries a batch may hold: a tablet's long day at the quarry is some 300.
const mostEntries = 500

// largestBatch is what a full batch may hold.
const largestBatch = 1 << 20

// entriesInput is a batch. Its entries are decoded one by one, so that one that is wrong does not stop the others.
type entriesInput struct{ Body json.RawMessage }

type entriesAnswer struct {
	Body struct {
		Receipts []Receipt `json:"receipts" nullable:"false" doc:"One for each entry, in the same order"`
	}
}

func (d *desk) addEntries() {
	r := Route{Method: http.MethodPost, Path: "/entries", ID: "hand-in-entries", Tag: "entries", Summary: "Hand in delayed entries",
		Text: "For what already happened and could not be sent at once. Each entry is answered on its own, in order. One that can no longer follow what the book " +
			"knows is kept as a conflict, which a person resolves with a correction; only what cannot be an entry at all is refused. Anything but refused is safe in the book.",
		Least: book.Hand, Fails: []string{"too-many-entries"}, Example: exampleBatch(), Answer: exampleReceipts(),
		request: d.batchSchema(), loosely: true, body: largestBatch}
	add(d, r, d.handInAll)
	add(d, Route{Method: http.MethodGet, Path: "/entries", ID: "read-journal", Tag: "entries", Summary: "Read the journal in its order",
		Text: "Entries after a place in the journal. With wait_s the answer waits for new ones when there are none yet: that is how to follow the mill. " +
			"An entry that does not verify is named under broken and not shown, and the journal goes on behind it.",
		Least: book.Visitor, Answer: exampleEntries()}, d.entries)
	add(d, Route{Method: http.MethodGet, Path: "/entries/{id}", ID: "read-entry", Tag: "entries", Summary: "Read one entry",
		Text:  "With its standing, when it is in conflict or struck.",
		Least: book.Visitor, Fails: []string{"no-such-entry", "broken-entry"}, Answer: exampleEntry()}, d.entry)
	add(d, Route{Method: http.MethodGet, Path: "/conflicts", ID: "list-conflicts", Tag: "entries", Summary: "List entries in conflict",
		Text:  "Entries that are kept but not applied. Resolve one with the act correct: strike it or the entry it conflicts with, or give either another body or time.",
		Least: book.Visitor,
		Fails: []string{"bad-cursor", "broken-entry"}, Answer: exampleConflicts()}, d.conflicts)
}

func (d *desk) batchSchema() *huma.Schema {
	item := envelopeSchema(&huma.Schema{Type: huma.TypeObject, AdditionalProperties: true, Description: "The act, as in its own route"}, never)
	var words []any
	for _, act := range book.Acts() {
		words = append(words, act.Word())
	}
	item.Properties["act"] = &huma.Schema{Type: huma.TypeString, Description: "The act's word", Enum: words}
	item.Properties["person"] = &huma.Schema{Type: huma.TypeString, MaxLength: new(40), Description: "Who did it; when given, it must be who is signed in: on a shared tablet each sends their own"}
	item.Required = []string{"id", "at", "station", "act", "body"}
	item.PrecomputeMessages()
	d.api.OpenAPI().Components.Schemas.Map()["DelayedEntry"] = item
	batch := &huma.Schema{Type: huma.TypeObject, AdditionalProperties: false, Required: []string{"entries"}, Properties: map[string]*huma.Schema{
		"entries": {Type: huma.TypeArray, MinItems: new(1), MaxItems: new(mostEntries), Items: &huma.Schema{Ref: "#/components/schemas/DelayedEntry"}},
	}}
	batch.PrecomputeMessages()
	return batch
}

// batch is the entries of a body, each as it came. It stops reading where there are too many.
type batch []json.RawMessage

// UnmarshalJSON reads a list.
func (b *batch) UnmarshalJSON(text []byte) error {
	d := json.NewDecoder(bytes.NewReader(text))
	if open, err := d.Token(); err != nil || open != json.Delim('[') {
		return trouble.Data("not-valid", "body.entries", "entries is no list", "send a list of entries")
	}
	for d.More() {
		if len(*b) == mostEntries {
			return trouble.Data("too-many-entries", "body.entries", "these are too many entries at once", fmt.Sprintf("send at most %d, the oldest first", mostEntries))
		}
		var entry json.RawMessage
		if err := d.Decode(&entry); err != nil {
			return err
		}
		*b = append(*b, entry)
	}
	return nil
}

func (d *desk) handInAll(ctx context.Context, in *entriesInput) (*entriesAnswer, error) {
	var body struct {
		Entries batch `json:"entries"`
	}
	if err := read(in.Body, &body); err != nil {
		if _, ours := errors.AsType[*trouble.Trouble](err); !ours {
			err = trouble.Data("not-valid", "body", err.Error(), "send an object with entries")
		}
		return nil, err
	}
	if len(body.Entries) == 0 {
		return nil, trouble.Data("not-valid", "body.entries", "there are no entries", "send at least one")
	}
	out := &entriesAnswer{}
	for _, raw := range body.Entries {
		receipt, err := d.handInLate(ctx, raw)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			p := d.fail(Route{Method: http.MethodPost, Path: "/entries"}, err).(*problem.Problem)
			out.Body.Receipts = append(out.Body.Receipts, Receipt{Result: "refused", Problem: p})
			continue
		}
		out.Body.Receipts = append(out.Body.Receipts, shownReceipt(receipt))
	}
	return out, nil
}

func (d *desk) handInLate(ctx context.Context, raw json.RawMessage) (book.Receipt, error) {
	if len(raw) > largestBody {
		return book.Receipt{}, problem.TooLarge(largestBody)
	}
	if err := d.valid(&huma.Schema{Ref: "#/components/schemas/DelayedEntry"}, raw, ""); err != nil {
		return book.Receipt{}, err
	}
	e, err := openEnvelope(raw, "")
	if err != nil {
		return book.Receipt{}, err
	}
	caller := d.caller(ctx)
	if e.Person != "" && e.Person != caller.Person {
		return book.Receipt{}, trouble.Data("other-person", "person", fmt.Sprintf("this was done by %s, and %s is signed in", e.Person, caller.Person), "let "+e.Person+" sign in and send it with the same id")
	}
	var receipt book.Receipt
	if err = d.valid(d.bodies[e.Act], e.Body, "body"); err == nil {
		receipt, err = d.handIn(ctx, e, caller, true)
	}
	if err == nil {
		return receipt, nil
	}
	if least, unread := d.leastHere(ctx, e.Act); unread == nil && !caller.Role.Covers(least) {
		err = may(caller.Role, least) // before anything else that may be wrong with it
	}
	return receipt, err
}

// valid holds a value to a schema of the document. at is where it stands.
func (d *desk) valid(schema *huma.Schema, raw json.RawMessage, at string) error {
	var value any
	if err := read(raw, &value); err != nil {
		return trouble.Data("bad-json", at, err.Error(), "send JSON")
	}
	path, result := huma.NewPathBuffer(nil, 0), &huma.ValidateResult{}
	path.Push(at)
	huma.Validate(d.api.OpenAPI().Components.Schemas, schema, path, huma.ModeWriteToServer, value, result)
	if len(result.Errors) == 0 {
		return nil
	}
	details := make([]*huma.ErrorDetail, 0, len(result.Errors))
	for _, err := range result.Errors {
		if e := (*huma.ErrorDetail)(nil); errors.As(err, &e) {
			details = append(details, e)
		}
	}
	return ofSchema(http.StatusUnprocessableEntity, "not valid", details)
}

func (d *desk) entry(ctx context.Context, in *struct {
	ID string `path:"id" maxLength:"26" doc:"Id of the entry" example:"01KB3C5V8Q3Z6J1W2Y4X7T9R0N"`
}) (*answer[Entry], error) {
	p, err := d.Ledger.Entry(ctx, in.ID)
	if err != nil {
		return nil, err
	}
	return &answer[Entry]{shownPlaced(p)}, nil
}

func (d *desk) conflicts(ctx context.Context, in *struct{ Paging }) (*listedAnswer[Entry], error) {
	page, err := d.Ledger.Conflicts(ctx, in.Cursor, in.Limit)
	if err != nil {
		return nil, err
	}
	return listed(page, shownPlaced), nil
}
