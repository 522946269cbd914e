package office

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/freight"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/credentials"
	"slatewright/trouble"
)

// Import takes lists into the book.
type Import struct {
	List         string   `arg:"" enum:"pieces,weights,readings,room-log,orders" help:"What the list holds: pieces, weights, readings, room-log or orders."`
	Files        []string `arg:"" help:"The lists (CSV); for readings also readings files themselves. - is standard input."`
	DryRun       bool     `name:"dry-run" help:"Look at every row and change nothing."`
	Station      string   `placeholder:"STATION" help:"Where it was done, for rows that do not say; without it where such a thing is done: surfacing for pieces, bench for weights and readings, room for its log, office for orders."`
	Room         string   `placeholder:"NUMBER" help:"Number of the room, for rows of a room's log that do not say."`
	Instruments  []string `name:"instrument" placeholder:"NUMBER" help:"What it was read with, for rows that do not say."`
	opened.By    `embed:""`
	Blobs        string `placeholder:"PLACE" help:"Where scans and files are kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Import) About() verb.About {
	return verb.About{
		Text: `Takes a list into the book that people keep elsewhere: pieces in stock, weights, readings, the room's log, orders. Each row becomes an
			act and passes the same gate as everything else. All rows go in, or none: first every row is looked at, and what is wrong is told with
			its file and line. The same list again changes nothing.

			Exit status 0: all of it is in the book (with --dry-run: would go in). 1: rows are at fault, and nothing was written.`,
		Examples: []verb.Example{
			{"slatewright import pieces stock.csv --as lead-1 --dry-run", "would it go in?"},
			{"slatewright import weights scale.csv --as bench-1", "all of it, or nothing"},
			{"slatewright import room-log logger.csv --room ROOM-1 --instrument HYGRO-1 --as bench-1", "what a logger wrote that knows no numbers"},
		},
	}
}

type importReport struct {
	freight.ImportReport
	Told []rowFault `json:"faults"`
}

// rowFault is what keeps one row out.
type rowFault struct {
	Code  string `json:"code"`
	What  string `json:"what"`
	Where string `json:"where"`
	Next  string `json:"next"`
}

// Run looks at every row, and then takes all of them in.
func (v Import) Run(s *verb.Session) (verb.Report, error) {
	return v.Writing(s, "import", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		caller, err := v.Sign(ctx, s, opened.GateOf(s, l))
		if err != nil {
			return nil, err
		}
		return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			guarded, err := opened.Watched(ctx, l, files)
			if err != nil {
				return nil, err
			}
			o := freight.ImportOptions{List: freight.List(v.List), Files: v.Files, Caller: caller, Station: book.Station(v.Station),
				Room: v.Room, Instruments: v.Instruments, Zone: s.Clock().Location(), Now: s.Clock(), DryRun: v.DryRun,
				Open: func(name string) (io.ReadCloser, error) {
					in, _, err := s.Open(name)
					return in, err
				}}
			found, err := freight.Import(ctx, guarded, files, o)
			if err != nil {
				return nil, err
			}
			return tellImport(found), nil
		})
	})
}

func tellImport(found freight.ImportReport) *importReport {
	r := &importReport{found, []rowFault{}}
	for _, f := range found.Faults {
		r.Told = append(r.Told, rowFault{f.Code, f.What, f.Where, f.Next})
	}
	return r
}

func (r *importReport) Outcome() verb.Outcome {
	if len(r.Told) > 0 {
		return verb.Refused
	}
	return verb.Done
}

func (r *importReport) Print(w io.Writer) {
	acts := trouble.Count(r.New, "new act", "new acts")
	switch {
	case len(r.Told) > 0:
		fmt.Fprintf(w, "Nothing was written: %s in %s.\n", trouble.Count(len(r.Told)+r.More, "fault", "faults"), trouble.Count(r.Rows, "row", "rows"))
	case r.Rows == 0:
		fmt.Fprint(w, "There is no row in it. Nothing was written.\n")
	case r.DryRun:
		fmt.Fprintf(w, "%s would go in: %s, %d in the book already. Nothing was written.\n", every(r.Rows, "The row", "rows"), acts, r.Repeated)
	default:
		fmt.Fprintf(w, "%s in the book: %s, %d had been there already, %s kept.\n", every(r.Rows, "The row is", "rows are"), acts, r.Repeated,
			trouble.Count(r.Blobs, "file", "files"))
	}
	for _, f := range r.Told {
		fmt.Fprintln(w)
		io.WriteString(w, verb.Wrap(f.What, f.Where+": ", "    ", verb.Width))
		if f.Next != "" {
			io.WriteString(w, verb.Wrap(f.Next, "    next: ", "    ", verb.Width))
		}
	}
	if r.More > 0 {
		fmt.Fprintf(w, "\nand %d more\n", r.More)
	}
	verb.PrintWarnings(w, r.Warnings)
}

// every names all of n, or the one there is.
func every(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return fmt.Sprintf("All %d %s", n, many)
}

// Export writes everything out.
type Export struct {
	Folder       string `arg:"" help:"A new folder for the files."`
	Blobs        string `placeholder:"PLACE" help:"Where scans and files are kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Export) About() verb.About {
	return verb.About{
		Text: `Writes the whole book into a new folder: a CSV file for each kind of thing and of act, for spreadsheets; the journal as JSON lines and
			the scans, from which restore makes the same book again. People's passphrases are not in it. It reads beside a running server.

			Exit status 0: all of it is there. 1: scans could not be read, and each is named.`,
		Examples: []verb.Example{{"slatewright export out-of-the-book", "everything, as files"}},
	}
}

