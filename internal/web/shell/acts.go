package shell

import (
	"net/url"
	"slices"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/book/blank"
)

// aboutKinds says which kind of thing a field of an act names.
var aboutKinds = map[string]book.Kind{"piece": book.KindPiece, "set": book.KindSet, "slab": book.KindSlab, "block": book.KindBlock, "shipment": book.KindShipment,
	"certificate": book.KindCertificate, "person": book.KindPerson, "order": book.KindOrder, "layer": book.KindLayer}

// KindOf is the kind of thing that a field of an act names, "" when it names none.
func KindOf(field string) book.Kind { return aboutKinds[field] }

// ActPath is the address at which an act is done to a thing, with what is known filled in. also are things that belong to it, such
// as the pieces of a set. Measuring, laying up, judging and certifying have pages of their own.
func ActPath(act string, thing book.Ref, also []book.Ref) string {
	switch {
	case act == "judge" || act == "certify" || act == "lay-up" && thing.Kind == book.KindSet:
		return Link(thing) + "/" + act
	case act == "read" && thing.Kind == book.KindPiece:
		return "/bench/" + url.PathEscape(thing.ID)
	case act == "read" && piecesOf(thing, also) != "": // of several: the bench lists them
		return "/bench"
	}
	at := slices.IndexFunc(book.Acts(), func(a book.Act) bool { return a.Word() == act })
	if at < 0 {
		return Link(thing)
	}
	known := url.Values{}
	for _, f := range blank.Fields(book.Acts()[at]) {
		switch {
		case f.Name == "thing" && slices.Contains(f.Kinds, string(thing.Kind)):
			known.Set(f.Name, thing.String())
		case aboutKinds[f.Name] == thing.Kind && thing.Kind != "":
			known.Set(f.Name, thing.ID)
		case f.Name == "pieces":
			known.Set(f.Name, piecesOf(thing, also))
		case f.Name == "sets" && thing.Kind == book.KindSet:
			known.Set(f.Name, thing.ID)
		}
	}
	if n := len(Chosen(known.Get("pieces"))); n == 0 || n > piecesOfABed { // more than a set has: which is to be chosen there
		known.Del("pieces")
	}
	if act == "lay-up" {
		return "/lay-up?" + known.Encode()
	}
	return "/do/" + act + "?" + known.Encode()
}

// piecesOf lists the numbers of the pieces among some things.
func piecesOf(thing book.Ref, also []book.Ref) string {
	var ids []string
	for _, r := range append([]book.Ref{thing}, also...) {
		if r.Kind == book.KindPiece && !slices.Contains(ids, r.ID) {
			ids = append(ids, r.ID)
		}
	}
	return strings.Join(ids, ", ")
}
