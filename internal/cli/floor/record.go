package floor

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/internal/book/blank"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/trouble"
)

// Record hands in one act.
type Record struct {
	Act     string   `arg:"" optional:"" help:"The act's word, such as surface or weigh; --list names them all."`
	Body    []string `arg:"" optional:"" help:"FIELD=VALUE pairs; or one file that holds the act as JSON, - for standard input."`
	List    bool     `help:"List the acts."`
	Fields  bool     `help:"List the fields of the act."`
	As      string   `placeholder:"PERSON" help:"Who did it: the person's name in the book."`
	Station string   `placeholder:"STATION" help:"Where it was done; without it where the route leads, or where the thing stands."`
	At      string   `placeholder:"TIME" help:"When it was done: '2026-11-25 14:30' by the mill's clock, 2026-11-25T14:30:00Z, or a day alone for its noon; without it now."`
	ID      string   `name:"id" placeholder:"ULID" help:"Id of the entry; handed in again with the same id, it is the same entry."`
	File    string   `placeholder:"FILE" help:"A readings file, scan or other file that is kept with the act (its field blob)."`
	Late    bool     `help:"It has happened already and cannot be undone: if it cannot follow, keep it as a conflict instead of refusing it."`

	PassphraseFile string `name:"passphrase-file" placeholder:"FILE" help:"File whose first line is the passphrase; - is standard input. Without it the terminal asks."`
	Blobs          string `placeholder:"PLACE" help:"Where scans and files are kept: a folder, or s3://host/bucket. Without it the folder blobs in the book's folder."`
	opened.Place   `embed:""`
}

// About is the help of the verb.
func (Record) About() verb.About {
	return verb.About{
		Text: `Hands in one act, as a person who gives the passphrase for it. The act's fields are FIELD=VALUE pairs, with dots where a field
			lies deeper (stone.length_mm=1473) and commas in lists; a length may carry its unit. Or they are one JSON object in a file.

			What may follow what, and who may do it, is the mill's route: a refusal says what must be done first. An act that is in the book
			is never changed; a wrong one is put right by the act correct.

			The program writes beside nobody else in a folder: while a server runs, hand acts in there.

			Exit status 0: it is in the book and in force. 1: it is kept in conflict (--late only), and a person must resolve it.`,
		Examples: []verb.Example{
			{"slatewright record --list", "which acts are there?"},
			{"slatewright record weigh --fields", "what does one of them need?"},
			{"slatewright record weigh thing=piece:QH-0101 scale=SCALE-1 mass_kg=96.4 --as bench-1", "one act, now"},
			{"slatewright record read thing=piece:A1 what=top instruments=DIAL-2 --file A1.csv --as bench-1", "a reading with its file"},
			{"slatewright record reject cracked.json --as saw-1 --at 2026-11-24T09:10 --late", "from a file, of yesterday"},
		},
	}
}

// Run hands the act in, or tells about acts.
func (v Record) Run(s *verb.Session) (verb.Report, error) {
	if v.List {
		return listActs(), nil
	}
	if v.Act == "" {
		return nil, trouble.Usage("no-act", "slatewright record", "no act is named", "run 'slatewright record --list' for the acts")
	}
	act, err := actNamed(v.Act)
	if err != nil {
		return nil, err
	}
	if v.Fields {
		return &fieldsReport{Act: act.Word(), Fields: blank.Fields(act)}, nil
	}
	at, note, err := doneAt(v.At, s.Clock())
	if err != nil {
		return nil, err
	}
	entry, err := v.entry(s, act, at)
	if err != nil {
		return nil, err
	}
	rep, err := v.record(s, entry)
	if err != nil {
		return nil, err
	}
	if !rep.Repeated {
		rep.Note = note
	}
	return rep, nil
}

// record hands the entry in.
func (v Record) record(s *verb.Session, entry book.Entry) (rep *receiptReport, err error) {
	_, err = v.Writing(s, "record", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		caller, err := opened.By{As: v.As, PassphraseFile: v.PassphraseFile}.Sign(ctx, s, opened.GateOf(s, l))
		if err != nil {
			return nil, err
		}
		if entry, err = v.placed(ctx, l, entry, s.Clock().Location()); err != nil {
			return nil, err
		}
		if v.File == "" && !bytes.Contains(entry.Body, []byte(`"blob"`)) {
			rep, err = v.handIn(ctx, s, l, entry, caller)
			return nil, err
		}
		return opened.WithBlobs(s, l, v.Blobs, func(files blobs.Store) (verb.Report, error) {
			if entry.Body, err = v.withFile(ctx, s, files, entry.Body); err != nil {
				return nil, err
			}
			guarded, err := opened.Watched(ctx, l, files)
			if err != nil {
				return nil, err
			}
			rep, err = v.handIn(ctx, s, guarded, entry, caller)
			return nil, err
		})
	})
	return rep, err
}

