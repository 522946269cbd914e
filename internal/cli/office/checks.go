package office

import (
	"context"
	"fmt"
	"io"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/trouble"
)

// Rebuild derives every table from the journal anew.
type Rebuild struct {
	Check        bool `help:"Write nothing: compare every table with what the journal says, beside a running server."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (Rebuild) About() verb.About {
	return verb.About{
		Text: `The journal is the truth; every other table follows from it. This verb replays the journal and writes the tables anew, in one
			transaction. With --check it writes nothing and names every row that differs.

			Exit status 0: the tables are as the journal says (after a rebuild they are). 1: --check found a difference; run rebuild without it.`,
		Examples: []verb.Example{
			{"slatewright rebuild --check", "are the tables as the journal says?"},
			{"slatewright rebuild", "make them so; stop the server first"},
		},
	}
}

type rebuildReport struct {
	Check bool `json:"check"`
	book.RebuildReport
}

// Run replays the journal.
func (v Rebuild) Run(s *verb.Session) (verb.Report, error) {
	do := func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		bar := verb.NewProgress(s, -1, "replaying the journal")
		defer bar.Close()
		found, err := l.Rebuild(ctx, v.Check, bar.Set)
		return &rebuildReport{v.Check, found}, err
	}
	if v.Check {
		return v.Reading(s, do)
	}
	return v.Writing(s, "rebuild", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) { return do(ctx, l) })
}

// differences counts the rows that are not as the journal says.
func (r *rebuildReport) differences() (n int64) {
	for _, t := range r.Tables {
		n += t.Differences
	}
	return n
}

func (r *rebuildReport) Outcome() verb.Outcome {
	if r.Check && r.differences() > 0 {
		return verb.Refused
	}
	return verb.Done
}

func (r *rebuildReport) Print(w io.Writer) {
	acts := trouble.Count(r.Acts, "act", "acts")
	switch n := r.differences(); {
	case n == 0:
		fmt.Fprintf(w, "The tables are as the journal says: %s, %d in conflict.\n\n", acts, r.Conflicts)
	case r.Check:
		fmt.Fprintf(w, "%s NOT as the journal says (%s, %d in conflict). Stop the server and run 'slatewright rebuild'.\n\n",
			trouble.Count(n, "row is", "rows are"), acts, r.Conflicts)
	default:
		fmt.Fprintf(w, "The tables were written anew from %s, %d in conflict; %s been different.\n\n", acts, r.Conflicts, trouble.Count(n, "row had", "rows had"))
	}
	fmt.Fprintf(w, "  %-16s %12s  %12s\n", "table", "rows", "different")
	for _, t := range r.Tables {
		fmt.Fprintf(w, "  %-16s %12d  %12d\n", t.Table, t.Rows, t.Differences)
		for _, d := range t.First {
			io.WriteString(w, verb.Wrap(d, "      ", "      ", verb.Width))
		}
	}
}

// VerifyJournal walks along the chain.
type VerifyJournal struct {
	Files        bool   `help:"Verify every kept scan and file too, which takes as long as reading them."`
	Blobs        string `placeholder:"PLACE" help:"Where scans and files are kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	opened.Place `embed:""`
}

// About is the help of the verb.
func (VerifyJournal) About() verb.About {
	return verb.About{
		Text: `Computes the hash of every entry anew and holds it against what is written, and each against the entry before: an entry that was
			changed, taken out or put in later is found and named. The hash of the last entry stands for the whole journal: written down elsewhere, it
			proves later that nothing before it was changed. With --files every kept file is held against its digest as well.

			Exit status 0: all holds. 1: it does not; each fault is named with what to do.`,
		Examples: []verb.Example{
			{"slatewright verify-journal", "does the chain hold?"},
			{"slatewright verify-journal --files", "and is every scan as it was stored?"},
			{"slatewright verify-journal --book /srv/mill --json", "of a book elsewhere, for programs"},
		},
	}
}

type journalReport struct {
	book.JournalReport
	Files      bool         `json:"files"` // whether they were looked at
	FileFaults []book.Fault `json:"file_faults,omitempty"`
}

// Run walks along the chain.
func (v VerifyJournal) Run(s *verb.Session) (verb.Report, error) {
	return v.Open(s, ledger.Options{ReadOnly: true, Clock: s.Clock}, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		bar := verb.NewProgress(s, -1, "verifying the journal")
		defer bar.Close()
		found, err := l.VerifyJournal(ctx, bar.Set)
		if err != nil || !v.Files {
			return &journalReport{JournalReport: found}, err
		}
		return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			faults, err := files.Check(ctx, bar.Set)
			return &journalReport{found, true, faults}, err
		})
	})
}

func (r *journalReport) Outcome() verb.Outcome {
	return whole(append(r.Faults[:len(r.Faults):len(r.Faults)], r.FileFaults...))
}

func (r *journalReport) Print(w io.Writer) {
	entries := trouble.Count(r.Entries, "entry", "entries")
	if len(r.Faults) == 0 {
		fmt.Fprintf(w, "The journal holds: %s, each as it was written.\n  last hash  %s\n", entries, r.Head)
	} else {
		fmt.Fprintf(w, "The journal does NOT hold: %s, %s.\n", entries, trouble.Count(len(r.Faults), "fault", "faults"))
		printFaults(w, r.Faults)
	}
	switch {
	case len(r.FileFaults) > 0:
		fmt.Fprintf(w, "\nFiles that do NOT hold: %d.\n", len(r.FileFaults))
		printFaults(w, r.FileFaults)
	case r.Files:
		fmt.Fprint(w, "Every kept file is as it was stored.\n")
	}
}

func printFaults(w io.Writer, faults []book.Fault) {
	for _, f := range faults {
		fmt.Fprintln(w)
		for _, part := range [][2]string{{"  what:  ", f.What}, {"  where: ", f.Where}, {"  next:  ", f.Next}} {
			if part[1] != "" {
				io.WriteString(w, verb.Wrap(part[1], part[0], "         ", verb.Width))
			}
		}
	}
}
