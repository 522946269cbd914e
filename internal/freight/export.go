package freight

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"io"
	"maps"
	"slices"
	"strconv"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/freight/sheet"
	"slatewright/trouble"
)

// An export is a folder:
//
//	README.txt          how to read it
//	things/KIND.csv     the things of each kind as they stand
//	acts/WORD.csv       the acts of each kind, in the order of the journal
//	journal.jsonl       the journal, entry by entry
//	blobs/DIGEST        scans and files
//	manifest.json       site, how many entries, the last one's hash
//	SHA256SUMS          of every file; written last, so a folder without it is half an export

const (
	journalName  = "journal.jsonl"
	readmeName   = "README.txt"
	thingsFolder = "things/"
	actsFolder   = "acts/"
)

// What stands in front in the lists of things, after the thing's own number, and in those of acts.
var (
	thingTitles = []string{"stands_at", "since", "parent", "last_entry", "last_at"}
	actTitles   = []string{"seq", "entry", "at", "stands_at", "person", "station", "standing", "standing_by", "why"}
)

// ExportReport says what an export wrote.
type ExportReport struct {
	exported
	Folder   string   `json:"folder"`
	Files    int      `json:"files"`
	Warnings []string `json:"warnings"`
}

// exported is the manifest of an export.
type exported struct {
	Manifest
	Things  int64        `json:"things"`
	Missing []book.Fault `json:"missing,omitempty"` // blobs that could not be read
}

// Export writes everything in the book into a new folder: a CSV file for each kind of thing and of act, the journal as JSON
// lines, the blobs, and what says how to read them. The book may be written to meanwhile.
func Export(ctx context.Context, l book.Ledger, b book.Blobs, folder string, now time.Time, p Progress) (ExportReport, error) {
	x := &exporting{ledger: l, progress: p, report: ExportReport{Folder: folder, Warnings: []string{}}}
	var err error
	if x.to, err = newFolder(folder); err != nil {
		return x.report, err
	}
	defer x.to.root.Close()
	entries, head, err := headOf(ctx, l)
	if err != nil {
		return x.report, err
	}
	blobs, bytes, err := listBlobs(ctx, b)
	if err != nil {
		return x.report, err
	}
	x.report.Manifest = Manifest{Format: ExportFormat, Version: Version, Site: l.Site(), Entries: entries, Head: head.String(),
		Blobs: int64(len(blobs)), BlobBytes: bytes, MadeAt: now.UTC().Truncate(time.Second).Format(time.RFC3339)}
	x.total = 2*entries + int64(len(blobs))
	if err := x.lists(ctx); err != nil {
		return x.report, err
	}
	for _, digest := range blobs {
		if err := x.blob(ctx, b, digest); err != nil {
			return x.report, err
		}
	}
	err = x.finish(ctx)
	x.report.Files = x.to.files
	return x.report, err
}

// exporting is an export under way.
type exporting struct {
	ledger      book.Ledger
	to          *folder
	progress    Progress
	report      ExportReport
	done, total int64
}

func (x *exporting) step(n int64) {
	x.done += n
	x.progress.tell(x.done, x.total)
}

// lists writes the things, the acts and the journal.
func (x *exporting) lists(ctx context.Context) error {
	for _, kind := range book.Kinds() {
		if err := x.things(ctx, kind); err != nil {
			return err
		}
	}
	columns := map[string]*sheet.Layout{}
	err := eachEntry(ctx, x.ledger, x.report.Entries, func(list []book.Placed) error {
		for _, e := range list {
			if columns[e.Act] == nil {
				columns[e.Act] = sheet.NewLayout()
			}
			if err := columns[e.Act].Learn(e.Body); err != nil {
				return err
			}
		}
		x.step(int64(len(list)))
		return nil
	})
	if err != nil {
		return err
	}
	return x.acts(ctx, columns)
}

// things writes the things of one kind: once through for the columns, once for the rows.
func (x *exporting) things(ctx context.Context, kind book.Kind) error {
	columns := sheet.NewLayout()
	n := int64(0)
	err := x.eachThing(ctx, kind, func(t book.Thing) error { n++; return columns.Learn(t.State) })
	if err != nil || n == 0 {
		return err
	}
	file, err := x.to.create(thingsFolder + string(kind) + ".csv")
	if err != nil {
		return err
	}
	w := sheet.NewWriter(file)
	w.Row(slices.Concat([]string{string(kind)}, thingTitles, columns.Titles()))
	err = x.eachThing(ctx, kind, func(t book.Thing) error {
		cells, err := columns.Cells(t.State) // a field that came up meanwhile is in the journal
		w.Row(append([]string{t.ID, string(t.Station), written(t.Since), reference(t.Parent), strconv.FormatInt(t.Seq, 10), written(t.At)}, cells...))
		x.report.Things++
		return err
	})
	return file.finish(w, err)
}

func (x *exporting) eachThing(ctx context.Context, kind book.Kind, each func(book.Thing) error) error {
	for cursor := ""; ; {
		page, err := x.ledger.Things(ctx, book.Filter{Kind: kind}, cursor, 500)
		if err != nil {
			return err
		}
		for _, t := range page.Items {
			if err := each(t); err != nil {
				return err
			}
		}
		if cursor = page.Next; cursor == "" {
			return nil
		}
	}
}

