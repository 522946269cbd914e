package face

import (
	"bytes"
	"errors"
	"io"
	"runtime"
	"slices"
	"sort"
	"strconv"

	"slatewright/trouble"
)

// blockSize is how many bytes are read and handed to one core at a time. No line of readings may be longer.
const blockSize = 1 << 20

// A block is a run of whole records of the input, and what they were read as.
type block struct {
	text []byte
	torn bool // the last line had no line end; one was added
	readings
	space []byte // the whole buffer behind text
}

// readings are the fruit of one block, or of all blocks merged. Record numbers (lines, or vertices of a binary file) count from 1
// within the block, and within the file once merged.
type readings struct {
	x, y, z []float64
	row     []Row // nil while there is no mark
	runs    []run
	records int
	gaps    int    // records without a reading
	gap     int    // the first of them
	marks   [2]int // the first record with a decimal point and with a decimal comma, where both are possible
	fault   *fault // stops the reading
}

// A run says that reading index stands in this record, and the readings after it in the records after it until the next run.
type run struct{ index, record int }

// A fault is an error whose file and line are not known yet.
type fault struct {
	record           int
	code, what, next string
}

func (r *readings) reset() {
	*r = readings{x: r.x[:0], y: r.y[:0], z: r.z[:0], runs: r.runs[:0]}
}

func (r *readings) take(record int, x, y, z float64) {
	if n := len(r.z); n == 0 || record != r.recordOfLast()+1 {
		r.runs = append(r.runs, run{n, record})
	}
	r.x, r.y, r.z = append(r.x, x), append(r.y, y), append(r.z, z)
	if r.row != nil {
		r.row = append(r.row, NoRow)
	}
}

// mark marks the last reading.
func (r *readings) mark(m Row) {
	if m == NoRow {
		return
	}
	if r.row == nil {
		r.row = make([]Row, len(r.z), cap(r.z))
	}
	r.row[len(r.z)-1] = m
}

func (r *readings) leaveOut(record int) {
	if r.gaps++; r.gap == 0 {
		r.gap = record
	}
}

func (r *readings) recordOfLast() int {
	last := r.runs[len(r.runs)-1]
	return last.record + len(r.z) - 1 - last.index
}

// record returns the record in which reading i stands.
func (r *readings) record(i int) int {
	k := sort.Search(len(r.runs), func(k int) bool { return r.runs[k].index > i }) - 1
	return r.runs[k].record + i - r.runs[k].index
}

// merge puts the readings of the next block behind r, and returns the block's fault with its record counted in the file.
func (r *readings) merge(b *readings) *fault {
	had := len(r.z)
	for _, u := range b.runs {
		if had == 0 || u.index > 0 || r.records+u.record != r.recordOfLast()+1 {
			r.runs = append(r.runs, run{had + u.index, r.records + u.record})
		}
	}
	if b.row != nil && r.row == nil {
		r.row = make([]Row, had, cap(r.z))
	}
	if r.row != nil {
		rows := b.row
		if rows == nil {
			rows = make([]Row, len(b.z))
		}
		r.row = append(r.row, rows...)
	}
	r.x, r.y, r.z = joined(r.x, b.x), joined(r.y, b.y), joined(r.z, b.z)
	if b.gap > 0 && r.gap == 0 {
		r.gap = r.records + b.gap
	}
	r.gaps += b.gaps
	for i, m := range b.marks {
		if m > 0 && r.marks[i] == 0 {
			r.marks[i] = r.records + m
		}
	}
	f := b.fault
	if f != nil {
		f.record += r.records
	}
	r.records += b.records
	return f
}

// joined appends and doubles the space when it grows, so that memory stays within a small multiple of what has arrived.
func joined(to, from []float64) []float64 {
	if len(to)+len(from) > cap(to) {
		to = slices.Grow(to, max(len(to), len(from)))
	}
	return append(to, from...)
}

// lengthen adds n readings of unknown value; shorten takes the last n off. Neither minds marks and records.
func (r *readings) lengthen(n int) {
	r.x = slices.Grow(r.x, n)[:len(r.x)+n]
	r.y = slices.Grow(r.y, n)[:len(r.y)+n]
	r.z = slices.Grow(r.z, n)[:len(r.z)+n]
}

