package freight

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/freight/sheet"
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

// MaxRows is the most rows of one import: all of them are admitted in one transaction.
const MaxRows = 200_000

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
	Blobs    int                `json:"files_kept"`    // readings files kept with the book; when dry, would be
	Warnings []string           `json:"warnings"`      // what was read but not taken as it stood
	Faults   []*trouble.Trouble `json:"-"`             // what keeps rows out, each with file:line; then nothing was written
	More     int                `json:"more_faults"`   // faults beyond those told
}

// Trouble is nil when the import went through, and otherwise says how many faults there are and names the first.
func (r ImportReport) Trouble() *trouble.Trouble {
	if len(r.Faults) == 0 {
		return nil
	}
	first, n := r.Faults[0], len(r.Faults)+r.More
	if n == 1 {
		return first
	}
	return trouble.Data(first.Code, first.Where, fmt.Sprintf("%d faults keep the list out, and nothing was taken; the first: %s", n, first.What), first.Next)
}

// Import reads lists and hands each row to the book as an act: all rows or none. The error is nil when the rows could be looked
// at; what is wrong with them stands in the report. The same rows again change nothing.
func Import(ctx context.Context, l book.Ledger, b book.Blobs, o ImportOptions) (ImportReport, error) {
	read, ok := readers[o.List]
	if !ok {
		return ImportReport{}, trouble.Usage("bad-list", "", fmt.Sprintf("%q is no kind of list", o.List), "import pieces, weights, readings, room-log or orders")
	}
	im := &importing{ledger: l, blobs: b, ImportOptions: o, seen: map[string]string{}, kept: map[string]string{},
		report: ImportReport{List: o.List, DryRun: o.DryRun, Warnings: []string{}}}
	im.defaults()
	for _, name := range o.Files {
		if err := im.file(ctx, name, read); err != nil {
			return im.report, err
		}
	}
	err := im.admit(ctx)
	return im.report, err
}

// importing is one import under way.
type importing struct {
	ImportOptions
	report ImportReport
	ledger book.Ledger
	blobs  book.Blobs
	drafts []draft
	seen   map[string]string // entry id to the row that gave it
	kept   map[string]string // digest to the name of the readings file that has it
}

// draft is a row as it will be handed in.
type draft struct {
	where string
	entry book.Entry
}

func (im *importing) defaults() {
	if im.Zone == nil {
		im.Zone = time.UTC
	}
	if im.MaxFile == 0 {
		im.MaxFile = 64 << 20
	}
	if im.MaxFaults == 0 {
		im.MaxFaults = 100
	}
}

// reader is what is known about one kind of list.
type reader struct {
	columns []sheet.Column
	row     func(*importing, *sheet.Row) book.Act // nil when the row is at fault
	noon    bool                                  // what is done on a day without a time was done at noon, not at its beginning
	notes   bool                                  // the act has room for what stands in unknown columns
	station book.Station
}

var readers = map[List]reader{
	Pieces:   {pieceColumns, (*importing).stone, false, true, book.Surfacing},
	Weights:  {weightColumns, (*importing).weight, true, false, book.Bench},
	Readings: {readingColumns, (*importing).reading, true, false, book.Bench},
	RoomLog:  {climateColumns, (*importing).climate, true, false, book.Room},
	Orders:   {orderColumns, (*importing).order, false, true, book.Office},
}

// common are the columns that every list may have.
var common = []sheet.Column{
	{Name: "at", Also: []string{"date", "time"}, Quantity: sheet.Moment},
	{Name: "station"},
	{Name: "entry"},
}

// file reads one file. An error in its form ends the file and is a fault; an error of the disk ends the import.
func (im *importing) file(ctx context.Context, name string, read reader) error {
	in, err := im.Open(name)
	if err != nil {
		return err
	}
	defer in.Close()
	text, titles := titlesOf(in)
	switch known := common; {
	case ofExport(titles):
		if im.List != Weights || !slices.Contains(titles, "mass_kg") {
			return im.broken(exportedList(name, im.List))
		}
		return im.rows(ctx, name, text, read, slices.Concat(known, bookkeeping))
	case im.List == Readings && !slices.Contains(titles, "file"):
		return im.loose(ctx, name)
	default:
		return im.rows(ctx, name, text, read, known)
	}
}

