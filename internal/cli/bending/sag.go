// Package bending has the verb about gravity: how a piece sags on what it lies on, where its supports belong, and what of a measured
// face is shape and what is gravity.
//
// It parses, asks package plate, and shows; it computes nothing and reads no book.
package bending

import (
	"fmt"

	"slatewright/internal/cli/verb"
	"slatewright/plate"
	"slatewright/plate/answers"
	"slatewright/trouble"
)

// Sag asks how a piece bends under its own weight.
type Sag struct {
	piece
	supports
	Load     string       `placeholder:"MASS" help:"A weight laid on, such as 20kg, and how far it presses the piece down."`
	LoadAt   string       `placeholder:"X,Y" default:"0,0" help:"Where it lies, mm from the middle of the piece."`
	LoadSide *verb.Length `placeholder:"LENGTH" help:"Side of the square on which it stands; a point if left out."`
	Dial     *verb.Length `placeholder:"LENGTH" help:"The shop test: how far a dial beside the load went down. Gives the modulus of this stone."`
	UDial    *verb.Length `name:"u-dial" placeholder:"LENGTH" help:"Standard uncertainty of --dial; 0.01mm if left out."`
	Face     string       `placeholder:"FILE" help:"Readings of a face: gravity is taken off them. Size, support and thickness are read from its header lines where no flag gives them."`
	Turned   string       `placeholder:"FILE" help:"Readings of the same piece turned over on the same supports: parts shape from gravity without knowing the modulus."`
	Slip     *verb.Length `placeholder:"LENGTH" help:"How far a support may lie beside its mark; 10mm if left out."`
	Error    float64      `placeholder:"SHARE" default:"0.005" help:"Doubt of the computation that is good enough, as a share of peak to valley."`
	Out      string       `placeholder:"FILE" help:"Write a map of the heights, an SVG picture."`
}

// About is the help of the verb.
func (Sag) About() verb.About {
	return verb.About{
		Text: `How far a piece sags under its own weight, z up from the plane of its supports, which push and cannot pull: peak to valley, the highest and
			the lowest place, with the doubt of the computation and the conditions that prove which supports carry. Beside it: the same for stone of 30 to 90
			GPa, the largest stress, and what it costs when a support lies a little beside its mark.

			Supports are --lines (two bars over the full width, at this fraction of the long side from each end), --points, or one of the mill's own
			patterns by --on: ends, lines, three, four, six, bench. With --best the supports of least sag are looked for.

			The piece is a rectangle with round cuts (--round) or cuts of any shape (--cuts FILE with the columns cut,x,y), of even thickness or by caliper
			readings (--thickness-file with the columns x,y,t). Places are mm from the middle of the piece, x along the table. The stone may be
			stiffer along its grain than across it (--across, --grain).

			With --face gravity is taken off the readings of a face, and what is left is its free shape. With --turned too, shape and gravity are
			parted without knowing the modulus, which comes out beside them. With --load and --dial the shop test of the modulus is evaluated.

			Thin plates, elastic, without friction. A lining is not in it.`,
		Examples: []verb.Example{
			{"slatewright sag --size 914x1473mm --thickness 25.4mm --lines 0.22", "the sag on two bars"},
			{"slatewright sag --size 914x1473mm --thickness 25.4mm --modulus 52GPa --lines 0.22 --json", "stiffer stone, as one JSON object"},
			{"slatewright sag --size 914x1473mm --thickness 30mm --points '280,-330;-280,-330;0,480'", "on three points"},
			{"slatewright sag --size 914x1473mm --thickness 1in --best 3 --round '457,-736,65;457,736,65'", "where three supports belong under a piece with its pockets cut"},
			{"slatewright sag --size 914x1473mm --thickness 25.4mm --on ends --load 20kg --dial 0.22mm", "the modulus, by a weight and a dial"},
			{"slatewright sag --face head.csv --thickness 25.4mm --on lines", "the free shape of a measured face"},
		},
	}
}

// Run bends the piece.
func (v Sag) Run(s *verb.Session) (verb.Report, error) {
	top, bottom, err := v.faces(s)
	if err != nil {
		return nil, err
	}
	p, known, err := v.read(s, top)
	if err != nil {
		return nil, err
	}
	u, name, err := v.under(p, top)
	if err != nil {
		return nil, err
	}
	q := answers.Question{Piece: p, Under: u, Pattern: name, SlipMM: 10, Share: v.Error, UThicknessMM: known.thickness, ThicknessFit: known.fit}
	if v.Slip != nil {
		if q.SlipMM = v.Slip.MM; !(q.SlipMM > 0) {
			return nil, trouble.Usage("bad-slip", "slatewright sag", "--slip must be more than 0", "give a length such as 10mm")
		}
	}
	if q.Load, err = v.load(); err != nil {
		return nil, err
	}
	r := &sagReport{piece: p, under: u, known: known}
	if r.Sag, err = answers.SagOf(q); err != nil {
		return nil, err
	}
	if top != nil {
		if err := r.free(top, bottom); err != nil {
			return nil, err
		}
	}
	if v.Out != "" {
		if err := r.write(v.Out); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// load is the weight laid on, nil when there is none.
func (v Sag) load() (*answers.Load, error) {
	if v.Load == "" {
		if v.Dial != nil {
			return nil, trouble.Usage("no-load", "slatewright sag", "--dial without --load", "say which weight pressed the piece down, such as --load 20kg")
		}
		return nil, nil
	}
	kg, err := mass(v.Load)
	if err != nil {
		return nil, err
	}
	at, err := places(v.LoadAt, 2)
	if err != nil || len(at) != 1 {
		return nil, trouble.Usage("bad-place", "--load-at", fmt.Sprintf("%q is not a place", v.LoadAt), "write it as x,y in mm from the middle of the piece")
	}
	l := &answers.Load{KG: kg, XMM: at[0][0], YMM: at[0][1], UDialMM: 0.01}
	if v.LoadSide != nil {
		l.SideMM = v.LoadSide.MM
	}
	if v.UDial != nil {
		l.UDialMM = v.UDial.MM
	}
	if v.Dial != nil {
		if l.DialMM = v.Dial.MM; !(l.DialMM > 0) || l.UDialMM < 0 {
			return nil, trouble.Usage("bad-dial", "slatewright sag", "--dial must be more than 0 and --u-dial not less", "give how far the dial went down")
		}
	}
	return l, nil
}

// sagReport is the answer, with the free shape of a face where one was given.
type sagReport struct {
	*answers.Sag
	Free *freeReport `json:"free"`

	piece  plate.Piece
	under  plate.Under
	known  known
	status verb.Outcome
}

// Outcome is Done, or CannotTell where the free shape of a face was asked for and is hidden.
func (r *sagReport) Outcome() verb.Outcome { return r.status }

func (r *sagReport) warn(text string) { r.Warnings = append(r.Warnings, text) }

func ptr[T any](v T) *T { return &v }
