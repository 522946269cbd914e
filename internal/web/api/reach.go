package api

import (
	"context"
	"net/http"

	"slatewright/internal/book"
)

func (d *desk) addReach() {
	fails := []string{"no-such-thing", "broken-thing", "not-one-of", "bad-id", "bad-cursor"}
	add(d, Route{Method: http.MethodGet, Path: "/things/{kind}/{number}/origins", ID: "trace", Tag: "things", Summary: "Trace where a thing came from",
		Text:  "Everything that reached a set, a piece, a certificate or a shipment: layer, block, slab, and every instrument, bench, disc, bit set, room, batch and order.",
		Least: book.Visitor,
		Fails: fails, Answer: Origins{"set:QH-12", []string{"layer:L-2", "block:B-7", "instrument:DIAL-2"}}}, d.origins)
	add(d, Route{Method: http.MethodGet, Path: "/things/{kind}/{number}/affected", ID: "affected", Tag: "things", Summary: "List what a thing reached",
		Text: "From a layer, an instrument, a disc, a batch forward to every set it reached, shipped ones first: what else is affected?", Least: book.Visitor,
		Fails: fails, Answer: Listed[Reached]{Items: []Reached{{"set:QH-12", "shipped"}, {"set:QH-15", "in-house"}}}}, d.affected)
	add(d, Route{Method: http.MethodGet, Path: "/things/{kind}/{number}/affected/count", ID: "affected-count", Tag: "things", Summary: "Count what a thing reached",
		Text:  "How much of it is shipped, in the house, or gone.",
		Least: book.Visitor, Fails: fails, Answer: book.Count{Shipped: 3, Sets: 2, Pieces: 7, Gone: 1}}, d.affectedCount)
}

// Origins is everything that reached a thing.
type Origins struct {
	Thing   string   `json:"thing" doc:"What was asked for" example:"set:QH-12"`
	Origins []string `json:"origins" nullable:"false" doc:"As kind:number"`
}

func (d *desk) origins(ctx context.Context, in *Named) (*answer[Origins], error) {
	ref, err := in.ref()
	if err != nil {
		return nil, err
	}
	found, err := d.Ledger.Origins(ctx, ref)
	if err != nil {
		return nil, err
	}
	out := Origins{ref.String(), make([]string, 0, len(found))}
	for _, origin := range found {
		out.Origins = append(out.Origins, origin.String())
	}
	return &answer[Origins]{out}, nil
}

// Reached is something that a thing reached.
type Reached struct {
	Target  string `json:"target" doc:"A set, or a piece that is in no set" example:"set:QH-12"`
	Whither string `json:"whither" enum:"shipped,in-house,piece,gone" doc:"shipped; a set in the house; a piece without a set; on the heap or parted"`
}

// whither tells the ranks of the book in words.
var whither = [...]string{"shipped", "in-house", "piece", "gone"}

func (d *desk) affected(ctx context.Context, in *historyQuestion) (*listedAnswer[Reached], error) {
	ref, err := in.ref()
	if err != nil {
		return nil, err
	}
	page, err := d.Ledger.Affected(ctx, ref, in.Cursor, in.Limit)
	if err != nil {
		return nil, err
	}
	return listed(page, func(r book.Reach) Reached { return Reached{r.Target.String(), whither[r.Rank]} }), nil
}

func (d *desk) affectedCount(ctx context.Context, in *Named) (*answer[book.Count], error) {
	ref, err := in.ref()
	if err != nil {
		return nil, err
	}
	count, err := d.Ledger.AffectedCount(ctx, ref)
	return &answer[book.Count]{count}, err
}
