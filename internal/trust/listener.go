package trust

import (
	"crypto/tls"
	"errors"
	"net"
	"sync"
	"time"
)

// handshake is the first byte of a connection that speaks TLS: the type of its record (RFC 8446, 5.1). No word of HTTP begins so.
const handshake = 0x16

// Both listens to TLS and to plain connections on one port. A connection is handed on when its first byte has come; one that stays
// silent longer than patience is closed, and holds up no other.
func Both(on net.Listener, config *tls.Config, patience time.Duration) net.Listener {
	b := &both{Listener: on, config: config, patience: patience, ready: make(chan net.Conn), closed: make(chan struct{}), failed: make(chan error, 1)}
	go b.run()
	return b
}

type both struct {
	net.Listener
	config   *tls.Config
	patience time.Duration
	ready    chan net.Conn
	failed   chan error
	closed   chan struct{}
	once     sync.Once
}

// Accept gives the next connection that has said something: a *tls.Conn, or a plain one.
func (b *both) Accept() (net.Conn, error) {
	select {
	case c := <-b.ready:
		return c, nil
	case err := <-b.failed:
		return nil, err
	case <-b.closed:
		return nil, net.ErrClosed
	}
}

// Close ends listening. Connections that have said nothing yet are closed.
func (b *both) Close() error {
	err := net.ErrClosed
	b.once.Do(func() {
		close(b.closed)
		err = b.Listener.Close()
	})
	return err
}

// longestPause is how long to wait at most after connections could not be accepted, as when files are used up.
const longestPause = time.Second

func (b *both) run() {
	pause := time.Duration(0)
	for {
		c, err := b.Listener.Accept()
		if err == nil {
			pause = 0
			go b.sniff(c)
			continue
		}
		if errors.Is(err, net.ErrClosed) {
			b.failed <- err
			return
		}
		pause = min(max(2*pause, 5*time.Millisecond), longestPause)
		select {
		case <-time.After(pause):
		case <-b.closed:
			return
		}
	}
}

// sniff waits for the first byte of a connection.
func (b *both) sniff(c net.Conn) {
	ended := make(chan struct{})
	defer close(ended)
	go func() {
		select {
		case <-b.closed:
			_ = c.SetReadDeadline(time.Unix(1, 0)) // it ends the reading below
		case <-ended:
		}
	}()
	first := &begun{Conn: c}
	if c.SetReadDeadline(time.Now().Add(b.patience)) != nil || first.begin() != nil || c.SetReadDeadline(time.Time{}) != nil {
		_ = c.Close()
		return
	}
	var out net.Conn = first
	if first.first[0] == handshake {
		out = tls.Server(first, b.config)
	}
	select {
	case b.ready <- out:
	case <-b.closed:
		_ = c.Close()
	}
}

// begun is a connection whose first byte was read already.
type begun struct {
	net.Conn
	first [1]byte
	given bool
}

func (c *begun) begin() error {
	_, err := c.Conn.Read(c.first[:])
	return err
}

// Read gives the first byte, and then what follows.
func (c *begun) Read(p []byte) (int, error) {
	if c.given || len(p) == 0 {
		return c.Conn.Read(p)
	}
	c.given = true
	p[0] = c.first[0]
	return 1, nil
}