// placed gives the entry its site and station. One that is handed in again without a time, or with no more
// than its day, has the time of the first time.
func (v Record) placed(ctx context.Context, l book.Ledger, e book.Entry, zone *time.Location) (_ book.Entry, err error) {
	e.Site = l.Site()
	if v.ID != "" {
		if stored, err := l.Entry(ctx, v.ID); err == nil {
			if v.At == "" || len(v.At) == len(time.DateOnly) && sameDay(stored.Entry.At, e.At, zone) {
				e.At = stored.Entry.At
			}
			e.Station = cmp.Or(book.Station(v.Station), stored.Station)
			return e, nil
		}
	}
	e.Station, err = v.station(ctx, l, e)
	return e, err
}

// station is where the act was done: as said, where the route leads to, where the thing stands, or the office.
func (v Record) station(ctx context.Context, l book.Ledger, e book.Entry) (book.Station, error) {
	if v.Station != "" {
		return book.Station(v.Station), nil
	}
	m, err := opened.MillOf(ctx, l)
	if err != nil {
		return "", err
	}
	for _, step := range m.Route.Steps {
		if step.Act == e.Act && step.To != "" && step.To != book.Away {
			return step.To, nil
		}
	}
	var named struct{ Thing, Piece, Set, Slab, Block string }
	if json.Unmarshal(e.Body, &named) != nil {
		return book.Office, nil // the book says what is wrong with it
	}
	for _, name := range []string{named.Thing, ref(book.KindPiece, named.Piece), ref(book.KindSet, named.Set), ref(book.KindSlab, named.Slab), ref(book.KindBlock, named.Block)} {
		if name == "" {
			continue
		}
		if t, err := opened.Find(ctx, l, name); err == nil {
			return t.Station, nil
		}
	}
	return book.Office, nil
}

// ref is kind:id, empty when there is no id.
func ref(k book.Kind, id string) string {
	if id == "" {
		return ""
	}
	return book.Ref{Kind: k, ID: id}.String()
}

func (v Record) handIn(ctx context.Context, s *verb.Session, l book.Ledger, e book.Entry, c book.Caller) (*receiptReport, error) {
	receipt, err := l.Append(ctx, book.Submission{Entry: e, Caller: c, Late: v.Late})
	return tellReceipt(s, receipt), err
}

// mostFile is the largest file that is kept with an act, as over the network.
const mostFile = 64 << 20

// withFile puts the file among those of the book and names it in the act.
func (v Record) withFile(ctx context.Context, s *verb.Session, files blobs.Store, body json.RawMessage) (json.RawMessage, error) {
	if v.File == "" {
		return body, nil
	}
	in, _, err := s.Open(v.File)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	digest, _, err := files.Put(ctx, in, mostFile)
	if err != nil {
		return nil, err
	}
	var act map[string]json.RawMessage
	if json.Unmarshal(body, &act) != nil {
		return body, nil // the book says what is wrong with it
	}
	act["blob"] = json.RawMessage(`"` + digest + `"`)
	return json.Marshal(act)
}

// entry is what is handed in, all but the site.
func (v Record) entry(s *verb.Session, act book.Act, at time.Time) (e book.Entry, err error) {
	switch {
	case v.As == "":
		return e, trouble.Usage("no-person", "slatewright record", "nobody is named who did it", "add --as PERSON")
	case v.PassphraseFile == "-" && len(v.Body) == 1 && v.Body[0] == "-":
		return e, trouble.Usage("one-input", "slatewright record", "standard input cannot hold both the act and the passphrase", "put one of them in a file")
	}
	if err := checkStation("record", v.Station); err != nil {
		return e, err
	}
	if v.ID != "" {
		if _, err := ulid.ParseStrict(v.ID); err != nil {
			return e, trouble.Usage("bad-id", "slatewright record", fmt.Sprintf("--id %q is no ULID", v.ID), "leave it out, or give 26 letters and digits as the book shows them").Because(err)
		}
	}
	e = book.Entry{ID: v.ID, At: at, Person: v.As, Station: book.Station(v.Station), Act: act.Word()}
	if e.Body, err = v.body(s, act); err != nil {
		return e, err
	}
	if e.ID == "" {
		e.ID, err = opened.NewID(s, e.At)
	}
	return e, err
}

// mostBody is the largest act that is read: a slice of forty slabs needs a tenth of it.
const mostBody = 1 << 16

