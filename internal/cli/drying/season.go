// Package drying has the verb about the seasoning room: what is still to come in a piece or a layer, whether it may leave, and how the room's air was.
//
// It parses, asks package seasoning, and shows; it reckons nothing and reads no book.
package drying

import (
	"math"
	"slices"
	"strings"
	"time"

	"slatewright/gauge/sheet"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/seasoning"
	air "slatewright/seasoning/room"
	"slatewright/trouble"
)

// Season asks whether pieces may leave the room.
type Season struct {
	File      string       `arg:"" help:"Weights or shapes: day, value of one piece, or piece, day, weight and shape of a layer; or a room's log: time, temperature, humidity. CSV; - is standard input."`
	Share     string       `default:"0.02" help:"How much may still be to come: 0.02mm or 5g; 2% of the whole change. A bare number is in the list's unit for a shape, and a share of the whole change for a weight."`
	MinDays   float64      `name:"min-days" default:"30" help:"Days that a piece stays at least."`
	Day       *float64     `help:"Day on which it is asked, counted from entering; without it that of the last reading."`
	Reason    string       `help:"The lead's reason for letting pieces go before their time."`
	Thickness *verb.Length `placeholder:"LENGTH" help:"Scale the time constant to another thickness; the list says its own by '# thickness: 25.4 mm'."`
}

// About is the help of the verb.
func (Season) About() verb.About {
	return verb.About{
		Text: `Fits how a piece's weight or shape runs to its end, and tells how much movement is still to come, with a limit that holds in 95 of 100
			cases. Where the readings do not bound how long it goes on, it cannot tell, and says so.

			A piece may leave when the limit is below its share, the mill's days have passed, and no sentinel of its layer still moves more than
			0.01 mm a week; or with the lead's reason. One wrong reading is found and left out; an instrument that was moved is said by
			'# moved: DAY'. An old dry piece that stays in the room ('# reference: NAME') takes the room's own ups and downs out.

			In a list of a layer, pieces with few readings borrow from the others. A list with the columns temperature and humidity is
			a room's log: hours out of band, dew on stone that comes in cold, and sensors that disagree.

			Exit status 1: a piece must stay, or the room was out of band. Exit status 2: it cannot be told.`,
		Examples: []verb.Example{
			{"slatewright season piece.csv --share 0.02mm", "what is still to come in one piece, and when it is ready"},
			{"slatewright season layer.csv --share 2% --json", "every piece of a layer, for programs"},
			{"slatewright season room.csv", "how the room's air was"},
		},
	}
}

// Run reads the list and answers.
func (v Season) Run(s *verb.Session) (verb.Report, error) {
	list, err := verb.Read(s, v.File, sheet.Read)
	if err != nil {
		return nil, err
	}
	if _, ok := list.Has("humidity"); ok {
		log, err := air.Read(list)
		if err != nil {
			return nil, err
		}
		return newRoom(list.Name, log), nil
	}
	if !(v.MinDays >= 0 && v.MinDays < 1e5) || v.Day != nil && !(math.Abs(*v.Day) < 1e5) {
		return nil, trouble.Usage("bad-days", "slatewright season", "the days are out of reach", "give a number of days, such as --min-days 30")
	}
	read, err := seasoning.Read(list)
	if err != nil {
		return nil, err
	}
	return v.answer(list.Name, read)
}

// rule reads --share for values of one unit.
func (v Season) rule(values seasoning.Values) (seasoning.Rule, error) {
	r := seasoning.Rule{MinDays: v.MinDays, Day: math.NaN(), Reason: strings.TrimSpace(v.Reason), Relative: values.Kind == seasoning.Weight}
	if v.Day != nil {
		r.Day = *v.Day
	}
	bad := trouble.Usage("bad-share", "slatewright season", "--share "+v.Share+" is no share of a "+string(values.Kind), "write 0.02mm for a shape, 5g for a weight, or 2%")
	digits := strings.TrimRight(v.Share, "%abcdefghijklmnopqrstuvwxyzµμ ")
	x, err := measure.ParseNumber(digits)
	if err != nil || !(x > 0) {
		return r, bad
	}
	r.Share = x
	switch unit := strings.TrimSpace(v.Share[len(digits):]); unit {
	case "":
		if r.Relative && x >= 1 {
			return r, bad
		}
	case "%":
		if r.Share, r.Relative = x/100, true; x >= 100 {
			return r, bad
		}
	default:
		in, ok := seasoning.Convert(x, unit, values.Unit)
		if !ok {
			return r, bad
		}
		r.Share, r.Relative = in, false
	}
	return r, nil
}

// answer fits what the list holds.
func (v Season) answer(name string, list *seasoning.List) (verb.Report, error) {
	r := &report{File: name, Layer: list.Layer, Warnings: slices.Clone(list.Warnings), one: len(list.Values) == 1 && len(list.Values[0].Series) == 1}
	if err := v.watch(r, list); err != nil {
		return nil, err
	}
	values := list.Values[0]
	rule, err := v.rule(values)
	if err != nil {
		return nil, err
	}
	fits, group, err := seasoning.Together(values.Series, values.Kind == seasoning.Weight)
	if err != nil {
		return nil, at(name, err)
	}
	r.Unit, r.kind = values.Unit, values.Kind
	for i, f := range fits {
		d := rule.Decide(f, group.Amplitude, r.watched)
		r.Pieces = append(r.Pieces, newPiece(d, values, list, i))
		r.states = append(r.states, d.State)
	}
	if !r.one {
		r.group(group, rule)
	}
	if values.Kind == seasoning.Weight && len(r.watched) == 0 {
		r.Warnings = append(r.Warnings, "no sentinel's shape stands in this list: it goes by weight alone")
	}
	if v.Thickness != nil {
		if err := r.scale(list.Thickness, v.Thickness.MM, group); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// watch fits the sentinels of a list that has weights too.
func (v Season) watch(r *report, list *seasoning.List) error {
	var shapes seasoning.Values
	if len(list.Values) > 1 {
		shapes = list.Values[1]
	}
	fits, _, err := seasoning.Together(shapes.Series, false)
	if err != nil {
		return at(r.File, err)
	}
	day := math.NaN()
	if v.Day != nil {
		day = *v.Day
	}
	for _, f := range fits {
		s := seasoning.Watch(f, day, shapes.MostPerWeek())
		r.watched = append(r.watched, s)
		r.Sentinels = append(r.Sentinels, newSentinel(s, shapes.Unit))
	}
	for _, name := range list.Sentinels {
		if !slices.ContainsFunc(fits, func(f *seasoning.Fit) bool { return f.Name == name }) && len(list.Values) > 1 {
			r.watched = append(r.watched, seasoning.Sentinel{Fit: &seasoning.Fit{Name: name}, State: seasoning.Unsure, Rate: math.NaN(), Limit: math.NaN()})
			r.Warnings = append(r.Warnings, "sentinel "+name+" has no reading of its shape in this list")
		}
	}
	return nil
}

// at says in which file trouble was.
func at(file string, err error) error {
	if t, ok := err.(*trouble.Trouble); ok {
		where := file
		if t.Where != "" {
			where += ", piece " + t.Where
		}
		return trouble.Data(t.Code, where, t.What, t.Next)
	}
	return err
}

// date is the day of the calendar, where the list has dates.
func date(list *seasoning.List, name string, day float64) *string {
	from, ok := list.Entered[name]
	if !ok {
		from, ok = list.Entered[""]
	}
	if !list.Dated || !ok || math.IsNaN(day) {
		return nil
	}
	text := from.AddDate(0, 0, int(math.Ceil(day))).Format(time.DateOnly)
	return &text
}
