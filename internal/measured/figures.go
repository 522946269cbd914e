package measured

import (
	"math"
	"strconv"
)

// Micrometre is a length in mm that JSON has in µm, to 0.1 µm.
type Micrometre float64

// MarshalJSON writes the length.
func (m Micrometre) MarshalJSON() ([]byte, error) { return figure(nil, float64(m)), nil }

// Micrometres are lengths in mm that JSON has in µm, to 0.1 µm; not a number, in JSON null, stands for what was not read.
type Micrometres []float64

// MarshalJSON writes the lengths.
func (m Micrometres) MarshalJSON() ([]byte, error) {
	text := append(make([]byte, 0, 7*len(m)+2), '[')
	for i, v := range m {
		if i > 0 {
			text = append(text, ',')
		}
		text = figure(text, v)
	}
	return append(text, ']'), nil
}

// figure appends a length.
func figure(text []byte, mm float64) []byte {
	if math.IsNaN(mm) {
		return append(text, "null"...)
	}
	return strconv.AppendFloat(text, math.Round(mm*1e4)/10+0, 'f', -1, 64) // + 0: no −0
}
