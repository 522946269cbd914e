// Package spelling guesses which of a list of words somebody meant who wrote another.
//
// It knows letters only: no language, no meaning and no keyboard.
package spelling

import (
	"strings"
	"unicode/utf8"
)

// Nearest returns the word of the list that takes the fewest changed letters to reach, if a slip could explain them: at most
// one letter in three.
func Nearest(word string, list []string) string {
	word = strings.ToLower(word)
	length := utf8.RuneCountInString(word)
	best, fewest := "", 1+length/3
	for _, k := range list {
		if more := length - utf8.RuneCountInString(k); max(more, -more) >= fewest { // so many letters at least; a long text takes no time
			continue
		}
		if d := distance(word, k); d < fewest {
			best, fewest = k, d
		}
	}
	return best
}

// distance is the number of letters to put in, take out or change to make b out of a (Levenshtein 1966).
func distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range to {
			change := diagonal
			if x != y {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(to)]
}
