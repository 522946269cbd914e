package shell

import (
	"html/template"
	"regexp"
)

// numbered are the words of a text that a line may not break: numbers of things, as QH-1016.
var numbered = regexp.MustCompile(`[\p{Lu}\p{Nd}]+(-[\p{L}\p{Nd}]+)+`)

// mostWhole is the length of a number that still fits into the narrowest column; a longer one may be broken.
const mostWhole = 16

// whole is a text in which the numbers of things are not broken at the end of a line.
func whole(text string) template.HTML {
	marked := numbered.ReplaceAllStringFunc(template.HTMLEscapeString(text), func(number string) string { // escaped before
		if len(number) > mostWhole {
			return number
		}
		return `<span class="whole">` + number + `</span>`
	})
	return template.HTML(marked)
}