func (r *readings) shorten(n int) {
	r.x, r.y, r.z = r.x[:len(r.x)-n], r.y[:len(r.y)-n], r.z[:len(r.z)-n]
}

// reserve sets space aside for n readings in all, at most for 16 million: sizes of files and headers are hints.
func (r *readings) reserve(n int64) {
	if n := int(min(n, 1<<24)); n > cap(r.z) {
		r.x, r.y, r.z = slices.Grow(r.x, n-len(r.x)), slices.Grow(r.y, n-len(r.y)), slices.Grow(r.z, n-len(r.z))
	}
}

// stop ends the block with a fault in the record at hand.
func (b *block) stop(f *fault) {
	f.record = b.records
	b.fault = f
}

// A cutter says how many bytes of the text, from its start, are whole records, and whether the readings end there. At the end of the
// input the text ends with a line end.
type cutter func(text []byte) (n int, done bool)

// inOrder reads blocks from r, reads each by work on a goroutine of its own, and merges them in the order of the file, so
// the result does not depend on the number of cores. It returns what it took from r and did not use.
func inOrder(r io.Reader, lines bool, cut cutter, work func(*block), merge func(*block) error) (rest []byte, err error) {
	type job struct {
		*block
		ready chan struct{}
	}
	var queue []job
	var idle []*block
	settle := func(leave int) error { // merges until that many are still at work
		for len(queue) > leave {
			j := queue[0]
			queue = queue[1:]
			<-j.ready
			if err == nil {
				err = merge(j.block)
			}
			idle = append(idle, j.block)
		}
		return err
	}
	for done := false; !done; {
		b := &block{}
		if n := len(idle); n > 0 {
			b, idle = idle[n-1], idle[:n-1]
			b.reset()
		}
		rest, done, err = b.fill(r, lines, rest, cut)
		if err != nil {
			stop := err
			if err = nil; settle(0) != nil {
				return nil, err
			}
			return nil, stop
		}
		j := job{b, make(chan struct{})}
		queue = append(queue, j)
		go func() {
			work(j.block)
			close(j.ready)
		}()
		if settle(runtime.GOMAXPROCS(0)) != nil {
			done = true
		}
	}
	return rest, settle(0)
}

// fill reads the next block, which begins with what the last one left over.
func (b *block) fill(r io.Reader, lines bool, left []byte, cut cutter) (rest []byte, done bool, err error) {
	if b.space == nil {
		b.space = make([]byte, blockSize+1) // one byte for a line end
	}
	have := copy(b.space, left)
	n, err := io.ReadFull(r, b.space[have:blockSize])
	text := b.space[:have+n]
	ended := err == io.EOF || err == io.ErrUnexpectedEOF
	if err != nil && !ended {
		return nil, true, err
	}
	b.torn = false
	if ended && lines && len(text) > 0 && text[len(text)-1] != '\n' {
		text, b.torn = append(text, '\n'), true
	}
	n, done = cut(text)
	if n == 0 && !ended && !done {
		return nil, true, errLongLine
	}
	b.text = text[:n]
	return bytes.Clone(text[n:]), done || ended, nil
}

var errLongLine = errors.New("line longer than a block")

// stopped turns an error of inOrder into one with a place, records being the number of those read before.
func stopped(err error, where place, records int) error {
	var known *trouble.Trouble
	switch {
	case err == nil || errors.As(err, &known):
		return err
	case errors.Is(err, errLongLine):
		return trouble.Data("line-too-long", where(records+1), "the line is longer than 1 MiB", longLineNext)
	}
	return trouble.IO("unreadable", where(records+1), "reading stopped here", "check the disk, the cable or the pipe, then read again").Because(err)
}

const longLineNext = "end each line with a line feed; if this is not a text file, export the readings as CSV or PLY"

// wholeLines is the cutter for text.
func wholeLines(text []byte) (int, bool) { return bytes.LastIndexByte(text, '\n') + 1, false }

// place names the record in a message: a line, or a vertex of a binary file.
type place func(record int) string

func linesOf(name string, before int) place {
	return func(record int) string { return at(name, before+record) }
}

func verticesOf(name string) place {
	return func(record int) string { return name + ": vertex " + strconv.Itoa(record) }
}

func (f *fault) at(where place) *trouble.Trouble {
	return trouble.Data(f.code, where(f.record), f.what, f.next)
}
