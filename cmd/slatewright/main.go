// Command slatewright computes the decisions that turn slate into billiard beds, and keeps the proof.
//
// It only wires the process to package cli; 'slatewright --help' tells the verbs.
package main

import (
	"context"
	"crypto/rand"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"

	"slatewright/internal/cli"
	"slatewright/internal/cli/verb"
)

func main() {
	// A reader that stops early is an output error with its own exit status, not a signal that ends the program without a word.
	signal.Ignore(syscall.SIGPIPE)
	// A crash that cannot be caught (a panic in another goroutine, no memory left) would end with status 2, which means
	// "cannot tell" to the caller: abort instead.
	debug.SetTraceback("crash")
	os.Exit(cli.RunIn(os.Args[1:], verb.Session{Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
		Context: context.Background(), Clock: time.Now, Random: rand.Reader,
		Setting: func(name string) string { return os.Getenv("SLATEWRIGHT_" + name) }}))
}