type exportReport struct{ freight.ExportReport }

// Run writes the files.
func (v Export) Run(s *verb.Session) (verb.Report, error) {
	return v.Open(s, ledger.Options{ReadOnly: true, Clock: s.Clock}, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			bar := verb.NewProgress(s, -1, "writing the files")
			defer bar.Close()
			found, err := freight.Export(ctx, l, files, v.Folder, s.Clock(), bar.Set)
			return &exportReport{found}, err
		})
	})
}

func (r *exportReport) Outcome() verb.Outcome { return whole(r.Missing) }

func (r *exportReport) Print(w io.Writer) {
	fmt.Fprintf(w, "Wrote %s into %s: %s, %s.\n", trouble.Count(r.Files, "file", "files"), r.Folder, holding(r.Manifest, r.Missing), trouble.Count(r.Things, "thing", "things"))
	printMissing(w, r.Missing)
	verb.PrintWarnings(w, r.Warnings)
}

// whole is Done when nothing is missing.
func whole(missing []book.Fault) verb.Outcome {
	if len(missing) > 0 {
		return verb.Refused
	}
	return verb.Done
}

// holding says what there is of a book, without what is missing.
func holding(m freight.Manifest, missing []book.Fault) string {
	return trouble.Count(m.Entries, "entry", "entries") + ", " + trouble.Count(m.Blobs-int64(len(missing)), "scan", "scans")
}

func printMissing(w io.Writer, missing []book.Fault) {
	if len(missing) > 0 {
		fmt.Fprintf(w, "\n%s NOT in it:\n", trouble.Count(len(missing), "scan is", "scans are"))
		printFaults(w, missing)
	}
}

// Backup writes the whole book into one file.
type Backup struct {
	File         string `arg:"" help:"The new file."`
	Blobs        string `placeholder:"PLACE" help:"Where scans and files are kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Backup) About() verb.About {
	return verb.About{
		Text: `Writes the whole book as it stands now into one file: the journal, the scans, and what people sign in with (passphrases only as
			digests; still, keep the file under lock). It reads beside a running server, which goes on. The file is there whole or not at all, and never
			over another. Its digest is told: written down elsewhere, it proves later that the file was not changed.

			Exit status 0: all of it is there. 1: scans could not be read, and each is named; the rest is there.`,
		Examples: []verb.Example{
			{"slatewright backup mill-2026-11-25.backup", "every evening, and carry it out of the house"},
		},
	}
}

type backupReport struct {
	File string `json:"file"`
	freight.BackupReport
}

// Run writes the file.
func (v Backup) Run(s *verb.Session) (verb.Report, error) {
	return v.Open(s, ledger.Options{ReadOnly: true, Clock: s.Clock}, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			bar := verb.NewProgress(s, -1, "writing the backup")
			defer bar.Close()
			r := &backupReport{File: v.File}
			return r, verb.StreamNew(v.File, 0o600, func(w io.Writer) (err error) {
				r.BackupReport, err = freight.Backup(ctx, l, files, credentials.New(l.Handles()), w, s.Clock(), bar.Set)
				return err
			})
		})
	})
}

func (r *backupReport) Outcome() verb.Outcome { return whole(r.Missing) }

func (r *backupReport) Print(w io.Writer) {
	fmt.Fprintf(w, "Wrote %s: %s, %s.\n  digest  %s\n", r.File, holding(r.Manifest, r.Missing), trouble.Count(r.Bytes, "byte", "bytes"), r.Digest)
	printMissing(w, r.Missing)
}

// Restore makes a book from a backup or an export.
type Restore struct {
	From     string `arg:"" help:"A backup, - for standard input, or the folder of an export."`
	Folder   string `arg:"" optional:"" help:"Folder for the book, which must hold none."`
	Database string `placeholder:"URL" help:"Address of an empty PostgreSQL database (postgres://…) instead of a folder."`
	Blobs    string `placeholder:"PLACE" help:"Where scans and files shall be kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	Check    bool   `help:"Only read a backup to its end and verify everything in it."`
}

