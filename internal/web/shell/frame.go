package shell

import (
	"slatewright/internal/book"
	"slatewright/internal/tongue"
)

// frame is what a template sees: the words, the frame's own facts, and the page's data.
type frame struct {
	tongue.Words
	Page
	Lang      string
	Units     tongue.Units
	Light     string
	Mill      string
	Demo      bool
	Specimen  string
	Path      string // with its query, to come back to
	Person    string
	Called    string
	Role      book.Role
	Full      bool
	Waiting   int
	Stops     []Stop
	Asides    []aside
	Scripts   []string
	Spoken    map[string]string // what the scripts say, by key
	Seq       int64
	Languages []tongue.Language
	shell     *Shell
}

// Stop is a station in the way down the side, and how many things stand there.
type Stop struct {
	Station string
	Count   int
}

// aside is a page that belongs to no station.
type aside struct{ Here, Path, Key string }

var asides = []aside{
	{"find", "/find", "shell.find"}, {"orders", "/orders", "shell.orders"}, {"instruments", "/instruments", "shell.instruments"}, {"gauging", "/gauging", "shell.gauging"},
	{"conflicts", "/conflicts", "shell.conflicts"}, {"people", "/people", "shell.people"}, {"mill", "/mill", "shell.settings"},
}

// way are the stations of the stone's way, as they are named in addresses.
var way = []book.Station{book.Quarry, book.Saw, book.Surfacing, book.Sets, book.Drilling, book.Room, book.Lining, book.Bench, book.Shipping}

// Way lists the stations that have a page, in the order of the stone's way.
func Way() []book.Station { return way }

// moving are the kinds that are counted at a station: the stone itself.
var moving = []book.Kind{book.KindLayer, book.KindBlock, book.KindSlab, book.KindPiece}

func (v *Visit) frame(p Page) *frame {
	f := &frame{Words: v.Words, Page: p, Lang: string(v.reader.language), Units: v.reader.units, Light: v.reader.light, Mill: v.Mill, Demo: v.Demo, Specimen: v.Specimen, Path: v.R.URL.RequestURI(),
		Person: v.Sender.Person, Role: v.Sender.Role, Full: v.Sender.Full, Asides: asides, Languages: tongue.Languages(), shell: v.Shell}
	f.Scripts = v.static.scripts(append([]string{"everywhere"}, p.Uses...))
	if len(f.Scripts) > 0 {
		f.Spoken = v.Words.Some("script.")
	}
	if v.Head != nil {
		f.Seq = v.Head()
	}
	if did := v.R.URL.Query().Get("did"); p.Told == nil && did != "" && v.Has("did."+did) {
		f.Told = &Told{Tone: "good", What: v.Say("shell.did", "did", did)}
	}
	if f.Person == "" {
		return f
	}
	f.Called = v.called()
	if v.Shell.Waiting != nil {
		f.Waiting = v.Shell.Waiting()
	}
	counted, err := v.tally.count(v.R.Context(), v.Ledger)
	if err != nil { // the page itself says what is wrong with the book
		v.Log.Warn("what stands where cannot be counted", "cause", err)
	}
	for _, s := range way {
		stop := Stop{Station: string(s)}
		for _, k := range moving {
			stop.Count += counted[s][k]
		}
		f.Stops = append(f.Stops, stop)
	}
	return f
}

// Asset is the address of a file of the frame's own; it changes with its content, so browsers may keep it.
func (f *frame) Asset(name string) string { return f.shell.static.path(name) }
