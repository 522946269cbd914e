package measure_test

import (
	"fmt"

	"slatewright/measure"
)

func ExampleParseLength() {
	for _, text := range []string{"0.25 mm", "0,25 mm", "250 µm", "0.010 in", "10 thou", "1/32 in", `9' 2 1/4"`, "1,234 mm", "10 mil", "0.25"} {
		if mm, err := measure.ParseLength(text); err != nil {
			fmt.Println(err)
		} else {
			fmt.Println(text, "=", mm)
		}
	}
	// Output:
	// 0.25 mm = 0.25
	// 0,25 mm = 0.25
	// 250 µm = 0.25
	// 0.010 in = 0.254
	// 10 thou = 0.254
	// 1/32 in = 0.79375
	// 9' 2 1/4" = 2800.35
	// "1,234 mm" can be read with a decimal comma or with a thousands separator; write "1.234 mm" or "1234 mm"
	// "10 mil" is unclear: mil is a thousandth of an inch to some, a millimetre to others; write thou or mm
	// "0.25" has no unit; write "0.25 mm" or "0.25 in"
}

func ExampleFormatLength() {
	fmt.Println(measure.FormatLength(0.127, measure.Thou))
	fmt.Println(measure.FormatLength(914, measure.Inch))
	fmt.Println(measure.FormatRounded(914, measure.Inch, 2))
	// Output:
	// 5 thou
	// 35.984251968503937 in
	// 35.98 in
}
