package freight

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/freight/sheet"
	"slatewright/trouble"
)

var readingColumns = []sheet.Column{
	{Name: "file", Needed: true},
	{Name: "piece", Also: []string{"serial", "number"}},
	{Name: "what", Also: []string{"face"}},
	{Name: "instruments", Also: []string{"instrument"}, Quantity: sheet.Words},
	{Name: "bench"},
	{Name: "support"},
	{Name: "top temperature", Quantity: sheet.Temperature},
	{Name: "bottom temperature", Quantity: sheet.Temperature},
	{Name: "humidity", Quantity: sheet.Percent},
	{Name: "wet", Quantity: sheet.YesNo},
}

// reading is one row of a list of readings files.
func (im *importing) reading(r *sheet.Row) book.Act {
	read := &book.Read{What: strings.ToLower(r.Text("what")), Instruments: r.Words("instruments"), Bench: r.Text("bench"), Support: r.Text("support"), Wet: r.YesNo("wet")}
	if p := r.Text("piece"); p != "" {
		read.Thing = thing(r, "piece", book.KindPiece)
	}
	for column, to := range map[string]**float64{"top temperature": &read.TopC, "bottom temperature": &read.BottomC, "humidity": &read.HumidityPercent} {
		if x, given := r.Number(column); given {
			*to = &x
		}
	}
	file := r.Need("file")
	if len(r.Faults) > 0 {
		return read
	}
	if !filepath.IsLocal(file) {
		r.Fault("file", trouble.Data("bad-name", "", fmt.Sprintf("%q is not below the folder of the list", file), "put the readings files beside the list, or in a folder there"))
		return read
	}
	f, err := im.readFile(filepath.Join(filepath.Dir(r.File()), file))
	if err == nil {
		err = im.fill(read, f)
	}
	if err != nil {
		r.Fault("file", err)
	}
	return read
}

// readingsFile is a readings file that was looked at.
type readingsFile struct {
	name, digest string
	face         *face.Face
}

// readFile reads a readings file, and refuses one that could not be reckoned with.
func (im *importing) readFile(name string) (*readingsFile, error) {
	in, err := im.Open(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	hash := sha256.New()
	size := counter(0)
	f, err := face.Read(name, io.TeeReader(io.LimitReader(in, im.MaxFile+1), io.MultiWriter(hash, &size)))
	if int64(size) > im.MaxFile {
		return nil, trouble.Data("too-large", name, fmt.Sprintf("the readings file is larger than %d MB", im.MaxFile>>20), "leave out what is no reading, or read in coarser steps")
	}
	if err != nil {
		return nil, err
	}
	return &readingsFile{name, hex.EncodeToString(hash.Sum(nil)), f}, nil
}

// fill puts into a reading what its file says and its row does not. Where both say something, it must be the same.
func (im *importing) fill(read *book.Read, f *readingsFile) error {
	if number := pieceNumber(f.face.Piece); read.Thing.ID == "" {
		read.Thing = book.Ref{Kind: book.KindPiece, ID: number}
	} else if number != "" && number != read.Thing.ID {
		return trouble.Data("two-pieces", f.name, fmt.Sprintf("the file was read from %s and the list says %s", number, read.Thing.ID), "correct the list, or the head of the file")
	}
	if side := f.face.Side; side != face.SideUnknown && read.What == "" {
		read.What = side.String()
	} else if side != face.SideUnknown && read.What != side.String() {
		return trouble.Data("two-faces", f.name, fmt.Sprintf("the file was read on the %s and the list says %s", side, read.What), "correct the list, or the head of the file")
	}
	if read.Support == "" {
		read.Support = f.face.Support.Text
	}
	if read.TopC == nil && read.BottomC == nil {
		read.TopC, read.BottomC = f.face.TempTop, f.face.TempBottom
	}
	if len(read.Instruments) == 0 {
		read.Instruments = im.Instruments
	}
	read.Blob = f.digest
	im.kept[f.digest] = f.name
	im.report.Warnings = append(im.report.Warnings, f.face.Warnings...)
	return missing(read, f)
}

// missing names what neither the row nor the file says.
func missing(read *book.Read, f *readingsFile) error {
	switch {
	case read.Thing.ID == "":
		return trouble.Data("no-piece", f.name, "the piece is not given", "write '# piece: QH-0412' into the file, or the column piece into a list of files")
	case read.What == "":
		return trouble.Data("no-face", f.name, "the face is not given", "write '# face: top' into the file, or the column what into a list of files")
	case len(read.Instruments) == 0:
		return trouble.Data("no-instrument", f.name, "the instrument is not given by its number in the book", "name it for the whole import, or in the column instruments of a list of files")
	}
	return nil
}

// pieceNumber is the number in the mark of a piece, which may be followed by its place in the bed.
func pieceNumber(mark string) string {
	number, place, _ := strings.Cut(mark, " ")
	switch strings.TrimSpace(place) {
	case "", "head", "centre", "foot":
		return number
	}
	return mark
}

// loose takes a readings file that no list names.
func (im *importing) loose(ctx context.Context, name string) error {
	im.report.Rows++
	f, err := im.readFile(name)
	if err != nil {
		return im.broken(err)
	}
	read := &book.Read{}
	if err := im.fill(read, f); err != nil {
		return im.broken(err)
	}
	if err := read.Validate(); err != nil {
		return im.broken(located(err, name))
	}
	day, err := time.ParseInLocation(time.DateOnly, f.face.Date, im.Zone)
	if err != nil {
		return im.broken(trouble.Data("no-time", name, "the file does not say when it was read", "write '# date: 2026-11-25' into the file, or the column at into a list of files"))
	}
	when, err := im.placed(day, true, true)
	if err != nil {
		return im.broken(located(err, name))
	}
	station := im.Station
	if station == "" {
		station = readers[Readings].station
	}
	return im.draft(ctx, name, read, when, station, "")
}

// keep puts the readings files into the book's files.
func (im *importing) keep(ctx context.Context) error {
	for _, digest := range slices.Sorted(maps.Keys(im.kept)) {
		if err := im.keepOne(ctx, digest, im.kept[digest]); err != nil {
			return err
		}
	}
	return nil
}

func (im *importing) keepOne(ctx context.Context, digest, name string) error {
	in, err := im.Open(name)
	if err != nil {
		return err
	}
	defer in.Close()
	got, _, err := im.blobs.Put(ctx, in, im.MaxFile)
	if err == nil && got != digest {
		err = trouble.Data("changed", name, "the file was changed while it was imported", "import it again")
	}
	return err
}
