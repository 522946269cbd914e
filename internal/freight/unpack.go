package freight

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"strings"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// receiver gets what a backup or an export holds, in its order. Everything was verified but the content of blobs, whose
// digest the receiver computes, and what comes later.
type receiver interface {
	manifest(ctx context.Context, m Manifest) error
	entries(ctx context.Context, list []book.Entry) error
	credentials(ctx context.Context, text []byte) error
	blob(ctx context.Context, r io.Reader, size int64) (digest string, err error)
}

// Limits of what is read into memory at once.
const (
	maxManifest    = 64 << 10
	maxCredentials = 64 << 20
	maxSums        = 1 << 30
)

// unpacking is a backup that is read.
type unpacking struct {
	raw      *rawReader
	tar      *tar.Reader
	to       receiver
	progress Progress
	report   RestoreReport
	chain    chain
	sums     bytes.Buffer
	name     string // of the member that is read
	stage    int    // the kind of member that came last
	blobs    int64
	bytes    int64
	done     int64
}

// unpack reads a backup to its end.
func unpack(ctx context.Context, r io.Reader, to receiver, p Progress) (RestoreReport, error) {
	u := &unpacking{raw: &rawReader{in: r, hash: sha256.New()}, to: to, progress: p, name: "its beginning"}
	zip, err := gzip.NewReader(u.raw)
	if err != nil {
		return u.report, u.damaged(err)
	}
	zip.Multistream(false)
	u.tar = tar.NewReader(zip)
	for {
		head, err := u.tar.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = ctx.Err()
		}
		if err != nil {
			return u.report, u.damaged(err)
		}
		u.name = fmt.Sprintf("%.200s", head.Name)
		if err := u.member(ctx, head); err != nil {
			return u.report, err
		}
	}
	return u.report, u.end(zip)
}

// end checks that the backup ends where and as it should.
func (u *unpacking) end(zip *gzip.Reader) error {
	if u.stage != stageSeal {
		return u.damaged(io.ErrUnexpectedEOF)
	}
	u.name = "its end"
	if n, err := io.Copy(io.Discard, io.LimitReader(zip, 1)); err != nil || n > 0 {
		return u.damaged(err)
	}
	want := trailer(u.raw.sum())
	got, err := io.ReadAll(io.LimitReader(u.raw, int64(len(want))+1))
	if err != nil || len(got) < len(want) {
		return u.damaged(errors.Join(err, io.ErrUnexpectedEOF))
	}
	if !bytes.Equal(got, want) {
		return u.damaged(nil)
	}
	return nil
}

// damaged says where a backup is broken. What another party is in trouble with stays as it is.
func (u *unpacking) damaged(err error) error {
	var t *trouble.Trouble
	switch {
	case errors.As(err, &t), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case u.raw.failed != nil:
		return trouble.IO("unreadable", u.name, "the backup cannot be read to its end", "check the file and the disk it is on").Because(u.raw.failed)
	case u.raw.empty:
		return trouble.Data("empty", "", "the backup is empty", "name the file that 'slatewright backup' wrote")
	case u.report.Format == "":
		return trouble.Data("no-backup", "", "this is no backup of a mill's book, or its beginning is damaged", "name the file that 'slatewright backup' wrote, or another copy of it").Because(err)
	case errors.Is(err, io.ErrUnexpectedEOF):
		return trouble.Data("cut-off", u.name, "the backup is cut off", "use another copy or an earlier backup; this one was not written or copied to its end").Because(err)
	}
	return trouble.Data("broken-backup", u.name, "the backup is damaged here", nextOtherCopy).Because(err)
}

// wrong is a member that is not what it should be.
func (u *unpacking) wrong(what string) error {
	return trouble.Data("broken-backup", u.name, what, nextOtherCopy)
}

// The kinds of members, in their order.
const (
	stageManifest = 1 + iota
	stageJournal
	stageCredentials
	stageBlobs
	stageSums
	stageSeal
)

// kindOf tells what a member is by its name.
func kindOf(name string) (stage int) {
	switch {
	case name == manifestName:
		return stageManifest
	case strings.HasPrefix(name, journalFolder):
		return stageJournal
	case name == credentialsName:
		return stageCredentials
	case strings.HasPrefix(name, blobFolder):
		return stageBlobs
	case name == sumsName:
		return stageSums
	case name == sealName:
		return stageSeal
	}
	return 0
}

