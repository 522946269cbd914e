package patternfile

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/bed/pattern"
	"slatewright/trouble"
)

const head = "pattern: p\nrevision: r\nsize: 2743 x 1473 mm\n"

func read(t *testing.T, text string) pattern.Pattern {
	t.Helper()
	p, err := Read("t.yaml", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// chamfer is what a sum comes to, in the place of a length.
func chamfer(t *testing.T, names, sum string) (float64, error) {
	t.Helper()
	p, err := Read("t.yaml", strings.NewReader(head+names+"clearances:\n  edge: "+sum+"\n"))
	return p.Clearances.Edge, err
}

// Worked by hand. An inch is 25.4 mm exactly.
func TestSums(t *testing.T) {
	const names = "names: {a: 2 mm, b: a * 3, n: 4, k: 1.5, half: b / 2, turn: 90 deg, long_name_2: 1 ft}\n"
	for sum, want := range map[string]float64{
		"25.4 mm":                           25.4,
		"1 in":                              25.4,
		"a":                                 2,
		"b":                                 6,
		"a + b":                             8,
		"b - a - 1 mm":                      3,
		"b - (a - 1 mm)":                    5,
		"2 * a + 3 * b":                     22,
		"(a + b) * n":                       32,
		"b / n * 2":                         3, // from left to right
		"b * a / a":                         6,
		"n * k * a":                         12,
		"\"- a + b\"":                       4,
		"b + -a":                            4,
		"b −a":                              4, // the sign of print
		"half":                              3,
		"a+b/2+1/2 in":                      2 + 3 + 12.7,
		"13 1/2 in + 1 mm":                  343.9,
		"9' 2 1/4\" / 10":                   (9*304.8 + 57.15) / 10,
		"long_name_2 / 12":                  25.4,
		"0,25 mm * 4":                       1,
		".5 in * 2":                         25.4,
		"((((a))))":                         2,
		"a * (turn / turn)":                 2,
		"a * (180 deg - turn) / turn":       2,
		"a * turn / (3.14159265358979 rad)": 1,
		"(b * b - a * a) / (a + b)":         4,
		"1 mm + 1 cm + 0.01 m":              21,
		"250 µm + 0.25 mm":                  0.5,
		"5 thou * 200":                      25.4,
		"1 mm\n    + 2 mm":                  3, // a line of YAML may go on
	} {
		got, err := chamfer(t, names, sum)
		if err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, %v, want %v", sum, got, err, want)
		}
	}
}

func TestSumsRefused(t *testing.T) {
	deep := strings.Repeat("(", 50) + "1 mm" + strings.Repeat(")", 50)
	for name, c := range map[string]struct{ names, sum, what, next string }{
		"no unit":           {"", "20", "unit", ""},
		"number":            {"names: {n: 4}\n", "n * 2", "a number without a unit where a length is wanted", "25.4 mm"},
		"area":              {"names: {a: 4 mm}\n", "a * a", "an area where a length", ""},
		"angle":             {"", "40 deg", "an angle where a length", ""},
		"apples and pears":  {"names: {a: 4 mm}\n", "a + 2", "a length and a number without a unit are put together by +", "unit"},
		"unknown":           {"names: {rail: 4 mm}\n", "rai / 2", `no name "rai" is defined`, "did you mean rail?"},
		"none like it":      {"names: {rail: 4 mm}\n", "foo / 2", `no name "foo"`, "defined here: rail"},
		"no names":          {"", "foo + 1 mm", `no name "foo"`, "under names:"},
		"by nothing":        {"names: {a: 4 mm, b: a - 4 mm}\n", "a / b * 1 mm", `divides by "b", which is 0`, "below the /"},
		"by a bracket":      {"names: {a: 4 mm}\n", "a / (2 - 2)", `divides by "(2 - 2)", which is 0`, ""},
		"open":              {"names: {a: 4 mm}\n", "(a + 1 mm", "a bracket is not closed", ")"},
		"shut":              {"names: {a: 4 mm}\n", "a + 1 mm)", `")" stands where`, ""},
		"no sign":           {"names: {a: 4 mm}\n", "2 a", `"a" where a unit`, ""},
		"end":               {"names: {a: 4 mm}\n", "a +", "ends where a value is wanted", ""},
		"two signs":         {"names: {a: 4 mm}\n", "a ** 2", `"* 2" stands where`, ""},
		"a function":        {"names: {a: 4 mm}\n", "sin(a)", `no name "sin"`, ""},
		"power":             {"names: {a: 4 mm}\n", "a ^ 2", `"^ 2" stands where`, ""},
		"thousands":         {"", "1,234 mm + 1 mm", "1,234", ""},
		"feet or less":      {"", "9'-2\" + 1 mm", "feet and inches, or as feet less inches", "9' 2\""},
		"unit with letters": {"", "2 mmx + 1 mm", "stands where", ""},
		"deep":              {"", deep + " + 1 mm", "in one another", "names"},
		"long":              {"", "1 mm" + strings.Repeat(" + 1 mm", 100), "more than 400 letters", "names"},
		"beyond":            {"names: {a: 1e300 mm}\n", "a * 1e300", "", ""},
	} {
		_, err := chamfer(t, c.names, c.sum)
		var bad *trouble.Trouble
		if !errors.As(err, &bad) {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		if !strings.HasPrefix(bad.Where, "t.yaml:") || !strings.Contains(bad.What, c.what) || !strings.Contains(bad.Next, c.next) || bad.Next == "" {
			t.Errorf("%s: where %q, what %q, next %q", name, bad.Where, bad.What, bad.Next)
		}
	}
}

// Names may stand in any order; what goes round in a circle is named with its way.
func TestNames(t *testing.T) {
	if got, err := chamfer(t, "names:\n  c: b + 1 mm\n  b: a * 2\n  a: 3 mm\n", "c"); err != nil || got != 7 {
		t.Errorf("%v, %v", got, err)
	}
	many := "names:\n"
	for i := range mostNames - 1 {
		many += fmt.Sprintf("  n%d: n%d\n", i, i+1)
	}
	if got, err := chamfer(t, many+fmt.Sprintf("  n%d: 5 mm\n", mostNames-1), "n0"); err != nil || got != 5 {
		t.Errorf("a chain of %d names: %v, %v", mostNames, got, err)
	}
	for name, c := range map[string]struct{ names, where, what, next string }{
		"itself":   {"names:\n  a: a + 1 mm\n", "t.yaml:5", "names.a: is defined by itself: a → a", "a value"},
		"a circle": {"names:\n  z: a\n  a: b\n  b: 2 * c\n  c: a / 2\n", "t.yaml:6", "names.a: is defined by itself: a → b → c → a", "a value"},
		"twice":    {"names:\n  a: 1 mm\n  a: 2 mm\n", "t.yaml:6", "names.a is given twice, first on line 5", "keep one"},
		"unit":     {"names: {mm: 1 mm}\n", "t.yaml:4", `"mm" is a unit`, "longer"},
		"not word": {"names: {a-b: 1 mm}\n", "t.yaml:4", "not one word", "rail_line"},
		"a list":   {"names: [a]\n", "t.yaml:4", "does not hold names", "name: "},
		"list in":  {"names: {a: [1 mm]}\n", "t.yaml:4", "names.a: a list or keys", ""},
		"alias":    {"names:\n  a: &x 1 mm\n  b: *x\n", "t.yaml:6", "refers to another place", ""},
		"unused":   {"names: {a: 1 mm + 2}\n", "t.yaml:4", "names.a: a length and a number", ""},
		"too many": {many + "  x1: 1 mm\n  x2: 1 mm\n", "t.yaml:5", "more than 500 names", ""},
	} {
		_, err := Read("t.yaml", strings.NewReader(head+c.names))
		var bad *trouble.Trouble
		if !errors.As(err, &bad) || bad.Where != c.where || !strings.Contains(bad.What, c.what) || !strings.Contains(bad.Next, c.next) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
