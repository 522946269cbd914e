package main

import (
	"fmt"
	"os"

	"slatewright/internal/rehearsal/grinding"
	marks "slatewright/internal/rehearsal/grinding/trial"
)

// toolmarksArgument asks for the full trial of what is said of tool marks. Beside the speeds as the calibration is: it takes minutes.
const toolmarksArgument = "toolmarks"

// runToolmarks looks at 63 invented machines of each cause, 504 in all, and prints the table of docs/toolmarks.md. It counts the promises that are
// missed: the right first cause in nine of ten, and nine of ten of their corrections within a fifth.
func runToolmarks() error {
	rows, err := marks.Table(marks.TableSeed, 63, func(c grinding.Cause) { fmt.Fprintf(os.Stderr, "%s: done\n", c) })
	if err != nil {
		return err
	}
	marks.Print(os.Stdout, rows)
	if right, good := marks.Share(rows); right < 0.9 || good < 0.9 {
		return fmt.Errorf("the right first cause in %.3f, corrections within a fifth in %.3f: 0.9 of both are promised", right, good)
	}
	return nil
}
