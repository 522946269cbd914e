package cli

import (
	"io"
)

// session is what a verb may use of the outside world.
type session struct {
	JSON   bool // the answer goes to a program: no progress, no hints
	Stdin  io.Reader
	Stderr io.Writer // for progress on a terminal only; trouble is returned, never written
}