// member reads one member after checking that its turn has come.
func (u *unpacking) member(ctx context.Context, head *tar.Header) error {
	stage := kindOf(head.Name)
	again := stage == u.stage && (stage == stageJournal || stage == stageBlobs)
	switch {
	case head.Typeflag != tar.TypeReg || stage == 0:
		return u.wrong("the backup has a member that belongs into none")
	case u.stage == 0 && stage != stageManifest:
		return trouble.Data("no-backup", u.name, "this is no backup of a mill's book", "name the file that 'slatewright backup' wrote")
	case stage < u.stage || stage == u.stage && !again || stage == stageSeal && u.stage != stageSums:
		return u.wrong("the members of the backup are not in their order")
	case stage > stageJournal && (u.chain.seq != u.report.Entries || u.chain.hash.String() != u.report.Head):
		return u.wrong(fmt.Sprintf("the journal has %s and the manifest says %d, or another end", trouble.Count(u.chain.seq, "entry", "entries"), u.report.Entries))
	}
	u.stage = stage
	switch stage {
	case stageManifest:
		return u.manifest(ctx, head.Size)
	case stageJournal:
		return u.journal(ctx, head.Size)
	case stageCredentials:
		return u.credentials(ctx, head.Size)
	case stageBlobs:
		return u.blob(ctx, head.Size)
	case stageSums:
		return u.sumsMember(head.Size)
	}
	return u.seal(head.Size)
}

// text reads a member into memory and notes its digest.
func (u *unpacking) text(size, most int64) ([]byte, error) {
	if size > most {
		return nil, u.wrong(fmt.Sprintf("the member is said to have %d bytes, and none of its kind has more than %d", size, most))
	}
	var b bytes.Buffer // grows with what comes, not with what is announced
	if _, err := io.Copy(&b, u.tar); err != nil {
		return nil, u.damaged(err)
	}
	u.note(sha256.Sum256(b.Bytes()))
	return b.Bytes(), nil
}

func (u *unpacking) note(sum [sha256.Size]byte) {
	fmt.Fprintf(&u.sums, "%s  %s\n", hex.EncodeToString(sum[:]), u.name)
}

func (u *unpacking) manifest(ctx context.Context, size int64) error {
	text, err := u.text(size, maxManifest)
	if err != nil {
		return err
	}
	if u.report.Manifest, err = readManifest(text); err != nil {
		return err
	}
	u.chain.site = u.report.Site
	return u.to.manifest(ctx, u.report.Manifest)
}

func (u *unpacking) journal(ctx context.Context, size int64) error {
	if want := fmt.Sprintf("%s%09d.jsonl", journalFolder, u.chain.seq+1); u.name != want {
		return u.wrong(fmt.Sprintf("here %s should stand", want))
	}
	text, err := u.text(size, journalPiece+maxLine)
	if err != nil {
		return err
	}
	var list []book.Entry
	for line := range bytes.Lines(text) {
		e, err := u.chain.line(line, u.report.Manifest)
		if err != nil {
			return located(err, u.name)
		}
		list = append(list, e)
	}
	u.step(int64(len(list)))
	return u.to.entries(ctx, list)
}

func (u *unpacking) step(n int64) {
	u.done += n
	u.progress.tell(u.done, u.report.Entries+u.report.Manifest.Blobs)
}

func (u *unpacking) credentials(ctx context.Context, size int64) error {
	text, err := u.text(size, maxCredentials)
	if err != nil {
		return err
	}
	u.report.Credentials = true
	return u.to.credentials(ctx, text)
}

func (u *unpacking) blob(ctx context.Context, size int64) error {
	digest, err := digestOf(strings.TrimPrefix(u.name, blobFolder))
	if err != nil || blobFolder+digest.String() != u.name {
		return u.wrong("a blob is not named by its digest")
	}
	u.blobs, u.bytes = u.blobs+1, u.bytes+size
	if u.blobs > u.report.Blobs || u.bytes > u.report.BlobBytes {
		return u.wrong("the blobs are more than the manifest says")
	}
	got, err := u.to.blob(ctx, u.tar, size)
	if err != nil {
		return u.damaged(err)
	}
	if got != digest.String() {
		return u.wrong("the blob is not what its digest says")
	}
	u.note(digest)
	u.step(1)
	return nil
}

func (u *unpacking) sumsMember(size int64) error {
	want := bytes.Clone(u.sums.Bytes())
	got, err := u.text(size, maxSums)
	if err == nil && !bytes.Equal(got, want) {
		err = u.wrong("the list of digests is not that of the members")
	}
	return err
}

