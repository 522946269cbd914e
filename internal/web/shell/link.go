package shell

import (
	"net/url"

	"slatewright/internal/book"
)

// pagesOf are the kinds whose things have a page of their own kind; the others share /thing/KIND/NUMBER.
var pagesOf = map[book.Kind]string{book.KindPiece: "/piece/", book.KindSet: "/set/", book.KindCertificate: "/certificate/",
	book.KindInstrument: "/instrument/", book.KindBench: "/instrument/", book.KindOrder: "/order/"}

// Link is the address of a thing's page.
func Link(r book.Ref) string {
	if r.Kind == book.KindMill {
		return "/mill"
	}
	if at, ok := pagesOf[r.Kind]; ok {
		return at + url.PathEscape(r.ID)
	}
	return "/thing/" + string(r.Kind) + "/" + url.PathEscape(r.ID)
}
