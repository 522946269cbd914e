package look

import (
	"math"
	"strconv"
	"strings"
)

// NoFigure stands where there is no figure; PerThou is mm in 0.001 in, exactly.
const (
	minus    = "\u2212"
	NoFigure = "\u2013"
	PerThou  = 0.0254
)

// Thou converts mm to thousandths of an inch.
func Thou(mm float64) float64 { return mm / PerThou }

// Fixed prints with so many decimals, correctly rounded, with a real minus sign and no negative zero.
func Fixed(x float64, decimals int) string {
	switch {
	case math.IsNaN(x):
		return NoFigure
	case math.IsInf(x, 1):
		return "∞"
	case math.IsInf(x, -1):
		return minus + "∞"
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		if strings.Trim(rest, "0.") == "" {
			return rest
		}
		return minus + rest
	}
	return text
}

// Signed prints with a sign unless the figure is zero as printed.
func Signed(x float64, decimals int) string {
	text := Fixed(x, decimals)
	if x > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// InMM and InThou print a length as the papers do: a thousandth of a mm, a tenth of a thousandth of an inch.
func InMM(mm float64) string   { return Fixed(mm, 3) }
func InThou(mm float64) string { return Fixed(Thou(mm), 1) }

// Both prints a length in both units.
func Both(mm float64) string {
	return InMM(mm) + " mm (" + InThou(mm) + " thou)"
}
