package shell

import (
	"cmp"
	"context"
	"io/fs"
	"net/http"
	"net/url"
	"path"
	"slices"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/problem"
	"slatewright/sheet"
)

// Question is a page on which lists are given and answered: one sentence, one picture, the figures. A room declares what it asks for and who
// answers; the frame shows the form, waits for the room's turn, says what cannot be right, and gives the answer as a page or as a file.
type Question struct {
	Path     string // its address
	File     string // what can be taken away is called so, with .json and .csv behind it
	Care     []caution.Topic
	Form     func(*Visit) Asking // the page before anything was given: its words and its fields
	Answer   func(Asked) (Reply, error)
	Examples []Example     // somebody made them up; the form leads to the first
	Page     string        // template of its page, which gets an Asking; "": the frame's own
	Uses     []string      // scripts beside those of every page
	Longest  time.Duration // how long an answer may take, waiting included; then Asked.Stop says so. 0: as long as somebody waits

	// Fetch takes what the address names from the book, or changes the empty page by it; found tells whether there is something to answer.
	Fetch func(v *Visit, p *Asking) (given Lists, found bool, err error)
	// Keep, where what was given can be kept in the book, offers it below an answer and takes it in.
	Keep Keeper
}

// Asking is the data of a question's page. A room gives the words, the form's lists (Fields) and plain fields (More), and where else to go.
type Asking struct {
	Asks, About string // the question, and what is said above the empty form
	Form        ListForm
	Links       []Anchor // below the form
	Answer      *Answer
	Invented    bool           // what was given is an example
	Loads       []caution.Load // what is lifted
	Back        Anchor         // where the page belongs; the room says it
}

// Anchor is a link with its words.
type Anchor struct{ Path, Says string }

// Example is what somebody made up: files of the room's folder "examples" by the field that they fill, and what stands in the plain fields.
type Example struct {
	Path  string // "": the question's own, with /example behind it
	Files map[string]string
	Plain map[string]string
}

// Keeper keeps what was given in the book.
type Keeper interface {
	Offer(v *Visit, f *ListForm, given Lists) error      // adds what is asked for, if this reader may keep it
	Keep(v *Visit, given Lists) (goTo string, err error) // as=keep
}

// Asked is what an answer is made of.
type Asked struct {
	*Visit
	Lists
	ctx context.Context
}

// Stop tells a computation that nobody waits for it any more.
func (a Asked) Stop() bool { return a.ctx.Err() != nil }

// List is the list of a field; an empty one is refused.
func (a Asked) List(field string) (List, error) {
	l := a.Lists.Lists[field]
	if l.Empty() {
		return l, problem.New("missing", field, a.Say("list.empty"), a.Say("list.empty-next"))
	}
	return l, nil
}

// Sheet reads the list of a field as a sheet.
func (a Asked) Sheet(field string) (*sheet.Sheet, error) {
	l, err := a.List(field)
	if err != nil {
		return nil, err
	}
	return sheet.Read(l.Name, l.Reader())
}

// Reply is what a question comes to.
type Reply struct {
	Answer
	JSON     any            // as the command line prints it
	CSV      []byte         // what is taken away as CSV; nil: the first list as it was given
	Loads    []caution.Load // what is lifted, for the caution below the answer
	Again    []ListChoice   // Name and Value that go with a file that is taken away, so that it is what was shown
	Files    []ReplyFile    // what else can be taken away
	Question string         // address of the room's question that was answered in the end, when it is another
}

// ReplyFile is one more file to take away.
type ReplyFile struct {
	ListFile
	Name, Kind string // Kind: media type
	Content    []byte
}

// Asks are the questions of a room, and what they share.
type Asks struct {
	Here      string              // the station or page that is marked in the way down the side
	Back      func(*Visit) Anchor // where its pages belong; nil: there
	Turn      Turn
	Examples  fs.FS // holds the folder "examples"
	Questions []Question
}

// Ask puts a room's questions on a mux, with their examples. Anybody who may see the mill may ask; nothing is written but what a Keeper keeps.
func (s *Shell) Ask(mux *http.ServeMux, r Asks) {
	var routes []Route
	for _, q := range r.Questions {
		alone := q.Fetch == nil && q.Keep == nil
		add := func(method, path string, do func(*Visit) error) {
			routes = append(routes, Route{Method: method, Path: path, Least: book.Visitor, Do: do, Alone: alone})
		}
		add(http.MethodGet, q.Path, func(v *Visit) error { return r.ask(v, q) })
		add(http.MethodPost, q.Path, func(v *Visit) error {
			given, err := v.ReadLists(q.lists(v)...)
			return r.reply(v, q, given, err, false)
		})
		for _, e := range q.Examples {
			add(http.MethodGet, q.at(e), func(v *Visit) error { return r.example(v, q, e) })
		}
	}
	s.Add(mux, routes)
}

// at is the address of an example.
func (q Question) at(e Example) string {
	if e.Path == "" {
		return q.Path + "/example"
	}
	return e.Path
}

// lists are the fields that hold a list.
func (q Question) lists(v *Visit) (names []string) {
	for _, f := range q.Form(v).Form.Fields {
		names = append(names, f.Name)
	}
	return names
}

