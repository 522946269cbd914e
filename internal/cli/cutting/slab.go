package cutting

import (
	"io"
	"time"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/answers"
	"slatewright/cutting/slab/search"
	"slatewright/cutting/slab/slabfile"
	"slatewright/internal/cli/verb"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Slab asks how a slab is cut into pieces.
type Slab struct {
	File     string        `arg:"" optional:"" help:"The slab and the pieces that are wanted, or slabs and orders, as JSON; a slab as GeoJSON, DXF or CSV; - is standard input."`
	Pieces   string        `placeholder:"FILE" help:"The pieces that are wanted as a list, where the file of the slab has none: type,length,width,value, …. CSV."`
	Instance string        `placeholder:"FILE" help:"A plain rectangle's list in place of a slab: item,item_length,item_width,max_copies,value. CSV."`
	Stock    string        `placeholder:"LxW" help:"The rectangle of --instance, where its columns stock_length and stock_width do not say it."`
	Name     string        `placeholder:"NAME" help:"One instance of a list that holds several (column instance)."`
	Kerf     *float64      `placeholder:"MM" help:"What the saw takes, in place of what the file says; of --instance in its unit."`
	Angles   []float64     `placeholder:"DEG,…" help:"The angles that the saw can set, in place of those of the file."`
	Turned   bool          `help:"The items of --instance may lie either way; otherwise their length lies along the stock's."`
	Time     time.Duration `default:"10s" help:"How long to look for a better plan at most."`
	Work     int64         `placeholder:"STEPS" help:"Steps of the search at most: the same steps give the same plan on every machine."`
	Out      []string      `placeholder:"FILE" help:"Write the plan of one slab as well: a picture (.svg), a sheet for the saw (.pdf), a drawing (.dxf) or its cuts (.csv). May be given several times; no file is written over."`
	Gap      string        `default:"0" help:"A gap between plan and bound that is good enough, such as 2%. Without it the plan is proven, or the time runs out."`
}

// About is the help of the verb.
func (Slab) About() verb.About {
	return verb.About{
		Text: `Cuts a slab into the pieces that are worth most together. The slab may have any outline, cracks, veins, stains and thin places; a flaw that lies
			in what is cut away of a piece later does no harm. The saw cuts from edge to edge, along and across a frame that is turned once to one of the
			angles that it can set.

			The answer is a plan and a bound: no plan of such cuts on a grid of 1 mm is worth more. A good plan is there at once and becomes better until the
			gap is closed, the time has passed, or the interrupt key is pressed; then the best so far is told. The plan is checked by other means than those
			that made it before it is shown.

			A file with slabs and orders asks which slab goes to which order: every slab is planned for every order, and the choice among the plans is exact.

			With --instance a plain rectangle is cut exactly, without flaws, as published problems have it.

			Exit status 0: the plan is proven, or within the gap that was asked for. 1: nothing fits. 2: better plans may exist; the bound is told.`,
		Examples: []verb.Example{
			{"slatewright slab slab.json", "a plan, its bound and the order of cuts"},
			{"slatewright slab slab.json --json --time 10s --gap 2%", "for programs; a gap of 2 % is good enough"},
			{"slatewright slab slab.json --out plan.svg --out saw.pdf", "a picture, and a sheet to print at the saw"},
			{"slatewright slab --instance items.csv --stock 127x98", "a published instance, proven"},
		},
	}
}

// Run reads the slab and plans.
func (v Slab) Run(s *verb.Session) (verb.Report, error) {
	limits := search.Limits{Work: v.Work}
	var err error
	if limits.Gap, err = verb.Gap(v.Gap); err != nil {
		return nil, err
	}
	if v.Time < 0 || v.Work < 0 {
		return nil, trouble.Usage("bad-time", "--time", "a negative time or work", "give --time 10s")
	}
	question, name, err := v.read(s)
	if err != nil {
		return nil, err
	}
	if err := drawable(v.Out, len(question.Orders) > 0); err != nil {
		return nil, err
	}
	stop, done := verb.Until(s, v.Time, "sawing on paper")
	defer done()
	if len(question.Orders) > 0 {
		each := func(pair, of int) search.Limits { // the time is shared out among the pairs
			l := search.Limits{Gap: limits.Gap, Stop: func() bool { return stop(float64(pair+1) / float64(of)) }}
			if v.Work > 0 {
				l.Work = max(1, v.Work/int64(of))
			}
			return l
		}
		got, err := answers.OfOrders(name, question.Slabs, question.Orders, limits.Gap, each)
		if err != nil {
			return nil, err
		}
		return ordersReport{got}, nil
	}
	limits.Stop = func() bool { return stop(1) }
	got, err := answers.Of(name, question.Slabs[0], limits)
	if err != nil {
		return nil, err
	}
	if err := draw(got, v.Out); err != nil {
		return nil, err
	}
	return slabReport{got}, nil
}

// read reads what is asked.
func (v Slab) read(s *verb.Session) (question *slabfile.Question, name string, err error) {
	switch {
	case (v.File == "") == (v.Instance == ""):
		return nil, "", trouble.Usage("no-slab", "slatewright slab", "one slab is asked for at a time", "give FILE.json, or --instance FILE.csv")
	case v.Instance != "":
		list, err := verb.Read(s, v.Instance, sheet.Read)
		if err != nil {
			return nil, "", err
		}
		plain := slabfile.Plain{Stock: v.Stock, Name: v.Name, Turned: v.Turned}
		if v.Kerf != nil {
			plain.Kerf = *v.Kerf
		}
		one, err := slabfile.Instance(list, plain)
		return &slabfile.Question{Slabs: []*slab.Slab{one}}, list.Name, err
	case v.Stock != "" || v.Name != "" || v.Turned:
		return nil, "", trouble.Usage("no-instance", "slatewright slab", "--stock, --name and --turned belong to --instance", "leave them out, or give --instance FILE.csv")
	}
	var pieces []slab.Type
	if v.Pieces != "" {
		list, err := verb.Read(s, v.Pieces, sheet.Read)
		if err != nil {
			return nil, "", err
		}
		if pieces, err = slabfile.Pieces(list); err != nil {
			return nil, "", err
		}
	}
	question, err = verb.Read(s, v.File, func(name string, in io.Reader) (*slabfile.Question, error) { return slabfile.Read(name, in, pieces) })
	if err != nil {
		return nil, "", err
	}
	for _, one := range question.Slabs {
		if v.Kerf != nil {
			one.Kerf = *v.Kerf
		}
		if v.Angles != nil {
			one.Angles = v.Angles
		}
	}
	return question, v.File, nil
}
