package surfacing

import (
	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/stone"
	cleaned "slatewright/surfacing/cleanup/answers"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/passes"
	"slatewright/surfacing/passes/answers"
	"slatewright/trouble"
)

// Passes asks in how many passes a piece is surfaced, how deep, and on which face first.
type Passes struct {
	Machine string `arg:"" help:"The machine file, YAML; - is standard input."`
	Cleanup string `placeholder:"FILE" help:"What is to come off: the JSON that 'slatewright cleanup TOP BOTTOM --json' printed."`
	Top     string `placeholder:"FILE" help:"Readings of the top: the clean-up is made from them and those of --bottom, with every reading's depth."`
	Bottom  string `placeholder:"FILE" help:"Readings of the bottom."`

	OffTop    string       `placeholder:"LENGTHS" help:"What comes off the top at least, on average and at most, as '0.3,0.62,1.1mm'; or one length; 0mm: the top is not cut."`
	OffBottom string       `placeholder:"LENGTHS" help:"The same of the bottom."`
	Size      string       `placeholder:"XxY" help:"Size of the piece, such as 914x1473mm; it lies with the longer side along the feed."`
	Thickness *verb.Length `placeholder:"LENGTH" help:"Thickness that is left when this has come off; a clean-up says its own."`
	Final     *verb.Length `placeholder:"LENGTH" help:"Thickness wanted; what lies above it comes off both faces alike."`
	Least     *verb.Length `placeholder:"LENGTH" help:"Thinnest piece that is allowed."`
	Reserve   *verb.Length `placeholder:"LENGTH" help:"What must stay above it for a later re-grind."`

	Flat        *verb.Length `placeholder:"LENGTH" help:"Flatness allowed; 0.254mm if left out."`
	FlatBottom  *verb.Length `placeholder:"LENGTH" help:"Flatness allowed of the bottom; that of the top if left out."`
	Share       float64      `placeholder:"SHARE" help:"Share of it that bit wear in a face's last pass may take; 0.2 if left out."`
	Rounds      int          `default:"6" help:"Passes over both faces together at least; six is common practice, without a source; 0: none asked."`
	BottomStage string       `placeholder:"STAGE" help:"Last stage of the bottom; that of the top if left out."`
	Bow         *verb.Length `placeholder:"LENGTH" help:"Bow of the piece along its longer side as it lies free, + for a crown of the top."`
	Stress      string       `placeholder:"MPA" help:"Stress locked into the skins, such as '1 ± 0.5'; 0 ± 0.5, an estimate, if left out."`
	Modulus     string       `default:"48GPa" help:"Modulus of elasticity of the stone."`
}

// About is the help of the verb.
func (Passes) About() verb.About {
	return verb.About{
		Text: `Which face comes first and how the piece lies, in how many passes and how deep by stage, and what that takes: minutes, bits, water, power. The
			machine file says what the machine can: docs/passes.md has its form.

			The plan is the cheapest under the limits, proven by what it leaves out of its search: depths that can be set and feeds of each stage, the
			motor's power, broken stone under the face taken off by the next stage, wear of the last pass under its share of the flatness, the least number of rounds, and the
			flatness. A plan by the rule of thumb stands beside it. Without a price for the hour and the bits the fewest minutes win, then the least
			wear; no money is invented.

			The first face lies on free supports, since a bow that is pressed flat comes back when the hold lets go. What is above the wanted thickness comes off both faces
			alike, since skins under stress bow a piece that loses them on one side only. Thickness and flatness are predicted with limits, from what
			is known of G ratio, stiffness, energy, tilt, bed and ways, and how well.

			Exit status 1: no plan keeps the limits; the answer names which one stops it and what would free it. Exit status 2: the doubt of the
			thickness straddles what is asked.`,
		Examples: []verb.Example{
			{"slatewright passes machine.yaml --off-top 0.3,0.6,1.1mm --off-bottom 0.8mm --size 914x1473mm", "a plan from three numbers a face"},
			{"slatewright passes machine.yaml --cleanup cleanup.json --size 914x1473mm --flat 0.15mm --json", "from what a clean-up says, for programs"},
			{"slatewright passes machine.yaml --top top.csv --bottom bottom.csv --size 914x1473mm --final 25.4mm", "from the maps of both faces"},
		},
	}
}

