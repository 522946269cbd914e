package cli

import (
	"cmp"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/internal/cli/office"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper"
	"slatewright/internal/paper/desk"
	"slatewright/judge"
	"slatewright/trouble"
)

// certifyVerb judges a set and, if it conforms, certifies it.
type certifyVerb struct {
	Head     string       `arg:"" optional:"" help:"Top face of the head piece, CSV or PLY; - is standard input. Without files, the book's readings of the set."`
	Centre   string       `arg:"" optional:"" help:"Top face of the centre piece."`
	Foot     string       `arg:"" optional:"" help:"Top face of the foot piece."`
	Set      string       `required:"" placeholder:"NUMBER" help:"Number of the set, such as QH-0001; the files are named after it."`
	Key      string       `placeholder:"FILE" help:"The mill's secret key. Without it the set is judged and nothing is signed."`
	Spec     string       `placeholder:"FILE" help:"Specification of the table (YAML); without it a nine-foot bed by the tournament text."`
	Out      string       `default:"." placeholder:"FOLDER" help:"Where the papers go."`
	Mill     string       `placeholder:"NAME" help:"Who answers for the set."`
	DateCode string       `name:"date-code" placeholder:"CODE" help:"Date code as cut into the stone."`
	Issued   string       `placeholder:"YYYY-MM-DD" help:"Date of issue; without it the date of the latest reading."`
	LayUp    string       `name:"layup" placeholder:"FILE" help:"Steps read on the set laid up dry (CSV): the certificate then says measured, not predicted."`
	AnyPlace bool         `name:"any-place" help:"The pieces may change places."`
	MaxZone  *verb.Length `name:"max-zone" placeholder:"LENGTH" help:"Seek the smallest steps within this zone instead of the smallest zone."`
	Address  string       `placeholder:"URL" help:"How others reach the mill's pages, such as https://mill.lan: the code on the certificate then leads to its page there."`
	Page     string       `enum:"A4,Letter" default:"A4" help:"Size of the paper: A4 or Letter."`
	printing `embed:""`
	Seed     uint64 `default:"1" help:"Seed of the simulation; the same seed gives the same certificate."`

	Blobs  string `placeholder:"PLACE" help:"Where the book keeps its files, when not in its folder."`
	As     string `placeholder:"PERSON" help:"Write the verdict into the book, and the certificate if there is one, as this person."`
	Number string `placeholder:"NUMBER" help:"Number of the certificate in the book; without it the set's. A second certificate of a set needs one of its own."`

	opened.Place   `embed:""`
	PassphraseFile string `name:"passphrase-file" placeholder:"FILE" help:"File whose first line is the person's passphrase; - is standard input. Without it the terminal asks."`
}

func (certifyVerb) About() verb.About {
	return verb.About{
		Text: `Seats the three pieces, works out the doubt of every result by seating them again with other errors of reading, and holds
			each against its limit by the specification's decision rule. The verdict is conforms, does not conform, or cannot tell, always with the
			margin and the one next step that helps most.

			A set that conforms gets SET.json, the sealed certificate that anyone can recompute (slatewright verify), and SET.pdf. Any other set gets
			SET-refusal.pdf: one page on why, and what to do next.

			The papers speak the language that --language names. The sealed certificate is in English in every language, and the paper says so;
			a sentence in it that the program does not know stands in English on the paper too. Chinese needs a font of its own, --font FILE.ttf.

			Each file must say how the piece was held ('# support: bench'). Wet stone (no '# dry_since:'), faces of different temperature, a
			coarse grid or a support that does not prove what is promised end in cannot tell, with the reason.

			With --book and no files, the set's three readings and its lay-up are taken from the mill's book; a reading that has expired is refused
			with the act that ended it. With --as the verdict is written into the book, and with --key the certificate too: a person gives the
			passphrase for it, and neither paper nor certificate is made when the book refuses.

			Exit status 0: conforms. 1: does not conform. 2: cannot tell.`,
		Examples: []verb.Example{
			{"slatewright certify a.csv b.csv c.csv --set QH-0001 --key mill.key --out papers", "judge, certify, write the papers"},
			{"slatewright certify a.csv b.csv c.csv --set QH-0001", "judge only: nothing is signed"},
			{"slatewright certify a.csv b.csv c.csv --set QH-0001 --key mill.key --layup dry.csv", "with the steps measured on the dry set"},
			{"slatewright certify a.csv b.csv c.csv --set QH-0001 --key mill.key --language pt", "the paper in Portuguese"},
			{"slatewright certify --set QH-0001 --book mill --key mill.key --as bench-1", "from the book, and into it"},
		},
	}
}

