// Package verb is what the verbs of the command line share: what a verb is, what it may use of the outside world, how it
// answers, how its help is laid out, and how files are opened and written so that every failure is told in the same words.
//
// It knows no verb and no grammar, decides nothing, and reads neither the environment nor a clock.
package verb

import (
	"encoding/json"
	"io"

	"slatewright/judge"
	"slatewright/trouble"
)

// Verb is one question that can be asked. The fields of the struct are its flags and arguments.
type Verb interface {
	Run(*Session) (Report, error)
	About() About
}

// About is the part of a verb's help that its flags do not tell.
type About struct {
	Text     string    // one or more paragraphs, separated by an empty line
	Examples []Example // at least one
}

// Example is a command line, and what it is for. A test parses each one.
type Example [2]string

// Line is the command line.
func (e Example) Line() string { return e[0] }

// Why is what it is for.
func (e Example) Why() string { return e[1] }

// Outcome is the exit status of an answer.
type Outcome int

// The outcomes. Any other exit status is that of trouble.
const (
	Done       Outcome = 0 // the question is answered, or the thing conforms
	Refused    Outcome = 1 // it does not conform
	CannotTell Outcome = 2 // the readings do not settle it
)

// OutcomeOf is the exit status that answers with a verdict.
func OutcomeOf(v judge.Verdict) Outcome {
	switch v {
	case judge.Conforms:
		return Done
	case judge.DoesNotConform:
		return Refused
	}
	return CannotTell
}

// Report is the answer of a verb. With --json it is marshalled as it stands, so its fields carry json tags with units.
type Report interface {
	Outcome() Outcome
	Print(w io.Writer) // for people; w keeps everything in memory and never fails
}

// Said is the report of a verb that has already given its answers one by one, by Session.Say.
type Said struct{}

// Outcome is Done.
func (Said) Outcome() Outcome { return Done }

// Print writes nothing.
func (Said) Print(io.Writer) {}

// ReportIt is the next step after a fault of the program itself.
const ReportIt = "please report it with the command and its input files; nothing was written to standard output"

// Render writes a report as one JSON object on one line, or as text.
func Render(w io.Writer, r Report, asJSON bool) error {
	if _, ok := r.(Said); ok {
		return nil
	}
	if !asJSON {
		r.Print(w)
		return nil
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(r); err != nil {
		return trouble.Own("unwritable-report", "", "the answer cannot be written as JSON: "+err.Error(), ReportIt).Because(err)
	}
	return nil
}
