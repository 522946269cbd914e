package truth

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Conformance is one published conformance probability: an estimate with its standard uncertainty against limits, normal
// distribution. Sources: JCGM 106:2012, Evaluation of measurement data: the role of measurement uncertainty in conformity
// assessment, the examples of 7.3 and 7.4, recalled from memory (Mark says so) and worked out again for the column Computed,
// which agrees with the published figure to its last digit.
type Conformance struct {
	Case, Source, Mark  string
	Estimate, U         float64
	Lower, Upper        float64 // −Inf, +Inf: none
	Published, Computed float64
}

// Guard is one row of the guard-band table of ILAC G8:09/2019, Guidelines on decision rules and statements of conformity,
// read in a public document that prints it: a guard band in multiples of the expanded uncertainty U = 2u, and the specific
// risk of false acceptance at the acceptance limit. The published risk is rounded upwards, for six sigma by far; Computed is
// the one-sided normal tail.
type Guard struct {
	Rule, Source, Mark  string
	OverU               float64
	Published, Computed float64
}

// ISO14253Published is the guard factor that ISO 14253-1:2017 prints for its default probability of 95 %, one-sided, as a
// public procedure that cites its page 16 gives it; ISO14253Quantile is the normal quantile of 0.95 to seven figures.
const (
	ISO14253Published = 1.65
	ISO14253Quantile  = 1.644854
)

var (
	//go:embed decision.csv
	conformanceCSV string
	//go:embed decision_guards.csv
	guardCSV string
)

// Conformances returns the published conformance probabilities.
func Conformances() []Conformance {
	var list []Conformance
	for _, row := range decisionRows(conformanceCSV) {
		n := decisionNumbers(row[3:])
		c := Conformance{Case: row[0], Source: row[1], Mark: row[2], Estimate: n[0], U: n[1], Lower: n[2], Upper: n[3], Published: n[4], Computed: n[5]}
		if math.IsNaN(c.Lower) {
			c.Lower = math.Inf(-1)
		}
		if math.IsNaN(c.Upper) {
			c.Upper = math.Inf(1)
		}
		list = append(list, c)
	}
	return list
}

// Guards returns the rows of the guard-band table, widest first.
func Guards() []Guard {
	var list []Guard
	for _, row := range decisionRows(guardCSV) {
		n := decisionNumbers(row[3:])
		list = append(list, Guard{Rule: row[0], Source: row[1], Mark: row[2], OverU: n[0], Published: n[1], Computed: n[2]})
	}
	return list
}

func decisionRows(table string) [][]string {
	rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
	if err != nil || len(rows) < 2 {
		panic(fmt.Sprintf("truth: decision table: %d rows, %v", len(rows), err))
	}
	return rows[1:]
}

// decisionNumbers parses fields; an empty one is NaN.
func decisionNumbers(fields []string) []float64 {
	out := make([]float64, len(fields))
	for i, f := range fields {
		v, err := strconv.ParseFloat(f, 64)
		switch {
		case f == "":
			v = math.NaN()
		case err != nil:
			panic("truth: decision table: " + err.Error())
		}
		out[i] = v
	}
	return out
}
