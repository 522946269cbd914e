package sums

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"slatewright/measure"
	"slatewright/trouble"
)

// node is a drawn sum: how it is written, with all its brackets, and what it comes to.
type node struct {
	text  string
	value float64
	mm    int // power of the length
}

func anySum(t *rapid.T, deep int) node {
	if deep == 0 || rapid.IntRange(0, 3).Draw(t, "leaf") == 0 {
		v := float64(rapid.IntRange(1, 9999).Draw(t, "value")) / 8
		if rapid.Bool().Draw(t, "length") {
			return node{measure.FormatLength(v, measure.MM), v, 1}
		}
		return node{measure.Decimal(v, 3), v, 0}
	}
	a, b := anySum(t, deep-1), anySum(t, deep-1)
	switch op := rapid.SampledFrom([]string{"+", "-", "*", "/"}).Draw(t, "sign"); {
	case op == "*":
		return node{"(" + a.text + "*" + b.text + ")", a.value * b.value, a.mm + b.mm}
	case op == "/" && b.value != 0:
		return node{"(" + a.text + " / " + b.text + ")", a.value / b.value, a.mm - b.mm}
	case a.mm != b.mm || op == "/":
		return a
	case op == "+":
		return node{"(" + a.text + " + " + b.text + ")", a.value + b.value, a.mm}
	default:
		return node{"(" + a.text + " - " + b.text + ")", a.value - b.value, a.mm}
	}
}

// A sum with all its brackets comes to what it comes to, whatever its dimension; lengths are rounded to 1e-9 mm at the end.
func TestSumsAgainstTheirTrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := anySum(t, 4)
		if len(n.text) > longest || math.Abs(n.value) > 1e11 {
			return
		}
		got, err := new(Names).Work(n.text)
		if err != nil || got.Length != n.mm || math.Abs(got.Value-n.value) > 1e-9 {
			t.Fatalf("%s: %+v, %v, want %v mm^%d", n.text, got, err, n.value, n.mm)
		}
	})
}

// Work never panics, and a fault is a trouble that says what to do; where it lies in a name, it says in which.
func FuzzWork(f *testing.F) {
	for _, seed := range []string{"25.4 mm", "a + 1 mm", "(b - a) * 2 / n", "9' 2 1/4\" - 1/2 in", "90 deg / 2", "a / (b - 2 * a)", "((((", "1,234 mm", "loop", "−a", "a*a", "1e3 mm", ""} {
		f.Add(seed, "a + 1 mm")
	}
	f.Fuzz(func(t *testing.T, text, c string) {
		var n Names
		for name, text := range map[string]string{"a": "2 mm", "b": "2 * a", "n": "3", "c": c, "loop": "loop"} {
			if err := n.Define(name, text); err != nil {
				t.Fatal(err)
			}
		}
		q, err := n.Work(text)
		var bad *trouble.Trouble
		switch {
		case err == nil:
			if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || q.Kind() == "" {
				t.Fatalf("%q comes to %+v", text, q)
			}
		case !errors.As(err, &bad) || bad.What == "" || bad.Next == "" || bad.Where != "" && bad.Where != "c" && bad.Where != "loop":
			t.Fatalf("%q: %#v", text, err)
		}
	})
}

// A circle is told at the name that comes back to itself, from wherever it is asked.
func TestCircles(t *testing.T) {
	var n Names
	for name, text := range map[string]string{"a": "b", "b": "c + 1 mm", "c": "a / 2", "d": "2 * a", "e": "d"} {
		if err := n.Define(name, text); err != nil {
			t.Fatal(err)
		}
	}
	for ask, want := range map[string]string{"a": "a → b → c → a", "c": "c → a → b → c", "e": "a → b → c → a"} {
		_, err := n.Work(ask)
		if bad := new(trouble.Trouble); !errors.As(err, &bad) || !strings.Contains(bad.What, want) || bad.Where != want[:1] {
			t.Errorf("%s: %v", ask, err)
		}
	}
	if q, err := n.Work("1 mm + 2 mm"); err != nil || q.Value != 3 {
		t.Errorf("after a circle: %v, %v", q, err)
	}
}
