package house

import (
	"encoding/json"

	"slatewright/internal/book"
)

// kindOfKey says of which kind the numbers are that stand under a key of an act's body.
var kindOfKey = map[string]book.Kind{"piece": book.KindPiece, "pieces": book.KindPiece, "slab": book.KindSlab, "slabs": book.KindSlab, "block": book.KindBlock,
	"layer": book.KindLayer, "set": book.KindSet, "sets": book.KindSet, "shipment": book.KindShipment, "order": book.KindOrder}

// named lists the things that an act's body names and may change: stone, sets, what is taken in or calibrated. Tools and gauges that it was done
// with are left out, since their states stay as they are.
func named(body []byte) (list []book.Ref) {
	var fields map[string]json.RawMessage
	if json.Unmarshal(body, &fields) != nil {
		return nil
	}
	for _, key := range []string{"thing", "set", "sets", "piece", "pieces", "slab", "slabs", "block", "layer", "shipment", "order"} {
		value, there := fields[key]
		if !there {
			continue
		}
		if key == "thing" {
			var r book.Ref
			if json.Unmarshal(value, &r) == nil && r != (book.Ref{}) {
				list = append(list, r)
			}
			continue
		}
		for _, id := range numbers(value) {
			list = append(list, book.Ref{Kind: kindOfKey[key], ID: id})
		}
	}
	return list
}

// numbers reads a number, a list of numbers, or a list of new stones.
func numbers(value json.RawMessage) []string {
	var one string
	if json.Unmarshal(value, &one) == nil {
		return []string{one}
	}
	var many []string
	if json.Unmarshal(value, &many) == nil {
		return many
	}
	var stones []struct{ ID string }
	if json.Unmarshal(value, &stones) != nil {
		return nil
	}
	for _, s := range stones {
		many = append(many, s.ID)
	}
	return many
}

// TouchedBy lists what an entry may have changed: what it names, and of a correction what the entry names that it puts in the place of another.
func TouchedBy(e book.Entry) []book.Ref {
	list := named(e.Body)
	if e.Act == "correct" {
		var c book.Correct
		if json.Unmarshal(e.Body, &c) == nil {
			list = append(list, named(c.Body)...)
		}
	}
	if e.Act == "settle" || e.Act == "appoint" {
		list = append(list, book.Ref{Kind: book.KindMill, ID: e.Site})
	}
	return list
}
