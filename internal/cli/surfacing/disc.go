package surfacing

import (
	"encoding"

	"slatewright/internal/cli/verb"
	"slatewright/sheet"
	"slatewright/surfacing/disc"
	"slatewright/surfacing/disc/answers"
	"slatewright/surfacing/disc/wear"
)

// Disc asks whether a disc is balanced, and when its bits are used up.
type Disc struct {
	File      string       `arg:"" help:"The disc: position, angle_deg, radius_mm, mass_g, height_mm; or its wear log: day, height_mm, area_m2. CSV; - is standard input."`
	Speed     *discSpeed   `placeholder:"SPEED" help:"Speed of the disc, such as 1400rpm; the list says its own by '# speed: 1400 rpm'."`
	Grade     *discGrade   `placeholder:"GRADE" help:"Balance grade, such as 6.3; or '# grade: 6.3'."`
	RotorMass *discMass    `name:"rotor-mass" placeholder:"MASS" help:"Mass of all that turns, such as 12kg; or '# rotor mass: 12 kg'."`
	Arrange   bool         `help:"Weigh in: place all bits anew, spares too, so that least unbalance is left."`
	Band      *verb.Length `placeholder:"LENGTH" help:"How far apart in height bits may stand and still cut together; 0.1mm if nobody says another."`
	UMass     *discMass    `name:"u-mass" placeholder:"MASS" help:"Standard uncertainty of one weighing; 0.01g if nobody says another."`
	UPlace    *verb.Length `name:"u-place" placeholder:"LENGTH" help:"Standard uncertainty of a bit's middle, along the radius and across it; 0.05mm if nobody says another."`
	Bearings  *verb.Length `placeholder:"LENGTH" help:"From one bearing of the spindle to the other: what a second plane would see is told for them."`
}

// The quantities of a disc as flags.
type (
	discSpeed struct{ rpm float64 }
	discGrade struct{ mms float64 }
	discMass  struct{ kg float64 }
)

var _, _, _ encoding.TextUnmarshaler = (*discSpeed)(nil), (*discGrade)(nil), (*discMass)(nil)

// UnmarshalText reads a speed as people write it.
func (s *discSpeed) UnmarshalText(text []byte) (err error) {
	s.rpm, err = disc.ParseSpeed(string(text))
	return err
}

// UnmarshalText reads a grade as people write it.
func (g *discGrade) UnmarshalText(text []byte) (err error) {
	g.mms, err = disc.ParseGrade(string(text))
	return err
}

// UnmarshalText reads a mass as people write it.
func (m *discMass) UnmarshalText(text []byte) (err error) {
	m.kg, err = disc.ParseMass(string(text))
	return err
}

// About is the help of the verb.
func (Disc) About() verb.About {
	return verb.About{
		Text: `How far a disc is out of balance with its bits as they are, whether that meets the balance grade of ISO 21940-11 at its speed and rotor
			mass, and the fewest bits that must change places so that it does. The scale's own uncertainty stands beside the result; what lies nearer to the limit
			cannot be told.

			Heights come first: a bit that stands proud of the others scores the face, and balance does not help that. Bits change places only with bits as
			high as themselves, within the band, and with spares (rows without angle and radius) where that takes fewer changes. Up to three changes all are
			looked at, so the fewest are proven; beyond, the answer says whether they are. --arrange places all bits anew.

			No balance weights are taken for granted, and a disc is thin, so one plane is enough: the answer tells how much a second would see.

			A list with the column day is a wear log: how fast the bits wear, when the usable height ends, with an interval, whether single bits can be changed
			or the whole ring must, and what a square metre and a set cost where the log gives the mill's prices.

			Exit status 0: it meets the grade as it is, or after the changes that are listed; or the bits last. Exit status 1: no change of these bits brings it there; or the bits are
			used up. Exit status 2: it cannot be told.`,
		Examples: []verb.Example{
			{"slatewright disc disc.csv --speed 1400rpm --grade 6.3 --rotor-mass 12kg", "is it balanced, and which bits change places"},
			{"slatewright disc new.csv --arrange --json", "weigh a new ring in, for programs"},
			{"slatewright disc wear.csv", "when are the bits used up, and what does a m² cost"},
		},
	}
}

// Run reads the list and answers.
func (v Disc) Run(s *verb.Session) (verb.Report, error) {
	list, err := verb.Read(s, v.File, sheet.Read)
	if err != nil {
		return nil, err
	}
	if _, log := list.Has("day"); log {
		l, err := wear.Read(list)
		if err != nil {
			return nil, err
		}
		w, err := answers.OfWear(list.Name, l, millimetres(v.Band))
		if err != nil {
			return nil, err
		}
		return discWear{w}, nil
	}
	l, err := disc.Read(list)
	if err != nil {
		return nil, err
	}
	b, err := answers.OfDisc(list.Name, l, v.question())
	if err != nil {
		return nil, err
	}
	return discBalance{b}, nil
}

func millimetres(l *verb.Length) *float64 {
	if l == nil {
		return nil
	}
	return &l.MM
}

func (v Disc) question() answers.Question {
	q := answers.Question{Band: millimetres(v.Band), UPlace: millimetres(v.UPlace), Bearings: millimetres(v.Bearings), Arrange: v.Arrange}
	if v.Speed != nil {
		q.Speed = &v.Speed.rpm
	}
	if v.Grade != nil {
		q.Grade = &v.Grade.mms
	}
	if v.RotorMass != nil {
		q.Rotor = &v.RotorMass.kg
	}
	if v.UMass != nil {
		g := v.UMass.kg * 1000
		q.UMass = &g
	}
	return q
}
