package lining

import (
	"fmt"

	"slatewright/measure"
)

// Remark is something to be said: a key for programs and translations, and what stands in its sentence.
type Remark struct {
	Key    string
	Values []float64 // in the order of the sentence
	Words  []string  // layouts and causes that it names
}

// decide weighs what is known. What forbids gluing comes before what leaves it open.
func (a *Answer) decide(c *Case) {
	p := a.Plans[0]
	var no, open []Remark
	if c.Room.LeastDays > 0 && a.Days < c.Room.LeastDays {
		no = append(no, Remark{Key: "days-short", Values: []float64{a.Days, c.Room.LeastDays}})
	}
	if a.Sample != nil && a.Sample.Readings >= fewestWeighings && abs(a.Sample.Rate) > c.Room.MostRate {
		no = append(no, Remark{Key: "still-moving", Values: []float64{abs(a.Sample.Rate), c.Room.MostRate}})
	}
	switch {
	case a.settled(c):
	case a.Sample != nil:
		open = append(open, Remark{Key: "sample-open", Values: []float64{float64(a.Sample.Readings)}})
	case c.Room.Meter != nil:
		open = append(open, Remark{Key: "meter-only", Values: []float64{(c.Room.Meter.High - c.Room.Meter.Low) / 2, a.State.Low, a.State.High}})
	default:
		open = append(open, Remark{Key: "no-sample"})
	}
	if c.Board.Source == Equation {
		open = append(open, Remark{Key: "equation"})
	}
	switch {
	case p.Holds == DoNotGlue && a.settled(c):
		no = append(no, Remark{Key: "beyond", Values: []float64{p.Worst.Low, c.Limit}})
	case p.Holds == DoNotGlue:
		open = append(open, Remark{Key: "even-so", Values: []float64{p.Worst.Low, c.Limit}})
	case p.Worst.High > c.Limit:
		open = append(open, Remark{Key: "straddles", Values: []float64{p.Worst.Low, p.Worst.High, c.Limit}})
	}
	switch {
	case len(no) > 0:
		a.Verdict, a.Why = DoNotGlue, append(no, open...)
	case len(open) > 0:
		a.Verdict, a.Why = CannotTell, open
	default:
		a.Verdict, a.Why = Glue, []Remark{{Key: "holds", Values: []float64{p.Worst.High, c.Limit}}}
	}
	a.next(c)
	a.remark(c)
}

// next says what would settle it.
func (a *Answer) next(c *Case) {
	say := func(key string, words []string, values ...float64) {
		a.Next = append(a.Next, Remark{key, values, words})
	}
	if c.Room.LeastDays > a.Days {
		say("wait", nil, c.Room.LeastDays)
	}
	if !a.settled(c) {
		say("weigh", nil)
	}
	if c.Board.Source == Equation {
		say("ask-supplier", nil)
	}
	if a.Plans[0].Worst.High > c.Limit {
		switch {
		case a.Best > 0:
			say("other-layout", []string{a.Plans[a.Best].Layout.String()}, a.Plans[a.Best].Worst.High)
		case len(a.Plans) > 1:
			say("no-layout", nil)
		}
		if d := a.dearest(); a.Plans[0].Holds != DoNotGlue {
			say("narrow", []string{string(d.Name)}, a.Plans[0].Worst.High, d.Worst)
		}
	}
	if a.Verdict == Glue {
		say("press-flat", nil)
	}
}