func (im *importing) rows(ctx context.Context, name string, in io.Reader, read reader, known []sheet.Column) error {
	table, err := sheet.Open(name, in, slices.Concat(read.columns, known), im.Zone)
	if err != nil {
		return im.broken(err)
	}
	for _, title := range table.Unknown {
		kept := "is not taken"
		if read.notes {
			kept = "is kept in the note"
		}
		im.report.Warnings = append(im.report.Warnings, fmt.Sprintf("%s: column %q is not known and %s", name, title, kept))
	}
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		row, err := table.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return im.broken(err)
		}
		if im.report.Rows++; im.report.Rows > MaxRows {
			return im.broken(trouble.Data("too-long", fmt.Sprintf("%s:%d", name, row.Line), fmt.Sprintf("more than %d rows at once", MaxRows), "import the list in parts"))
		}
		if err := im.take(ctx, name, row, read); err != nil {
			return err
		}
	}
}

// broken notes a fault in the form of a file; only failing files and cancelled contexts are errors.
func (im *importing) broken(err error) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Kind != trouble.KindData {
		return err
	}
	im.fault(t)
	return nil
}

func (im *importing) fault(t *trouble.Trouble) {
	if len(im.report.Faults) < im.MaxFaults {
		im.report.Faults = append(im.report.Faults, t)
	} else {
		im.report.More++
	}
}

// take makes one row into a draft.
func (im *importing) take(ctx context.Context, name string, row *sheet.Row, read reader) error {
	if standing := row.Text("standing"); standing != "" {
		im.report.Warnings = append(im.report.Warnings, fmt.Sprintf("%s:%d is not taken: its standing is %s", name, row.Line, standing))
		return nil
	}
	if len(row.Faults) == 0 {
		act := read.row(im, row)
		when := im.when(row, read.noon)
		if err := act.Validate(); len(row.Faults) == 0 && err != nil {
			row.Fault(fieldOf(err), err)
		}
		if len(row.Faults) == 0 {
			return im.draft(ctx, fmt.Sprintf("%s:%d", name, row.Line), act, when, im.where(row, read), row.Text("entry"))
		}
	}
	for _, f := range row.Faults {
		im.fault(f)
	}
	return nil
}

// fieldOf is the field that an act's own validation names.
func fieldOf(err error) string {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		return t.Where
	}
	return ""
}

// where is the station of a row.
func (im *importing) where(row *sheet.Row, read reader) book.Station {
	for _, s := range []string{row.Text("station"), string(im.Station)} {
		if s != "" {
			return book.Station(s)
		}
	}
	return read.station
}

// moment is when a row was done, and whether the row itself says so.
type moment struct {
	at    time.Time
	dated bool
	exact bool // to the minute at least
	today bool // a day that is not over: it was done before now, and not at noon
}

// when reads the time of a row. A row without one is done now.
func (im *importing) when(row *sheet.Row, noon bool) moment {
	at, day, given := row.Moment("at")
	if !given {
		return moment{at: im.now().Add(-wayOfStone)}
	}
	m, err := im.placed(at, day, noon)
	if err != nil {
		row.Fault("at", err)
	}
	return m
}

func (im *importing) now() time.Time { return im.Now.UTC().Truncate(time.Millisecond) }

// ahead is how far a clock may be ahead of this machine's.
const ahead = 5 * time.Minute

