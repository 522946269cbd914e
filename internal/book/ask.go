package book

import (
	"context"
	"io"
	"time"
)

// Submission is an entry handed in, by whom, and whether it already happened.
type Submission struct {
	Entry  Entry
	Caller Caller
	Late   bool // it has happened already and cannot be undone: when it cannot follow, keep it as a conflict instead of refusing it
}

// Receipt is the answer to a submission. The same entry id handed in again gets the same receipt, with Repeated set.
type Receipt struct {
	Entry    Entry // as stored
	Repeated bool
	Conflict *Standing // set when the entry is kept but not applied; a person must resolve it
}

// Filter chooses things for a list. Zero fields choose everything.
type Filter struct {
	Kind    Kind
	Station Station
	Parent  Ref
	ID      string // exact number, of any kind
	Begins  string // what the number begins with
}

// Page is one page of a list. Next is empty on the last page; otherwise it goes into the next question as its cursor.
type Page[T any] struct {
	Items []T
	Next  string
}

// Count says how much something reached.
type Count struct {
	Shipped int `json:"shipped_sets"`
	Sets    int `json:"sets_in_house"`
	Pieces  int `json:"pieces_without_set"`
	Gone    int `json:"rejected_or_parted"`
}

// TableReport is what a rebuild found in one derived table.
type TableReport struct {
	Table       string   `json:"table"`
	Rows        int64    `json:"rows"`
	Differences int64    `json:"differences"`
	First       []string `json:"first,omitempty"` // the first few differences, in words with the row's key
}

// RebuildReport is the answer of a rebuild or its check.
type RebuildReport struct {
	Acts      int64         `json:"acts"`
	Conflicts int64         `json:"conflicts"`
	Tables    []TableReport `json:"tables"`
}

// Fault is something that does not verify: what and where, and what to do.
type Fault struct {
	What  string `json:"what"`
	Where string `json:"where"`
	Next  string `json:"next"`
}

// JournalReport is the answer of a walk along the chain.
type JournalReport struct {
	Entries int64   `json:"entries"`
	Head    Digest  `json:"head"`
	Faults  []Fault `json:"faults,omitempty"`
}

// Ledger is what a door may ask of the book, whatever engine keeps it. Every error that a person can cause is trouble; the code
// no-such-thing answers a question about nothing. Entries are verified against their hash whenever they are read: one that fails is
// trouble with the code broken-entry and is not served.
type Ledger interface {
	Site() string

	Append(ctx context.Context, s Submission) (Receipt, error)
	AppendAll(ctx context.Context, s []Submission, dryRun bool) ([]Receipt, []error, error) // all or nothing; errors per submission

	Thing(ctx context.Context, r Ref) (Thing, error)
	Things(ctx context.Context, f Filter, cursor string, limit int) (Page[Thing], error)
	Stations(ctx context.Context) (map[Station]map[Kind]int, error) // how many of each kind stand where
	History(ctx context.Context, r Ref, cursor string, limit int) (Page[Placed], error)
	Entries(ctx context.Context, after int64, limit int) ([]Placed, error) // in the order of the journal
	Entry(ctx context.Context, id string) (Placed, error)
	Conflicts(ctx context.Context, cursor string, limit int) (Page[Placed], error)
	Affected(ctx context.Context, origin Ref, cursor string, limit int) (Page[Reach], error) // shipped sets first
	AffectedCount(ctx context.Context, origin Ref) (Count, error)
	Origins(ctx context.Context, target Ref) ([]Ref, error) // all that reached it

	Changed() <-chan struct{} // closed at the next commit seen by this program
	Faults() []Fault          // what the check in the background has found so far
}

// Keeper is a ledger with what only the mill's office asks: checks of the whole book.
type Keeper interface {
	Ledger
	Rebuild(ctx context.Context, check bool, progress func(done, total int64)) (RebuildReport, error)
	VerifyJournal(ctx context.Context, progress func(done, total int64)) (JournalReport, error)
	Close() error
}

// Blobs keeps scans and files by the SHA-256 of their content.
type Blobs interface {
	// Put stores what r gives, at most limit bytes, and returns its digest in hexadecimal. More than limit is trouble with the code
	// too-large, and nothing is kept.
	Put(ctx context.Context, r io.Reader, limit int64) (digest string, size int64, err error)
	// Open verifies the blob and then gives its content. A blob that fails is trouble with the code broken-blob.
	Open(ctx context.Context, digest string) (r io.ReadCloser, size int64, err error)
	List(ctx context.Context, each func(digest string, size int64, at time.Time) error) error
}
