package jobstest

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"

	"slatewright/internal/jobs"
)

// inChild names the book that a child process works on.
const inChild = "SLATEWRIGHT_JOBSTEST_BOOK"

// Main runs the tests of a package, or, in a process that such a test started, a program that works on a book until it is
// killed. Call it from TestMain.
func Main(m *testing.M, e Engine) {
	where := os.Getenv(inChild)
	if where == "" {
		flag.Set("test.parallel", "6") // the exercise waits more than it computes; a flag that is given overrules this
		os.Exit(m.Run())
	}
	go func() { // the pipe ends with the test, however that ends
		io.Copy(io.Discard, os.Stdin)
		os.Exit(1)
	}()
	opened, err := e.Open(where, site, jobs.Options{Hands: 1, Slice: time.Hour}, tally{})
	if err == nil {
		err = opened.Queue.Run(context.Background())
	}
	fmt.Fprintln(os.Stderr, "jobstest: a child process ended:", err)
	os.Exit(1)
}

// child is another process that works on the book.
type child struct {
	t   *testing.T
	cmd *exec.Cmd
}

// child starts another process; it is killed at the end of the test if not before.
func (b *bench) child() *child {
	b.t.Helper()
	self, err := os.Executable()
	if err != nil {
		b.t.Fatal(err)
	}
	c := &child{b.t, exec.Command(self)}
	c.cmd.Env = append(os.Environ(), inChild+"="+b.where)
	c.cmd.Stderr = os.Stderr
	if _, err := c.cmd.StdinPipe(); err != nil {
		b.t.Fatal(err)
	}
	if err := c.cmd.Start(); err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(c.kill)
	return c
}

func (c *child) pid() int { return c.cmd.Process.Pid }

func (c *child) signal(s syscall.Signal) {
	c.t.Helper()
	if err := c.cmd.Process.Signal(s); err != nil {
		c.t.Fatal(err)
	}
}

// kill kills it as kill -9 does and waits for its end.
func (c *child) kill() {
	if c.cmd.ProcessState == nil {
		c.cmd.Process.Kill()
		c.cmd.Wait()
	}
}