// placed puts what has only a day at noon of it, where the day's beginning would come before the day's work. Today's noon is in
// the row's id, so that the same row is recognised tomorrow; the entry itself is of now.
func (im *importing) placed(at time.Time, day, noon bool) (moment, error) {
	if at.After(im.now().Add(ahead)) {
		return moment{}, trouble.Data("clock-ahead", "", "the time is still to come", "check the day, or the clock of this machine")
	}
	m := moment{at: at.UTC(), dated: true, exact: !day}
	if day && noon {
		m.at = m.at.Add(12 * time.Hour)
		m.today = at.In(im.Zone).Format(time.DateOnly) == im.Now.In(im.Zone).Format(time.DateOnly)
	}
	return m, nil
}

// draft makes an act into an entry, unless the book has it already.
func (im *importing) draft(ctx context.Context, where string, a book.Act, when moment, station book.Station, id string) error {
	word, body, err := book.Encode(a)
	if err != nil {
		return im.broken(located(err, where))
	}
	if !when.exact {
		when.at = when.at.Add(onItsWay(a))
	}
	e := book.Entry{ID: id, Site: im.ledger.Site(), At: when.at, Person: im.Caller.Person, Station: station, Act: word, Body: body}
	if id == "" {
		e.ID = rowID(e, when.dated)
	}
	if now := im.now(); when.today || e.At.After(now) {
		e.At = now
	}
	if first, twice := im.seen[e.ID]; twice {
		im.report.Warnings = append(im.report.Warnings, fmt.Sprintf("%s says the same as %s and is taken once", where, first))
		return nil
	}
	im.seen[e.ID] = where
	var t *trouble.Trouble
	switch _, err := im.ledger.Entry(ctx, e.ID); {
	case err == nil:
		im.report.Repeated++
	case errors.As(err, &t) && (t.Code == "no-such-entry" || t.Code == "no-such-thing"):
		im.drafts = append(im.drafts, draft{where, e})
	default:
		return im.broken(located(err, where))
	}
	return nil
}

// wayOfStone is the longest that onItsWay puts between two things of one day.
const wayOfStone = 3 * time.Millisecond

// onItsWay puts stone that is taken in on one day into the order in which it comes about, a millisecond apart: the book wants a
// slab to be there before what was cut from it.
func onItsWay(a book.Act) time.Duration {
	in, ok := a.(*book.TakeIn)
	if !ok {
		return 0
	}
	return map[book.Kind]time.Duration{book.KindBlock: 1, book.KindSlab: 2, book.KindPiece: 3}[in.Thing.Kind] * time.Millisecond
}

// admit hands the drafts in. Files go before the entries that name them, and so before that everything is asked once dry.
func (im *importing) admit(ctx context.Context) error {
	faulty := len(im.report.Faults) > 0
	if im.DryRun || faulty || len(im.kept) > 0 {
		ok, err := im.hand(ctx, true)
		if err != nil || !ok || faulty || im.DryRun {
			return err
		}
	}
	if err := im.keep(ctx); err != nil {
		return err
	}
	_, err := im.hand(ctx, false)
	return err
}

// hand asks the book to take all drafts and notes what it refuses.
func (im *importing) hand(ctx context.Context, dry bool) (ok bool, err error) {
	if len(im.drafts) == 0 {
		return true, nil
	}
	list := make([]book.Submission, len(im.drafts))
	for i, d := range im.drafts {
		list[i] = book.Submission{Entry: d.entry, Caller: im.Caller}
	}
	_, faults, err := im.ledger.AppendAll(ctx, list, dry)
	ok = true
	for i, fault := range faults {
		if fault == nil {
			continue
		}
		ok = false
		if err := im.broken(located(fault, im.drafts[i].where)); err != nil {
			return false, err
		}
	}
	if !ok {
		return false, nil
	}
	if err == nil {
		im.report.New, im.report.Blobs = len(im.drafts), len(im.kept)
	}
	return err == nil, err
}

// sides is a size as the book keeps it: the longer side first.
func sides(a, b float64) (length, width float64) { return max(a, b), min(a, b) }

// one is the only one of a list of words, or none.
func one(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return ""
}

// joined puts what is not empty one behind the other.
func joined(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; ")
}
