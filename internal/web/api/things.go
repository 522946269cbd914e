package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"

	"slatewright/internal/book"
)

func (d *desk) addThings() {
	add(d, Route{Method: http.MethodGet, Path: "/things", ID: "list-things", Tag: "things", Summary: "List things",
		Text: "All things, or those of a kind, at a station, from a parent, or with a number. In the order of kind and number.", Least: book.Visitor,
		Fails: []string{"bad-cursor", "bad-ref", "not-one-of", "bad-id"}, Answer: Listed[Thing]{Items: []Thing{exampleThing()}, Next: "cGllY2U6UUgtMDEwMQ"}}, d.things)
	add(d, Route{Method: http.MethodGet, Path: "/things/{kind}/{number}", ID: "read-thing", Tag: "things", Summary: "Read one thing",
		Text: "Its station and its state. The ETag changes whenever either does: send it as If-None-Match to hear 304 when nothing changed.", Least: book.Visitor,
		Fails: []string{"no-such-thing", "broken-thing", "not-one-of", "bad-id"}, Answer: exampleThing(), also: http.StatusNotModified}, d.thing)
	add(d, Route{Method: http.MethodGet, Path: "/things/{kind}/{number}/history", ID: "read-history", Tag: "things", Summary: "Read what was done to a thing",
		Text: "Every entry that touches it, in the order of time, also those in conflict or struck.", Least: book.Visitor,
		Fails: []string{"no-such-thing", "not-one-of", "bad-id", "bad-cursor", "broken-entry", "broken-thing"}, Answer: exampleHistory()}, d.history)
	add(d, Route{Method: http.MethodGet, Path: "/stations", ID: "count-stations", Tag: "things", Summary: "Count what stands where",
		Text:  "How many things of each kind stand at each station.",
		Least: book.Visitor, Answer: Counts{map[string]map[string]int{"surfacing": {"piece": 12}}}}, d.stations)
}

// Named names a thing in a path. A number with a slash is written with %2F.
type Named struct {
	Kind   string `path:"kind" maxLength:"20" doc:"Kind of thing" example:"piece"`
	Number string `path:"number" maxLength:"40" doc:"Its number or mark" example:"QH-0101"`
}

func (n Named) ref() (book.Ref, error) { return book.ParseRef(n.Kind + ":" + n.Number) }

type thingsQuestion struct {
	Kind    kindWord    `query:"kind" doc:"Only this kind" example:"piece"`
	Station stationWord `query:"station" doc:"Only at this station" example:"surfacing"`
	Parent  string      `query:"parent" maxLength:"64" doc:"Only what came from this, as kind:number" example:"slab:QH-S31"`
	Number  string      `query:"number" maxLength:"40" doc:"Only with exactly this number, of any kind" example:"QH-0101"`
	Paging
}

func (d *desk) things(ctx context.Context, in *thingsQuestion) (*listedAnswer[Thing], error) {
	filter := book.Filter{Kind: book.Kind(in.Kind), Station: book.Station(in.Station), ID: in.Number}
	if err := filter.Parent.UnmarshalText([]byte(in.Parent)); err != nil {
		return nil, err
	}
	page, err := d.Ledger.Things(ctx, filter, in.Cursor, in.Limit)
	if err != nil {
		return nil, err
	}
	return listed(page, shownThing), nil
}

type thingQuestion struct {
	Named
	Have string `header:"If-None-Match" maxLength:"200" doc:"ETag of what you have"`
}

type thingAnswer struct {
	Status int
	ETag   string `header:"ETag"`
	Cache  string `header:"Cache-Control" hidden:"true"`
	Body   Thing
}

func (d *desk) thing(ctx context.Context, in *thingQuestion) (*thingAnswer, error) {
	ref, err := in.ref()
	if err != nil {
		return nil, err
	}
	t, err := d.Ledger.Thing(ctx, ref)
	if err != nil {
		return nil, err
	}
	out := &thingAnswer{Status: http.StatusOK, ETag: tagOf(t), Cache: "private, no-cache", Body: shownThing(t)}
	if in.Have == out.ETag {
		out.Status = http.StatusNotModified
	}
	return out, nil
}

// tagOf is the ETag of a thing. The last entry alone will not do: a delayed one may change the state and not be the last in time.
func tagOf(t book.Thing) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %d %s", t.Station, t.Seq, t.State))
	return `"` + hex.EncodeToString(sum[:8]) + `"`
}

type historyQuestion struct {
	Named
	Paging
}

func (d *desk) history(ctx context.Context, in *historyQuestion) (*listedAnswer[Entry], error) {
	ref, err := in.ref()
	if err != nil {
		return nil, err
	}
	page, err := d.Ledger.History(ctx, ref, in.Cursor, in.Limit)
	if err != nil {
		return nil, err
	}
	return listed(page, shownPlaced), nil
}

// Counts says how many things of each kind stand where.
type Counts struct {
	Stations map[string]map[string]int `json:"stations" doc:"By station, then by kind"`
}

func (d *desk) stations(ctx context.Context, _ *struct{}) (*answer[Counts], error) {
	counted, err := d.Ledger.Stations(ctx)
	if err != nil {
		return nil, err
	}
	out := Counts{map[string]map[string]int{}}
	for station, kinds := range counted {
		out.Stations[string(station)] = map[string]int{}
		for kind, n := range kinds {
			out.Stations[string(station)][string(kind)] = n
		}
	}
	return &answer[Counts]{out}, nil
}
