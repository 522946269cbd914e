package shell

import (
	"bytes"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"slatewright/internal/web/problem"
)

// Lists are what a person asks a question about: one list or several, pasted or uploaded, and the plain fields beside them. They are
// computed with and not kept.
type Lists struct {
	Lists map[string]List // by the field's name; only those that were asked for
	Plain url.Values      // what else stands in the form
}

// List is one of them.
type List struct {
	Name string // of the file, or the word for a pasted list: what stands before the line in trouble
	Text string
}

// Reader reads the list from its beginning.
func (l List) Reader() io.Reader { return strings.NewReader(l.Text) }

// Empty tells whether nothing was given.
func (l List) Empty() bool { return strings.TrimSpace(l.Text) == "" }

const (
	largestList = 4 << 20  // bytes, of one list: what the readers of lists take
	bodyLimit   = 48 << 20 // bytes of a form that are read to their end, so that the browser gets an answer to a list that is too large
	longestName = 80       // letters of a file's name
)

// ReadLists reads a form that carries lists in some fields. A list stands in the text area of its field; a file in the field's name with
// "-file" behind it takes its place. With trouble comes what was read until then, so that it can be shown again.
func (v *Visit) ReadLists(fields ...string) (Lists, error) {
	got := Lists{Lists: map[string]List{}, Plain: url.Values{}}
	for _, f := range fields {
		got.Lists[f] = List{Name: v.Say("list.pasted")}
	}
	if kind, _, _ := mime.ParseMediaType(v.R.Header.Get("Content-Type")); kind != "multipart/form-data" {
		form, err := v.Form()
		for name := range form {
			v.takePart(&got, name, "", form.Get(name))
		}
		return got, err
	}
	v.R.Body = http.MaxBytesReader(v.W, v.R.Body, bodyLimit)
	parts, err := v.R.MultipartReader()
	if err != nil {
		return got, v.brokenForm(err)
	}
	var wrong error
	for {
		part, err := parts.NextPart()
		if err == io.EOF {
			return got, wrong
		}
		if err != nil {
			return got, v.brokenForm(err)
		}
		text, err := v.readPart(part)
		if err != nil && wrong == nil {
			wrong = err
		}
		v.takePart(&got, part.FormName(), part.FileName(), text)
	}
}

// readPart reads one field of a form. What is too large, or no text, is refused and read to its end all the same.
func (v *Visit) readPart(part *multipart.Part) (string, error) {
	field := strings.TrimSuffix(part.FormName(), fileSuffix)
	text, err := io.ReadAll(io.LimitReader(part, largestList+1))
	if err != nil {
		return "", v.brokenForm(err)
	}
	if len(text) > largestList {
		if _, err := io.Copy(io.Discard, part); err != nil {
			return "", v.brokenForm(err)
		}
		return "", problem.New("too-large", field, v.Say("list.too-large"), v.Say("list.too-large-next"))
	}
	if text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")); !isText(text) {
		return "", problem.New("bad-request", field, v.Say("list.no-text"), v.Say("list.no-text-next"))
	}
	return string(text), nil
}

// isText tells text from what could not be shown again as it was.
func isText(b []byte) bool {
	return utf8.Valid(b) && bytes.IndexFunc(b, func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\r' && r != '\t' }) < 0
}

const fileSuffix = "-file"

func (v *Visit) takePart(got *Lists, name, file, text string) {
	text = strings.ReplaceAll(text, "\r\n", "\n") // a browser sends a text area so
	field, isFile := strings.CutSuffix(name, fileSuffix)
	list, known := got.Lists[field]
	switch {
	case !known:
		got.Plain.Add(name, text)
	case isFile && file == "": // none was chosen
	case isFile:
		got.Lists[field] = List{Name: tidy(file), Text: text}
	case list.Text == "": // a file that came first stays
		list.Text = text
		got.Lists[field] = list
	}
}

// tidy is the name of a file without its folder and without what cannot be read.
func tidy(name string) string {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	name = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, name)
	if letters := []rune(name); len(letters) > longestName {
		name = string(letters[:longestName])
	}
	return name
}

// ListForm is the form in which lists are given; the part "list-form" shows it. Nothing that was typed is lost when it comes back.
type ListForm struct {
	Action  string // where it is sent
	Fields  []ListField
	More    []ListChoice // plain fields beside the lists
	Hidden  []ListChoice // Name and Value that are sent along
	Ask     string       // the word on its button
	Entry   string       // id of the entry that the form may hand in; "" when it hands in none
	Example string       // address of a list that somebody made up, worked out; "" when there is none
	Files   []ListFile   // what can be taken away once the question is answered
	Wrong   *problem.Problem
	Head    string // of what is wrong
}

// ListField is one list of a form.
type ListField struct {
	Name, Label, Hint string
	Text              string // as it was given
	Wrong             bool
}

// ListChoice is a plain field of a form: a line to write on, or some words to choose from.
type ListChoice struct {
	Name, Label, Hint, Value string
	Choices                  []ListChoice // Value and Label of each
}

// ListFile is a button that answers with a file, or does something else with what was given: the form is sent with as=As.
type ListFile struct{ As, Label string }

// Refill puts back what was given, and what is wrong with it; nil is nothing.
func (v *Visit) Refill(f *ListForm, given Lists, wrong *problem.Problem) {
	for i := range f.Fields {
		f.Fields[i].Text = given.Lists[f.Fields[i].Name].Text
		if wrong != nil {
			at := given.Lists[f.Fields[i].Name].Name
			f.Fields[i].Wrong = len(f.Fields) == 1 || wrong.Where == f.Fields[i].Name || at != "" && strings.HasPrefix(wrong.Where, at)
		}
	}
	for i := range f.More {
		if said := given.Plain.Get(f.More[i].Name); said != "" {
			f.More[i].Value = said
		}
	}
	if wrong != nil {
		f.Wrong, f.Head = wrong, v.HeadOf(wrong)
	}
}

// Give answers with a file to keep.
func (v *Visit) Give(name, kind string, content []byte) error {
	v.W.Header().Set("Content-Type", kind)
	v.W.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	_, _ = v.W.Write(content) // a browser that has gone cannot be told so
	return nil
}
