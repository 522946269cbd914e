package trial

import (
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"strconv"
	"strings"
	"sync"

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
	Settled, SettledGood     int // how many were said to be sure to a fifth, and how many of those are within it
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
		if r.Settled {
			row.Settled++
			if r.Error <= Within {
				row.SettledGood++
			}
		}
	}
}

// Seeds of the table, and of the cases by which the package was made: those of the table were not looked at before.
const (
	TableSeed   = 20261126
	WorkingSeed = 1
)

// Table runs so many cases of each cause, every third with a second cause. With few pieces (0: all of them) it runs the causes only that are told from several.
func Table(seed uint64, each, few int, done func(grinding.Cause)) ([]Row, error) {
	var rows []Row
	for c := grinding.Cause(0); c < grinding.Causes; c++ {
		if few > 0 && !c.Several() {
			continue
		}
		results, err := runs(c, seed, each, few)
		if err != nil {
			return nil, err
		}
		row := Row{Cause: c}
		for _, r := range results {
			row.Add(r)
		}
		rows = append(rows, row)
		if done != nil {
			done(c)
		}
	}
	return rows, nil
}

// runs are the cases of one cause, as many at a time as there are processors.
func runs(c grinding.Cause, seed uint64, each, few int) ([]Result, error) {
	results, errs := make([]Result, each), make([]error, each)
	var all sync.WaitGroup
	turn := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range each {
		turn <- struct{}{}
		all.Go(func() {
			defer func() { <-turn }()
			results[i], errs[i] = Run(c, seed, i, i%3 == 2, few)
			if results[i].Case != nil {
				results[i].Case = &grinding.Case{Faces: make([]grinding.Face, len(results[i].Case.Faces))} // only their number is counted
			}
		})
	}
	all.Wait()
	return results, errors.Join(errs...)
}

var columns = []toolmarks.Cause{toolmarks.None, toolmarks.LeanAlong, toolmarks.LeanAcross, toolmarks.LeanBoth, toolmarks.Bed, toolmarks.Wear, toolmarks.Wedge, toolmarks.BedWave, toolmarks.BridgeWave, toolmarks.Unbalance}

// Share is the share of right first causes in the rows, that of corrections within a fifth, and the same of those that were said to be sure to a fifth.
func Share(rows []Row) (right, good, settled float64) {
	all := sum(rows)
	part := func(a, b int) float64 { return float64(a) / float64(max(b, 1)) }
	return part(all.Right, all.Cases), part(all.Good, all.Corrections), part(all.SettledGood, all.Settled)
}

func sum(rows []Row) (all Row) {
	for _, r := range rows {
		all.Cases, all.Faces, all.Right, all.Mixed, all.MixedRight = all.Cases+r.Cases, all.Faces+r.Faces, all.Right+r.Right, all.Mixed+r.Mixed, all.MixedRight+r.MixedRight
		all.Corrections, all.Good, all.Held = all.Corrections+r.Corrections, all.Good+r.Good, all.Held+r.Held
		all.Settled, all.SettledGood = all.Settled+r.Settled, all.SettledGood+r.SettledGood
	}
	return all
}

func percent(a, b int) string {
	if b == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f %%", 100*float64(a)/float64(b))
}

// number is a count in a table; nothing for none.
func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// Print writes the tables of docs/toolmarks.md: what is said to be looked at first, and what becomes of the corrections.
func Print(w io.Writer, rows []Row) {
	fmt.Fprint(w, "| the truth | cases | faces |")
	for _, c := range columns {
		name := string(c)
		if c == toolmarks.None {
			name = "none"
		}
		fmt.Fprintf(w, " %s |", name)
	}
	fmt.Fprintf(w, " right | with a second cause |\n|%s\n", strings.Repeat("---|", len(columns)+5))
	for _, r := range rows {
		fmt.Fprintf(w, "| %s | %d | %d |", r.Cause, r.Cases, r.Faces)
		for _, c := range columns {
			fmt.Fprintf(w, " %s |", number(r.Told[c]))
		}
		fmt.Fprintf(w, " %s | %s |\n", percent(r.Right, r.Cases), percent(r.MixedRight, r.Mixed))
	}
	fmt.Fprintln(w)
	PrintCorrections(w, rows)
	all := sum(rows)
	fmt.Fprintf(w, "\n%d machines, %d faces: the right first cause in %s, with a second cause at work in %s.\n", all.Cases, all.Faces, percent(all.Right, all.Cases), percent(all.MixedRight, all.Mixed))
}

// PrintCorrections writes what becomes of the corrections of right causes.
func PrintCorrections(w io.Writer, rows []Row) {
	fmt.Fprintf(w, "| the truth | corrections | said to be sure to 20 %% | of these within 20 %% | left in doubt | all, within 20 %% | interval holds it |\n|%s\n", strings.Repeat("---|", 7))
	line := func(name string, r Row) {
		if r.Corrections > 0 {
			fmt.Fprintf(w, "| %s | %d | %d | %s | %d | %s | %s |\n", name, r.Corrections, r.Settled, percent(r.SettledGood, r.Settled), r.Corrections-r.Settled,
				percent(r.Good, r.Corrections), percent(r.Held, r.Corrections))
		}
	}
	for _, r := range rows {
		line(r.Cause.String(), r)
	}
	line("all", sum(rows))
}