func (u *unpacking) seal(size int64) error {
	sums := u.sums.Bytes()[:u.sums.Len()-sha256.Size*2-len("  \n")-len(sumsName)] // without its own line
	text, err := u.text(size, maxCredentials)
	if err != nil {
		return err
	}
	var s seal
	if err := strict(text, &s); err != nil {
		return u.damaged(err)
	}
	if digest := sha256.Sum256(sums); s.Sums != hex.EncodeToString(digest[:]) {
		return u.wrong("the seal is not that of this backup")
	}
	if u.report.Missing = s.Missing; u.blobs+int64(len(s.Missing)) != u.report.Blobs {
		return u.wrong(fmt.Sprintf("it holds %s and the manifest says %d", trouble.Count(u.blobs, "blob", "blobs"), u.report.Blobs))
	}
	return nil
}

// readManifest reads and checks the manifest of a backup.
func readManifest(text []byte) (Manifest, error) {
	var m Manifest
	err := m.read(text, BackupFormat, &m)
	return m, err
}

// read reads text into whole, which m is a part of. A manifest of another form may have other fields, so the form comes first.
func (m *Manifest) read(text []byte, format string, whole any) error {
	err := json.Unmarshal(text, whole)
	if err == nil {
		if err := m.check(format); err != nil {
			return err
		}
		err = strict(text, whole)
	}
	if err != nil {
		return trouble.Data("bad-manifest", manifestName, "the manifest cannot be read", nextOtherCopy).Because(err)
	}
	return nil
}

// check refuses a manifest of something else, of another form, or one that says what cannot be.
func (m Manifest) check(format string) error {
	_, err := digestOf(m.Head)
	switch {
	case m.Format != format:
		return trouble.Data("bad-manifest", manifestName, "this is no "+format, "name what the program wrote as one")
	case m.Version != Version:
		return trouble.Data("newer-format", manifestName, fmt.Sprintf("it has the form %d and this program reads form %d", m.Version, Version), "use the program that wrote it, or a newer one")
	case err != nil || m.Entries < 0 || m.Blobs < 0 || m.BlobBytes < 0:
		return trouble.Data("bad-manifest", manifestName, "the manifest says what cannot be", nextOtherCopy)
	}
	return nil
}

// strict reads JSON that has the fields of v and no others.
func strict(text []byte, v any) error {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return err
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return errors.New("text goes on after its end")
	}
	return nil
}

// line takes the next line of a journal.
func (c *chain) line(line []byte, m Manifest) (book.Entry, error) {
	where := fmt.Sprintf("entry %d", c.seq+1)
	text, whole := bytes.CutSuffix(line, []byte("\n"))
	e, err := readLine(text)
	if err != nil || !whole {
		return e, trouble.Data("bad-line", where, "the line of the journal cannot be read", nextOtherCopy).Because(err)
	}
	if err := c.next(e); err != nil {
		return e, located(err, where)
	}
	if c.seq > m.Entries || c.seq == m.Entries && c.hash.String() != m.Head {
		return e, trouble.Data("broken-chain", where, "the journal does not end as the manifest says", nextOtherCopy)
	}
	return e, nil
}

// rawReader reads a file, keeps a digest of what was taken from it, and remembers how it failed. It gives single bytes, so
// that gzip takes no more than is its own.
type rawReader struct {
	in      io.Reader
	hash    hash.Hash
	buffer  [32 << 10]byte
	from    int // what was not hashed so far
	at, end int
	begun   bool
	empty   bool  // the file ended before its first byte
	failed  error // what is not the end of the file
}

// fill gets more bytes when there are none.
func (r *rawReader) fill() error {
	for tries := 0; r.at == r.end; tries++ {
		r.hash.Write(r.buffer[r.from:r.end])
		n, err := r.in.Read(r.buffer[:])
		r.from, r.at, r.end = 0, 0, n
		r.empty = !r.begun && n == 0 && errors.Is(err, io.EOF)
		r.begun = r.begun || n > 0
		if n == 0 && err == nil && tries > 100 {
			err = io.ErrNoProgress
		}
		if err != nil && !errors.Is(err, io.EOF) {
			r.failed = err
		}
		if n == 0 && err != nil {
			return err
		}
	}
	return nil
}

func (r *rawReader) Read(p []byte) (int, error) {
	if err := r.fill(); err != nil {
		return 0, err
	}
	n := copy(p, r.buffer[r.at:r.end])
	r.at += n
	return n, nil
}

// ReadByte reads one byte.
func (r *rawReader) ReadByte() (byte, error) {
	if err := r.fill(); err != nil {
		return 0, err
	}
	r.at++
	return r.buffer[r.at-1], nil
}

// sum is the SHA-256 of all that was taken so far.
func (r *rawReader) sum() []byte {
	r.hash.Write(r.buffer[r.from:r.at])
	r.from = r.at
	return r.hash.Sum(nil)
}
