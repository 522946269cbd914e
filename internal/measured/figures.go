package measured

import (
	"math"
	"strconv"
)

// Heights are lengths in mm; not a number, in JSON null, stands for what was not read. JSON has them to 0.1 µm.
type Heights []float64

// MarshalJSON writes the heights.
func (h Heights) MarshalJSON() ([]byte, error) { return figures(h, 1, 4), nil }

// Micrometres are lengths in mm that JSON has as whole µm, null for what was not read.
type Micrometres []float64

// MarshalJSON writes the lengths.
func (m Micrometres) MarshalJSON() ([]byte, error) { return figures(m, 1000, 0), nil }

// Track is places one after the other, x, y, x, y, …, in mm; JSON has them to 0.1 mm.
type Track []float64

// MarshalJSON writes the places.
func (t Track) MarshalJSON() ([]byte, error) { return figures(t, 1, 1), nil }

// figures writes a list of numbers with at most so many decimals.
func figures(list []float64, times float64, decimals int) []byte {
	power := math.Pow(10, float64(decimals))
	text := append(make([]byte, 0, 6*len(list)+2), '[')
	for i, v := range list {
		if i > 0 {
			text = append(text, ',')
		}
		if math.IsNaN(v) {
			text = append(text, "null"...)
			continue
		}
		v = math.Round(v*times*power)/power + 0 // no −0
		text = strconv.AppendFloat(text, v, 'f', -1, 64)
	}
	return append(text, ']')
}
