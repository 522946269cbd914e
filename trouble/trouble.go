// Package trouble is the one shape of an error at the edges of the program: what is wrong, where it is, and what to do next.
//
// A Trouble is made where the cause is known (a parser, a solver that refuses its input) and shown where a person or a
// program reads it. The package does not print, translate or log, and it decides nothing but the exit status of its kind.
package trouble

import "strings"

// Kind says whose turn it is to act.
type Kind int

// The kinds, each with the exit status that the command line gives it.
const (
	KindUsage Kind = iota // the command was not given as it must be: 64
	KindData              // what was read is wrong or incomplete: 65
	KindOwn               // our own fault: 70
	KindIO                // a file or device could not be read or written: 74
)

var kinds = [...]struct {
	name string
	exit int
}{{"usage", 64}, {"data", 65}, {"own", 70}, {"io", 74}}

// String returns the kind's short word: usage, data, own or io.
func (k Kind) String() string { return kinds[k].name }

// ExitCode returns the exit status of the kind.
func (k Kind) ExitCode() int { return kinds[k].exit }

// Trouble is an error with a place and a next step.
type Trouble struct {
	Kind  Kind
	Code  string // a short word for programs, such as "bad-number"; never changed once published
	What  string // one sentence on what is wrong
	Where string // file:line, field or flag; may be empty
	Next  string // what the reader can do about it; may be empty
	Err   error  // the cause, if another error was it
}

// Usage reports a command given wrongly.
func Usage(code, where, what, next string) *Trouble {
	return &Trouble{Kind: KindUsage, Code: code, Where: where, What: what, Next: next}
}

// Data reports input that is wrong or incomplete.
func Data(code, where, what, next string) *Trouble {
	return &Trouble{Kind: KindData, Code: code, Where: where, What: what, Next: next}
}

// Own reports a fault of the program itself.
func Own(code, where, what, next string) *Trouble {
	return &Trouble{Kind: KindOwn, Code: code, Where: where, What: what, Next: next}
}

// IO reports a file or device that could not be read or written.
func IO(code, where, what, next string) *Trouble {
	return &Trouble{Kind: KindIO, Code: code, Where: where, What: what, Next: next}
}

// Because sets the cause and returns t.
func (t *Trouble) Because(err error) *Trouble {
	t.Err = err
	return t
}

// Error returns "where: what; next", leaving out what is empty.
func (t *Trouble) Error() string {
	var b strings.Builder
	if t.Where != "" {
		b.WriteString(t.Where)
		b.WriteString(": ")
	}
	b.WriteString(t.What)
	if t.Next != "" {
		b.WriteString("; ")
		b.WriteString(t.Next)
	}
	return b.String()
}

// Unwrap returns the cause.
func (t *Trouble) Unwrap() error { return t.Err }
