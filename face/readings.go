package face

import (
	"slices"
	"sort"
	"strconv"

	"slatewright/face/stream"
	"slatewright/trouble"
)

// block is a run of whole records of the input, and the readings in them.
type block = stream.Block[readings]

// readings are the fruit of one block of the input, or of all blocks merged. Record numbers (lines, or vertices of a binary file) count from 1
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
func (r *readings) stop(f *fault) {
	f.record = r.records
	r.fault = f
}

// place names the record in a message: a line, or a vertex of a binary file.
type place func(record int) string

func linesOf(name string, before int) place {
	return func(record int) string { return stream.At(name, before+record) }
}

func verticesOf(name string) place {
	return func(record int) string { return name + ": vertex " + strconv.Itoa(record) }
}

func (f *fault) at(where place) *trouble.Trouble {
	return trouble.Data(f.code, where(f.record), f.what, f.next)
}
