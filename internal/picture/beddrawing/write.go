package beddrawing

import (
	"io"

	"slatewright/internal/picture/drafting"
	"slatewright/internal/picture/ink"
)

// PDF writes sheets as the pages of one document, each in its own size.
func PDF(w io.Writer, title string, o Options, sheets []*drafting.Drawing) error {
	if len(sheets) == 0 {
		return nil
	}
	doc := ink.NewPDF(sheets[0].Width, sheets[0].Height, ink.Title{Name: title, Language: o.Reader.Language().Tag()}, nil)
	for _, d := range sheets {
		doc.PageOf(d.Width, d.Height)
		d.On(doc)
	}
	return doc.Write(w)
}
