package cli

import (
	"errors"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"slatewright/internal/cli/verb"
	"slatewright/internal/rehearsal"
	"slatewright/trouble"
)

// grammar is the table of verbs, in the order in which help shows them. To add a verb: one file with one struct that is a
// verb, one line here, one script in testdata/script.
type grammar struct {
	JSON bool     `name:"json" help:"Answer with one JSON object on one line; trouble is told as JSON too."`
	Help helpFlag `name:"help" short:"h" help:"Show this text."`

	Flatness flatnessVerb `cmd:"" group:"Decisions" help:"How flat is one measured face?"`
	Seat     seatVerb     `cmd:"" group:"Decisions" help:"How do three pieces lie best together?"`
	Certify  certifyVerb  `cmd:"" group:"Decisions" help:"Does a set of three pieces conform?"`
	Verify   verifyVerb   `cmd:"" group:"Decisions" help:"Does a certificate hold, and does it compute?"`
	Keygen   keygenVerb   `cmd:"" group:"The program" help:"Which key shall sign the certificates?"`
	Demo     demoVerb     `cmd:"" group:"The program" help:"What does the main job look like, on an invented mill?"`
	Version  versionVerb  `cmd:"" group:"The program" help:"Which build of the program is this?"`
	Notices  noticesVerb  `cmd:"" group:"The program" help:"Whose work is inside, and under which licences?"`
}

// helpFlag stops the parsing as soon as it is seen, so that help needs no other argument to be right.
type helpFlag bool

var errHelp = errors.New("help was asked for")

// BeforeReset is called by the parser when the flag is given.
func (helpFlag) BeforeReset() error { return errHelp }

// parse returns the verb that the command line asks for, or the help text, or the trouble.
func parse(args []string, extra []kong.Option) (g *grammar, v verb.Verb, help []byte, err error) {
	g = &grammar{}
	k, err := newParser(g, extra)
	if err != nil {
		return nil, nil, nil, err // a broken struct tag: our own fault
	}
	ctx, err := k.Parse(args)
	if errors.Is(err, errHelp) {
		var pe *kong.ParseError
		errors.As(err, &pe)
		return nil, nil, helpText(k.Model, pe.Context.Selected()), nil
	}
	if err != nil {
		return nil, nil, nil, usage(err)
	}
	return g, asVerb(ctx.Selected()), nil, nil
}

// newParser builds the parser for g; nothing in it prints or exits.
func newParser(g *grammar, extra []kong.Option) (*kong.Kong, error) {
	options := append([]kong.Option{kong.Name("slatewright"), kong.NoDefaultHelp(),
		kong.Vars{"demoSeed": strconv.FormatUint(rehearsal.DemoSeed, 10)}}, extra...)
	return kong.New(g, options...)
}

func asVerb(n *kong.Node) verb.Verb { return n.Target.Addr().Interface().(verb.Verb) }

// usage turns a parser's complaint into trouble that names the verb and the way on.
func usage(err error) error {
	where, next := "slatewright", "run 'slatewright --help' for the verbs"
	var pe *kong.ParseError
	if errors.As(err, &pe) && pe.Context != nil {
		if n := pe.Context.Selected(); n != nil {
			where = "slatewright " + path(n)
			next = "run '" + where + " --help' for what it takes, with examples"
		}
	}
	var t *trouble.Trouble
	if errors.As(err, &t) { // a flag's value that its own parser refused, say a length without a unit
		what := strings.ReplaceAll(err.Error(), t.Error(), t.What)
		if t.Next != "" {
			next = t.Next
		}
		return trouble.Usage(t.Code, where, what, next).Because(err)
	}
	what := err.Error()
	if strings.HasPrefix(what, "expected one of") {
		return trouble.Usage("no-verb", where, "no verb is given", "say what to do: "+what[len("expected one of "):]+"; "+next).Because(err)
	}
	return trouble.Usage("usage", where, what, next).Because(err)
}