// Run judges and writes.
func (v certifyVerb) Run(s *verb.Session) (verb.Report, error) {
	known, err := v.evidence(s)
	if err != nil {
		return nil, err
	}
	if _, err := office.PagesAddress(v.Address); err != nil {
		return nil, err
	}
	in, err := v.input(s, known)
	if err != nil {
		return nil, err
	}
	key, err := v.key(s)
	if err != nil {
		return nil, err
	}
	in.Demo = known.Demo || key != nil && key.Public().Demo()
	form, err := v.form(s, v.page())
	if err != nil {
		return nil, err
	}
	if err := v.roomFor(); err != nil {
		return nil, err
	}
	body, err := certificate.ComposeBest(in)
	if err != nil {
		return nil, err
	}
	return v.finish(s, body, key, form, known)
}

// evidence is what the book knows: its answers, and without files the readings of the set. It is empty when no book is meant.
func (v certifyVerb) evidence(s *verb.Session) (*office.Evidence, error) {
	switch {
	case v.Head != "" && v.Foot == "":
		return nil, trouble.Usage("three-files", "slatewright certify", "a bed has three faces", "name three files, head first; or none, and the book by --book")
	case v.Head == "" && v.Book == "" && s.Setting("BOOK") == "":
		return nil, trouble.Usage("no-readings", "slatewright certify", "neither readings nor a book are named", "name three files, head first, or the mill's book by --book")
	case v.Head == "":
		return office.EvidenceOf(s, v.Place, v.Set, v.Blobs)
	case v.Book == "" && v.As == "":
		return &office.Evidence{}, nil
	}
	answers, err := office.MillAnswers(s, v.Place)
	return &office.Evidence{Answers: answers}, err
}

func (v certifyVerb) input(s *verb.Session, known *office.Evidence) (certificate.Input, error) {
	in := certificate.Input{Program: program, Mill: v.Mill, Set: v.Set, DateCode: v.DateCode, Issued: v.Issued, AnyPlace: v.AnyPlace, Seed: v.Seed, Spec: bed.NineFoot()}
	if v.Set == "" || strings.ContainsAny(v.Set, `/\:*?"<>|`) || strings.HasPrefix(v.Set, ".") || len(v.Set) > 64 {
		return in, trouble.Usage("bad-set", "slatewright certify", "the set number cannot name a file", "use letters, digits and - such as QH-0001")
	}
	if v.MaxZone != nil {
		if in.MaxZone = v.MaxZone.MM; in.MaxZone <= 0 {
			return in, trouble.Usage("bad-limit", "slatewright certify", "--max-zone must be more than 0", "give the largest zone allowed, such as 0.25mm")
		}
	}
	var err error
	if v.Spec != "" {
		if in.Spec, err = readSpec(s, v.Spec); err != nil {
			return in, err
		}
	}
	in.Faces, in.LayUp = known.Faces, known.LayUp
	if v.Mill == "" {
		in.Mill = known.Mill
	}
	if v.Head != "" {
		if in.Faces, err = threeFaces(s, v.Head, v.Centre, v.Foot); err != nil {
			return in, err
		}
	}
	if v.LayUp != "" {
		if in.LayUp, err = readLayUp(s, v.LayUp); err != nil {
			return in, err
		}
	}
	if v.Issued == "" {
		in.Issued = latest(in)
	}
	return in, nil
}

