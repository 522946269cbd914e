// Package cli is the command line: it turns arguments into one question, asks it, and shows the answer.
//
// Every verb is a method that gets what it may use of the outside world (a session) and returns a report: the same facts as
// an object for programs (--json) and as text for people. This package decides nothing about stone: it parses, asks and
// shows; what makes a set fit to be judged, good, or worth seating anew is asked of the reckoning. It does not read the environment, keeps no state between two calls of Run, and never writes to standard output
// before the whole answer stands.
//
// Exit status: 0 conforms or done, 1 does not conform, 2 cannot tell. With any other status standard output stays empty and
// standard error says what, where and what to do next: 64 usage, 65 bad data, 70 our own fault, 74 input or output.
package cli

import (
	"bytes"
	"encoding/json"
	"io"

	"github.com/alecthomas/kong"

	"slatewright/judge"
	"slatewright/trouble"
)

// outcome is the exit status of an answer.
type outcome int

const (
	done       outcome = 0 // the question is answered, or the thing conforms
	refused    outcome = 1 // it does not conform
	cannotTell outcome = 2 // the readings do not settle it
)

// outcomeOf is the exit status that answers with a verdict.
func outcomeOf(v judge.Verdict) outcome {
	switch v {
	case judge.Conforms:
		return done
	case judge.DoesNotConform:
		return refused
	}
	return cannotTell
}

// report is the answer of a verb. With --json it is marshalled as it stands, so its fields carry json tags with units.
type report interface {
	outcome() outcome
	print(w io.Writer) // for people; w keeps everything in memory and never fails
}

// Run answers one command line and returns the exit status. args does not hold the program's own name.
func Run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return run(args, stdin, stdout, stderr)
}

// run is Run with more grammar, for tests that plant a verb.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer, extra ...kong.Option) int {
	text, status, err := answer(args, stdin, stderr, extra)
	if err == nil {
		if _, writeErr := stdout.Write(text); writeErr != nil {
			err = trouble.IO("unwritable-output", "standard output", "the answer could not be written: "+reason(writeErr),
				"look whether the disk is full or the reading program has stopped, then run the command again").Because(writeErr)
		}
	}
	if err != nil {
		t := asTrouble(err)
		writeTrouble(stderr, t, wantsJSON(args))
		return t.Kind.ExitCode()
	}
	return int(status)
}

// answer parses the command line, asks the verb and renders its report. A panic anywhere below becomes our own fault.
func answer(args []string, stdin io.Reader, stderr io.Writer, extra []kong.Option) (text []byte, status outcome, err error) {
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
		return helped, done, nil
	}
	rep, err := v.Run(&session{JSON: g.JSON, Stdin: stdin, Stderr: stderr})
	if err != nil {
		return nil, 0, err
	}
	text, err = render(rep, g.JSON)
	return text, rep.outcome(), err
}

// render returns the report as one JSON object on one line, or as text.
func render(rep report, asJSON bool) ([]byte, error) {
	var b bytes.Buffer
	if !asJSON {
		rep.print(&b)
		return b.Bytes(), nil
	}
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(rep); err != nil {
		return nil, trouble.Own("unwritable-report", "", "the answer cannot be written as JSON: "+err.Error(), reportIt).Because(err)
	}
	return b.Bytes(), nil
}
