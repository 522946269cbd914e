package assignment_test

import (
	"testing"

	"pgregory.net/rapid"

	"slatewright/assignment"
)

// slow tries everything.
func slow(worth [][]int64, room []int) int64 {
	if len(worth) == 0 {
		return 0
	}
	best := slow(worth[1:], room)
	for c, w := range worth[0] {
		if w > 0 && room[c] > 0 {
			room[c]--
			best = max(best, w+slow(worth[1:], room))
			room[c]++
		}
	}
	return best
}

func TestBestOfAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns := rapid.IntRange(0, 4).Draw(t, "columns")
		worth := make([][]int64, rapid.IntRange(0, 6).Draw(t, "rows"))
		for r := range worth {
			worth[r] = rapid.SliceOfN(rapid.Int64Range(-3, 20), columns, columns).Draw(t, "worth")
		}
		room := rapid.SliceOfN(rapid.IntRange(0, 3), columns, columns).Draw(t, "room")
		chosen, sum := assignment.Best(worth, room)
		var own int64
		used := make([]int, columns)
		for r, c := range chosen {
			if c >= 0 {
				own += worth[r][c]
				used[c]++
			}
		}
		for c, n := range used {
			if n > room[c] {
				t.Fatalf("column %d has %d rows", c, n)
			}
		}
		if want := slow(worth, room); sum != want || own != want {
			t.Fatalf("%d, by its rows %d; everything tried gives %d", sum, own, want)
		}
	})
}
