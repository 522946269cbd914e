package answers

import (
	"fmt"
	"math"
	"slices"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/revision"
	"slatewright/measure"
)

// Compare is the answer to what changed between two revisions.
type Compare struct {
	Before      Revision              `json:"before"`
	After       Revision              `json:"after"`
	Differences []revision.Difference `json:"differences"` // every feature by itself
	Warnings    []string              `json:"warnings"`
}

// Revision is one of the files compared.
type Revision struct {
	File     string `json:"file"`
	Pattern  string `json:"pattern"`
	Revision string `json:"revision"`
}

// Compared lists what differs between two patterns.
func Compared(beforeFile string, before pattern.Pattern, afterFile string, after pattern.Pattern) *Compare {
	c := &Compare{Before: Revision{beforeFile, before.Name, before.Revision}, After: Revision{afterFile, after.Name, after.Revision},
		Differences: revision.Compare(before, after), Warnings: []string{}}
	if c.Differences == nil {
		c.Differences = []revision.Difference{}
	}
	switch {
	case before.Name != after.Name:
		c.Warnings = append(c.Warnings, "These are two patterns, "+before.Name+" and "+after.Name+", not two revisions of one.")
	case before.Revision == after.Revision && len(c.Differences) > 0:
		c.Warnings = append(c.Warnings, "Both files say revision "+after.Revision+", and they differ.")
	}
	if before.Approved == after.Approved && after.Approved.By != "" && len(c.Differences) > 0 {
		c.Warnings = append(c.Warnings, "The approval is the same in both files: was what changed approved?")
	}
	return c
}

// Told is one line about features that differ alike.
type Told struct {
	Of    string
	Bases []string // what the features are called without their places
	Count int      // how many features
	Says  string
}

// Told puts the differences that say the same of one kind of feature together, in their order.
func (c *Compare) Told() (list []Told) {
	type key struct{ of, says string }
	at := map[key]int{}
	for _, d := range c.Differences {
		k := key{d.Of, sayOf(d)}
		i, ok := at[k]
		if !ok {
			i = len(list)
			at[k] = i
			list = append(list, Told{Of: d.Of, Says: k.says})
		}
		list[i].Count++
		if !slices.Contains(list[i].Bases, d.Base) {
			list[i].Bases = append(list[i].Bases, d.Base)
		}
	}
	return list
}

func sayOf(d revision.Difference) string {
	switch d.What {
	case revision.Moved:
		switch {
		case d.DX != 0 && d.DY != 0:
			return fmt.Sprintf("moved by %s: %s along and %s across the table", far(d.By), far(d.DX), far(d.DY))
		case d.DX != 0:
			return fmt.Sprintf("moved by %s along the table", far(d.By))
		}
		return fmt.Sprintf("moved by %s across the table", far(d.By))
	case revision.Changed:
		return fmt.Sprintf("%s changed from %s to %s", d.Key, orNothing(d.Before), orNothing(d.After))
	case revision.Renamed:
		return "was called " + d.WasBase
	}
	return d.What
}

// far is a distance without its sign.
func far(v float64) string { return measure.FormatRounded(math.Abs(v), measure.MM, 2) }

func orNothing(value string) string {
	if value == "" {
		return "nothing"
	}
	return value
}
