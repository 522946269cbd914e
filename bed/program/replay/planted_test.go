package replay

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

type planted struct {
	what  string
	wrong func(text string) string
	codes []string
	where string // target, or "" for any
}

// first replaces the first match of a pattern behind a mark.
func first(mark, pattern, by string) func(string) string {
	return func(text string) string {
		i := strings.Index(text, mark)
		if i < 0 {
			return ""
		}
		at := regexp.MustCompile(pattern).FindStringIndex(text[i:])
		if at == nil {
			return ""
		}
		return text[:i+at[0]] + regexp.MustCompile(pattern).ReplaceAllString(text[i+at[0]:i+at[1]], by) + text[i+at[1]:]
	}
}

// without takes the block of one target out.
func without(mark string) func(string) string {
	return func(text string) string {
		i := strings.Index(text, mark)
		if i < 0 {
			return ""
		}
		n := regexp.MustCompile(`\n(\(\d:|N\d+ M9\nN\d+ M5\nN\d+ [MT]\d+ )`).FindStringIndex(text[i+1:])
		return text[:i] + text[i+1+n[0]+1:]
	}
}

func every(pattern, by string) func(string) string {
	return func(text string) string { return regexp.MustCompile(pattern).ReplaceAllString(text, by) }
}

// aside moves all places of one target's block by 2 mm along x.
func aside(mark string) func(string) string {
	return func(text string) string {
		i := strings.Index(text, mark)
		end := i + 1 + strings.Index(text[i+1:], "\n("+mark[1:3])
		block := regexp.MustCompile(`X-?\d+\.\d+`).ReplaceAllStringFunc(text[i:end], func(x string) string {
			v, _ := strconv.ParseFloat(x[1:], 64)
			return fmt.Sprintf("X%.3f", v+2)
		})
		return text[:i] + block + text[end:]
	}
}

// turnedOver is the program of a piece that lies with the other face up.
func turnedOver(text string) string {
	text = regexp.MustCompile(`([XI])(-?\d)`).ReplaceAllString(text, "$1-$2")
	text = strings.NewReplacer("X--", "X", "I--", "I").Replace(text)
	return strings.NewReplacer("G2 ", "G3 ", "G3 ", "G2 ").Replace(text)
}

