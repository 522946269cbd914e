package measure_test

import (
	"errors"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"slatewright/measure"
	"slatewright/trouble"
)

// parsers are all functions that read a text, by name.
var parsers = map[string]func(string) error{
	"ParseNumber":      func(s string) error { _, err := measure.ParseNumber(s); return err },
	"ToMM":             func(s string) error { _, err := measure.Thou.ToMM(s); return err },
	"ParseLength":      func(s string) error { _, err := measure.ParseLength(s); return err },
	"ParseUnit":        func(s string) error { _, err := measure.ParseUnit(s); return err },
	"ParseSize":        func(s string) error { _, _, err := measure.ParseSize(s); return err },
	"ParseTemperature": func(s string) error { _, err := measure.ParseTemperature(s); return err },
	"ParseDensity":     func(s string) error { _, err := measure.ParseDensity(s); return err },
	"ParseModulus":     func(s string) error { _, err := measure.ParseModulus(s); return err },
	"ParseForce":       func(s string) error { _, err := measure.ParseForce(s); return err },
}

// Whatever was typed, a refusal is a Trouble of kind Data with a code and a next step, leaves the place to its caller, and is one
// printable line of bearable length.
func TestRefusalsCanBeShown(t *testing.T) {
	text := rapid.OneOf(rapid.String(), rapid.StringMatching(`[-+−]?[0-9.,/ ]{0,8}[ \x{a0}]?(mm|"|'|in|mil|°C|kg/m3|x)?[0-9 ½"'-]{0,6}`),
		rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }))
	refused := 0
	rapid.Check(t, func(t *rapid.T) {
		s := text.Draw(t, "text")
		for name, parse := range parsers {
			err := parse(s)
			if err == nil {
				continue
			}
			refused++
			var why *trouble.Trouble
			if !errors.As(err, &why) || why.Kind != trouble.KindData || why.Code == "" || why.Where != "" || why.Next == "" {
				t.Fatalf("%s(%q): %#v", name, s, err)
			}
			line := why.Error()
			if strings.ContainsFunc(line, func(c rune) bool { return !unicode.IsPrint(c) }) || len(line) > 1200 {
				t.Fatalf("%s(%q): cannot be shown: %q", name, s, line)
			}
		}
	})
	if refused == 0 {
		t.Error("nothing was refused")
	}
}