// written is a time as it stands in a list; the zero time is an empty cell.
func written(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return at.UTC().Format("2006-01-02T15:04:05.000Z07:00")
}

func reference(r book.Ref) string {
	if r == (book.Ref{}) {
		return ""
	}
	return r.String()
}

// actList is the list of one kind of act.
type actList struct {
	file    *exportFile
	out     *sheet.Writer
	columns *sheet.Layout
}

// acts writes the journal, and each entry of it into the list of its act.
func (x *exporting) acts(ctx context.Context, columns map[string]*sheet.Layout) error {
	journal, err := x.to.create(journalName)
	if err != nil {
		return err
	}
	defer journal.abandon()
	lists := map[string]*actList{}
	defer func() {
		for _, list := range lists {
			list.file.abandon()
		}
	}()
	c := chain{site: x.ledger.Site()}
	err = eachEntry(ctx, x.ledger, x.report.Entries, func(list []book.Placed) error {
		for _, e := range list {
			if err := c.next(e.Entry); err != nil {
				return err
			}
			if _, err := journal.Write(lineOf(nil, e.Entry)); err != nil {
				return err
			}
			if err := x.act(e, lists, columns[e.Act]); err != nil {
				return err
			}
		}
		x.step(int64(len(list)))
		return nil
	})
	for _, word := range slices.Sorted(maps.Keys(lists)) {
		err = lists[word].file.finish(lists[word].out, err)
	}
	if err != nil {
		return err
	}
	return journal.close()
}

// act writes one entry into the list of its act.
func (x *exporting) act(e book.Placed, lists map[string]*actList, columns *sheet.Layout) error {
	list := lists[e.Act]
	if list == nil {
		file, err := x.to.create(actsFolder + e.Act + ".csv")
		if err != nil {
			return err
		}
		list = &actList{file, sheet.NewWriter(file), columns}
		lists[e.Act] = list
		list.out.Row(slices.Concat(actTitles, columns.Titles()))
	}
	cells, err := columns.Cells(e.Body)
	by := ""
	if e.Standing.By != 0 {
		by = strconv.FormatInt(e.Standing.By, 10)
	}
	list.out.Row(append([]string{strconv.FormatInt(e.Seq, 10), e.ID, written(e.Entry.At), written(e.At), sheet.Guard(e.Person), sheet.Guard(string(e.Station)),
		e.Standing.State, by, sheet.Guard(e.Standing.Why)}, cells...))
	return err
}

// blob copies one blob into the folder.
func (x *exporting) blob(ctx context.Context, b book.Blobs, digest string) error {
	x.step(1)
	r, _, err := b.Open(ctx, digest)
	if fault, named := faultOf(err, digest); named {
		x.report.Missing = append(x.report.Missing, fault)
		return nil
	}
	if err != nil {
		return err
	}
	defer r.Close()
	file, err := x.to.create(blobFolder + digest)
	if err != nil {
		return err
	}
	defer file.abandon()
	if _, err := io.Copy(file, r); err != nil {
		return unwritable(err)
	}
	if hex.EncodeToString(file.hash.Sum(nil)) != digest {
		return changedBlob(digest)
	}
	return file.close()
}

// finish writes what says how to read the folder, and at last the digests.
func (x *exporting) finish(ctx context.Context) error {
	entries, _, err := headOf(ctx, x.ledger)
	if err != nil {
		return err
	}
	if n := entries - x.report.Entries; n > 0 {
		x.report.Warnings = append(x.report.Warnings, trouble.Count(n, "entry was", "entries were")+" written meanwhile: the lists of things may hold what they changed, the journal does not")
	}
	manifest, err := json.MarshalIndent(x.report.exported, "", "  ")
	if err != nil {
		panic("freight: " + err.Error())
	}
	if err := x.to.put(readmeName, []byte(readme)); err != nil {
		return err
	}
	if err := x.to.put(manifestName, append(manifest, '\n')); err != nil {
		return err
	}
	return x.to.put(sumsName, x.to.sums.Bytes())
}

// readme is what stands in every export.
const readme = `This folder is a mill's book as slatewright exported it.

things/      one list for each kind of thing: how it stands now. CSV, for spreadsheets.
acts/        one list for each kind of act: what was done, in the order of the journal. CSV.
journal.jsonl  the journal itself, one entry a line, in JSON. Everything else follows from it.
blobs/       scans and files, each named by the SHA-256 of its content.
manifest.json  the mill, the number of entries, and the hash of the last one.
SHA256SUMS   digests of all files: 'sha256sum -c SHA256SUMS' checks them.

The lists are CSV as RFC 4180 describes it: UTF-8 with a byte order mark, commas, CRLF. Titles end in the unit: mm, kg,
c for degrees Celsius, percent. Times are UTC. A cell with several values is JSON. Text that a spreadsheet could take for a formula has an
apostrophe before it, which is no part of the text.

An entry's hash is the SHA-256 of its line up to ,"hash" (without that), then a closing brace, a line feed, and the value of body, byte
for byte. Its prev is the hash of the entry before.

'slatewright restore' reads this folder into an empty book, with the same entries and hashes. It needs journal.jsonl,
manifest.json, SHA256SUMS and blobs/. The lists are for reading: changing or throwing them away changes nothing.
`
