package marks

import (
	"regexp"
	"strconv"
)

// Sheet is what is printed of a set: labels for its marks, one for the stone and one for the lining of each.
type Sheet struct {
	Set      string
	Pieces   [3]string  // from head to foot
	MassKg   [3]float64 // of the pieces; 0: not known
	Day      string     // YYYY-MM-DD; may be empty
	Invented bool
	// Width and Height of one label for a label printer, mm; 0: a sheet to cut.
	Width, Height float64
}

// Sizes are common sizes of labels for label printers, width and height in mm. Common practice, no source.
func Sizes() [][2]float64 { return [][2]float64{{62, 29}, {57, 32}, {50, 25}, {100, 50}} }

var sized = regexp.MustCompile(`^\s*([0-9]{1,3}(?:\.[0-9])?)\s*[xX×]\s*([0-9]{1,3}(?:\.[0-9])?)\s*$`)

// ReadSize reads the size of a label as it is typed, "62x29", in mm; false for what is none, or cannot carry a mark.
func ReadSize(typed string) (width, height float64, ok bool) {
	m := sized.FindStringSubmatch(typed)
	if m == nil {
		return 0, 0, false
	}
	width, _ = strconv.ParseFloat(m[1], 64) // figures, by the pattern
	height, _ = strconv.ParseFloat(m[2], 64)
	return width, height, Fits(width, height)
}

// Fits tells whether a label of so many mm can carry a mark: between 45 by 16, on which its code can still be read, and 210 by 150.
func Fits(width, height float64) bool {
	return width >= 45 && width <= 210 && height >= 16 && height <= 150 && width >= 1.4*height
}
