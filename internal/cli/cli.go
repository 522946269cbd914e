// Package cli is the command line: it turns arguments into one question, asks it, and shows the answer.
//
// Every verb is a method that gets what it may use of the outside world (a session) and returns a report: the same facts as
// an object for programs (--json) and as text for people; package verb holds these shapes, packages floor and office the
// verbs of the mill's book. This package decides nothing about stone: it parses, asks and shows; what makes a set fit to be judged, good,
// or worth seating anew is asked of the reckoning. It does not read the environment, keeps no state between two calls of
// Run, and never writes to standard output before a whole answer stands.
//
// Exit status: 0 conforms or done, 1 does not conform, 2 cannot tell. With any other status standard output stays empty and
// standard error says what, where and what to do next: 64 usage, 65 bad data, 70 our own fault, 74 input or output.
package cli

import (
	"bytes"
	"context"
	"crypto/rand"
	"io"
	"time"

	"github.com/alecthomas/kong"

	"slatewright/internal/cli/verb"
)

// Run answers one command line and returns the exit status. args does not hold the program's own name.
func Run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return RunIn(args, verb.Session{Stdin: stdin, Stdout: stdout, Stderr: stderr, Context: context.Background(), Clock: time.Now,
		Random: rand.Reader, Setting: func(string) string { return "" }})
}

// RunIn is Run with all that a verb may use of the outside world.
func RunIn(args []string, s verb.Session) int { return run(args, s) }

// run is RunIn with more grammar, for tests that plant a verb.
func run(args []string, s verb.Session, extra ...kong.Option) int {
	text, status, err := answer(args, &s, extra)
	if err == nil {
		err = verb.Write(s.Stdout, text)
	}
	if err != nil {
		t := asTrouble(err)
		writeTrouble(s.Stderr, t, wantsJSON(args))
		return t.Kind.ExitCode()
	}
	return int(status)
}

// answer parses the command line, asks the verb and renders its report. A panic anywhere below becomes our own fault.
func answer(args []string, s *verb.Session, extra []kong.Option) (text []byte, status verb.Outcome, err error) {
	defer func() {
		if p := recover(); p != nil {
			text, err = nil, fault(p)
		}
	}()
	g, v, helped, err := parse(args, extra)
	if err != nil {
		return nil, 0, err
	}
	if helped != nil {
		return helped, verb.Done, nil
	}
	s.JSON, s.Version = g.JSON, Version
	rep, err := v.Run(s)
	if err != nil {
		return nil, 0, err
	}
	var b bytes.Buffer
	err = verb.Render(&b, rep, g.JSON)
	return b.Bytes(), rep.Outcome(), err
}
