package trial

import (
	"fmt"
	"io"
	"math"

	"slatewright/internal/rehearsal/grinding"
	"slatewright/surfacing/toolmarks"
)

// Within is how far a correction may be off, as a share of it, and still count as good.
const Within = 0.2

// A Row is what became of the cases of one cause.
type Row struct {
	Cause                    grinding.Cause
	Cases, Faces             int
	Told                     map[toolmarks.Cause]int
	Right, Mixed, MixedRight int
	Corrections, Good, Held  int // corrections of right causes; how many within a fifth; how many of their intervals hold the truth
}

// Add counts a result.
func (row *Row) Add(r Result) {
	if row.Told == nil {
		row.Told = map[toolmarks.Cause]int{}
	}
	row.Cases++
	row.Faces += len(r.Case.Faces)
	row.Told[r.Told]++
	if r.Second != grinding.Sound {
		row.Mixed++
	}
	if r.Right {
		row.Right++
		if r.Second != grinding.Sound {
			row.MixedRight++
		}
	}
	if !math.IsNaN(r.Error) {
		row.Corrections++
		if r.Error <= Within {
			row.Good++
		}
		if r.Covered {
			row.Held++
		}
	}
}

// Seeds of the table, and of the cases by which the package was made: those of the table were not looked at before.
const (
	TableSeed   = 20261126
	WorkingSeed = 1
)

// Table runs so many cases of each cause, every third with a second cause.
func Table(seed uint64, each int, done func(grinding.Cause)) ([]Row, error) {
	var rows []Row
	for c := grinding.Cause(0); c < grinding.Causes; c++ {
		row := Row{Cause: c}
		for i := range each {
			r, err := Run(c, seed, i, i%3 == 2)
			if err != nil {
				return nil, err
			}
			row.Add(r)
		}
		rows = append(rows, row)
		if done != nil {
			done(c)
		}
	}
	return rows, nil
}

var columns = []toolmarks.Cause{toolmarks.None, toolmarks.LeanAlong, toolmarks.LeanAcross, toolmarks.LeanBoth, toolmarks.Bed, toolmarks.Wear, toolmarks.Wedge, toolmarks.BedWave, toolmarks.BridgeWave, toolmarks.Unbalance}

// Share is the share of right first causes in the rows, and that of corrections within a fifth.
func Share(rows []Row) (right, good float64) {
	var cases, hits, corrections, within int
	for _, r := range rows {
		cases, hits, corrections, within = cases+r.Cases, hits+r.Right, corrections+r.Corrections, within+r.Good
	}
	return float64(hits) / float64(max(cases, 1)), float64(within) / float64(max(corrections, 1))
}

// Print writes the table of docs/toolmarks.md.
func Print(w io.Writer, rows []Row) {
	fmt.Fprint(w, "| the truth | cases |")
	for _, c := range columns {
		name := string(c)
		if c == toolmarks.None {
			name = "none"
		}
		fmt.Fprintf(w, " %s |", name)
	}
	fmt.Fprint(w, " right | with a second cause | correction within 20 % | interval holds it |\n|---|---|")
	for range len(columns) + 4 {
		fmt.Fprint(w, "---|")
	}
	fmt.Fprintln(w)
	percent := func(a, b int) string {
		if b == 0 {
			return ""
		}
		return fmt.Sprintf("%.0f %%", 100*float64(a)/float64(b))
	}
	all := Row{}
	for _, r := range rows {
		fmt.Fprintf(w, "| %s | %d |", r.Cause, r.Cases)
		for _, c := range columns {
			if n := r.Told[c]; n > 0 {
				fmt.Fprintf(w, " %d |", n)
			} else {
				fmt.Fprint(w, " |")
			}
		}
		fmt.Fprintf(w, " %s | %s | %s | %s |\n", percent(r.Right, r.Cases), percent(r.MixedRight, r.Mixed), percent(r.Good, r.Corrections), percent(r.Held, r.Corrections))
		all.Cases, all.Faces, all.Right, all.Mixed, all.MixedRight = all.Cases+r.Cases, all.Faces+r.Faces, all.Right+r.Right, all.Mixed+r.Mixed, all.MixedRight+r.MixedRight
		all.Corrections, all.Good, all.Held = all.Corrections+r.Corrections, all.Good+r.Good, all.Held+r.Held
	}
	fmt.Fprintf(w, "\n%d machines, %d faces: the right first cause in %s, with a second cause at work in %s; of these, the correction within a fifth in %s, and in its interval in %s.\n",
		all.Cases, all.Faces, percent(all.Right, all.Cases), percent(all.MixedRight, all.Mixed), percent(all.Good, all.Corrections), percent(all.Held, all.Corrections))
}