// remark says what every output must show.
func (a *Answer) remark(c *Case) {
	say := func(key string, values ...float64) { a.Remarks = append(a.Remarks, Remark{Key: key, Values: values}) }
	say("free")
	if c.Board.Source != Coupons {
		say("no-coupon")
	}
	if c.Board.Source == Equation {
		say("equation-used")
	}
	if c.Creep == UsualCreep || c.Hysteresis == UsualHysteresis {
		say("usual-shares")
	}
	if c.Piece.Modulus == UsualStone || c.Board.Modulus == UsualModulus {
		say("usual-moduli")
	}
	if _, swing, ok := c.Room.Air(); ok && swing > c.Room.Sensor {
		say("room-swings", 2*swing)
	}
	if s := a.Sample; s != nil && !s.Open && s.Misfit > 2 {
		say("weights-scatter", s.Misfit)
	}
	if s := a.Sample; s != nil {
		say("loose-board")
	}
	if c.Room.GlueWater.High > 0 {
		say("glue-water", c.Room.GlueWater.High)
	}
	if a.Plans[0].Layout.Kind != Full {
		say("strips-estimate")
	}
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

// String says the layout in the words in which it is written in a file.
func (l Layout) String() string {
	mm := func(v float64) string { return measure.Decimal(v, 0) }
	switch l.Kind {
	case Strips:
		s := "strips " + mm(l.Width) + " mm"
		if l.Length > 0 {
			s += ", lengths " + mm(l.Length) + " mm, gaps " + mm(l.Gap) + " mm"
		}
		if l.More > 0 {
			s += fmt.Sprintf(", %d more", l.More)
		}
		return s
	case Pads:
		return fmt.Sprintf("pads %s x %s mm, %d x %d", mm(l.Width), mm(l.Length), l.Along, l.Across)
	}
	return string(Full)
}

// sentences are the remarks in words; numbers stand where their places are.
var sentences = map[string]string{
	"holds":        "at most %.3f mm of bow over the year, and %.3f mm is allowed",
	"beyond":       "the bow reaches at least %.3f mm in the worst month, and %.3f mm is allowed",
	"straddles":    "the bow of the worst month may be anything from %.3f to %.3f mm, and %.3f mm is allowed",
	"even-so":      "as far as the state of the boards is known, the bow would reach at least %.3f mm, and %.3f mm is allowed",
	"days-short":   "the boards have lain for %.3g days, and the mill asks for %.3g",
	"still-moving": "the sample board changes by %.2f %% of its mass a day, and %.2f %% is the most",
	"sample-open":  "%.0f weighings do not show where the sample board's mass will end",
	"meter-only":   "a pin meter of ± %.2g %% leaves the boards in balance with anything from %.0f to %.0f %% relative humidity: ten times too wide",
	"no-sample":    "no sample board was weighed, so how far the boards are from balance is not known",
	"equation":     "the board's own movement is not known, and the wood equation is never enough to glue by",

	"wait":         "leave the boards loose in this air until day %.3g",
	"weigh":        "weigh a loose sample board of the batch daily, to 0.01 %% of its mass, until its curve bends over",
	"ask-supplier": "ask the supplier for the EN 318 values of this grade, or bond a coupon and log it for a month",
	"other-layout": "lay it out as %s: at most %.3f mm",
	"no-layout":    "no layout of the list holds the limit for certain: try shorter lengths, narrower strips or a thinner board",
	"narrow":       "what costs most is not knowing %s: if it were known, the largest possible bow would fall from %.3f to %.3f mm",
	"press-flat":   "press the piece face down on the flat bench, so that it sets flat",

	"free":            "bow of the free piece: frame, screws and its own weight hold some of it back, and are not counted on",
	"no-coupon":       "reckoned from moduli and board data: a bonded coupon of the mill's own stone, board and glue says more",
	"equation-used":   "ESTIMATE: the movement is that of solid wood by the Wood Handbook's equation, ± 50 %%",
	"usual-shares":    "creep and hysteresis are the usual ranges, from memory: 0 to 50 %% and 10 to 20 %%",
	"usual-moduli":    "a modulus is the usual range, not this stone's or this board's own",
	"room-swings":     "the air of the room swung by %.1f %% in a week: half of that stands in the limits to either side",
	"weights-scatter": "the weights lie %.1f times wider about their curve than the scale allows: the air changed, or a reading is wrong",
	"loose-board":     "the sample board speaks for boards that lay as loose as it did; boards in a stack need weeks",
	"glue-water":      "the glue brings up to %.2f %% of water into the boards, which leaves again after pressing",
	"strips-estimate": "strips and pads are reckoned by plate elements, and what their ends give away by shear lag, with the shear modulus of the board as given",
}

// causes in words.
var causes = map[CauseName]string{OfState: "how wet the boards are", OfDestination: "the destination's humidity", OfMovement: "the board's movement", OfStiffness: "moduli and thicknesses",
	OfHysteresis: "the board's hysteresis", OfCreep: "the creep of board and glue"}

// String says the cause in words.
func (n CauseName) String() string { return causes[n] }

// String says the remark as one sentence without a stop.
func (r Remark) String() string {
	var values []any
	for _, w := range r.Words {
		if c, ok := causes[CauseName(w)]; ok {
			w = c
		}
		values = append(values, w)
	}
	for _, v := range r.Values {
		values = append(values, v)
	}
	return fmt.Sprintf(sentences[r.Key], values...)
}

// Side says which way the playing face goes: crowned, dished, or flat.
func Side(bow float64) string {
	switch {
	case bow > 0:
		return "crowned"
	case bow < 0:
		return "dished"
	}
	return "flat"
}

// Say is the sentence of the certificate about the customer's room.
func (b Band) Say(limit float64) string {
	return fmt.Sprintf("Keep the room between %.0f and %.0f %% relative humidity, all year and from the day of delivery. In drier air the lining shrinks and the playing face crowns, "+
		"in wetter air it dishes; within this band the lining bows a piece by no more than %.2f mm.", b.Low, b.High, limit)
}

// String writes the coupon as a line of a batch's file.
func (c Coupon) String() string {
	return fmt.Sprintf("# coupon: %.5f mm, %.5f to %.5f, over %s", c.PerHumidity.Value, c.PerHumidity.Low, c.PerHumidity.High, measure.FormatLength(c.Length, measure.MM))
}