// body is the act as JSON, from a file or from pairs.
func (v Record) body(s *verb.Session, act book.Act) (json.RawMessage, error) {
	if len(v.Body) != 1 || strings.Contains(v.Body[0], "=") {
		pairs, err := withInner(act, v.Body)
		if err != nil {
			return nil, err
		}
		return bodyOf(act, pairs)
	}
	text, err := s.Text(v.Body[0], mostBody)
	if err == nil && len(text) > mostBody {
		err = trouble.Data("too-large", v.Body[0], "the act is larger than any act can be", "keep scans as blobs and name them by their digest")
	}
	return bytes.TrimSpace(text), err
}

// withInner makes one pair, body=JSON, of the pairs body.FIELD=VALUE of a correction: the fields of the act that is put in the place.
func withInner(act book.Act, pairs []string) (list []string, err error) {
	if _, ok := act.(*book.Correct); !ok {
		return pairs, nil
	}
	var inner []string
	word := ""
	for _, p := range pairs {
		if field, ok := strings.CutPrefix(p, "body."); ok {
			inner = append(inner, field)
			continue
		}
		if w, ok := strings.CutPrefix(p, "act="); ok {
			word = w
		}
		list = append(list, p)
	}
	if len(inner) == 0 {
		return list, nil
	}
	put, err := actNamed(word)
	if err != nil {
		return nil, err
	}
	body, err := bodyOf(put, inner)
	return append(list, "body="+string(body)), err
}

// actNamed is an empty act of that word.
func actNamed(word string) (book.Act, error) {
	for _, a := range book.Acts() {
		if a.Word() == word {
			return a, nil
		}
	}
	return nil, trouble.Usage("no-such-act", "slatewright record", fmt.Sprintf("there is no act %q", word), "run 'slatewright record --list' for the acts")
}

// receiptReport tells what became of an entry.
type receiptReport struct {
	opened.Entry
	Repeated bool   `json:"repeated"`
	Note     string `json:"note,omitempty"` // how a day alone was taken
}

func tellReceipt(s *verb.Session, r book.Receipt) *receiptReport {
	placed := book.Placed{Entry: r.Entry}
	if r.Conflict != nil {
		placed.Standing = *r.Conflict
	}
	return &receiptReport{Entry: opened.Tell(s, placed), Repeated: r.Repeated}
}

func (r *receiptReport) Outcome() verb.Outcome {
	if r.Standing != "" {
		return verb.Refused
	}
	return verb.Done
}

func (r *receiptReport) Print(w io.Writer) {
	switch {
	case r.Standing != "":
		fmt.Fprint(w, "Kept in CONFLICT: it could not follow what the book already knew. A person must resolve it ('slatewright conflicts').\n\n")
	case r.Repeated:
		fmt.Fprint(w, "It was in the book already.\n\n")
	default:
		fmt.Fprint(w, "It is in the book.\n\n")
	}
	r.Entry.Print(w)
	fmt.Fprintf(w, "        entry %s\n", r.ID)
	if r.Note != "" {
		verb.PrintWarnings(w, []string{r.Note})
	}
}

// actsReport lists the acts.
type actsReport struct {
	Acts []actLine `json:"acts"`
}

type actLine struct {
	Act  string   `json:"act"`
	Need []string `json:"needs"` // fields
}

func listActs() *actsReport {
	r := &actsReport{}
	for _, a := range book.Acts() {
		line := actLine{Act: a.Word(), Need: []string{}}
		for _, f := range blank.Fields(a) {
			if f.Needed {
				line.Need = append(line.Need, f.Name)
			}
		}
		r.Acts = append(r.Acts, line)
	}
	return r
}

func (r *actsReport) Outcome() verb.Outcome { return verb.Done }

func (r *actsReport) Print(w io.Writer) {
	fmt.Fprint(w, "Acts, each with what it needs ('slatewright record ACT --fields' tells more)\n\n")
	var rows [][2]string
	for _, a := range r.Acts {
		rows = append(rows, [2]string{a.Act, strings.Join(a.Need, " ")})
	}
	verb.Columns(w, rows)
}

// fieldsReport lists the fields of one act.
type fieldsReport struct {
	Act    string        `json:"act"`
	Fields []blank.Field `json:"fields"`
}

func (r *fieldsReport) Outcome() verb.Outcome { return verb.Done }

func (r *fieldsReport) Print(w io.Writer) {
	fmt.Fprintf(w, "Fields of %s; those with * must be there\n\n", r.Act)
	var rows [][2]string
	for _, f := range r.Fields {
		name, text := "  "+f.Name, f.Sort
		if f.Needed {
			name = "* " + f.Name
		}
		if len(f.Enum) > 0 {
			text = strings.Join(f.Enum, " | ")
		}
		if f.Doc != "" {
			text += ": " + f.Doc
		}
		if f.Example != "" {
			text += " (as in " + f.Example + ")"
		}
		rows = append(rows, [2]string{name, text})
	}
	verb.Columns(w, rows)
}
