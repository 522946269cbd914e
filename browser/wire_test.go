package browser_test

import (
	"bytes"
	"io"
	"net"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
)

// wire is the network between a tablet and the mill; it can be cut.
type wire struct {
	at       string // address on the tablet's side
	to       string
	listener net.Listener
	mu       sync.Mutex
	state    wireState
	open     map[net.Conn]bool
}

type wireState int

const (
	whole wireState = iota
	deaf            // entries that a tablet sends arrive, and the answer is lost
	cut
)

// newWire lays a wire to a mill.
func newWire(t *testing.T, m *mill) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{at: "http://" + l.Addr().String(), to: strings.TrimPrefix(m.at, "http://"), listener: l, open: map[net.Conn]bool{}}
	go w.carry()
	t.Cleanup(func() { l.Close(); w.set(cut) })
	return w
}

func (w *wire) carry() {
	for {
		here, err := w.listener.Accept()
		if err != nil {
			return
		}
		if !w.take(here) {
			here.Close()
			continue
		}
		there, err := net.Dial("tcp", w.to)
		if err != nil || !w.take(there) {
			here.Close()
			continue
		}
		l := &line{wire: w, here: here, there: there}
		for _, way := range []struct {
			to   io.Writer
			from io.Reader
		}{{toMill{l}, here}, {toTablet{l}, there}} {
			go func() {
				_, _ = io.Copy(way.to, way.from) // a cut wire ends it
				here.Close()
				there.Close()
			}()
		}
	}
}

// line is one connection.
type line struct {
	wire        *wire
	here, there net.Conn
	deaf        atomic.Bool
}

type (
	toMill   struct{ *line }
	toTablet struct{ *line }
)

func (l toMill) Write(p []byte) (int, error) {
	if l.wire.is(deaf) && bytes.Contains(p, []byte("POST /api/v1/entries")) {
		l.deaf.Store(true)
	}
	return l.there.Write(p)
}

func (l toTablet) Write(p []byte) (int, error) {
	if l.deaf.Load() {
		return len(p), nil
	}
	return l.here.Write(p)
}

func (w *wire) is(state wireState) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.state == state
}

// take notes a connection, unless the wire is cut.
func (w *wire) take(c net.Conn) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.state == cut {
		return false
	}
	w.open[c] = true
	return true
}

// set cuts the wire, with all that goes over it, or mends it.
func (w *wire) set(state wireState) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.state = state; state != cut {
		return
	}
	for c := range w.open {
		c.Close()
	}
	clear(w.open)
}
