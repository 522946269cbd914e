// Package evidence holds what an act says against the files it names, before the book takes it: a reading's file is of that piece
// and that face, a lay-up's file has those steps, a certificate holds and seals the very readings that the book has.
//
// It decides nothing about the way of the stone (the book does), keeps nothing and stores nothing. It cannot know whether a file
// was ever read from stone.
package evidence

import (
	"context"
	"fmt"
	"io"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/trouble"
)

// mostReadings is the largest readings or lay-up file that is looked into, in bytes. Common practice, no source: some two million
// readings of a scanner.
const mostReadings = 64 << 20

// Check holds an act against its files. demo says that the mill's data are invented. What does not agree is trouble that names the
// act's field.
func Check(ctx context.Context, blobs book.Blobs, l book.Ledger, act book.Act, demo bool) error {
	return checking{ctx, blobs, l, demo, nil}.act(act)
}

// checking is one check.
type checking struct {
	ctx    context.Context
	blobs  book.Blobs
	ledger book.Ledger
	demo   bool
	before []book.Act // handed in with it and not in the book yet, in their order
}

func (c checking) act(act book.Act) error {
	switch a := act.(type) {
	case *book.Read:
		return c.read(a)
	case *book.LayUp:
		return c.layUp(a)
	case *book.Judge:
		return c.judge(a)
	case *book.Certify:
		return c.certify(a)
	case *book.Survey:
		return c.there(a.Blob)
	case *book.Calibrate:
		return c.there(a.Blob)
	case *book.Correct:
		return c.correct(a)
	}
	return nil
}

// correct looks at what shall stand in the place of the other.
func (c checking) correct(a *book.Correct) error {
	if a.Act == "" {
		return nil
	}
	act, err := book.Decode(a.Act, a.Body)
	if _, again := act.(*book.Correct); err != nil || again {
		return err // of another correction the book says what to do
	}
	return c.act(act)
}

// field is where an act names its file.
const field = "blob"

// open opens a blob that is not larger than it may be.
func (c checking) open(digest string, most int64) (io.ReadCloser, error) {
	r, size, err := c.blobs.Open(c.ctx, digest)
	if err != nil {
		return nil, err
	}
	if size > most {
		r.Close()
		return nil, trouble.Data("too-large", field, fmt.Sprintf("the file has %d bytes; %d are the most that are looked into", size, most),
			"leave out what is no reading, or read in coarser steps")
	}
	return r, nil
}

// there wants the file to be there and whole.
func (c checking) there(digest string) error {
	if digest == "" {
		return nil
	}
	r, _, err := c.blobs.Open(c.ctx, digest)
	if err != nil {
		return err
	}
	return r.Close()
}

// text reads the whole of a certificate or judgement.
func (c checking) text(digest string) ([]byte, error) {
	r, err := c.open(digest, certificate.MaxSize)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(r)
}

// differs is the trouble of an act and a file that say two things.
func differs(code, field, what, next string, args ...any) error {
	return trouble.Data(code, field, fmt.Sprintf(what, args...), next)
}
