package drilling

import (
	"encoding/json"
	"io"

	"slatewright/bed/pattern/patternfile"
	"slatewright/internal/cli/verb"
)

// Schema prints the form of a pattern file.
type Schema struct{}

// About is the help of the verb.
func (Schema) About() verb.About {
	return verb.About{
		Text: `Prints a JSON schema (draft 7) of the pattern file, made of the same table of keys by which the program reads. An editor that knows
			schemas then completes keys, shows what each is for and marks slips: write it to a file beside the patterns and begin each pattern
			with the line "# yaml-language-server: $schema=bed.schema.json". Sums and ranges are beyond a schema; 'slatewright bed check' says those.`,
		Examples: []verb.Example{
			{"slatewright bed schema > bed.schema.json", "for the editor"},
		},
	}
}

// schemaReport is the schema itself, for people and programs alike.
type schemaReport struct{ json.RawMessage }

// Run makes the schema.
func (Schema) Run(*verb.Session) (verb.Report, error) {
	text, err := patternfile.Schema()
	return schemaReport{text}, err
}

// Outcome is Done.
func (schemaReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the schema.
func (r schemaReport) Print(w io.Writer) { _, _ = w.Write(r.RawMessage) }
