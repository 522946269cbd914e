// Package matching has the verb that asks which pieces of a stock make sets.
//
// It parses, asks package sets/answers, and shows; it reckons nothing and reads no book.
package matching

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/sets"
	"slatewright/sets/answers"
	"slatewright/sets/stockfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Match asks which pieces of a stock make sets.
type Match struct {
	Stock string `arg:"" help:"The stock, a piece a row: id,place,thickness_mm,layer,L,a,b,file and more. CSV; - is standard input."`

	Orders   string   `placeholder:"FILE" help:"What is wanted, an order a row: id,size,class,sets,due, with limits beside a class. CSV. Without it as many sets as can be."`
	Spec     string   `placeholder:"FILE" help:"Specification of the table: size, edge band, limits, supports, doubt of the readings (YAML). Without it nine foot and the tournament's limits."`
	Before   string   `placeholder:"FILE" help:"The plan before, as match --json answered it: changes are made where they pay."`
	Keep     string   `placeholder:"FILE" help:"What is kept together or apart: keep,first,second,third. CSV."`
	Together []string `sep:"none" placeholder:"IDS" help:"Two or three pieces that go into one set or into none, such as P1+P2. May be given several times."`
	Apart    []string `sep:"none" placeholder:"IDS" help:"Two pieces that never go into one set, such as P1+P2. May be given several times."`

	LimitStep       *verb.Length `placeholder:"LENGTH" help:"Largest step over a joint, in place of the specification's."`
	LimitZone       *verb.Length `placeholder:"LENGTH" help:"Largest zone of a bed, in place of the specification's."`
	LimitLengthwise *verb.Length `placeholder:"LENGTH" help:"Largest lengthwise straightness, in place of the specification's."`
	LimitAcross     *verb.Length `placeholder:"LENGTH" help:"Largest straightness across, in place of the specification's."`
	Room            *verb.Length `placeholder:"LENGTH" help:"How much of each limit is kept for doubt. Without it what the specification's rule is expected to take, and nothing without a specification."`

	Weight map[string]float64 `mapsep:"," placeholder:"TERM=N" help:"What is dear in a set, in place of step=1, zone=1, spread=1, layer=0.2, batch=0, colour=0, age=0, change=0.05."`

	Time      time.Duration `default:"10s" help:"How long it may look; the best so far is answered then."`
	Gap       string        `default:"0" help:"A gap between cost and bound that is good enough, such as 1%."`
	Exchanges int           `default:"0" placeholder:"N" help:"Tell so many exchanges for each place of each set, and what each would cost."`
	OneMore   int           `default:"8" placeholder:"N" help:"Tell so many ways in which one piece more, ground again or cut otherwise, would free sets."`
	Changes   int           `default:"4" placeholder:"N" help:"How many such changes may be made one after another, for two more sets at most."`
	Reground  verb.Length   `default:"0.1mm" placeholder:"LENGTH" help:"How flat a piece comes from the grinder: its zone."`
	CleanUp   verb.Length   `default:"0.1mm" placeholder:"LENGTH" help:"What grinding again takes off beyond the zone that the face has."`
	Rigid     bool          `help:"Leave out laying the sets as stone that bends."`
	Pass      float64       `placeholder:"SHARE" help:"Share of the pieces begun that pass, such as 0.9: then it says what matching late is worth."`
	Sure      float64       `default:"0.95" placeholder:"SHARE" help:"How surely the sets shall come of the pieces begun, with --pass."`
}

