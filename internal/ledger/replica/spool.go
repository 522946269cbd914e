package replica

import (
	"bytes"
	"os"
)

// stored is a state, in memory or in the file.
type stored struct {
	text []byte // nil when it is only in the file
	at   int64  // place in the file
	size int32  // in the file; 0 when it is not there
	used bool   // since the last time room was made
	hot  bool   // listed among those in memory
}

// spool keeps the states that are in use in memory and lays the others down in a file.
type spool struct {
	file *os.File
	end  int64
	hot  []*stored
	held int // bytes in memory
	room int // bytes that may stay there
}

// room is how many bytes of states stay in memory: those of some ten thousand pieces.
const room = 16 << 20

// newSpool makes the file and takes its name away, so that it ends with the process.
func newSpool(folder string) (*spool, error) {
	f, err := os.CreateTemp(folder, "slatewright-replay-")
	if err != nil {
		return nil, err
	}
	if err := os.Remove(f.Name()); err != nil {
		f.Close()
		return nil, err
	}
	return &spool{file: f, room: room}, nil
}

func (s *spool) close() error { return s.file.Close() }

func (s *spool) put(to *stored, text []byte) error {
	s.held += len(text) - len(to.text)
	to.text, to.size, to.used = bytes.Clone(text), 0, true
	return s.keep(to)
}

// get gives a state to be read. It is never changed: a new one takes its place.
func (s *spool) get(from *stored) ([]byte, error) {
	from.used = true
	if from.text == nil {
		text := make([]byte, from.size)
		if _, err := s.file.ReadAt(text, from.at); err != nil {
			return nil, err
		}
		from.text = text
		s.held += len(text)
		return text, s.keep(from)
	}
	return from.text, nil
}

// peek reads a state and leaves it where it lies.
func (s *spool) peek(from *stored) ([]byte, error) {
	if from.text != nil {
		return from.text, nil
	}
	text := make([]byte, from.size)
	_, err := s.file.ReadAt(text, from.at)
	return text, err
}

func (s *spool) drop(x *stored) {
	s.held -= len(x.text)
	x.text, x.size = nil, 0
}

func (s *spool) keep(x *stored) error {
	if !x.hot {
		x.hot = true
		s.hot = append(s.hot, x)
	}
	if s.held < s.room {
		return nil
	}
	return s.makeRoom(x)
}

// makeRoom lays down what was not used since the last time; if that is too little, everything but the one in hand.
func (s *spool) makeRoom(inHand *stored) error {
	if err := s.layDown(func(x *stored) bool { return x == inHand || x.used }); err != nil || s.held < s.room/2 {
		return err
	}
	return s.layDown(func(x *stored) bool { return x == inHand })
}

func (s *spool) layDown(stays func(*stored) bool) error {
	var out bytes.Buffer
	kept := s.hot[:0]
	for _, x := range s.hot {
		if stays(x) {
			kept = append(kept, x)
			continue
		}
		if x.size == 0 && len(x.text) > 0 {
			x.at, x.size = s.end+int64(out.Len()), int32(len(x.text))
			out.Write(x.text)
		}
		s.held -= len(x.text)
		x.text, x.hot = nil, false
	}
	for _, x := range kept {
		x.used = false
	}
	clear(s.hot[len(kept):])
	s.hot = kept
	n, err := s.file.WriteAt(out.Bytes(), s.end)
	s.end += int64(n)
	return err
}
