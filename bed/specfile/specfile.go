// Package specfile reads and writes the bed specification as a YAML file, the form in which a mill keeps it.
//
// Lengths are written as people write them ("25.4 mm", "1 in", "0.005 in"), each with its unit. Keys are strict: an
// unknown or repeated key is an error, and every error names the file and the line. What a file leaves out is taken from
// [bed.NineFoot], except for what belongs to one table and one mill alone: pattern, revision and size must be written,
// and supports, shims and lining count as absent when they are not.
//
// The package does not judge a specification beyond [bed.Spec.Validate], and it does not keep a file's comments.
package specfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"go.yaml.in/yaml/v4"

	"slatewright/bed"
	"slatewright/trouble"
)

// longestFile is far above any real specification; it keeps a wrong file from being read whole.
const longestFile = 1 << 20

// ReadFile reads the specification in the file at path.
func ReadFile(path string) (bed.Spec, error) {
	f, err := os.Open(path)
	if err != nil {
		return bed.Spec{}, trouble.IO("cannot-read", path, "the specification cannot be opened", "check the path").Because(err)
	}
	defer f.Close()
	return Read(path, f)
}

// Read reads one specification and validates it. The name stands in errors, which are *trouble.Trouble.
func Read(name string, from io.Reader) (bed.Spec, error) {
	text, err := io.ReadAll(io.LimitReader(from, longestFile+1))
	if err != nil {
		return bed.Spec{}, trouble.IO("cannot-read", name, "the specification cannot be read", "").Because(err)
	}
	r := reader{name: name, lines: map[string]int{}}
	if len(text) > longestFile {
		return bed.Spec{}, r.bad(0, "the file is longer than 1 MiB; that is no bed specification", "give a specification written in YAML")
	}
	root, err := r.root(text)
	if err != nil {
		return bed.Spec{}, err
	}
	return r.spec(root)
}

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

// reader carries where things stand in the file being read.
type reader struct {
	name  string
	lines map[string]int // line of every key and list item that was read, by its path, such as "limits.step"
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
