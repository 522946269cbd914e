package cli

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"slatewright/internal/cli/bending"
	"slatewright/internal/cli/cutting"
	"slatewright/internal/cli/drilling"
	"slatewright/internal/cli/drying"
	"slatewright/internal/cli/floor"
	"slatewright/internal/cli/gauging"
	"slatewright/internal/cli/gluing"
	"slatewright/internal/cli/levelling"
	"slatewright/internal/cli/marking"
	"slatewright/internal/cli/matching"
	"slatewright/internal/cli/office"
	"slatewright/internal/cli/surfacing"
	"slatewright/internal/cli/verb"
	"slatewright/internal/cli/whole"
	"slatewright/internal/rehearsal"
	"slatewright/trouble"
)

// grammar is the table of verbs, in the order in which help shows them: the stone's way, what is measured, the set. To add a verb: one file with one struct that is a
// verb, one line here, one script in testdata/script.
type grammar struct {
	JSON bool     `name:"json" help:"Answer with one JSON object on one line; trouble is told as JSON too."`
	Help helpFlag `name:"help" short:"h" help:"Show this text."`

	Layer    cutting.Layer    `cmd:"" group:"Quarry and saw" help:"How is the saw's grid laid over a quarry layer?"`
	Leaves   cutting.Leaves   `cmd:"" group:"Quarry and saw" help:"How many leaves does a block give, and where is it cut?"`
	Slab     cutting.Slab     `cmd:"" group:"Quarry and saw" help:"How is a slab cut into the pieces that are worth most?"`
	Recovery cutting.Recovery `cmd:"" group:"Quarry and saw" help:"What becomes of the rock that is moved, and what does a lift weigh?"`

	Cleanup   surfacing.Cleanup   `cmd:"" group:"Surfacing" help:"How much must come off which face?"`
	Passes    surfacing.Passes    `cmd:"" group:"Surfacing" help:"In how many passes is a piece surfaced, how deep, and which face first?"`
	Worked    surfacing.Worked    `cmd:"" group:"Surfacing" help:"What did the work take off, and what does the machine file learn?"`
	Disc      surfacing.Disc      `cmd:"" group:"Surfacing" help:"Is the disc balanced, and when are its bits used up?"`
	Toolmarks surfacing.Toolmarks `cmd:"" group:"Surfacing" help:"What did the machine leave in the face, and what is out of true?"`

	Season drying.Season `cmd:"" group:"Room and lining" help:"What is still to come in the room, and may a piece leave it?"`
	Lining gluing.Lining `cmd:"" group:"Room and lining" help:"Is this lining fit to glue today?"`

	Bed   drilling.Bed   `cmd:"" group:"Drawing and drilling" help:"Is the drawing of a bed right, and what follows from it?"`
	Holes drilling.Holes `cmd:"" group:"Drawing and drilling" help:"Do the drilled holes lie where they are drawn, and do all bolts pass?"`

	Flatness flatnessVerb  `cmd:"" group:"Faces and instruments" help:"How flat is one measured face?"`
	Levels   levelsVerb    `cmd:"" group:"Faces and instruments" help:"What heights do the steps of a level give?"`
	Feelers  feelersVerb   `cmd:"" group:"Faces and instruments" help:"How flat can a face be, by straightedge and strips?"`
	Judge    whole.Judge   `cmd:"" group:"Faces and instruments" help:"Does the whole face conform, with what lies between the readings?"`
	Sag      bending.Sag   `cmd:"" group:"Faces and instruments" help:"How far does a piece sag, and where do its supports belong?"`
	Gauge    gauging.Gauge `cmd:"" group:"Faces and instruments" help:"Is the measuring good enough?"`

	Match    matching.Match     `cmd:"" group:"A set and its proof" help:"Which three pieces of a stock make a set?"`
	Seat     seatVerb           `cmd:"" group:"A set and its proof" help:"How do three pieces lie best together?"`
	LevelBed levelling.LevelBed `cmd:"" name:"level-bed" group:"A set and its proof" help:"How is the bed laid on its frame?"`
	Certify  certifyVerb        `cmd:"" group:"A set and its proof" help:"Does a set of three pieces conform?"`
	Verify   verifyVerb         `cmd:"" group:"A set and its proof" help:"Does a certificate hold, and does it compute?"`
	Marks    marking.Marks      `cmd:"" group:"A set and its proof" help:"How are the pieces of a set marked, and do these three pack?"`

	Init          office.Init          `cmd:"" group:"The mill's book" help:"Which mill is it, and what are its own answers?"`
	Serve         office.Serve         `cmd:"" group:"The mill's book" help:"How does everybody in the mill use the book?"`
	Work          office.Work          `cmd:"" group:"The mill's book" help:"How do other machines take part in long computations?"`
	Record        floor.Record         `cmd:"" group:"The mill's book" help:"What was done?"`
	Book          floor.Book           `cmd:"" group:"The mill's book" help:"What stands in the journal?"`
	Trace         floor.Trace          `cmd:"" group:"The mill's book" help:"Where did it come from, and what touched it?"`
	Affected      floor.Affected       `cmd:"" group:"The mill's book" help:"What else did it reach?"`
	Lost          floor.Lost           `cmd:"" group:"The mill's book" help:"Which piece is this, whose number is gone?"`
	Conflicts     floor.Conflicts      `cmd:"" group:"The mill's book" help:"Which entries must a person resolve?"`
	Route         floor.Route          `cmd:"" group:"The mill's book" help:"Which way does the stone go, and what must hold first?"`
	Person        office.Person        `cmd:"" group:"The mill's book" help:"Who may do what?"`
	Token         office.Token         `cmd:"" group:"The mill's book" help:"Which machines may do what?"`
	Import        office.Import        `cmd:"" group:"The mill's book" help:"How do lists from elsewhere come into the book?"`
	Export        office.Export        `cmd:"" group:"The mill's book" help:"How does everything come out as files?"`
	Backup        office.Backup        `cmd:"" group:"The mill's book" help:"What if this machine is lost tomorrow?"`
	Restore       office.Restore       `cmd:"" group:"The mill's book" help:"How does a backup become a book again?"`
	Rebuild       office.Rebuild       `cmd:"" group:"The mill's book" help:"Are the tables as the journal says?"`
	VerifyJournal office.VerifyJournal `cmd:"" group:"The mill's book" help:"Was anything in the journal changed?"`

	Keygen  keygenVerb  `cmd:"" group:"The program" help:"Which key shall sign the certificates?"`
	Demo    demoVerb    `cmd:"" group:"The program" help:"What does the main job look like, on an invented mill?"`
	Version versionVerb `cmd:"" group:"The program" help:"Which build of the program is this?"`
	Notices noticesVerb `cmd:"" group:"The program" help:"Whose work is inside, and under which licences?"`
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
	if len(args) > 0 && args[0] == "help" { // as many other programs have it
		args = append(slices.Clone(args[1:]), "--help")
	}
	ctx, err := k.Parse(joined(args))
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

// joined writes a flag and its value that begins with a minus and a figure as one word, so that "--points -274,-354" is no
// flag called 2.
func joined(args []string) (out []string) {
	for i := 0; i < len(args); i++ {
		a := args[i]
		if a == "--" {
			return append(out, args[i:]...)
		}
		if strings.HasPrefix(a, "--") && !strings.Contains(a, "=") && i+1 < len(args) {
			if v := args[i+1]; len(v) > 1 && v[0] == '-' && (v[1] >= '0' && v[1] <= '9' || v[1] == '.') {
				a, i = a+"="+v, i+1
			}
		}
		out = append(out, a)
	}
	return out
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
		return trouble.Usage("no-verb", where, "no verb is given", next).Because(err)
	}
	if names, ok := strings.CutPrefix(what, `expected "<`); ok {
		what = "not named: " + strings.ToUpper(strings.NewReplacer("<", "", ">", "", `"`, "").Replace(names))
	}
	return trouble.Usage("usage", where, what, next).Because(err)
}