// Run reads what is asked and answers.
func (v Passes) Run(s *verb.Session) (verb.Report, error) {
	m, err := verb.Read(s, v.Machine, machinefile.Read)
	if err != nil {
		return nil, err
	}
	q := passes.Question{Machine: &m, Final: mmOf(v.Final, 0), Least: mmOf(v.Least, 0), Reserve: mmOf(v.Reserve, 0), Flat: mmOf(v.Flat, passes.UsualFlat), FlatBottom: mmOf(v.FlatBottom, 0), Share: v.Share, Rounds: v.Rounds,
		Bow: millimetres(v.Bow)}
	if q.Rounds == 0 {
		q.Rounds = -1
	}
	if err := v.taken(s, &q); err != nil {
		return nil, err
	}
	if err := v.stone(&q); err != nil {
		return nil, err
	}
	r, err := answers.Of(q)
	if err != nil {
		return nil, err
	}
	return passPlan{r}, nil
}

// taken reads what is to come off.
func (v Passes) taken(s *verb.Session, q *passes.Question) error {
	wrong := func(what, next string) error { return trouble.Usage("usage", "slatewright passes", what, next) }
	ways := 0
	for _, is := range []bool{v.Cleanup != "", v.Top != "" || v.Bottom != "", v.OffTop != "" || v.OffBottom != ""} {
		if is {
			ways++
		}
	}
	switch {
	case ways == 0:
		return wrong("not said: what is to come off", "give --cleanup FILE, or --top and --bottom, or --off-top and --off-bottom")
	case ways > 1:
		return wrong("what is to come off is said twice", "give one of --cleanup, --top with --bottom, and --off-top with --off-bottom")
	case v.Thickness != nil && (v.OffTop+v.OffBottom == ""):
		return wrong("--thickness beside a clean-up", "the clean-up says its own; --final is what is wanted")
	}
	switch {
	case v.Cleanup != "":
		c, err := verb.Read(s, v.Cleanup, answers.ReadCleanup)
		if err != nil {
			return err
		}
		c.Into(q)
	case v.Top != "" || v.Bottom != "":
		return v.maps(s, q)
	default:
		q.Thickness = mmOf(v.Thickness, 0)
		for f, text := range []string{v.OffTop, v.OffBottom} {
			if text == "" {
				return wrong("only one of --off-top and --off-bottom", "give both; 0mm is a face that stays as it is")
			}
			stock, err := answers.ReadOff([]string{"--off-top", "--off-bottom"}[f], text)
			if err != nil {
				return err
			}
			q.Take[f] = stock
		}
	}
	return nil
}

// maps makes the clean-up from the readings of both faces.
func (v Passes) maps(s *verb.Session, q *passes.Question) error {
	if v.Top == "" || v.Bottom == "" {
		return trouble.Usage("usage", "slatewright passes", "only one of --top and --bottom", "give both; 'slatewright cleanup' plans one face, and its JSON goes in by --cleanup")
	}
	c := cleaned.Usual()
	c.Limits.Finish, c.Limits.Least, c.Limits.Reserve = q.Final, q.Least, q.Reserve
	var err error
	if c.Top, err = verb.Read(s, v.Top, face.Read); err != nil {
		return err
	}
	if c.Bottom, err = verb.Read(s, v.Bottom, face.Read); err != nil {
		return err
	}
	if q.X == 0 {
		q.X, q.Y = c.Top.SizeX, c.Top.SizeY
	}
	slab, err := cleaned.Of(c)
	if err != nil {
		return err
	}
	took, err := answers.OfSlab(slab)
	if err != nil {
		return err
	}
	took.Into(q)
	return nil
}

// stone reads the size and what is known of the stone.
func (v Passes) stone(q *passes.Question) (err error) {
	if v.Size != "" {
		if q.X, q.Y, err = measure.ParseSize(v.Size); err != nil {
			return err
		}
	}
	if q.X == 0 {
		return trouble.Usage("no-size", "slatewright passes", "the size of the piece is not given", "give --size, such as 914x1473mm")
	}
	q.Stone = stone.Slate()
	if q.Stone.Along, err = measure.ParseModulus(v.Modulus); err != nil {
		return err
	}
	q.Stone.Across = q.Stone.Along
	if v.Stress != "" {
		if q.Stress, err = answers.ReadStress(v.Stress); err != nil {
			return err
		}
	}
	if v.BottomStage != "" {
		q.BottomStage, err = answers.FindStage(q.Machine, v.BottomStage)
	}
	return err
}
