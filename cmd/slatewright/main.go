// Command slatewright computes the decisions that turn slate into billiard beds, and keeps the proof.
//
// It only wires the process to package cli; 'slatewright --help' tells the verbs.
package main

import (
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"slatewright/internal/cli"
)

func main() {
	// A reader that stops early is an output error with its own exit status, not a signal that ends the program without a word.
	signal.Ignore(syscall.SIGPIPE)
	// A crash that cannot be caught (a panic in another goroutine, no memory left) would end with status 2, which means
	// "cannot tell" to the caller: abort instead.
	debug.SetTraceback("crash")
	os.Exit(cli.Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