// About is the help of the verb.
func (Match) About() verb.About {
	return verb.About{
		Text: `Chooses which three pieces of a stock make a set, in which order and turn: first as many conforming sets as can be, for the orders that are due
			first; then those that cost least together. A set costs its larger step and its zone as shares of their limits, the spread of its three
			thicknesses in quarters of a millimetre, and 0.2 for each change of layer from piece to piece; --weight changes that. Step and zone are those of
			the best seating, as 'seat' finds it; a piece without a face drops them.

			The answer says which sets to lay up, what is left over and why, and what one more piece, or one that is ground again, would free; and with it
			a bound: no plan of as many sets costs less. A plan is there soon and becomes better until the gap is closed, the time is over, or the
			interrupt key is pressed.

			A file in the list is looked for from the folder of the list. In place of a file a row may have bow_along_mm, bow_across_mm, twist_mm and nine
			heights along each joint edge (minus_1_um to minus_9_um, plus_1_um to plus_9_um).

			Exit status 0: sets are proposed. 1: an order cannot be met, or no set conforms. 2: whether they could is not settled in this time.`,
		Examples: []verb.Example{
			{"slatewright match stock.csv", "the sets, by the tournament's limits"},
			{"slatewright match stock.csv --json --time 10s", "what is found in ten seconds, for programs"},
			{"slatewright match stock.csv --orders orders.csv --spec nine-foot.yaml", "for orders, by the mill's own specification, laid as stone that bends"},
			{"slatewright match stock.csv --before plan.json --together P1+P2 --apart P3+P4", "again, with few changes, and what a person has decided"},
			{"slatewright match stock.csv --weight layer=1,colour=0.1 --exchanges 2", "with other weights; what could change places"},
		},
	}
}

// Run reads the lists and matches.
func (v Match) Run(s *verb.Session) (verb.Report, error) {
	stop, done := verb.Until(s, v.Time, "laying threes together")
	got, err := v.answer(s, stop)
	done()
	if err != nil {
		return nil, err
	}
	return report{got}, s.Context.Err()
}

func (v Match) answer(s *verb.Session, stop func(share float64) bool) (*answers.Matched, error) {
	ask, err := v.ask(s)
	if err != nil {
		return nil, err
	}
	ask.Stop = stop
	return ask.Answer()
}

// ask makes the question of flags and files.
func (v Match) ask(s *verb.Session) (a answers.Ask, err error) {
	if err := v.check(); err != nil {
		return a, err
	}
	if a.Gap, err = verb.Gap(v.Gap); err != nil {
		return a, err
	}
	if a.Weights, err = v.weights(); err != nil {
		return a, err
	}
	if a.Spec, err = v.spec(s); err != nil {
		return a, err
	}
	if v.Spec != "" {
		a.Room, a.Judged, a.Elastic = answers.Room(a.Spec), true, !v.Rigid
	}
	if v.Room != nil {
		a.Room = v.Room.MM
	}
	a.Exchanges = v.Exchanges
	a.Freeing = sets.Freeing{Zone: v.Reground.MM, CleanUp: v.CleanUp.MM, Most: v.OneMore, Chain: v.Changes, Sets: answers.MoreSets}
	a.Late = answers.LateAsk{Pass: v.Pass, Sure: v.Sure}
	if err := v.lists(s, &a); err != nil {
		return a, err
	}
	a.Stock, err = v.stock(s, a.Spec)
	return a, err
}

// check refuses flags that mean nothing.
func (v Match) check() error {
	bad := func(flag, what, next string) error {
		return trouble.Usage("bad-flag", "slatewright match", flag+" "+what, next)
	}
	for _, l := range []struct {
		flag  string
		given *verb.Length
	}{{"--limit-step", v.LimitStep}, {"--limit-zone", v.LimitZone}, {"--limit-lengthwise", v.LimitLengthwise}, {"--limit-across", v.LimitAcross}} {
		if l.given != nil && l.given.MM <= 0 {
			return bad(l.flag, "is not above 0", "give the largest that conforms, such as 0.127mm")
		}
	}
	switch {
	case v.Time <= 0:
		return bad("--time", "is not above 0", "write it like 10s")
	case v.Room != nil && v.Room.MM < 0:
		return bad("--room", "is below 0", "give what is kept of each limit, such as 0.02mm")
	case v.Reground.MM < 0 || v.CleanUp.MM < 0:
		return bad("--reground or --clean-up", "is below 0", "give a length, such as 0.1mm")
	case v.Exchanges < 0 || v.OneMore < 0 || v.Changes < 1:
		return bad("--exchanges, --one-more or --changes", "is no count", "give a whole number")
	case v.Pass != 0 && !(v.Pass >= 0.1 && v.Pass <= 1):
		return bad("--pass", "is no share of pieces that pass", "give one from 0.1 to 1, such as 0.9")
	case !(v.Sure > 0 && v.Sure <= 0.999999):
		return bad("--sure", "is no probability that sets come with", "give one above 0 and at most 0.999999, such as 0.95")
	}
	piped := 0
	for _, name := range [5]string{v.Stock, v.Orders, v.Spec, v.Before, v.Keep} {
		if name == "-" {
			piped++
		}
	}
	if piped > 1 {
		return trouble.Usage("one-input", "slatewright match", "standard input can hold one file only", "name the other files")
	}
	return nil
}

