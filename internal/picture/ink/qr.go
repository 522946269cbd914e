package ink

import (
	"github.com/boombuler/barcode/qr"

	"slatewright/internal/picture/contour"
	"slatewright/trouble"
)

// quiet is the margin of a QR code in modules (ISO/IEC 18004:2015, 6.3.8).
const quiet = 4

// QR draws a code w mm wide, its quiet zone included, with a quarter of it allowed to be lost (error correction level Q).
// Modules are drawn as rectangles, one for each run of a row, so that the code stays crisp in print.
func QR(s Sheet, text string, x, y, w float64, dark, light Colour) error {
	code, err := qr.Encode(text, qr.Q, qr.Auto)
	if err != nil {
		return trouble.Own("qr", "", "the text does not fit a QR code: "+err.Error(), "shorten the number or address in it").Because(err)
	}
	n := code.Bounds().Dx()
	module := w / float64(n+2*quiet)
	s.Fill([]contour.Line{Rect(x, y, w, w)}, light)
	isDark := func(i, j int) bool {
		r, _, _, _ := code.At(i, j).RGBA()
		return r < 0x8000
	}
	var runs []contour.Line
	for j := range n {
		for i := 0; i < n; i++ {
			from := i
			for i < n && isDark(i, j) {
				i++
			}
			if i > from {
				runs = append(runs, Rect(x+module*float64(from+quiet), y+module*float64(j+quiet), module*float64(i-from), module))
			}
		}
	}
	s.Fill(runs, dark)
	return nil
}
