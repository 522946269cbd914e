package trouble

import "strconv"

// Count says how many there are, with the word in its number: "1 fault", "2 faults".
func Count[N int | int64](n N, one, many string) string {
	word := many
	if n == 1 {
		word = one
	}
	return strconv.FormatInt(int64(n), 10) + " " + word
}
