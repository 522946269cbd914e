package tongue

import (
	"math"
	"strconv"
	"strings"
)

// Signs of numbers. A thin space that does not break parts the thousands in every language, since point and comma mean opposite things
// in two of them; the minus sign is as wide as a digit.
const (
	thin     = "\u202f"
	unbroken = "\u00a0"
	minus    = "−"
	noFigure = "–"
)

// leastGrouped is the least number whose thousands are parted: four digits read well without, as in 1473 mm. The common rule of print.
const leastGrouped = 10000

// What units are made of, all by definition of the international yard and pound (1959).
const (
	mmPerInch  = 25.4
	mmPerThou  = mmPerInch / 1000
	kgPerPound = 0.45359237
)

// Number writes a number with so many decimals, rounded to the nearest (half to even, of the number as it is stored), with the language's
// decimal mark, thousands from 10 000 on parted by a thin space, and a real minus sign. What rounds to nothing has no sign.
func (w Words) Number(x float64, decimals int) string {
	switch {
	case math.IsNaN(x):
		return noFigure
	case math.IsInf(x, 1):
		return "∞"
	case math.IsInf(x, -1):
		return minus + "∞"
	}
	digits, negative := strings.CutPrefix(strconv.FormatFloat(x, 'f', max(decimals, 0), 64), "-")
	whole, part, _ := strings.Cut(digits, ".")
	text := whole
	if math.Abs(x) >= leastGrouped {
		text = grouped(whole)
	}
	if part != "" {
		text += w.decimalMark() + part
	}
	if negative && strings.Trim(digits, "0.") != "" {
		text = minus + text
	}
	return text
}

// Signed is Number with a sign, plus or minus, unless the number is nothing as written.
func (w Words) Signed(x float64, decimals int) string {
	text := w.Number(x, decimals)
	if x > 0 && strings.Trim(text, "0.,") != "" {
		return "+" + text
	}
	return text
}

// grouped parts the thousands.
func grouped(digits string) string {
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + thin + digits[i:]
	}
	return digits
}

// decimalMark is the comma in Portuguese, Italian and Spanish, the point in English and Chinese.
func (w Words) decimalMark() string {
	switch w.Language() {
	case Portuguese, Italian, Spanish:
		return ","
	}
	return "."
}

// Figure writes a figure that the program wrote already, with the language's decimal mark and minus sign.
func (w Words) Figure(written string) string {
	return strings.NewReplacer(".", w.decimalMark(), "-", minus).Replace(written)
}

// short writes a number with at most so many decimals and no zeros at its end.
func (w Words) short(x float64, most int) string {
	for decimals := range most {
		if scale := math.Pow10(decimals); math.Round(x*scale)/scale == math.Round(x*math.Pow10(most))/math.Pow10(most) {
			return w.Number(x, decimals)
		}
	}
	return w.Number(x, most)
}

// with writes a number and its unit.
func with(number, unit string) string { return number + unbroken + unit }

// Length writes a small length, as a step, a zone or a bow: to 0.001 mm, or to 0.1 thou (0.00254 mm), each rounded by itself from the
// stored number.
func (w Words) Length(mm float64) string { return w.length(mm, w.Units()) }

func (w Words) length(mm float64, u Units) string {
	if u == Inch {
		return with(w.Number(mm/mmPerThou, 1), "thou")
	}
	return with(w.Number(mm, 3), "mm")
}

// Size writes a large length, as a side of a piece: to 0.1 mm, or to 0.01 in, without zeros at its end.
func (w Words) Size(mm float64) string { return w.size(mm, w.Units()) }

func (w Words) size(mm float64, u Units) string {
	if u == Inch {
		return with(w.short(mm/mmPerInch, 2), "in")
	}
	return with(w.short(mm, 1), "mm")
}

// Both writes a small length in the person's units and then in the others, for what a customer may read.
func (w Words) Both(mm float64) string {
	return w.length(mm, w.Units()) + " (" + w.length(mm, w.Units().others()) + ")"
}

// BothSizes is Both for a large length.
func (w Words) BothSizes(mm float64) string {
	return w.size(mm, w.Units()) + " (" + w.size(mm, w.Units().others()) + ")"
}

// others returns the units that these are not.
func (u Units) others() Units {
	if u == Inch {
		return Metric
	}
	return Inch
}

// Mass writes a mass to 0.1 kg, or to 1 lb.
func (w Words) Mass(kg float64) string {
	if w.Units() == Inch {
		return with(w.Number(kg/kgPerPound, 0), "lb")
	}
	return with(w.Number(kg, 1), "kg")
}

// Percent writes a share given in per cent, to 0.1.
func (w Words) Percent(percent float64) string { return w.share(w.short(percent, 1)) }

// share puts the sign of per cent after a number, parted from it as a unit is (ISO 80000-1, from memory).
func (w Words) share(number string) string { return with(number, "%") }

// Chance writes a probability from 0 to 1 as per cent. What is not certain is never shown as 0 or 100 per cent.
func (w Words) Chance(p float64) string {
	const least = 0.001
	switch percent := 100 * p; {
	case p > 0 && p < least:
		return w.Say("chance.under", "share", w.share(w.Number(100*least, 1)))
	case p > 1-least && p < 1:
		return w.Say("chance.over", "share", w.share(w.Number(100*(1-least), 1)))
	default:
		return w.share(w.short(percent, 1))
	}
}
