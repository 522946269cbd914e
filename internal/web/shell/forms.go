package shell

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/signin"
	"slatewright/trouble"
)

// largestForm is the largest form without files; the longest note has 2,000 letters.
const largestForm = 256 << 10

// Form reads the form that was sent.
func (v *Visit) Form() (url.Values, error) {
	v.R.Body = http.MaxBytesReader(v.W, v.R.Body, largestForm)
	if err := v.R.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return nil, problem.TooLarge(large.Limit)
		}
		return nil, problem.New("bad-request", "", v.Say("shell.bad-form"), v.Say("shell.again"))
	}
	return v.R.PostForm, nil
}

// FormWithFile reads a form that may carry a file in the field named file; its content is kept among the mill's files, and its
// digest stands in the form under that field. A form without a file is read as it is. With trouble comes what was read until then, so
// that it can be shown again.
func (v *Visit) FormWithFile(file string) (url.Values, error) {
	if kind, _, _ := mime.ParseMediaType(v.R.Header.Get("Content-Type")); kind != "multipart/form-data" {
		return v.Form()
	}
	v.R.Body = http.MaxBytesReader(v.W, v.R.Body, v.MaxUpload+largestForm)
	parts, err := v.R.MultipartReader()
	if err != nil {
		return nil, problem.New("bad-request", "", v.Say("shell.bad-form"), v.Say("shell.again"))
	}
	form := url.Values{}
	for left := int64(largestForm); ; {
		part, err := parts.NextPart()
		if err == io.EOF {
			return form, nil
		}
		if err != nil {
			return nil, v.brokenForm(err)
		}
		if part.FileName() != "" {
			if err := v.keepFile(form, file, part); err != nil {
				return form, err
			}
			continue
		}
		text, err := io.ReadAll(io.LimitReader(part, left+1))
		if err != nil {
			return nil, v.brokenForm(err)
		}
		if left -= int64(len(text)); left < 0 {
			return nil, problem.TooLarge(largestForm)
		}
		form.Add(part.FormName(), string(text))
	}
}

// keepFile keeps an uploaded file and notes its digest. Its name says nothing: it is taken by its content.
func (v *Visit) keepFile(form url.Values, field string, part *multipart.Part) error {
	if part.FormName() != field {
		return problem.New("bad-request", part.FormName(), v.Say("shell.bad-form"), v.Say("shell.again"))
	}
	content := bufio.NewReaderSize(part, headOfFile)
	head, err := content.Peek(headOfFile)
	switch {
	case err != nil && err != io.EOF:
		return v.brokenForm(err)
	case len(head) == 0:
		return problem.New("empty-file", field, v.Say("shell.file-empty"), v.Say("shell.file-next"))
	case !takes(head):
		return problem.New("file-kind", field, v.Say("shell.file-kind"), v.Say("shell.file-next"))
	}
	digest, _, err := v.Blobs.Put(v.R.Context(), content, v.MaxUpload)
	if err == nil {
		form.Set(field, digest)
	}
	return err
}

// headOfFile is how much of a file tells what it is: as much as the rules for that look at (WHATWG, MIME Sniffing Standard, §5.2: 1445
// bytes at most; Go looks at 512).
const headOfFile = 512

// taken are the kinds of files that a mill keeps: readings and lists, photographs, papers. What a browser could run is none of them.
var taken = []string{"text/plain", "image/png", "image/jpeg", "image/webp", "application/pdf"}

// takes tells by its head whether a file is of a kind that a mill keeps. A scan as PLY may be binary.
func takes(head []byte) bool {
	kind, _, _ := mime.ParseMediaType(http.DetectContentType(head))
	return slices.Contains(taken, kind) || bytes.HasPrefix(head, []byte("ply\n")) || bytes.HasPrefix(head, []byte("ply\r"))
}

func (v *Visit) brokenForm(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return problem.TooLarge(large.Limit)
	}
	return problem.New("bad-request", "", v.Say("shell.bad-form"), v.Say("shell.again"))
}

// NewEntry makes the id of an entry. It stands in the form, so that a form that is sent twice is one entry.
func (v *Visit) NewEntry() string {
	return ulid.MustNew(ulid.Timestamp(v.Now), ulid.DefaultEntropy()).String()
}

// Act is an act that a page hands in.
type Act struct {
	Entry      string // id, from the form; made when empty
	At         time.Time
	Station    book.Station
	Act        book.Act
	Reaffirmed bool // the passphrase was asked for again and was right
}

// HandIn hands an act in for whoever sends the request.
func (v *Visit) HandIn(a Act) (book.Receipt, error) {
	word, body, err := book.Encode(a.Act)
	if err != nil {
		return book.Receipt{}, err
	}
	if a.Entry == "" {
		a.Entry = v.NewEntry()
	}
	id, err := ulid.ParseStrict(a.Entry)
	if err != nil {
		return book.Receipt{}, trouble.Data("bad-entry-id", "entry", "this is no ULID", "open the page again")
	}
	if a.At.IsZero() {
		a.At = v.Now
		if p, err := v.Ledger.Entry(v.R.Context(), id.String()); err == nil {
			a.At = p.Entry.At // sent again, it must be the same entry
		}
	}
	e := book.Entry{ID: id.String(), Site: v.Ledger.Site(), At: a.At.UTC().Truncate(time.Millisecond), Person: v.Sender.Person, Station: a.Station, Act: word, Body: body}
	return v.Ledger.Append(v.R.Context(), book.Submission{Entry: e,
		Caller: book.Caller{Person: v.Sender.Person, Role: v.Sender.Role, Machine: v.Sender.Machine, Reaffirmed: a.Reaffirmed}})
}

// Reaffirm asks the gate for the sender's passphrase again.
func (v *Visit) Reaffirm(passphrase string) error {
	return v.Gate.Reaffirm(v.R.Context(), v.Sender.Identity, passphrase, signin.From(v.R))
}

// Confirmed checks what stands for the holding of a weighty act: the code of what it is about, scanned or typed, and that the
// button was held, or ticked where there are no scripts.
func (v *Visit) Confirmed(form url.Values, code string) error {
	read := strings.TrimSpace(form.Get("code"))
	switch {
	case read == "":
		return problem.New("missing-code", "code", v.Say("shell.code-missing", "code", code), v.Say("shell.code-next", "code", code))
	case !strings.EqualFold(read, code):
		return problem.New("wrong-code", "code", v.Say("shell.code-wrong", "read", read, "code", code), v.Say("shell.code-next", "code", code))
	case form.Get("held") != "yes":
		return problem.New("not-held", "held", v.Say("shell.not-held"), v.Say("shell.hold-next"))
	}
	return nil
}
