package drilling

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/rules/answers"
	"slatewright/internal/cli/verb"
	"slatewright/internal/picture/beddrawing"
	"slatewright/internal/picture/drafting"
	"slatewright/trouble"
)

// Compare asks what changed between two pattern files.
type Compare struct {
	Before string `arg:"" help:"The older pattern file, YAML; - is standard input."`
	After  string `arg:"" help:"The newer one."`

	Picture string `placeholder:"FILE" help:"Draw both over one another here: SVG, PDF or DXF; the file must not be there yet."`
	Paper   string `enum:"A3,A4" default:"A3" help:"Size of that sheet."`
}

// About is the help of the verb.
func (Compare) About() verb.About {
	return verb.About{
		Text: `Works both files out and lists what differs: features that are new, gone, renamed or moved and by how much, sizes and tolerances that changed,
			and what is promised otherwise. Features go by their names; what is alike under the symmetry is told in one line. Comments and the way in which
			sums are written do not count, only what they come to.

			The picture has the old revision thin and dashed and the new one wide; what differs bears a sign and a letter: a square and A for added, a
			crossed square and R for removed, a circle and M for moved, a triangle and C for made otherwise, a hexagon and N for renamed.`,
		Examples: []verb.Example{
			{"slatewright bed compare nine-foot-a.yaml nine-foot-b.yaml", "what the new revision changes"},
			{"slatewright bed compare nine-foot-a.yaml nine-foot-b.yaml --picture changes.svg", "and where"},
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
	r := compareReport{answers.Compared(v.Before, before, v.After, after)}
	if v.Picture != "" {
		return r, v.draw(before, after, r)
	}
	return r, nil
}

// draw draws both revisions over one another.
func (v Compare) draw(before, after pattern.Pattern, r compareReport) error {
	var lines []string
	for _, d := range r.Told() {
		lines = append(lines, line(d))
	}
	d, err := beddrawing.Overlay(before, after, r.Differences, lines, beddrawing.Options{Paper: beddrawing.Paper(v.Paper)})
	if err != nil {
		return err
	}
	var text bytes.Buffer
	switch strings.ToLower(filepath.Ext(v.Picture)) {
	case ".svg":
		err = d.SVG(&text)
	case ".pdf":
		err = beddrawing.PDF(&text, d.Title, beddrawing.Options{}, []*drafting.Drawing{d})
	case ".dxf":
		err = d.DXF(&text)
	default:
		err = trouble.Usage("bad-ending", "--picture", fmt.Sprintf("%q ends in no kind of file that is known", v.Picture), "end it in .svg, .pdf or .dxf")
	}
	if err != nil {
		return err
	}
	return verb.WriteNew(verb.NewFile{Path: v.Picture, Text: text.Bytes(), Mode: 0o644})
}

// line says one difference.
func line(d answers.Told) string {
	if d.Of == "bed" {
		return d.Of + ": " + d.Says
	}
	return fmt.Sprintf("%s (%s): %s", strings.Join(d.Bases, ", "), trouble.Count(d.Count, d.Of, d.Of+"s"), d.Says)
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
		io.WriteString(w, verb.Wrap(line(d), "  ", "    ", verb.Width))
	}
	verb.PrintWarnings(w, r.Warnings)
}
