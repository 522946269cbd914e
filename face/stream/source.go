// Package stream takes large inputs apart: lines one by one from the front, and whole blocks of records on all cores.
//
// What is read comes out in the order of the input, whatever the number of cores and however the input is portioned. An input
// that fails is never taken for one that ends: every error says whether it was the one or the other.
//
// The package does not know what the bytes mean.
package stream

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"strconv"

	"slatewright/trouble"
)

// Source is a named input. Reading from it and discarding are those of its buffer.
type Source struct {
	*bufio.Reader
	Name  string
	Lines int   // lines taken by Line
	Torn  bool  // the line taken last had no line end
	Size  int64 // bytes in all, 0 = not known; a hint for setting memory aside, never to be trusted
}

// lineLimit is the longest line that Line takes, in bytes.
const lineLimit = 1 << 16

// NewSource returns the source that reads from r.
func NewSource(name string, r io.Reader) *Source {
	s := &Source{Reader: bufio.NewReaderSize(&input{from: r}, lineLimit), Name: name}
	switch known := r.(type) {
	case interface{ Len() int }:
		s.Size = int64(known.Len())
	case interface{ Stat() (fs.FileInfo, error) }:
		if info, err := known.Stat(); err == nil && info.Mode().IsRegular() {
			s.Size = info.Size()
		}
	}
	return s
}

// input keeps the error by which a reader failed. Once it has, there is nothing more to be had from it, even if whoever read
// first did not look at the error.
type input struct {
	from   io.Reader
	failed error
}

// failure is an error of the input other than its end. It hides the cause from those who look for io.ErrUnexpectedEOF, with
// which some readers fail and which others return for a short input that is sound.
type failure struct{ cause error }

func (f *failure) Error() string { return f.cause.Error() }

func (i *input) Read(p []byte) (int, error) {
	if i.failed != nil {
		return 0, i.failed
	}
	n, err := i.from.Read(p)
	if err != nil && err != io.EOF {
		i.failed = &failure{err}
		err = i.failed
	}
	return n, err
}

// Line takes one line without its line end. At the end of the input it returns what is left, and io.EOF if that is nothing.
// Every other error is a *trouble.Trouble.
func (s *Source) Line() ([]byte, error) {
	text, err := s.ReadSlice('\n')
	if err == io.EOF && len(text) > 0 {
		s.Torn, err = true, nil
	}
	switch err {
	case nil:
		s.Lines++
		return TrimLineEnd(text), nil
	case io.EOF:
		return nil, err
	case bufio.ErrBufferFull:
		return nil, tooLong("64 KiB", At(s.Name, s.Lines+1))
	}
	return nil, Stopped(err, At(s.Name, s.Lines+1))
}

// Stopped turns an error that stopped the reading at a place into a *trouble.Trouble, if it is none yet.
func Stopped(err error, where string) error {
	var known *trouble.Trouble
	switch {
	case errors.As(err, &known):
		return err
	case errors.Is(err, errLongLine):
		return tooLong("1 MiB", where)
	}
	var f *failure
	if errors.As(err, &f) {
		err = f.cause
	}
	return trouble.IO("unreadable", where, "reading stopped here", "check the disk, the cable or the pipe, then read again").Because(err)
}

var errLongLine = errors.New("line longer than a block")

func tooLong(than, where string) error {
	return trouble.Data("line-too-long", where, "the line is longer than "+than,
		"end each line with a line feed; if this is not a text file, export the readings as CSV or PLY")
}

// At names a line of a file as messages do.
func At(name string, line int) string { return name + ":" + strconv.Itoa(line) }

// TrimLineEnd takes a line feed, and a carriage return before it, off the end of a line.
func TrimLineEnd(text []byte) []byte {
	if n := len(text); n > 0 && text[n-1] == '\n' {
		text = text[:n-1]
	}
	if n := len(text); n > 0 && text[n-1] == '\r' {
		text = text[:n-1]
	}
	return text
}
