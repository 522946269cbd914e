package shell

import (
	"html/template"
	"regexp"
)

// numbered are the words of a text that a line may not break: numbers of things, as QH-1016.
var numbered = regexp.MustCompile(`[\p{Lu}\p{Nd}]+(-[\p{L}\p{Nd}]+)+`)

// whole is a text in which the numbers of things are not broken at the end of a line.
func whole(text string) template.HTML {
	return template.HTML(numbered.ReplaceAllString(template.HTMLEscapeString(text), `<span class="whole">$0</span>`)) // escaped before
}
