// Package answers puts questions about instruments to the packages that know, and gives each answer in the form that programs read: the JSON
// of the verbs under 'slatewright gauge' and of the mill's pages, whose names are a contract.
//
// It reads lists and computes nothing of its own; showing an answer to people is the caller's affair. The same list gives the same answer: all
// drawn numbers have a fixed seed.
package answers

import (
	"math"

	"slatewright/trouble"
)

// Confidence is that of every interval which says nothing else.
const Confidence = 0.95

// seed of the drawn numbers.
const seed = 1

// number is x for JSON: null where there is none.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// at names the file where trouble has no place of its own.
func at(name string, err error) error {
	if t, ok := err.(*trouble.Trouble); ok {
		where := name
		if t.Where != "" {
			where += ", " + t.Where
		}
		return trouble.Data(t.Code, where, t.What, t.Next).Because(err)
	}
	return err
}