// latest is the day of the latest reading, of the faces or of the laid-up set; empty when none is dated.
func latest(in certificate.Input) (day string) {
	for _, f := range in.Faces {
		day = max(day, f.Date)
	}
	if in.LayUp != nil {
		day = max(day, in.LayUp.Date)
	}
	return day
}

// key is the secret key named, or nil.
func (v certifyVerb) key(s *verb.Session) (*certificate.Key, error) {
	if v.Key == "" {
		return nil, nil
	}
	text, err := readText(s, v.Key)
	if err != nil {
		return nil, err
	}
	key, err := certificate.ParseKey(v.Key, text)
	return &key, err
}

// roomFor looks, before the long computation, whether papers of this set are in the way. A paper is never written over.
func (v certifyVerb) roomFor() error {
	for _, ending := range []string{".json", ".pdf", "-refusal.pdf"} {
		path := filepath.Join(v.Out, v.Set+ending)
		if _, err := os.Lstat(path); err == nil {
			return verb.InTheWay(path)
		}
	}
	if err := os.MkdirAll(v.Out, 0o777); err != nil {
		return verb.Unwritable(v.Out, err)
	}
	return nil
}

// finish writes the verdict into the book, if it shall stand there, and the papers that it asks for.
func (v certifyVerb) finish(s *verb.Session, body certificate.Body, key *certificate.Key, form paper.Form, known *office.Evidence) (verb.Report, error) {
	set, err := desk.New(body)
	if err != nil {
		return nil, err
	}
	rep := newCertifyReport(set)
	rep.Answers = known.Answers
	page, err := office.CertificatePage(v.Address, cmp.Or(v.Number, v.Set))
	if err != nil {
		return nil, err
	}
	papers, err := set.At(page).Papers(key, form)
	if err != nil {
		return nil, err
	}
	var files []verb.NewFile
	for _, p := range papers {
		files = append(files, verb.NewFile{Path: filepath.Join(v.Out, p.Name), Text: p.Text, Mode: 0o666})
		rep.Files = append(rep.Files, files[len(files)-1].Path)
	}
	if key == nil && set.Verdict() == judge.Conforms {
		rep.Warnings = append(rep.Warnings, "no key was given: the set was judged, but no certificate was made")
	}
	if known.Unused != "" && v.LayUp == "" {
		rep.Warnings = append(rep.Warnings, known.Unused)
	}
	if v.As != "" {
		if err := v.record(s, set, key, papers, known); err != nil {
			return nil, err
		}
		rep.Recorded = true
	}
	if err := verb.WriteNew(files...); err != nil {
		return nil, err
	}
	return rep, nil
}

// record writes the verdict into the book.
func (v certifyVerb) record(s *verb.Session, set *desk.Set, key *certificate.Key, papers []desk.Paper, known *office.Evidence) error {
	judgement, err := set.Body.Canonical()
	if err != nil {
		return err
	}
	found := office.Verdict{Set: v.Set, Words: set.Body.Found.Verdict, Next: set.Body.Found.Next.Text, Answers: known.Answers, Judgement: judgement}
	if key != nil && set.Verdict() == judge.Conforms {
		found.Certificate, found.Key, found.Number = papers[0].Text, key.Public().ID(), cmp.Or(v.Number, v.Set)
		if found.Digest, err = set.Body.Digest(); err != nil {
			return err
		}
	}
	return numbered(found.Record(s, v.Place, opened.By{As: v.As, PassphraseFile: v.PassphraseFile}, v.Blobs), found.Number)
}

// numbered tells a refusal of the certificate's number with the flag that gives another.
func numbered(err error, number string) error {
	var t *trouble.Trouble
	if number == "" || !errors.As(err, &t) || t.Code != "already-there" {
		return err
	}
	other := *t
	other.Next = "a second certificate needs a number of its own: add --number " + number + "-2, say"
	return &other
}

func (v certifyVerb) page() paper.Size {
	if v.Page == "Letter" {
		return paper.Letter
	}
	return paper.A4
}
