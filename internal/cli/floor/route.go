package floor

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/trouble"
)

// Route shows the way of the stone through the mill, or replaces it.
type Route struct {
	File string `arg:"" optional:"" help:"A route (YAML, as printed) that replaces the one in force; - is standard input."`
	Note string `placeholder:"WORDS" help:"Why it is changed."`
	As   string `placeholder:"LEAD" help:"The lead who changes it."`

	PassphraseFile string `name:"passphrase-file" placeholder:"FILE" help:"File whose first line is the lead's passphrase; - is standard input. Without it the terminal asks."`
	opened.Place   `embed:""`
}

// About is the help of the verb.
func (Route) About() verb.About {
	return verb.About{
		Text: `The route says for each act where the thing may stand before, where it stands afterwards and who may do it; and what must hold first:
			a bench that is calibrated, a lining that has cured a day, 30 days in the room unless the lead releases the piece with a reason. A new
			book begins with common practice. Without a file it prints the route in force as YAML, beside a running server; with one the lead
			replaces it, and the change is an act like any other.`,
		Examples: []verb.Example{
			{"slatewright route >route.yaml", "the route in force; change the file, then"},
			{"slatewright route route.yaml --as lead-1 --note \"room 45 days in winter\"", "put it in force"},
		},
	}
}

type routeReport struct {
	Route   book.Route `json:"route"`
	Changed bool       `json:"changed"`
}

// Run shows or replaces it.
func (v Route) Run(s *verb.Session) (verb.Report, error) {
	if v.File == "" {
		return v.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
			m, err := opened.MillOf(ctx, l)
			return &routeReport{Route: m.Route}, err
		})
	}
	if v.As == "" {
		return nil, trouble.Usage("no-person", "slatewright route", "nobody is named who changes the route", "add --as LEAD")
	}
	route, err := verb.Read(s, v.File, readRoute)
	if err != nil {
		return nil, err
	}
	return v.Writing(s, "route", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		m, err := opened.MillOf(ctx, l)
		if err != nil {
			return nil, err
		}
		caller, err := opened.By{As: v.As, PassphraseFile: v.PassphraseFile}.Sign(ctx, s, opened.GateOf(s, l))
		if err != nil {
			return nil, err
		}
		settled := &book.Settle{Name: m.Name, Answers: m.Answers, Route: &route, Demo: m.Demo, Note: v.Note}
		return &routeReport{route, true}, opened.HandIn(s, l, caller, book.Office, settled)
	})
}

// mostRoute is far more than the longest route that a person writes.
const mostRoute = 1 << 20

// readRoute reads a route strictly.
func readRoute(name string, in io.Reader) (r book.Route, err error) {
	text, err := io.ReadAll(io.LimitReader(in, mostRoute))
	if err != nil {
		return r, verb.Unreadable(name, err)
	}
	var tree any
	if err = yaml.Unmarshal(text, &tree); err == nil {
		if text, err = json.Marshal(tree); err == nil {
			dec := json.NewDecoder(bytes.NewReader(text))
			dec.DisallowUnknownFields()
			err = dec.Decode(&r)
		}
	}
	if err != nil {
		return r, trouble.Data("bad-route", name, "the route cannot be understood: "+strings.ReplaceAll(err.Error(), "\n", " "),
			"print the route in force with 'slatewright route' and change that").Because(err)
	}
	if len(r.Steps) == 0 {
		return r, trouble.Data("bad-route", name, "the route has no steps", "print the route in force with 'slatewright route' and change that")
	}
	return r, nil
}

func (r *routeReport) Outcome() verb.Outcome { return verb.Done }

func (r *routeReport) Print(w io.Writer) {
	if r.Changed {
		io.WriteString(w, "The route is in force.\n")
		return
	}
	io.WriteString(w, asYAML(r.Route))
}

// asYAML writes what has a JSON form as YAML, lists of single values on one line.
func asYAML(x any) string {
	text, err := json.Marshal(x)
	var n yaml.Node
	if err == nil {
		err = yaml.Unmarshal(text, &n)
	}
	if err != nil {
		panic("office: what was decoded from JSON does not go back: " + err.Error())
	}
	block(&n)
	out, err := yaml.Marshal(&n)
	if err != nil {
		panic("office: a tree of YAML cannot be written: " + err.Error())
	}
	return string(out)
}

// block takes the style of JSON off a tree.
func block(n *yaml.Node) {
	deep := false
	for _, c := range n.Content {
		block(c)
		deep = deep || c.Kind != yaml.ScalarNode
	}
	if n.Kind != yaml.SequenceNode || deep {
		n.Style = 0
	}
}
