// Package costfile reads what a mill's ways out cost, and which there are, from a YAML file in the mill's hands.
//
// Lengths are written with their unit, amounts of money as bare numbers in one currency. Every key may be left out: what is not
// known is not known. Keys are strict; an error names the file and the line.
//
// The package does not weigh anything (package ways does), knows no usual prices, and converts no currencies.
package costfile

import (
	"io"
	"os"

	"slatewright/bed"
	"slatewright/judge/ways"
	"slatewright/keyed"
	"slatewright/trouble"
)

// kind is what errors say of such a file.
var kind = keyed.Kind{Code: "bad-costs", Least: "write at least one price or one way, such as complaint: 2600", One: "one file holds one list of costs; take the line --- away",
	What: "give a file of costs written in YAML", Item: `begin each item with "- name: …"`}

// Costs is what a file says. The decision rules of its lower classes are those of the case that it is put into.
type Costs struct {
	Prices  ways.Prices
	Overall float64 // largest acceptable probability that what is shipped fails in anything; 0: each characteristic has its own rule only
	Measure []ways.Remeasure
	Regrind []ways.Recut
	Regrade []ways.Lower
}

// Into puts prices and ways into a case. Lower classes are held to this rule.
func (c Costs) Into(k *ways.Case, rule bed.Decision) {
	k.Prices, k.Overall, k.Measure, k.Regrind = c.Prices, c.Overall, c.Measure, c.Regrind
	k.Regrade = nil
	for _, l := range c.Regrade {
		l.Held = append([]ways.Characteristic{}, l.Held...)
		for i := range l.Held {
			l.Held[i].Decision = rule
		}
		k.Regrade = append(k.Regrade, l)
	}
}

// ReadFile reads the file at path.
func ReadFile(path string) (Costs, error) {
	f, err := os.Open(path)
	if err != nil {
		return Costs{}, trouble.IO("cannot-read", path, "the file of costs cannot be opened", "check the path").Because(err)
	}
	defer f.Close()
	return Read(path, f)
}

// Read reads the costs. The name stands in errors, which are *trouble.Trouble.
func Read(name string, from io.Reader) (Costs, error) {
	text, err := io.ReadAll(io.LimitReader(from, keyed.LongestFile+1))
	if err != nil {
		return Costs{}, trouble.IO("cannot-read", name, "the file of costs cannot be read", "").Because(err)
	}
	r, d := reader{keyed.New(name, kind)}, draft{}
	if err := r.Read(text, r.costs(&d)); err != nil {
		return Costs{}, err
	}
	return r.costsOf(d)
}
