// Package specfile reads and writes the part of a bed's pattern file on which certificates rest.
//
// The file is that of bed/pattern/patternfile, which reads it whole; here what a [bed.Spec] holds is taken from it. So a file
// that also draws pockets and holes serves certificates as it stands, and one with a fault anywhere is refused.
//
// The package does not judge a specification beyond [bed.Spec.Validate], and it does not keep a file's comments.
package specfile

import (
	"errors"
	"io"

	"slatewright/bed"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/trouble"
)

// ReadFile reads the specification in the file at path.
func ReadFile(path string) (bed.Spec, error) {
	p, err := patternfile.ReadFile(path)
	return spec(path, p, err)
}

// Read reads one specification and validates it. The name stands in errors, which are *trouble.Trouble. A bed that is not of
// three equal pieces is refused with the code "not-three-pieces".
func Read(name string, from io.Reader) (bed.Spec, error) {
	p, err := patternfile.Read(name, from)
	return spec(name, p, err)
}

func spec(name string, p pattern.Pattern, err error) (bed.Spec, error) {
	if err != nil {
		return bed.Spec{}, err
	}
	s, err := p.Spec()
	if t := new(trouble.Trouble); errors.As(err, &t) {
		t.Where = name
	}
	return s, err
}
