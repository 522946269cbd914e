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
	"io"
	"os"

	"slatewright/bed/pattern"
	"slatewright/bed/pattern/sums"
	"slatewright/keyed"
	"slatewright/trouble"
)

// kind is what errors say of such a file.
var kind = keyed.Kind{Code: "bad-spec", Least: "write at least pattern, revision and size", One: "one file holds one specification; take the line --- away",
	What: "give a specification written in YAML"}

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
	text, err := io.ReadAll(io.LimitReader(from, keyed.LongestFile+1))
	if err != nil {
		return pattern.Pattern{}, trouble.IO("cannot-read", name, "the specification cannot be read", "").Because(err)
	}
	r := newReader(name)
	root, err := r.Root(text)
	if err != nil {
		return pattern.Pattern{}, err
	}
	d, err := r.draft(root)
	if err != nil {
		return pattern.Pattern{}, err
	}
	return r.build(d)
}

// reader is the file that is being read, with the names that it defines.
type reader struct {
	*keyed.File
	names sums.Names
}

func newReader(name string) *reader { return &reader{File: keyed.New(name, kind)} }
