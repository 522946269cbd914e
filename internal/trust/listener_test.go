package trust

import (
	"bufio"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"
)

// mill serves on one port, and says of each request how it came.
type mill struct {
	at     string
	server *http.Server
	client *http.Client
	ended  chan error
}

func serving(t *testing.T, patience time.Duration) *mill {
	t.Helper()
	made, err := Open(Setting{Folder: t.TempDir()})
	if err != nil {
		t.Fatal(err)
	}
	on, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	pool := x509.NewCertPool()
	pool.AddCert(made.root.certificate)
	m := &mill{at: on.Addr().String(), ended: make(chan error, 1), client: &http.Client{Transport: &http.Transport{ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{RootCAs: pool}}}}
	m.server = &http.Server{ReadHeaderTimeout: 10 * time.Second, ErrorLog: log.New(io.Discard, "", 0), Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		fmt.Fprintf(w, "%s, secure %v", r.Proto, r.TLS != nil)
	})}
	go func() { m.ended <- m.server.Serve(Both(on, Config(made), patience)) }()
	t.Cleanup(func() { m.client.CloseIdleConnections(); _ = m.server.Close(); <-m.ended })
	return m
}

func (m *mill) ask(t *testing.T, address string) string {
	t.Helper()
	r, err := m.client.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestOnePortSpeaksBoth(t *testing.T) {
	m := serving(t, 10*time.Second)
	silent, err := net.Dial("tcp", m.at) // holds up nobody
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	for range 3 {
		if got := m.ask(t, "https://"+m.at); got != "HTTP/2.0, secure true" {
			t.Error(got)
		}
		if got := m.ask(t, "http://"+m.at); got != "HTTP/1.1, secure false" {
			t.Error(got)
		}
	}
}

// A slow sender is waited for: its first byte comes alone.
func TestASlowSender(t *testing.T) {
	m := serving(t, 10*time.Second)
	c, err := net.Dial("tcp", m.at)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	for _, part := range []string{"G", "ET / HTTP/1.1\r\nHost: ", "mill\r\n\r\n"} {
		if _, err := io.WriteString(c, part); err != nil {
			t.Fatal(err)
		}
		time.Sleep(20 * time.Millisecond)
	}
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		t.Fatal(err)
	}
	if text, _ := io.ReadAll(r.Body); string(text) != "HTTP/1.1, secure false" {
		t.Errorf("%s", text)
	}
}

// Whoever connects and says nothing is hung up on; so is everybody who has said nothing when the listener ends.
func TestSilentConnectionsAreClosed(t *testing.T) {
	for _, patience := range []time.Duration{50 * time.Millisecond, time.Hour} {
		m := serving(t, patience)
		c, err := net.Dial("tcp", m.at)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		if patience == time.Hour {
			m.ask(t, "http://"+m.at) // the silent one was accepted before
			if err := m.server.Close(); err != nil {
				t.Error(err)
			}
		}
		if err := c.SetReadDeadline(time.Now().Add(30 * time.Second)); err != nil {
			t.Fatal(err)
		}
		if _, err := c.Read(make([]byte, 1)); err == nil || errors.Is(err, os.ErrDeadlineExceeded) {
			t.Errorf("patience %v: %v", patience, err)
		}
	}
}

// A handshake that breaks off, and one of an old version, are answered with the end of the connection.
func TestBrokenHandshakes(t *testing.T) {
	m := serving(t, 10*time.Second)
	if _, err := tls.Dial("tcp", m.at, &tls.Config{MaxVersion: tls.VersionTLS11, InsecureSkipVerify: true}); err == nil || !strings.Contains(err.Error(), "version") {
		t.Errorf("TLS 1.1: %v", err)
	}
	c, err := net.Dial("tcp", m.at)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Write([]byte{handshake, 3, 1, 0, 5, 9, 9, 9, 9, 9}); err != nil {
		t.Fatal(err)
	}
	_, _ = io.Copy(io.Discard, c) // an alert, and then the end
	c.Close()
	if got := m.ask(t, "https://"+m.at); got != "HTTP/2.0, secure true" {
		t.Error(got)
	}
}
