package freight

import (
	"context"
	"io"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// List is what kind of list is imported.
type List string

// The lists that can be imported.
const (
	Pieces   List = "pieces"
	Weights  List = "weights"
	Readings List = "readings"
	RoomLog  List = "room-log"
	Orders   List = "orders"
)

// Lists names every kind of list.
func Lists() []List { return []List{Pieces, Weights, Readings, RoomLog, Orders} }

// ImportOptions say what is imported and for whom.
type ImportOptions struct {
	List        List
	Files       []string                                 // lists; for Readings also readings files themselves
	Open        func(name string) (io.ReadCloser, error) // opens a file, and those that a list of readings names
	Caller      book.Caller                              // who imports, as the gate knows them
	Station     book.Station                             // where it was done, for rows that do not say
	Room        string                                   // for rows of a room log that do not say
	Instruments []string                                 // what it was read with, for rows that do not say
	Zone        *time.Location                           // of times that carry none; nil is UTC
	Now         time.Time
	DryRun      bool  // look, and change nothing
	MaxFile     int64 // largest readings file in bytes; 0 is 64 MB
	MaxFaults   int   // faults that are told; 0 is 100
}

// ImportReport says what an import has done or, when dry, would do.
type ImportReport struct {
	List     List               `json:"list"`
	DryRun   bool               `json:"dry_run"`
	Rows     int                `json:"rows"`          // rows read
	New      int                `json:"new"`           // acts that were written; when dry, would be
	Repeated int                `json:"already_there"` // rows that the book has from an earlier import
	Files    int                `json:"files_kept"`    // readings files kept with the book; when dry, would be
	Warnings []string           `json:"warnings"`      // what was read but not taken
	Faults   []*trouble.Trouble `json:"-"`             // what keeps the rows out, each with file:line; then nothing was written
	More     int                `json:"more_faults"`   // faults beyond those told
}

// Trouble is nil when the import went through, and otherwise says how many rows are at fault and names the first.
func (r ImportReport) Trouble() *trouble.Trouble { panic("freight: not built yet") }

// Import reads lists and hands each row to the book as an act: all rows or none. The error is nil when the rows could be looked
// at; what is wrong with them stands in the report. The same rows again change nothing.
func Import(ctx context.Context, l book.Ledger, b book.Blobs, o ImportOptions) (ImportReport, error) {
	panic("freight: not built yet")
}
