package cli

import (
	"encoding"
	"errors"
	"io"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/trouble"
)

// session is what a verb may use of the outside world.
type session struct {
	JSON   bool // the answer goes to a program: no progress, no hints
	Stdin  io.Reader
	Stderr io.Writer // for progress on a terminal only; trouble is returned, never written
}

// refusal is the trouble of a computation with the readings of f: it gets the name of the file as its place, or before a
// place within it, and what reading the file has warned of, since that may be the cause.
func refusal(err error, f *face.Face) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Kind != trouble.KindData {
		return err
	}
	told := *t
	if told.Where = f.Name; t.Where != "" {
		told.Where += ", " + t.Where
	}
	for i, w := range f.Warnings {
		if i == mostCauses {
			told.What += "; and more"
			break
		}
		told.What += "; " + w
	}
	return told.Because(err)
}

// mostCauses is how many warnings are shown with a refusal.
const mostCauses = 3

// length is a flag's value that is a length with its unit, in mm.
type length struct {
	mm   float64
	unit measure.Unit // as typed
}

var _ encoding.TextUnmarshaler = (*length)(nil)

// UnmarshalText reads a length as people write it.
func (l *length) UnmarshalText(text []byte) (err error) {
	l.mm, l.unit, err = measure.ParseLengthUnit(string(text))
	return err
}
