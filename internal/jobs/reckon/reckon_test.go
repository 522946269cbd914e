package reckon_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/internal/jobs/reckon"
	"slatewright/trouble"
)

// shelf keeps blobs in memory.
type shelf map[string][]byte

func (s shelf) Put(_ context.Context, r io.Reader, limit int64) (string, int64, error) {
	text, err := io.ReadAll(r)
	sum := sha256.Sum256(text)
	digest := hex.EncodeToString(sum[:])
	s[digest] = text
	return digest, int64(len(text)), err
}

func (s shelf) Open(_ context.Context, digest string) (io.ReadCloser, int64, error) {
	text, ok := s[digest]
	if !ok {
		return nil, 0, trouble.Data("no-such-blob", digest, "there is no such blob", "send it again")
	}
	return io.NopCloser(bytes.NewReader(text)), int64(len(text)), nil
}

func (s shelf) List(context.Context, func(string, int64, time.Time) error) error { return nil }

var _ book.Blobs = shelf{}

func (s shelf) text(t testing.TB, text string) string {
	t.Helper()
	digest, _, err := s.Put(t.Context(), strings.NewReader(text), 1<<30)
	if err != nil {
		t.Fatal(err)
	}
	return digest
}

func (s shelf) csv(t testing.TB, f *face.Face) string {
	t.Helper()
	var b bytes.Buffer
	if err := f.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	return s.text(t, b.String())
}

func (s shelf) ply(t testing.TB, f *face.Face) string {
	t.Helper()
	var b bytes.Buffer
	if err := f.WritePLY(&b, face.BinaryLittleEndian); err != nil {
		t.Fatal(err)
	}
	return s.text(t, b.String())
}

// worker finds the worker of a kind.
func worker(t testing.TB, s shelf, kind string) jobs.Worker {
	t.Helper()
	for _, w := range reckon.Workers(s) {
		if w.Kind() == kind {
			return w
		}
	}
	t.Fatalf("nobody computes %s", kind)
	return nil
}

// run does the slices of a job one after the other, each from the text of the last checkpoint, and returns how many there were.
func run(t testing.TB, w jobs.Worker, in, result any) (slices int, err error) {
	t.Helper()
	input, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Check(input); err != nil {
		return 0, err
	}
	j, progress := jobs.Job{Kind: w.Kind(), Input: input}, -1.0
	for {
		s, err := w.Work(t.Context(), j)
		if err != nil {
			return slices, err
		}
		if slices++; s.Progress <= progress || s.Progress > 1 || s.Said == "" || s.Done != (s.Progress == 1) {
			t.Fatalf("slice %d: %+v after progress %v", slices, s, progress)
		}
		if s.Done {
			return slices, json.Unmarshal(s.Result, result)
		}
		j.Checkpoint, progress = s.Checkpoint, s.Progress
	}
}

func wantTrouble(t *testing.T, err error, code string, words ...string) {
	t.Helper()
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Code != code || tr.Next == "" {
		t.Errorf("got %v, want trouble %s with a next step", err, code)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%q does not say %q", err, w)
		}
	}
}

func wantWarning(t *testing.T, warnings []string, words string) {
	t.Helper()
	for _, w := range warnings {
		if strings.Contains(w, words) {
			return
		}
	}
	t.Errorf("no warning says %q: %q", words, warnings)
}
