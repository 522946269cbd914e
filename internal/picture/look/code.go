package look

import (
	"io"

	"slatewright/internal/picture/ink"
)

// CodeSVG writes a QR code of a text as a picture for a screen, dark on white by day and by night; title says what it leads to.
func CodeSVG(w io.Writer, text, title string) error {
	const size = 44.0 // mm: a tablet's camera reads it at arm's length
	s := ink.NewSVG()
	if err := ink.QR(s, text, 0, 0, size, Stone, Sheet); err != nil {
		return err
	}
	return s.Write(w, size, size, title)
}
