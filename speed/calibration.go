package main

import (
	"fmt"
	"math"
	"os"

	"slatewright/internal/rehearsal/families"
	tried "slatewright/internal/rehearsal/trial" // trial is a book here
)

// calibrationArgument asks for the full trial of what is said of the face between the readings. Beside the speeds because it
// takes minutes, and because it too holds the program to numbers that it promises.
const calibrationArgument = "calibration"

// Three invented mills of each family are tried: one prior from 200 scans holds by some 1.5 % more or less than another, which one mill
// alone does not show. They are numbered from 3: mills 0 to 2 were looked at while the way of learning was chosen, and 50 to 70 are what it was
// chosen on, so none of those is a test any more.
const (
	mills     = 3
	firstMill = 3
)

// runCalibration learns from 200 scans of each family in each of three mills, judges 1,000 other pieces of each, and prints the tables of
// docs/judge.md. It counts the promises that are missed: in each mill, and over the mills, intervals of 90 % hold 87 to 93 %, under the stop rule
// too; and in each mill at most one band of the said probability with 50 pieces or more lies outside of what chance allows.
func runCalibration() error {
	var list [][]*tried.Result
	missed := 0
	for _, f := range families.All() {
		var same []*tried.Result
		for mill := range mills {
			r, err := tried.Run(f, tried.Size{Mill: firstMill + mill, Scans: 200, Pieces: 1000})
			if err != nil {
				return err
			}
			fmt.Fprintf(os.Stderr, "%s, mill %d is done\n", f, mill+1)
			same = append(same, r)
		}
		all := tried.Together(same)
		for _, w := range []tried.Way{tried.Learned, tried.Stopped} {
			if outside(all.Holds(w)) {
				missed++
			}
			for _, r := range same {
				if outside(r.Holds(w)) {
					missed++
				}
				if r.Faults(w, tried.FewInBand) > 1 {
					missed++
				}
			}
		}
		list = append(list, same)
	}
	tried.Print(os.Stdout, list)
	if missed > 0 {
		return fmt.Errorf("%d promises of calibration missed", missed)
	}
	return nil
}

// outside tells whether intervals of 90 % held the truth less often than 87 or more often than 93 %.
func outside(share float64) bool { return math.Abs(share-0.9) > 0.03+1e-9 }
