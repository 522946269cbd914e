// Package keyed reads YAML files in the hands of a mill, in which every key is known: mappings of keys, each at most once, and lists of
// such mappings. An unknown or repeated key is an error, and every error names the file and the line and says what to do next.
//
// It knows no quantity and no machine; the packages that read a kind of file say which keys there are and how each value is read. It
// follows no reference within a file (one is refused) and writes nothing.
package keyed

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/trouble"
)

// LongestFile is far above any file that a person writes.
const LongestFile = 1 << 20

// Take reads the value of a key found at path.
type Take func(path string, n *yaml.Node) error

// Key is one key of a mapping.
type Key struct {
	Name string
	Take Take
}

// Of is the key of that name.
func Of(name string, take Take) Key { return Key{name, take} }

// Kind is a kind of file, in the words of its errors.
type Kind struct {
	Code  string // of every fault
	Least string // what an empty file should at least have, such as "write at least heads and stages"
	One   string // what one file holds: "one file holds one machine; take the line --- away"
	What  string // what to give in place of a file that is too long
	Item  string // how an item of a list begins, such as `begin each item with "- name: …"`
}

// File is one file that is being read, and where things stand in it, by paths such as "stages[2].speed".
type File struct {
	Name  string
	Kind  Kind
	Lines map[string]int
	Nodes map[string]*yaml.Node
}

// New is a file of which nothing is read yet. The name stands in errors.
func New(name string, kind Kind) *File {
	return &File{Name: name, Kind: kind, Lines: map[string]int{}, Nodes: map[string]*yaml.Node{}}
}

// Read reads a text into keys, its outermost mapping. Errors are *trouble.Trouble of the kind's code.
func (f *File) Read(text []byte, keys []Key) error {
	root, err := f.Root(text)
	if err != nil {
		return err
	}
	return f.Group(keys...)("", root)
}

// Root parses the text into what its one document is: a mapping, where the file is right. It serves those who must look at some keys
// before others; then the keys are read by [File.Group].
func (f *File) Root(text []byte) (*yaml.Node, error) {
	if len(text) > LongestFile {
		return nil, f.Bad(0, "the file is longer than 1 MiB", f.Kind.What)
	}
	documents, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithUniqueKeys(false))
	if err != nil {
		return nil, trouble.Own("bad-option", f.Name, "the YAML reader refuses its options", "").Because(err)
	}
	var root, second yaml.Node
	switch err := documents.Load(&root); {
	case err == io.EOF || err == nil && len(root.Content) == 0:
		return nil, f.Bad(0, "the file is empty", f.Kind.Least)
	case err != nil:
		return nil, f.notYAML(err)
	}
	switch err := documents.Load(&second); {
	case err == nil:
		return nil, f.Bad(second.Line, "more follows after the first document", f.Kind.One)
	case err != io.EOF:
		return nil, f.notYAML(err)
	}
	return root.Content[0], nil
}

// notYAML is the parser's complaint, with its line.
func (f *File) notYAML(err error) error {
	line, what := 0, err.Error()
	if at := new(yaml.LoadError); errors.As(err, &at) {
		line, what = at.Mark.Line, at.Message
	}
	return f.Bad(line, "this is not YAML: "+what, `write "key: value" lines, and indent with spaces`).Because(err)
}

// AtLine gives a fault that a check found the line of the value that it names as where, or of the nearest place above it.
func (f *File) AtLine(err error) error {
	t := new(trouble.Trouble)
	if !errors.As(err, &t) {
		return err
	}
	return f.Refused(t.Where, err)
}

// Refused gives what another package says of the thing at path its line.
func (f *File) Refused(path string, err error) error {
	t := new(trouble.Trouble)
	if !errors.As(err, &t) {
		return err
	}
	return f.BadAt(path, t.What, t.Next).Because(err)
}

// Line is the line of what was read at path, or of the nearest place above it that has one; 0 where there is none.
func (f *File) Line(path string) (line int) {
	for line == 0 && path != "" {
		line = f.Lines[path]
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
	return line
}

// BadAt is a fault of what was read at path, or at the nearest place above it.
func (f *File) BadAt(path, what, next string) *trouble.Trouble {
	return f.Bad(f.Line(path), path+": "+what, next)
}

// BadValue is a fault of a value at path.
func (f *File) BadValue(path string, n *yaml.Node, what, next string) *trouble.Trouble {
	return f.Bad(n.Line, path+": "+what, next)
}

// Bad is a fault in the file; line 0 is the file as a whole.
func (f *File) Bad(line int, what, next string) *trouble.Trouble {
	where := f.Name
	if line > 0 {
		where = fmt.Sprintf("%s:%d", f.Name, line)
	}
	return trouble.Data(f.Kind.Code, where, what, next)
}