func plantedFaults() []planted {
	return []planted{
		{"a hole is left out", without("(2: RB-41)"), []string{Missing}, "rb-41"},
		{"a pocket is left out in both stages", func(s string) string { return without("(4: POCKET 1)")(without("(3: POCKET 1)")(s)) }, []string{Missing}, "pocket 1"},
		{"a pocket is never cut through", without("(4: POCKET 1)"), []string{Shallow}, "pocket 1"},
		{"a counterbore is left out", without("(1: BS-11 COUNTERBORE)"), []string{Missing}, "bs-11 counterbore"},
		{"a hole is 1 mm aside", first("(2: RB-41)", `Y-?690\.0|X-40\.0`, "X-41.0"), []string{Outside, Left}, "rb-41"},
		{"a hole is 0.3 mm aside", first("(2: RB-41)", `X-40\.0`, "X-40.3"), []string{Aside}, "rb-41"},
		{"a hole is drilled with the core bit of 12", every(`T2 M6`, "T9 M6"), []string{Size}, "rb-41"},
		{"a hole that nobody drew", first("(2: RB-41)", `(?s)G0 Z3\.0`, "G0 X-150.0 Y200.0\nG0 Z3.0"), []string{Outside, Missing}, ""},
		{"a hole is drilled with the other core bit", every(`T2 M6`, "T1 M6"), []string{Left}, "rb-41"},
		{"a hole stops short of the far face", first("(2: RB-41)", `Z-29\.4`, "Z-25.0"), []string{Shallow}, "rb-41"},
		{"a counterbore is 1 mm too deep", first("(1: BS-13 COUNTERBORE)", `(?s)Z-9\.0`, "Z-10.0"), []string{TooDeep}, "bs-13 counterbore"},
		{"a countersink is 1 mm too deep", first("(1: BS-22 COUNTERSINK)", `Z-7\.0`, "Z-8.0"), []string{Outside}, "bs-22 countersink"},
		{"a countersink is 1 mm too shallow", first("(1: BS-22 COUNTERSINK)", `Z-7\.0`, "Z-6.0"), []string{Shallow}, "bs-22 countersink"},
		{"a rapid move over the stone is too low", first("(2: RB-41)", `(?s)\nN\d+ G0 [^\n]*\nN\d+ G0 Z3\.0`, "\nG0 Z-5.0$0"), []string{RapidInStone}, ""},
		{"a hole is drilled by a rapid move", first("(2: RB-41)", `G1 Z-8\.0( F40\.0)?`, "G0 Z-8.0"), []string{RapidInStone}, "rb-41"},
		{"it goes through the board", first("(2: RB-41)", `Z-29\.4`, "Z-44.0"), []string{IntoTable}, ""},
		{"it goes beyond the travel", first("(3: POCKET 1)", `G0 X-?\d+\.\d+`, "G0 X1200.0\n$0"), []string{Travel}, "X"},
		{"the spindle stands", first("T2 M6", ` M3\n`, "\n"), []string{SpindleOff}, "T2"},
		{"the spindle turns too fast", every(`S3600`, "S6000"), []string{SpindleFast}, "T2"},
		{"the water is off", first("T2 M6", `M8\n`, "M9\n"), []string{Dry}, "T2"},
		{"the length is not taken in", first("T2 M6", `G43 H2`, "G49"), []string{NoLength}, "T2"},
		{"the zero of the work is missing", every(`N\d+ G54\n`, ""), []string{NoZero}, ""},
		{"a tool that is not there", every(`T2 M6`, "T77 M6"), []string{NoTool, Missing}, ""},
		{"it feeds too fast", first("(2: RB-41)", `G1 Z-8\.0( F40\.0)?`, "G1 Z-8.0 F80.0"), []string{FeedFast}, "rb-41"},
		{"it comes out too fast", first("(2: RB-41)", `Z-29\.4 F16\.0`, "Z-29.4 F40.0"), []string{BreakFast}, "rb-41"},
		{"a core bit is moved along", first("(2: RB-41)", `(Z-29\.4 F16\.0)`, "$1\nG1 X-40.2"), []string{Sideways}, "rb-41"},
		{"a router goes straight down", first("(3: OPENING)", `G1 Z0\.0 F120\.0`, "G1 Z-5.0 F120.0"), []string{StraightDown}, "opening"},
		{"a router takes two steps at once", first("(3: POCKET 1)", `(?s)Z-4\.\d+( F120\.0)?`, "Z-12.0 F120.0"), []string{Step}, "pocket 1"},
		{"a pocket is cut 2 mm aside", aside("(4: POCKET 1)"), []string{Outside}, "pocket 1"},
		{"the piece lies the other way", turnedOver, []string{Outside, Missing}, ""},
		{"it goes down before its place is given", first("N60 ", `G0 Z60\.0`, "G0 Z-5.0"), []string{Unplaced}, ""},
		{"the program has no end", every(`N\d+ M30\n`, ""), []string{NoEnd}, ""},
	}
}

func TestPlantedFaultsAreNamed(t *testing.T) {
	m := shipped(t)
	p := written(t, &m)[0]
	told := map[string]bool{}
	for _, c := range plantedFaults() {
		text := c.wrong(string(p.Text))
		if text == string(p.Text) || text == "" {
			t.Errorf("%s: nothing was planted", c.what)
			continue
		}
		r := replayed(t, []byte(text), p.Setup, &m)
		for _, code := range c.codes {
			found := slices.ContainsFunc(r.Faults, func(f Fault) bool {
				placed := f.Line > 0 || code == Missing || code == Left || code == Shallow || code == NoEnd || code == Size || code == Aside
				return f.Code == code && placed && f.What != "" && (c.where == "" || f.Where == c.where)
			})
			if !found {
				t.Errorf("%s: no %s at %q among %+v", c.what, code, c.where, r.Faults)
			}
			told[code] = true
		}
		if len(c.codes) > 0 && len(r.Faults) > 18 && c.where != "" {
			t.Errorf("%s: %d faults are told", c.what, len(r.Faults))
		}
	}
	for _, code := range []string{Travel, NoTool, NoLength, NoZero, SpindleOff, SpindleFast, Dry, FeedFast, BreakFast, RapidInStone, IntoTable, Outside, TooDeep, Sideways,
		StraightDown, Step, Missing, Left, Shallow, Size, Aside, NoEnd, Unplaced} {
		if !told[code] {
			t.Errorf("no planted program shows %s", code)
		}
	}
}
