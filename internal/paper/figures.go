package paper

import (
	"math"
	"strconv"
	"strings"
)

const (
	minus    = "\u2212"
	noFigure = "\u2013" // stands where there is no figure
	perThou  = 0.0254   // mm in 0.001 in, exactly
)

// thou converts mm to thousandths of an inch.
func thou(mm float64) float64 { return mm / perThou }

// fixed prints with so many decimals, correctly rounded, with a real minus sign and no negative zero.
func fixed(x float64, decimals int) string {
	switch {
	case math.IsNaN(x):
		return noFigure
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

// signed prints with a sign unless the figure is zero as printed.
func signed(x float64, decimals int) string {
	text := fixed(x, decimals)
	if x > 0 && strings.Trim(text, "0.") != "" {
		return "+" + text
	}
	return text
}

// inMM and inThou print a length as the papers do: a thousandth of a mm, a tenth of a thousandth of an inch.
func inMM(mm float64) string   { return fixed(mm, 3) }
func inThou(mm float64) string { return fixed(thou(mm), 1) }

// both prints a length in both units.
func both(mm float64) string {
	return inMM(mm) + " mm (" + inThou(mm) + " thou)"
}

// decimals returns how many decimals a result needs in a unit (perMM of it make a mm): at least so many that the printed
// value lies on the same side of the printed limit as the true ones, and at most six.
func decimals(r Result, perMM float64, least int) int {
	value, limit := r.Value*perMM, r.Limit*perMM
	if math.IsNaN(value) || math.IsNaN(limit) {
		return least
	}
	for d := least; d < 6; d++ {
		a, _ := strconv.ParseFloat(strconv.FormatFloat(value, 'f', d, 64), 64)
		b, _ := strconv.ParseFloat(strconv.FormatFloat(limit, 'f', d, 64), 64)
		if value < limit && a < b || value > limit && a > b || value == limit {
			return d
		}
	}
	return 6
}

// orNone stands in for a phrase that was not given.
func orNone(s string) string {
	if strings.TrimSpace(s) == "" {
		return "not stated"
	}
	return s
}
