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

// runCalibration learns from 200 scans of each family, judges 1,000 other pieces, prints the tables of docs/judge.md, and counts the
// promises that are missed: intervals of 90 % hold 87 to 93 %, and at most one band of the said probability with 50 pieces or
// more lies outside of what chance allows; under the stop rule too.
func runCalibration() error {
	var list []*tried.Result
	missed := 0
	for _, f := range families.All() {
		r, err := tried.Run(f, tried.Size{Scans: 200, Pieces: 1000})
		if err != nil {
			return err
		}
		fmt.Fprintf(os.Stderr, "%s is done\n", f)
		list = append(list, r)
		for _, w := range []tried.Way{tried.Learned, tried.Stopped} {
			if math.Abs(r.Holds(w)-0.9) > 0.03 || r.Faults(w, tried.FewInBand) > 1 {
				missed++
			}
		}
	}
	tried.Print(os.Stdout, list)
	if missed > 0 {
		return fmt.Errorf("%d promises of calibration missed", missed)
	}
	return nil
}
