package verb

import (
	"bytes"
	"context"
	"encoding"
	"io"
	"time"

	"slatewright/measure"
	"slatewright/trouble"
)

// Session is what a verb may use of the outside world.
type Session struct {
	JSON   bool // the answer goes to a program: no progress, no hints
	Stdin  io.Reader
	Stdout io.Writer // for Say only; the answer is returned, never written
	Stderr io.Writer // for progress on a terminal and the log of a server; trouble is returned, never written

	Context context.Context     // ends when whoever called does not want the answer any more
	Clock   func() time.Time    // what time it is in the mill
	Random  io.Reader           // for ids and keys
	Setting func(string) string // what the mill has set beside the flags, by name; "" when it is not set
	Version string              // of the program
}

// Say writes one whole answer at once, for verbs that go on answering: a server, or a journal that is followed.
func (s *Session) Say(r Report) error {
	var b bytes.Buffer
	if err := Render(&b, r, s.JSON); err != nil {
		return err
	}
	return Write(s.Stdout, b.Bytes())
}

// Write hands an answer to standard output.
func Write(stdout io.Writer, text []byte) error {
	if _, err := stdout.Write(text); err != nil {
		return trouble.IO("unwritable-output", "standard output", "the answer could not be written: "+Reason(err),
			"look whether the disk is full or the reading program has stopped, then run the command again").Because(err)
	}
	return nil
}

// Length is a flag's value that is a length with its unit.
type Length struct {
	MM   float64
	Unit measure.Unit // as typed
}

var _ encoding.TextUnmarshaler = (*Length)(nil)

// UnmarshalText reads a length as people write it.
func (l *Length) UnmarshalText(text []byte) (err error) {
	l.MM, l.Unit, err = measure.ParseLengthUnit(string(text))
	return err
}
