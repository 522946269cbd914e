// Package levelling is the verb that lays a bed on its frame: level-bed. It reads files and prints; it computes nothing: that is the work of
// package seating/levelling.
package levelling

import (
	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/seating/levelling"
	"slatewright/seating/levelling/answers"
	"slatewright/stone"
	"slatewright/trouble"
)

// LevelBed asks how a bed is laid on its frame.
type LevelBed struct {
	Spec   string `arg:"" help:"Specification of the table: supports, shims, limits (YAML)."`
	Head   string `arg:"" help:"Top face of the head piece, CSV or PLY."`
	Centre string `arg:"" help:"Top face of the centre piece."`
	Foot   string `arg:"" help:"Top face of the foot piece."`

	Turned  []string     `placeholder:"PLACES" help:"Pieces that lie turned end for end, such as head,foot."`
	Modulus *Modulus     `placeholder:"STRESS" help:"Modulus of elasticity of the stone, such as 48GPa, from a test. Without it 48 GPa, and the answer is shown from 30 to 90."`
	Poisson float64      `default:"0.2" placeholder:"NUMBER" help:"Poisson ratio of the stone (${default})."`
	Frame   string       `placeholder:"NAME" help:"Assume a frame where the customer's is not known: joint-beams, two-rails, ring or joint-beams-and-rail. It takes the place of the specification's supports."`
	Heights string       `placeholder:"FILE" help:"How high the frame stands under each support: a list with the columns piece,x,y,height. Without it the frame is true."`
	Give    *verb.Length `placeholder:"LENGTH" help:"How much the frame gives at a support under 1 kN, such as 0.02mm. Without it the frame is hard."`
	Screws  *Force       `placeholder:"FORCE" help:"How hard a screw at each support can hold the piece down, such as 300N. Without it supports only push."`
}

// tested is how well a cheap test in the mill tells the modulus.
const tested = 0.05

// Modulus is a flag's value that is a modulus.
type Modulus struct{ MPa float64 }

// UnmarshalText reads a modulus as people write it.
func (m *Modulus) UnmarshalText(text []byte) (err error) {
	m.MPa, err = measure.ParseModulus(string(text))
	return err
}

// Force is a flag's value that is a force.
type Force struct{ N float64 }

// UnmarshalText reads a force as people write it.
func (f *Force) UnmarshalText(text []byte) (err error) {
	f.N, err = measure.ParseForce(string(text))
	return err
}

// About says what the verb does.
func (LevelBed) About() verb.About {
	return verb.About{
		Text: `Lays three measured pieces on the supports of the frame, as stone that bends: under its own weight, pushed by the shims, pulled by
			screws where there are any. It finds the shims that make the bed as flat as it can be, with the largest of lengthwise, across,
			zone and step as a share of its limit as small as possible. A proven bound says how much better any shims could do. Then it takes
			shims that exist, finds anew where each piece rests and where it lifts off, and exchanges packs while that helps.

			It prints the packs in the order of work, the centre piece first, and what a level should read after each piece. It foretells the
			sinking of the bed's middle under 90.7 kg. Everything is shown for the stone's modulus and for the softest and stiffest it may be;
			with --modulus for 5 % to either side of it.

			The faces are freed of what gravity did to them where their files say how they were held ('# support: lines 0.22'). A frame is
			levelled before stone is laid on it. Lifting a piece can hurt: use lifting gear and enough people, as your local rules and
			licensed practice say.

			Exit status: 0 the bed will keep its limits, 1 it will not, 2 that hangs on how stiff the stone is.`,
		Examples: []verb.Example{
			{"slatewright level-bed nine-foot.yaml head.csv centre.csv foot.csv", "packs and level readings for the frame of the specification"},
			{"slatewright level-bed nine-foot.yaml head.csv centre.csv foot.csv --modulus 52GPa --screws 300N", "with a tested stone and screws"},
			{"slatewright level-bed nine-foot.yaml head.csv centre.csv foot.csv --frame two-rails", "on a frame that nobody has measured"},
		},
	}
}

// Run answers.
func (v LevelBed) Run(s *verb.Session) (verb.Report, error) {
	a := answers.Ask{Stone: stone.Slate()}
	a.Stone.Poisson = v.Poisson
	if v.Modulus != nil {
		a.Stone = a.Stone.Tested(v.Modulus.MPa, tested)
	}
	if v.Screws != nil {
		a.Pull = v.Screws.N
	}
	if v.Give != nil {
		if v.Give.MM < 0 {
			return nil, trouble.Usage("bad-give", "slatewright level-bed", "--give must not be negative", "give how much a support sinks under 1 kN, such as 0.02mm")
		}
		a.Give = v.Give.MM / 1000
	}
	piped := 0
	for _, name := range [5]string{v.Spec, v.Head, v.Centre, v.Foot, v.Heights} {
		if name == "-" {
			piped++
		}
	}
	if piped > 1 {
		return nil, trouble.Usage("one-input", "slatewright level-bed", "standard input can hold one file only", "name the other files")
	}
	var err error
	if a.Spec, err = verb.Read(s, v.Spec, specfile.Read); err != nil {
		return nil, err
	}
	a.Stone.Density = a.Spec.Density
	if a.Turned, err = v.turned(); err != nil {
		return nil, err
	}
	if v.Frame != "" {
		f, err := levelling.FrameNamed(v.Frame)
		if err != nil {
			return nil, err
		}
		a.Frame = &f
	}
	if v.Heights != "" {
		if a.Uneven, err = verb.Read(s, v.Heights, a.Heights); err != nil {
			return nil, err
		}
	}
	for k, name := range [3]string{v.Head, v.Centre, v.Foot} {
		if a.Faces[k], err = verb.Read(s, name, face.Read); err != nil {
			return nil, err
		}
	}
	b, err := a.Answer()
	if err != nil {
		return nil, err
	}
	return &report{b}, nil
}

func (v LevelBed) turned() (turned [3]bool, err error) {
	for _, name := range v.Turned {
		var p bed.Place
		if err := p.UnmarshalText([]byte(name)); err != nil {
			return turned, trouble.Usage("no-place", "slatewright level-bed", name+" is no place of a bed", "name head, centre or foot")
		}
		turned[p] = true
	}
	return turned, nil
}