// mostWeight is far beyond any weight that leaves the others a say.
const mostWeight = 1e6

// weights are the usual ones with those that were given in their place.
func (v Match) weights() (w sets.Weights, err error) {
	w = sets.DefaultWeights()
	terms := map[string]*float64{"step": &w.Step, "zone": &w.Zone, "spread": &w.Spread, "layer": &w.Layer, "batch": &w.Batch, "colour": &w.Colour, "age": &w.Age, "change": &w.Change}
	for _, name := range slices.Sorted(maps.Keys(v.Weight)) { // the same is refused every time
		x, into := v.Weight[name], terms[name]
		if into == nil {
			return w, trouble.Usage("bad-weight", "slatewright match", "--weight knows no term "+name, "write step, zone, spread, layer, batch, colour, age or change, such as layer=0.5")
		}
		if !(x >= 0 && x <= mostWeight) {
			return w, trouble.Usage("bad-weight", "slatewright match", "--weight "+name+" is no weight", "give a number from 0 on, such as layer=0.5")
		}
		*into = x
	}
	return w, nil
}

// spec is the specification named, or one that knows no more than the trade, with the limits that were given in place of its own.
func (v Match) spec(s *verb.Session) (spec bed.Spec, err error) {
	if v.Spec != "" {
		if spec, err = verb.Read(s, v.Spec, specfile.Read); err != nil {
			return spec, err
		}
	} else {
		spec = bed.NineFoot()
		spec.EdgeBand, spec.Lining = 0, 0
		spec.Supports, spec.Shims = [3][][2]float64{}, nil
	}
	l := &spec.Limits
	for _, given := range []struct {
		flag *verb.Length
		into *float64
	}{{v.LimitStep, &l.Step}, {v.LimitZone, &l.Zone}, {v.LimitLengthwise, &l.Lengthwise}, {v.LimitAcross, &l.Across}} {
		if given.flag != nil {
			*given.into = given.flag.MM
		}
	}
	return spec, nil
}

// lists reads orders, the plan before, and what a person has decided.
func (v Match) lists(s *verb.Session, a *answers.Ask) error {
	if v.Orders != "" {
		list, err := verb.Read(s, v.Orders, sheet.Read)
		if err != nil {
			return err
		}
		if a.Orders, err = stockfile.ReadOrders(list, a.Spec.Limits); err != nil {
			return err
		}
	}
	var err error
	if v.Before != "" {
		if a.Before, err = verb.Read(s, v.Before, stockfile.ReadBefore); err != nil {
			return err
		}
	}
	if v.Keep != "" {
		list, err := verb.Read(s, v.Keep, sheet.Read)
		if err != nil {
			return err
		}
		if a.Hand, err = stockfile.ReadHand(list); err != nil {
			return err
		}
	}
	for _, said := range []struct {
		how    string
		groups []string
	}{{"together", v.Together}, {"apart", v.Apart}} {
		for _, g := range said.groups {
			if err := a.Hand.Keep(said.how, strings.Split(g, "+"), "--"+said.how+" "+g); err != nil {
				return err
			}
		}
	}
	return nil
}

// stock reads the list of the stock, and its files from its folder.
func (v Match) stock(s *verb.Session, spec bed.Spec) (*stockfile.Stock, error) {
	list, err := verb.Read(s, v.Stock, sheet.Read)
	if err != nil {
		return nil, err
	}
	open := func(file string) (*face.Face, error) {
		if v.Stock != "-" && !filepath.IsAbs(file) {
			file = filepath.Join(filepath.Dir(v.Stock), file)
		}
		return verb.Read(s, file, face.Read)
	}
	return stockfile.Read(list, stockfile.Terms{Spec: spec, Sized: v.Spec != "", Today: s.Clock().Format(time.DateOnly), Open: open})
}