// blank is the page before anything was given.
func (r Asks) blank(v *Visit, q Question) Asking {
	p := q.Form(v)
	p.Form.Action, p.Form.Ask, p.Back = q.Path, v.Say("list.answer"), r.back(v)
	if len(q.Examples) > 0 {
		p.Form.Example = q.at(q.Examples[0])
	}
	return p
}

// back is where the room's pages belong.
func (r Asks) back(v *Visit) Anchor {
	if r.Back != nil {
		return r.Back(v)
	}
	if i := slices.IndexFunc(asides, func(a aside) bool { return a.Here == r.Here }); i >= 0 {
		return Anchor{asides[i].Path, v.Say(asides[i].Key)}
	}
	return Anchor{"/station/" + r.Here, v.Word("station", r.Here)}
}

func (r Asks) show(v *Visit, q Question, p Asking, code int) error {
	return v.Show(Page{Name: cmp.Or(q.Page, "question"), Title: p.Asks, Here: r.Here, Code: code, Data: p, Uses: q.Uses, Care: caution.OnPage(v.Words, q.Care, p.Loads...)})
}

// ask shows a question before it is answered, or the answer to what the address names.
func (r Asks) ask(v *Visit, q Question) error {
	p := r.blank(v, q)
	if q.Fetch != nil {
		given, found, err := q.Fetch(v, &p)
		if err != nil {
			return err
		}
		if found {
			return r.reply(v, q, given, nil, false)
		}
	}
	return r.show(v, q, p, 0)
}

// example answers for what somebody made up.
func (r Asks) example(v *Visit, q Question, e Example) error {
	given := Lists{Lists: map[string]List{}, Plain: url.Values{}}
	for field, file := range e.Files {
		text, err := fs.ReadFile(r.Examples, path.Join("examples", file))
		if err != nil {
			return err
		}
		given.Lists[field] = List{Name: file, Text: string(text)}
	}
	for field, typed := range e.Plain {
		given.Plain.Set(field, typed)
	}
	return r.reply(v, q, given, nil, true)
}

// reply answers what was given; err is what was wrong with giving it.
func (r Asks) reply(v *Visit, q Question, given Lists, err error, invented bool) error {
	var got Reply
	if err == nil {
		got, err = r.Work(v, q, given)
	}
	if i := slices.IndexFunc(r.Questions, func(o Question) bool { return o.Path == got.Question }); i >= 0 {
		q = r.Questions[i]
	}
	p := r.blank(v, q)
	p.Invented = invented
	wrong := Mendable(err)
	if err != nil && wrong == nil {
		return err
	}
	v.Refill(&p.Form, given, wrong)
	if wrong != nil {
		return r.show(v, q, p, wrong.Status)
	}
	as := given.Plain.Get("as")
	if as == "keep" && q.Keep != nil {
		return r.keep(v, q, p, given)
	}
	if gave, err := q.give(v, p, as, given, got); gave {
		return err
	}
	p.Answer, p.Loads, p.Form.Files, p.Form.Hidden, p.Form.Example = &got.Answer, got.Loads, JSONAndCSV(v.Words), got.Again, ""
	for _, f := range got.Files {
		p.Form.Files = append(p.Form.Files, f.ListFile)
	}
	if q.Keep != nil && !invented {
		if err := q.Keep.Offer(v, &p.Form, given); err != nil {
			return err
		}
	}
	return r.show(v, q, p, 0)
}

// Work works a question's answer out when it is the room's turn, for pages that ask in another form.
func (r Asks) Work(v *Visit, q Question, given Lists) (Reply, error) {
	a := Asked{Visit: v, Lists: given, ctx: v.R.Context()}
	if q.Longest > 0 {
		ctx, stop := context.WithTimeout(a.ctx, q.Longest)
		defer stop()
		a.ctx = ctx
	}
	done, err := r.Turn.Wait(a.ctx, v)
	if err != nil {
		return Reply{}, err
	}
	defer done()
	return q.Answer(a)
}

// give answers with a file, if one was asked for.
func (q Question) give(v *Visit, p Asking, as string, given Lists, got Reply) (gave bool, err error) {
	switch as {
	case "json":
		return true, v.GiveJSON(q.File+".json", got.JSON)
	case "csv":
		if got.CSV == nil {
			got.CSV = []byte(given.Lists[p.Form.Fields[0].Name].Text)
		}
		return true, v.Give(q.File+".csv", "text/csv; charset=utf-8", got.CSV)
	}
	for _, f := range got.Files {
		if f.As == as {
			return true, v.Give(f.Name, f.Kind, f.Content)
		}
	}
	return false, nil
}

// keep keeps what was given; where that is refused, the page asks again.
func (r Asks) keep(v *Visit, q Question, p Asking, given Lists) error {
	to, err := q.Keep.Keep(v, given)
	wrong := Refusal(err)
	switch {
	case err == nil:
		return v.Redirect(to)
	case wrong == nil:
		return err
	}
	if err := q.Keep.Offer(v, &p.Form, given); err != nil {
		return err
	}
	v.Refill(&p.Form, given, wrong)
	return r.show(v, q, p, wrong.Status)
}
