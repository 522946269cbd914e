package measured_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"slatewright/face"
	"slatewright/internal/measured"
	"slatewright/internal/rehearsal"
	"slatewright/trouble"
)

// files are blobs in memory. They count how often each was opened.
type files struct {
	mu     sync.Mutex
	text   map[string][]byte
	opened atomic.Int64
	gate   chan struct{} // when not nil, reading waits until it is closed
}

func newFiles() *files { return &files{text: map[string][]byte{}} }

func (f *files) Put(_ context.Context, r io.Reader, _ int64) (string, int64, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return "", 0, err
	}
	sum := sha256.Sum256(text)
	digest := hex.EncodeToString(sum[:])
	f.mu.Lock()
	defer f.mu.Unlock()
	f.text[digest] = text
	return digest, int64(len(text)), nil
}

func (f *files) Open(_ context.Context, digest string) (io.ReadCloser, int64, error) {
	f.opened.Add(1)
	f.mu.Lock()
	defer f.mu.Unlock()
	text, ok := f.text[digest]
	if !ok {
		return nil, 0, trouble.Data("no-such-blob", "", fmt.Sprintf("there is no blob %.80q", digest), "store the file first")
	}
	return io.NopCloser(&gated{bytes.NewReader(text), f.gate}), int64(len(text)), nil
}

func (f *files) List(context.Context, func(string, int64, time.Time) error) error { return nil }

type gated struct {
	io.Reader
	gate chan struct{}
}

func (g *gated) Read(p []byte) (int, error) {
	if g.gate != nil {
		<-g.gate
	}
	return g.Reader.Read(p)
}

// put stores a face as CSV.
func (f *files) put(t *testing.T, g *face.Face) string {
	t.Helper()
	var b bytes.Buffer
	if err := g.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	digest, _, err := f.Put(context.Background(), &b, 1<<30)
	if err != nil {
		t.Fatal(err)
	}
	return digest
}

// room is a room over files, closed with the test.
func room(t *testing.T, f *files, o measured.Options) *measured.Room {
	t.Helper()
	r := measured.New(f, o)
	t.Cleanup(r.Close)
	return r
}

func demoFaces() []*face.Face {
	mill := rehearsal.New(rehearsal.DemoSeed, 15)
	var list []*face.Face
	for _, p := range mill.Pieces {
		list = append(list, mill.Readings(p))
	}
	return list
}
