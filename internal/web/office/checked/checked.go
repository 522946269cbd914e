// Package checked checks the certificates of the public page behind it: signature, digest, and everything computed anew. Each is checked once,
// and the answer is the same for everybody.
//
// It reads no file and shows nothing; who may ask how often is the page's affair.
package checked

import (
	"sync"

	"slatewright/certificate"
)

// Most bounds what is remembered; then all is forgotten, and checked anew when it is asked for.
const Most = 500

// Certificates are those that were checked, by the digest of their file. The zero value is ready.
type Certificates struct {
	mu    sync.Mutex
	found map[string]*Check
}

// Check is one certificate as it is checked.
type Check struct {
	done   chan struct{}
	report certificate.Report
	err    error
}

// Of starts to check the certificate in a file, or returns the check that was started before.
func (c *Certificates) Of(digest string, text []byte) *Check {
	c.mu.Lock()
	defer c.mu.Unlock()
	if known := c.found[digest]; known != nil {
		return known
	}
	if c.found == nil || len(c.found) >= Most {
		c.found = map[string]*Check{}
	}
	check := &Check{done: make(chan struct{})}
	c.found[digest] = check
	go func() {
		defer close(check.done)
		check.report, check.err = certificate.Check{Program: "slatewright"}.Verify("certificate", text)
	}()
	return check
}

// Done is closed when the check has ended.
func (c *Check) Done() <-chan struct{} { return c.done }

// Report waits for the check and returns what it found; the error says that the file is no certificate.
func (c *Check) Report() (certificate.Report, error) {
	<-c.done
	return c.report, c.err
}
