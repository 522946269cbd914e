package office

import (
	"fmt"
	"io"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// Init makes a mill's book.
type Init struct {
	Folder    string `arg:"" optional:"" help:"Folder of the book; without it what SLATEWRIGHT_BOOK says, or the folder mill."`
	Database  string `placeholder:"URL" help:"Address of a PostgreSQL database (postgres://…) that keeps the book instead of a folder."`
	Name      string `placeholder:"WORDS" help:"What the mill is called."`
	Site      string `placeholder:"WORD" help:"Short word for this site: a-z, 0-9 and -. Without it it is made from the name."`
	State     string `name:"flatness-state" placeholder:"laid|free" help:"In which state flatness is promised."`
	Lining    string `name:"lining-layout" placeholder:"full|strips|pads|none" help:"How the lining is laid out under a piece."`
	Surfacing string `placeholder:"after|before" help:"Whether the playing face is surfaced before or after the room."`
	Supports  string `placeholder:"bench|lines|points" help:"On what a piece is read."`
	Lead      string `placeholder:"PERSON" help:"Short name for the first lead, who may do everything."`
	Called    string `placeholder:"WORDS" help:"How the lead is shown on pages."`
	Practice  bool   `help:"A book to practise with: all it makes says that its data are invented. That can never be taken back."`
	Beside    bool   `name:"beside-files" help:"Make the book in a folder that holds other files already."`
	Answers   string `placeholder:"FILE" help:"File with the answers (YAML, keys as the flags); flags count before it."`

	PassphraseFile string `name:"passphrase-file" placeholder:"FILE" help:"File whose first line is the lead's passphrase; - is standard input. Without it the terminal asks."`
}

// About is the help of the verb.
func (Init) About() verb.About {
	return verb.About{
		Text: `Makes the book of a mill and asks the mill's own questions, once: in which state flatness is promised, how the lining is laid out,
			whether the face is surfaced before or after the room, and on what a piece is read. The route of the stone follows the answers, and every
			verdict prints those it used. They can be changed later by an act (settle), and the change stays in the book.

			At a terminal it asks; in a script give the answers by flags or in a file. It appoints the first lead and sets the lead's
			passphrase. The route begins as common practice for a mill that answers so; slatewright route shows and changes it.`,
		Examples: []verb.Example{
			{"slatewright init", "asks everything, and makes the book in the folder mill"},
			{"slatewright init /srv/mill --answers answers.yaml --passphrase-file lead.txt", "in a script"},
			{"slatewright init --database postgres://mill@db/mill", "in a database that several programs share"},
		},
	}
}

type initReport struct {
	Book    string            `json:"book"`
	Site    string            `json:"site"`
	Name    string            `json:"name"`
	Answers map[string]string `json:"answers"`
	Lead    string            `json:"lead"`
	Demo    bool              `json:"demo"`
}

// Run makes the book.
func (v Init) Run(s *verb.Session) (verb.Report, error) {
	where, err := opened.ServerPlace(s, v.Folder, v.Database)
	if err != nil {
		return nil, err
	}
	if err := newFolder(where, "init", v.Beside); err != nil {
		return nil, err
	}
	a, err := v.answers(s)
	if err != nil {
		return nil, err
	}
	passphrase, err := s.NewPassphrase(v.PassphraseFile, "Passphrase of "+a.Lead+":")
	if err != nil {
		return nil, err
	}
	if err := gate.CheckPassphrase(a.Lead, passphrase, a.Name, a.Site); err != nil {
		return nil, err
	}
	return &initReport{where, a.Site, a.Name, a.settled(), a.Lead, v.Practice}, begin(s, where, a, v.Practice, passphrase)
}

// answers gathers them from flags, a file and the terminal.
func (v Init) answers(s *verb.Session) (a answers, err error) {
	if v.Answers != "" {
		if a, err = verb.Read(s, v.Answers, readAnswers); err != nil {
			return a, err
		}
	}
	a.over(answers{v.Name, v.Site, v.State, v.Lining, v.Surfacing, v.Supports, v.Lead, v.Called})
	if s.Terminal() && v.Answers == "" {
		if err := a.ask(s); err != nil {
			return a, err
		}
	}
	if a.Site == "" {
		a.Site = slug(a.Name)
	}
	return a, a.check()
}

// begin makes the book and writes its first two entries: the mill's answers, and the lead.
func begin(s *verb.Session, where string, a answers, practice bool, passphrase string) (err error) {
	l, err := ledger.Open(s.Context, where, ledger.Options{Site: a.Site, Create: true, Holder: "slatewright init", Clock: s.Clock})
	if err != nil {
		return err
	}
	defer func() {
		if closing := l.Close(); err == nil {
			err = closing
		}
	}()
	if some, err := l.Entries(s.Context, 0, 1); err != nil {
		return err
	} else if len(some) > 0 {
		return trouble.Data("book-exists", where, "there is a book already", "serve it, or name another folder; the answers are changed by the act settle")
	}
	caller := book.Caller{Person: a.Lead, Role: book.Lead, System: true}
	route := book.RouteFor(a.settled())
	err = opened.HandIn(s, l, caller, book.Office, &book.Settle{Name: a.Name, Answers: a.settled(), Route: &route, Demo: practice},
		&book.Appoint{Person: a.Lead, Role: book.Lead, Called: a.Called})
	if err != nil {
		return err
	}
	return opened.GateOf(s, l).SetPassphrase(s.Context, a.Lead, passphrase)
}

func (r *initReport) Outcome() verb.Outcome { return verb.Done }

func (r *initReport) Print(w io.Writer) {
	if r.Demo {
		fmt.Fprint(w, "A book to practise with: invented data, not a real mill.\n")
	}
	fmt.Fprintf(w, "The book of %s is made in %s.\n  site %s, lead %s\n", r.Name, opened.Shown(r.Book), r.Site, r.Lead)
	opened.PrintAnswers(w, r.Answers)
	fmt.Fprint(w, "\nNext: 'slatewright serve' opens it for tablets and other programs; 'slatewright person add' lets others in.\n")
}