// About is the help of the verb.
func (Restore) About() verb.About {
	return verb.About{
		Text: `Makes a book in an empty folder or database from a backup, or from an export. Everything is verified first: entries against their chain,
			scans against their digest. The journal is carried over as it was, and the tables follow from it. A restore that was interrupted
			goes on when it is run again. It also carries a mill from a folder to PostgreSQL, or back.

			Exit status 0: the book is whole. 1: scans were missing already when the backup was made, and each is named.`,
		Examples: []verb.Example{
			{"slatewright restore mill-2026-11-25.backup mill-again", "into a new folder"},
			{"slatewright restore mill.backup --database postgres://mill@db/mill --blobs s3://store/mill", "into a database"},
			{"slatewright restore --check mill-2026-11-25.backup", "is the backup whole?"},
		},
	}
}

type restoreReport struct {
	From  string `json:"from"`
	Book  string `json:"book"` // empty for a check
	Check bool   `json:"check"`
	freight.RestoreReport
}

// Run checks or restores.
func (v Restore) Run(s *verb.Session) (verb.Report, error) {
	bar := verb.NewProgress(s, -1, "reading the backup")
	defer bar.Close()
	r := &restoreReport{From: v.From, Check: v.Check}
	if v.Check {
		in, _, err := s.Open(v.From)
		if err != nil {
			return nil, err
		}
		defer in.Close()
		r.RestoreReport, err = freight.CheckBackup(s.Context, in, bar.Set)
		return r, err
	}
	if v.Folder == "" && v.Database == "" {
		return nil, trouble.Usage("no-place", "slatewright restore", "no place is named for the book", "name an empty folder, or --database")
	}
	where, err := opened.ServerPlace(s, v.Folder, v.Database)
	if err != nil {
		return nil, err
	}
	if err := newFolder(where, "restore", false); err != nil {
		return nil, err
	}
	r.Book = opened.Shown(where)
	p := &emptyPlace{s: s, where: where, at: v.Blobs}
	r.RestoreReport, err = v.into(s, p, bar.Set)
	return r, errors.Join(err, p.close())
}

// into restores a file or a folder.
func (v Restore) into(s *verb.Session, p *emptyPlace, tell freight.Progress) (freight.RestoreReport, error) {
	if info, err := os.Stat(v.From); v.From != "-" && err == nil && info.IsDir() {
		if _, err := os.Stat(filepath.Join(v.From, bookFile)); err == nil {
			return freight.RestoreReport{}, trouble.Usage("not-a-backup", "slatewright restore", v.From+" is the folder of a book, not of an export",
				"make a backup of it: slatewright backup FILE --book "+v.From)
		}
		return freight.ImportExport(s.Context, v.From, p.open, tell)
	}
	in, _, err := s.Open(v.From)
	if err != nil {
		return freight.RestoreReport{}, err
	}
	defer in.Close()
	return freight.Restore(s.Context, in, p.open, tell)
}

// emptyPlace is opened when the backup has said whose book it holds.
type emptyPlace struct {
	s         *verb.Session
	where, at string // of the book, and of its files
	book      *ledger.Ledger
	files     blobs.Store
}

func (p *emptyPlace) open(ctx context.Context, m freight.Manifest) (place freight.Place, err error) {
	if p.book, err = ledger.Open(ctx, p.where, ledger.Options{Site: m.Site, Create: true, Restoring: true, Holder: "slatewright restore", Clock: p.s.Clock}); err != nil {
		return place, err
	}
	if p.files, err = opened.OpenBlobs(p.s, p.book, p.at); err != nil {
		return place, err
	}
	return freight.Place{Ledger: p.book, Blobs: p.files, Credentials: credentials.New(p.book.Handles())}, nil
}

func (p *emptyPlace) close() (err error) {
	if p.files != nil {
		err = p.files.Close()
	}
	if p.book != nil {
		err = errors.Join(err, p.book.Close())
	}
	return err
}

func (r *restoreReport) Outcome() verb.Outcome { return whole(r.Missing) }

func (r *restoreReport) Print(w io.Writer) {
	held := holding(r.Manifest, r.Missing)
	switch lacks := len(r.Missing) > 0; {
	case r.Check && lacks:
		fmt.Fprintf(w, "%s is as it was made, but NOT whole: the book of %s, %s, made %s.\n", r.From, r.Site, held, r.MadeAt)
	case r.Check:
		fmt.Fprintf(w, "%s is whole: the book of %s, %s, made %s.\n", r.From, r.Site, held, r.MadeAt)
	case lacks:
		fmt.Fprintf(w, "The book of %s is in %s, but NOT whole: %s, as of %s.\n", r.Site, r.Book, held, r.MadeAt)
	default:
		fmt.Fprintf(w, "The book of %s is in %s: %s, as of %s.\n", r.Site, r.Book, held, r.MadeAt)
	}
	if !r.Check && !r.Credentials {
		fmt.Fprint(w, "Nobody can sign in yet: set a passphrase with 'slatewright person reset'.\n")
	}
	printMissing(w, r.Missing)
}
