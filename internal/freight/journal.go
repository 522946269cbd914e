package freight

import (
	"bufio"
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// A line of the journal is an entry as JSON: first what is hashed, in the order in which it is hashed, then the hash, at last
// the body. The hash is the SHA-256 of the line up to ',"hash"', a closing brace, a line feed, and the body as it stands.

// maxLine is the longest line that is read back; the body of an entry is much shorter.
const maxLine = 1 << 20

// lineOf writes an entry as a line, with its line end.
func lineOf(to []byte, e book.Entry) []byte {
	to = append(to, `{"seq":`...)
	to = strconv.AppendInt(to, e.Seq, 10)
	to = field(to, "id", e.ID)
	to = field(to, "site", e.Site)
	to = append(to, `,"at_ms":`...)
	to = strconv.AppendInt(to, e.At.UnixMilli(), 10)
	to = field(to, "person", e.Person)
	to = field(to, "station", string(e.Station))
	to = field(to, "act", e.Act)
	to = field(to, "prev", e.Prev.String())
	to = field(to, "hash", e.Hash.String())
	to = append(to, `,"body":`...)
	to = append(to, e.Body...)
	return append(to, '}', '\n')
}

// field appends a text field. Text is written as encoding/json does without escaping for HTML.
func field(to []byte, key, text string) []byte {
	to = append(to, `,"`...)
	to = append(to, key...)
	to = append(to, `":`...)
	if asItStands(text) {
		to = append(to, '"')
		to = append(to, text...)
		return append(to, '"')
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(text); err != nil {
		panic("freight: text that is no JSON: " + err.Error())
	}
	return append(to, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...)
}

// asItStands tells text that stands in JSON as it is, as nearly all text of an entry does.
func asItStands(text string) bool {
	for i := range len(text) {
		if c := text[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}

// jsonEntry is a line as it is read.
type jsonEntry struct {
	Seq     int64           `json:"seq"`
	ID      string          `json:"id"`
	Site    string          `json:"site"`
	AtMS    int64           `json:"at_ms"`
	Person  string          `json:"person"`
	Station book.Station    `json:"station"`
	Act     string          `json:"act"`
	Prev    string          `json:"prev"`
	Hash    string          `json:"hash"`
	Body    json.RawMessage `json:"body"`
}

// readLine reads a line back, without its line end. Only the very bytes that lineOf writes are an entry.
func readLine(line []byte) (book.Entry, error) {
	var j jsonEntry
	if err := json.Unmarshal(line, &j); err != nil {
		return book.Entry{}, err
	}
	e := book.Entry{Seq: j.Seq, ID: j.ID, Site: j.Site, At: time.UnixMilli(j.AtMS).UTC(), Person: j.Person, Station: j.Station, Act: j.Act, Body: j.Body}
	var err error
	if e.Prev, err = digestOf(j.Prev); err != nil {
		return e, err
	}
	if e.Hash, err = digestOf(j.Hash); err != nil {
		return e, err
	}
	if again := lineOf(nil, e); !bytes.Equal(bytes.TrimSuffix(again, []byte("\n")), line) {
		return e, fmt.Errorf("it is not written as this program writes it")
	}
	return e, nil
}

// digestOf reads a digest in hexadecimal.
func digestOf(text string) (d book.Digest, err error) {
	b, err := hex.DecodeString(text)
	if err != nil || len(b) != len(d) {
		return d, fmt.Errorf("%.80q is no digest", text)
	}
	return book.Digest(b), nil
}

// chain follows a journal and holds every entry against the one before.
type chain struct {
	site string
	seq  int64
	hash book.Digest
}

// next takes the next entry.
func (c *chain) next(e book.Entry) error {
	what := ""
	switch {
	case e.Seq != c.seq+1:
		what = fmt.Sprintf("entry %d follows entry %d", e.Seq, c.seq)
	case e.Site != c.site:
		what = fmt.Sprintf("entry %d is of the site %q, not of %q", e.Seq, e.Site, c.site)
	case e.Prev != c.hash:
		what = fmt.Sprintf("entry %d does not continue the chain", e.Seq)
	case book.HashOf(e) != e.Hash:
		what = fmt.Sprintf("entry %d is not what its hash says", e.Seq)
	}
	if what != "" {
		return trouble.Data("broken-chain", "", what, nextOtherCopy)
	}
	c.seq, c.hash = e.Seq, e.Hash
	return nil
}

const nextOtherCopy = "use another copy or an earlier backup; this one was changed or damaged after it was made"

// headOf finds the last entry of a book: a few dozen questions, however long the journal is.
func headOf(ctx context.Context, l book.Ledger) (entries int64, head book.Digest, err error) {
	at := func(n int64) (found bool) {
		if err != nil || n < 1 {
			return false
		}
		var list []book.Placed
		if list, err = l.Entries(ctx, n-1, 1); len(list) == 0 {
			return false
		}
		if n > entries {
			entries, head = list[0].Seq, list[0].Hash
		}
		return true
	}
	high := int64(1)
	for at(high) {
		high *= 2
	}
	for low := high / 2; high-low > 1 && err == nil; { // low is there (or 0), high is not
		if middle := (low + high) / 2; at(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return entries, head, err
}

// eachEntry gives the entries of a book up to the head in their order, verified by the ledger, in lists of at most batch.
func eachEntry(ctx context.Context, l book.Ledger, upTo int64, each func([]book.Placed) error) error {
	for after := int64(0); after < upTo; {
		list, err := l.Entries(ctx, after, int(min(batch, upTo-after)))
		if err != nil {
			return err
		}
		if len(list) == 0 {
			return trouble.Own("short-journal", fmt.Sprintf("entry %d", after+1), "the journal ends before its end", "run 'slatewright verify-journal'")
		}
		if err := each(list); err != nil {
			return err
		}
		after = list[len(list)-1].Seq
	}
	return nil
}

// eachLine gives the lines of a journal, each with its line end.
func eachLine(r io.Reader, each func(line []byte) error) error {
	in := bufio.NewReaderSize(r, maxLine)
	for {
		line, err := in.ReadSlice('\n')
		if len(line) > 0 {
			if err := each(line); err != nil {
				return err
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return trouble.IO("unreadable", "", "the journal cannot be read to its end", "check the file and the disk it is on").Because(err)
		}
	}
}

// batch is how many entries are read, and restored in one transaction, at a time.
const batch = 1000
