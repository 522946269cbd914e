package drilling

import (
	"fmt"
	"io"
	"strings"

	"slatewright/bed/rules/answers"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// Compare asks what changed between two pattern files.
type Compare struct {
	Before string `arg:"" help:"The older pattern file, YAML; - is standard input."`
	After  string `arg:"" help:"The newer one."`
}

// About is the help of the verb.
func (Compare) About() verb.About {
	return verb.About{
		Text: `Works both files out and lists what differs: features that are new, gone, renamed or moved and by how much, sizes and tolerances that changed,
			and what is promised otherwise. Features go by their names; what is alike under the symmetry is told in one line. Comments and the way in which
			sums are written do not count, only what they come to.`,
		Examples: []verb.Example{
			{"slatewright bed compare nine-foot-a.yaml nine-foot-b.yaml", "what the new revision changes"},
			{"slatewright bed compare nine-foot-a.yaml nine-foot-b.yaml --json", "every feature by itself, for programs"},
		},
	}
}

// compareReport is the answer.
type compareReport struct{ *answers.Compare }

// Run reads both patterns and compares them.
func (v Compare) Run(s *verb.Session) (verb.Report, error) {
	before, err := readPattern(s, v.Before)
	if err != nil {
		return nil, err
	}
	after, err := readPattern(s, v.After)
	if err != nil {
		return nil, err
	}
	return compareReport{answers.Compared(v.Before, before, v.After, after)}, nil
}

// Outcome is Done: to differ is no fault.
func (compareReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the answer for people.
func (r compareReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s, revision %s, to %s, revision %s\n", r.Before.Pattern, r.Before.Revision, r.After.Pattern, r.After.Revision)
	told := r.Told()
	if len(told) == 0 {
		fmt.Fprintln(w, "Nothing differs.")
	} else {
		fmt.Fprintf(w, "%s\n\n", trouble.Count(len(told), "difference", "differences"))
	}
	for _, d := range told {
		line := d.Of + ": " + d.Says
		if d.Of != "bed" {
			line = fmt.Sprintf("%s (%s): %s", strings.Join(d.Bases, ", "), trouble.Count(d.Count, d.Of, d.Of+"s"), d.Says)
		}
		io.WriteString(w, verb.Wrap(line, "  ", "    ", verb.Width))
	}
	verb.PrintWarnings(w, r.Warnings)
}
