package main

import (
	"fmt"
	"os"

	"slatewright/internal/rehearsal/grinding"
	marks "slatewright/internal/rehearsal/grinding/trial"
)

// toolmarksArgument asks for the full trial of what is said of tool marks. Beside the speeds as the calibration is: it takes minutes.
const toolmarksArgument = "toolmarks"

// fewPieces is how many pieces are looked at where the trial asks what few of them give.
const fewPieces = 4

// runToolmarks looks at 63 invented machines of each cause, 504 in all, and prints the tables of docs/toolmarks.md; then at half of those with wedges and
// waves again, with four pieces each. It counts the promises that are missed: the right first cause in nine of ten, nine of ten corrections within a fifth, and
// nine of ten of those that are said to be sure to a fifth, in every row.
func runToolmarks() error {
	done := func(c grinding.Cause) { fmt.Fprintf(os.Stderr, "%s: done\n", c) }
	rows, err := marks.Table(marks.TableSeed, 63, 0, done)
	if err != nil {
		return err
	}
	marks.Print(os.Stdout, rows)
	few, err := marks.Table(marks.TableSeed, 31, fewPieces, done)
	if err != nil {
		return err
	}
	fmt.Printf("\nWith %d pieces:\n\n", fewPieces)
	marks.PrintCorrections(os.Stdout, few)
	right, good, settled := marks.Share(rows)
	for i := range rows {
		if rows[i].Settled > 0 {
			_, _, one := marks.Share(rows[i : i+1])
			settled = min(settled, one)
		}
	}
	if right < 0.9 || good < 0.9 || settled < 0.9 {
		return fmt.Errorf("the right first cause in %.3f, corrections within a fifth in %.3f, of those said to be sure in %.3f of the worst row: 0.9 of each are promised", right, good, settled)
	}
	return nil
}
