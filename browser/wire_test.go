package browser_test

import (
	"io"
	"net"
	"strings"
	"sync"
	"testing"
)

// wire is the network between a tablet and the mill; it can be cut.
type wire struct {
	at       string // address on the tablet's side
	to       string
	listener net.Listener
	mu       sync.Mutex
	cut      bool
	open     map[net.Conn]bool
}

// newWire lays a wire to a mill.
func newWire(t *testing.T, m *mill) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{at: "http://" + l.Addr().String(), to: strings.TrimPrefix(m.at, "http://"), listener: l, open: map[net.Conn]bool{}}
	go w.carry()
	t.Cleanup(func() { l.Close(); w.set(true) })
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
		for _, pair := range [][2]net.Conn{{here, there}, {there, here}} {
			go func() {
				_, _ = io.Copy(pair[0], pair[1]) // a cut wire ends it
				pair[0].Close()
				pair[1].Close()
			}()
		}
	}
}

// take notes a connection, unless the wire is cut.
func (w *wire) take(c net.Conn) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.cut {
		return false
	}
	w.open[c] = true
	return true
}

// set cuts the wire, with all that goes over it, or mends it.
func (w *wire) set(cut bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.cut = cut
	for c := range w.open {
		if cut {
			c.Close()
		}
		delete(w.open, c)
	}
}
