// Package patternfile reads the YAML file in which a mill keeps one table's bed: what is promised of the stone, its pieces,
// pockets and holes, how exactly, and who approved it. The same file serves certificates (bed/specfile takes from it what they need).
//
// Lengths are written as people write them ("25.4 mm", "1 in", "0.005 in"), each with its unit, or as plain sums with + − * /
// and brackets over lengths, numbers and the names that the file defines; there are no conditions, functions or references.
// Holes, pockets and strips are given once and repeated by the bed's symmetry. Keys are strict: an unknown or repeated key
// is an error, and every error names the file, the line and what to do. What a file leaves out of the promise is taken from
// [bed.NineFoot], except for what belongs to one table and one mill alone: pattern, revision and size must be written, and
// supports, shims and lining count as absent when they are not. Clearances that are left out are those of [DefaultClearances].
//
// [Schema] gives the same table of keys as a JSON schema, for editors.
//
// The package does not say whether a pattern is wise (bed/rules does), and it does not write.
package patternfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/sums"
	"slatewright/trouble"
)

// longestFile is far above any real specification; it keeps a wrong file from being read whole.
const longestFile = 1 << 20

// ReadFile reads the pattern in the file at path.
func ReadFile(path string) (pattern.Pattern, error) {
	f, err := os.Open(path)
	if err != nil {
		return pattern.Pattern{}, trouble.IO("cannot-read", path, "the specification cannot be opened", "check the path").Because(err)
	}
	defer f.Close()
	return Read(path, f)
}

// Read reads one pattern and works it out. The name stands in errors, which are *trouble.Trouble of code "bad-spec", or
// "cannot-read".
func Read(name string, from io.Reader) (pattern.Pattern, error) {
	text, err := io.ReadAll(io.LimitReader(from, longestFile+1))
	if err != nil {
		return pattern.Pattern{}, trouble.IO("cannot-read", name, "the specification cannot be read", "").Because(err)
	}
	r := newReader(name)
	if len(text) > longestFile {
		return pattern.Pattern{}, r.bad(0, "the file is longer than 1 MiB; that is no bed specification", "give a specification written in YAML")
	}
	root, err := r.root(text)
	if err != nil {
		return pattern.Pattern{}, err
	}
	d, err := r.draft(root)
	if err != nil {
		return pattern.Pattern{}, err
	}
	return r.build(d)
}

// reader carries where things stand in the file being read, and its names.
type reader struct {
	name  string
	lines map[string]int // line of every key and list item that was read, by its path, such as "limits.step"
	names sums.Names
}

func newReader(name string) *reader { return &reader{name: name, lines: map[string]int{}} }

// root parses the text into the one mapping that a specification is. Repeated keys are found later, with both lines.
func (r *reader) root(text []byte) (*yaml.Node, error) {
	documents, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithUniqueKeys(false))
	if err != nil {
		return nil, trouble.Own("bad-option", r.name, "the YAML reader refuses its options", "").Because(err)
	}
	var first, second yaml.Node
	switch err := documents.Load(&first); {
	case err == io.EOF || err == nil && len(first.Content) == 0:
		return nil, r.bad(0, "the specification is empty", "write at least pattern, revision and size")
	case err != nil:
		return nil, r.notYAML(err)
	}
	switch err := documents.Load(&second); {
	case err == nil:
		return nil, r.bad(second.Line, "a second document begins", "one file holds one specification; take the line --- away")
	case err != io.EOF:
		return nil, r.notYAML(err)
	}
	return first.Content[0], nil
}

// notYAML turns the parser's complaint into ours, with its line.
func (r *reader) notYAML(err error) error {
	line, what := 0, err.Error()
	if at := new(yaml.LoadError); errors.As(err, &at) {
		line, what = at.Mark.Line, at.Message
	}
	t := r.bad(line, "this is not YAML: "+what, `write "key: value" lines, and indent with spaces`)
	return t.Because(err)
}

// bad is a fault in the file; line 0 is the file as a whole.
func (r *reader) bad(line int, what, next string) *trouble.Trouble {
	where := r.name
	if line > 0 {
		where = fmt.Sprintf("%s:%d", r.name, line)
	}
	return trouble.Data("bad-spec", where, what, next)
}

// badNode is a fault of one value.
func (r *reader) badNode(path string, n *yaml.Node, what, next string) *trouble.Trouble {
	return r.bad(n.Line, path+": "+what, next)
}

// badAt is a fault of what was read at path, or at the nearest place above it.
func (r *reader) badAt(path, what, next string) *trouble.Trouble {
	return r.bad(r.line(path), path+": "+what, next)
}

// line is the line of path, or of the nearest place above it that has one.
func (r *reader) line(path string) (line int) {
	for line == 0 && path != "" {
		line = r.lines[path]
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
	return line
}

// atLine gives a fault that a check found the line of the value that it names.
func (r *reader) atLine(err error) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return err
	}
	return r.badAt(t.Where, t.What, t.Next).Because(err)
}

// refused gives what another package says of a thing its line.
func (r *reader) refused(path string, err error) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) {
		return err
	}
	return r.badAt(path, t.What, t.Next).Because(err)
}
