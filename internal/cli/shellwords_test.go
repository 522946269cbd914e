package cli

import "strings"

// ShellWords splits a command line at spaces outside of double quotes.
func ShellWords(line string) (list []string) {
	var word strings.Builder
	inside, begun := false, false
	for _, r := range line + " " {
		switch {
		case r == '"':
			inside, begun = !inside, true
		case r != ' ' || inside:
			word.WriteRune(r)
			begun = true
		case begun:
			list = append(list, word.String())
			word.Reset()
			begun = false
		}
	}
	return list
}
