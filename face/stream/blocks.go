package stream

import (
	"bytes"
	"io"
	"runtime"
)

// blockSize is how many bytes are read and handed to one core at a time. No line of a block may be longer.
const blockSize = 1 << 20

// Block is a run of whole records of the input, and the fruit that was made of it. A block is used again and again, and its
// fruit with it.
type Block[T any] struct {
	Text  []byte
	Torn  bool // the last line had no line end; one was added
	Fruit T

	space []byte // the whole buffer behind Text
}

// Cutter says how many bytes of the text, from its start, are whole records, and whether the records end there.
type Cutter func(text []byte) (n int, done bool)

// WholeLines is the cutter for text that is lines to its end.
func WholeLines(text []byte) (int, bool) { return bytes.LastIndexByte(text, '\n') + 1, false }

// InOrder reads blocks from r, each made into fruit by work, on another core, and merges them in the order of the input. With
// lines, text that ends without a line end is given one. It returns what it took from r and did not use.
//
// Work must touch nothing but its block; merge is called by the caller's own goroutine. The first error in the order of the
// input ends the reading and is returned, whether merge or r gave it. A panic of work is raised again here.
func InOrder[T any](r io.Reader, lines bool, cut Cutter, work func(*Block[T]), merge func(*Block[T]) error) (rest []byte, err error) {
	q := queue[T]{work: work, merge: merge}
	for done := false; !done; {
		b := q.free()
		rest, done, err = b.fill(r, lines, rest, cut)
		if err != nil {
			if earlier := q.settle(0); earlier != nil {
				err = earlier
			}
			return nil, err
		}
		q.start(b)
		if q.settle(runtime.GOMAXPROCS(0)) != nil {
			break
		}
	}
	return rest, q.settle(0)
}

// queue is the blocks at work, in the order of the input, and those that are free again.
type queue[T any] struct {
	work  func(*Block[T])
	merge func(*Block[T]) error
	jobs  []*job[T]
	idle  []*Block[T]
	err   error // the first of merge
}

type job[T any] struct {
	block  *Block[T]
	done   chan struct{}
	broken any // what work panicked with
}

func (q *queue[T]) free() *Block[T] {
	if n := len(q.idle); n > 0 {
		b := q.idle[n-1]
		q.idle = q.idle[:n-1]
		return b
	}
	return &Block[T]{space: make([]byte, blockSize+1)} // one byte for a line end
}

func (q *queue[T]) start(b *Block[T]) {
	j := &job[T]{block: b, done: make(chan struct{})}
	q.jobs = append(q.jobs, j)
	go func() {
		defer close(j.done)
		defer func() { j.broken = recover() }()
		q.work(j.block)
	}()
}

// settle merges until that many blocks are still at work, and returns the first error of merge so far.
func (q *queue[T]) settle(leave int) error {
	for len(q.jobs) > leave {
		j := q.jobs[0]
		q.jobs = q.jobs[1:]
		<-j.done
		if j.broken != nil {
			for _, other := range q.jobs {
				<-other.done
			}
			panic(j.broken)
		}
		if q.err == nil {
			q.err = q.merge(j.block)
		}
		q.idle = append(q.idle, j.block)
	}
	return q.err
}

// fill reads the next block, which begins with what the last one left over.
func (b *Block[T]) fill(r io.Reader, lines bool, left []byte, cut Cutter) (rest []byte, done bool, err error) {
	have := copy(b.space, left)
	n, err := io.ReadFull(r, b.space[have:blockSize])
	text := b.space[:have+n]
	ended := err == io.EOF || err == io.ErrUnexpectedEOF
	if err != nil && !ended {
		return nil, true, err
	}
	b.Torn = false
	if ended && lines && len(text) > 0 && text[len(text)-1] != '\n' {
		text, b.Torn = append(text, '\n'), true
	}
	n, done = cut(text)
	if n == 0 && !ended && !done {
		return nil, true, errLongLine
	}
	b.Text = text[:n]
	return bytes.Clone(text[n:]), done || ended, nil
}
