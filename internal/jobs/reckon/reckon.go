// Package reckon has the workers of the mill's long computations: scan says how flat one face is, match which pieces of a stock
// belong together. Both read what was measured from the blobs of the book.
//
// It decides nothing and writes nothing into the book: a person takes a proposed set further by laying it up. What is computed
// and how sure it is, packages flatness, seating and sets say.
package reckon

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"regexp"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// Workers are all workers, for the queue of a book.
func Workers(b book.Blobs) []jobs.Worker { return []jobs.Worker{Scan(b), Match(b)} }

// decode reads an input strictly.
func decode(kind string, input json.RawMessage, into any) error {
	d := json.NewDecoder(bytes.NewReader(input))
	d.DisallowUnknownFields()
	err := d.Decode(into)
	if err == nil {
		if _, end := d.Token(); end != io.EOF {
			err = errors.New("something follows it")
		}
	}
	if err != nil {
		return trouble.Data("bad-input", kind, fmt.Sprintf("the input cannot be read: %v", err), "see the API's description of jobs")
	}
	return nil
}

var digestForm = regexp.MustCompile(`^[0-9a-f]{64}$`)

func checkDigest(field, digest string) error {
	if digestForm.MatchString(digest) {
		return nil
	}
	return trouble.Data("bad-digest", field, fmt.Sprintf("%q is not the digest of a blob", digest),
		"send the file first and give the 64 hexadecimal digits that are answered")
}

// source reads blobs.
type source struct{ blobs book.Blobs }

// read gives a blob to a parser. name is what the parser calls it in messages.
func (s source) read(ctx context.Context, digest string, parse func(io.Reader) error) error {
	r, _, err := s.blobs.Open(ctx, digest)
	if err != nil {
		return err
	}
	defer r.Close()
	if err := parse(stoppable{ctx, r}); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return err
	}
	return nil
}

// face reads the readings of one face.
func (s source) face(ctx context.Context, name, digest string) (f *face.Face, err error) {
	err = s.read(ctx, digest, func(r io.Reader) (err error) { f, err = face.Read(name, r); return err })
	return f, err
}

// stoppable is a reader that ends with its context: a large file is not read to its end for nobody.
type stoppable struct {
	ctx context.Context
	r   io.Reader
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(p)
}
