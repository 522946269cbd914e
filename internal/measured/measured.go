// Package measured says what the files behind readings say: how flat a face is and of which shape, its heights under a line and
// for a screen, how thick a piece is between its faces, how its shape went over time, and how three pieces lie as one bed and are judged.
//
// A [Room] reads files from the book's blobs by their digests and keeps what was found, up to so many bytes; the same question is
// computed once, however many ask. What takes long is computed behind: the functions called Ask answer at once, with Computing
// where the answer is not there yet.
//
// The package decides nothing and writes nothing into the book. It computes no flatness, seating or verdict of its own: it asks
// the reckoning, a bed the very way that a certificate is composed, so that the numbers are the same. It knows no pages and no
// language; what it warns of comes in the words of the reckoning. Errors that people can mend are trouble.
package measured

import (
	"runtime"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/measured/kept"
)

// Options of a room. The zero value is good.
type Options struct {
	Bytes    int64         // what is kept, at most; 0: 64 MB
	Patience time.Duration // how long the Ask functions wait for an answer; 0: 60 ms, so that a page is there within 100
	Program  string        // name and version, as judged bodies say what made them
}

// Room reads, computes and keeps. All its functions may be called at the same time. What they return is shared: it must not be
// changed.
type Room struct {
	blobs   book.Blobs
	options Options
	shelf   *kept.Shelf
}

const (
	defaultBytes    = 64 << 20
	defaultPatience = 60 * time.Millisecond
)

// The weights of work. A large file is read alone of its kind: it takes several times its size while it is parsed.
const (
	light = 1 // a face of readings, a map
	heavy = 2 // a bed
	large = 3 // a large scan
)

// width is how much is computed at a time: two beds, or a large scan and something light, however many cores there are, for the sake of
// memory; on a single core one bed or one large scan.
func width() int {
	if runtime.GOMAXPROCS(0) == 1 {
		return large
	}
	return large + light
}

// New returns a room that reads from b.
func New(b book.Blobs, o Options) *Room {
	if o.Bytes == 0 {
		o.Bytes = defaultBytes
	}
	if o.Patience == 0 {
		o.Patience = defaultPatience
	}
	return &Room{blobs: b, options: o, shelf: kept.New(o.Bytes, width())}
}

// Close ends what is being computed. It does not close the blobs.
func (r *Room) Close() { r.shelf.Close() }

// Asked is what there is of an answer now: it is being computed, ready, or has failed.
type Asked[T any] = kept.Asked[T]

// The states of what was asked.
const (
	Computing = kept.Computing
	Ready     = kept.Ready
	Failed    = kept.Failed
)
