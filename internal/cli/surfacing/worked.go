package surfacing

import (
	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/stone"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/worked/answers"
	"slatewright/surfacing/worked/joblist"
	"slatewright/trouble"
)

// Worked asks what work took off, and what the machine's file learns from it.
type Worked struct {
	Before string `arg:"" help:"Readings of the face before the work; CSV or PLY, - is standard input."`
	After  string `arg:"" help:"Readings of the same face after it."`

	Job      string  `placeholder:"FILE" help:"What was done: a line a pass with stage, depth, feed and power, the heights of the bits above them; CSV."`
	Machine  string  `placeholder:"FILE" help:"The machine file that the list of passes belongs to; YAML."`
	Out      string  `placeholder:"FILE" help:"Write the machine file with what was learnt to a new file."`
	Accept   string  `placeholder:"REASON" help:"Take in a value that lies far from what was believed, and say why."`
	Modulus  string  `default:"48GPa" help:"Modulus of elasticity of the stone, for taking gravity off."`
	UModulus float64 `name:"u-modulus" placeholder:"SHARE" default:"0.2" help:"Its standard uncertainty as a share."`
}

// About is the help of the verb.
func (Worked) About() verb.About {
	return verb.About{
		Text: `By maps of one face before and after the work: how much came off, least, most and mean, and its volume. Each map has a height and tilts of its own;
			thicknesses by caliper before and after at the same places ('# thickness: x y t' in both) tie them. Without them the shape of what came
			off is told, and not how much. Gravity is taken off each map as it lay.

			With --job and --machine: the G ratio of each stage whose bits were measured, how much of the depth that was set was left and what that says of
			the machine's stiffness, the wedge that worn bits leave, and whether power tells of dull bits. The machine file learns from it: --out
			writes a new one, in which only the learnt values and the history differ. A value far from what was believed is set aside until --accept says why
			it is right.

			Every interval holds the truth in 95 of 100 cases. Exit status 1: a value was set aside. Exit status 2: how much came off cannot be told, or the
			passes can hardly be those between the maps.`,
		Examples: []verb.Example{
			{"slatewright worked before.csv after.csv", "what came off a face"},
			{"slatewright worked before.csv after.csv --job passes.csv --machine machine.yaml --out new.yaml", "what the bits paid, how far the machine yielded, and the machine file that has learnt it"},
			{"slatewright worked before.csv after.csv --job passes.csv --machine machine.yaml --json", "the same for programs"},
		},
	}
}

// Run reads the maps and the list, and answers.
func (v Worked) Run(s *verb.Session) (verb.Report, error) {
	if err := v.check(); err != nil {
		return nil, err
	}
	q := answers.Question{Stone: stone.Slate(), UModulus: v.UModulus, Accept: v.Accept, MachineName: v.Machine}
	modulus, err := measure.ParseModulus(v.Modulus)
	if err != nil {
		return nil, err
	}
	q.Stone.Along, q.Stone.Across = modulus, modulus
	if q.Before, err = verb.Read(s, v.Before, face.Read); err != nil {
		return nil, err
	}
	if q.After, err = verb.Read(s, v.After, face.Read); err != nil {
		return nil, err
	}
	if v.Job != "" {
		if err := v.done(s, &q); err != nil {
			return nil, err
		}
	}
	w, err := answers.Of(q)
	if err != nil {
		return nil, err
	}
	if v.Out != "" {
		if w.File() == nil {
			return nil, trouble.Data("nothing-learnt", v.After, "nothing was learnt, so there is no new machine file to write", "run without --out: the answer says why")
		}
		if err := verb.WriteNew(verb.NewFile{Path: v.Out, Text: w.File(), Mode: 0o644}); err != nil {
			return nil, err
		}
		w.OutFile = v.Out
	}
	return workedReport{w}, nil
}

func (v Worked) check() error {
	wrong := func(what, next string) error { return trouble.Usage("usage", "slatewright worked", what, next) }
	switch {
	case (v.Job == "") != (v.Machine == ""):
		return wrong("one of --job and --machine without the other", "give the list of passes and the file of the machine that made them")
	case v.Out != "" && v.Job == "":
		return wrong("--out without --job and --machine", "a machine file learns from the passes that were made")
	case v.Accept != "" && v.Job == "":
		return wrong("--accept without --job and --machine", "it is for a value that is set aside")
	case !(v.UModulus >= 0 && v.UModulus < 1):
		return wrong("an uncertainty of the modulus that is negative, or as large as it", "give --u-modulus as a share, such as 0.1")
	}
	return nil
}

// mostMachine is the longest machine file, in bytes.
const mostMachine = 1 << 20

// done reads the list of passes and the machine file.
func (v Worked) done(s *verb.Session, q *answers.Question) error {
	text, err := s.Text(v.Machine, mostMachine)
	if err != nil {
		return err
	}
	m, err := machinefile.Parse(v.Machine, text)
	if err != nil {
		return err
	}
	q.Machine, q.MachineText = &m, text
	list, err := verb.Read(s, v.Job, sheet.Read)
	if err != nil {
		return err
	}
	q.List, err = joblist.Read(list, &m)
	return err
}
