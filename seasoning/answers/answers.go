// Package answers is what questions about seasoning are answered with: may the pieces of a list leave their room, and how was the room's air. The
// command line and the pages give the same answer with the same keys.
//
// It fits nothing of its own, package seasoning does. It reads no file, knows no day of today, and prints nothing for people.
package answers

import (
	"math"
	"slices"
	"strings"
	"time"

	"slatewright/measure"
	"slatewright/seasoning"
	"slatewright/trouble"
)

// Question is what is asked of a list beside its readings.
type Question struct {
	Share     string   // how much may still be to come, as it was typed: 0.02mm, 5g, 2%, or a bare number
	MinDays   float64  // that a piece stays at least
	Day       *float64 // on which it is asked, counted from entering; nil: the day of the last reading
	Reason    string   // the lead's, for letting pieces go before their time
	Thickness *float64 // mm, to which the time constant is scaled; nil: not asked
}

// UsualShare is what is asked where nobody says another.
const UsualShare = "0.02"

// ReadShare reads how much may still be to come: an amount in the unit of the values, or, relative, a part of the whole change. A bare number is an
// amount for a shape and a part for a weight.
func ReadShare(typed string, values seasoning.Values) (share float64, relative, ok bool) {
	typed = strings.TrimSpace(typed)
	digits := strings.TrimRight(typed, "%abcdefghijklmnopqrstuvwxyzµμ ")
	x, err := measure.ParseNumber(digits)
	if err != nil || !(x > 0) {
		return 0, false, false
	}
	switch unit := strings.TrimSpace(typed[len(digits):]); unit {
	case "":
		relative = values.Kind == seasoning.Weight
		return x, relative, !relative || x < 1
	case "%":
		return x / 100, true, x < 100
	default:
		share, ok = seasoning.Convert(x, unit, values.Unit)
		return share, false, ok
	}
}

// DaysInReach tells whether a question's days are numbers that can be meant.
func (q Question) DaysInReach() bool {
	return q.MinDays >= 0 && q.MinDays < 1e5 && (q.Day == nil || math.Abs(*q.Day) < 1e5)
}

// rule is what the mill asks of values of one unit.
func (q Question) rule(values seasoning.Values) (seasoning.Rule, error) {
	r := seasoning.Rule{MinDays: q.MinDays, Day: math.NaN(), Reason: strings.TrimSpace(q.Reason)}
	if q.Day != nil {
		r.Day = *q.Day
	}
	var ok bool
	if r.Share, r.Relative, ok = ReadShare(q.Share, values); !ok {
		return r, trouble.Usage("bad-share", "slatewright season", "--share "+q.Share+" is no share of a "+string(values.Kind), "write 0.02mm for a shape, 5g for a weight, or 2%")
	}
	if !q.DaysInReach() {
		return r, trouble.Usage("bad-days", "slatewright season", "the days are out of reach", "give a number of days, such as --min-days 30")
	}
	return r, nil
}

// Of fits what a list holds and answers. Errors are *trouble.Trouble: bad-share, bad-days and no-thickness of the question, and what the fit cannot take.
func Of(name string, list *seasoning.List, q Question) (*Leaving, error) {
	values := list.Values[0]
	rule, err := q.rule(values)
	if err != nil {
		return nil, err
	}
	r := &Leaving{File: name, Layer: list.Layer, Warnings: slices.Clone(list.Warnings), One: len(list.Values) == 1 && len(values.Series) == 1, Unit: values.Unit, Values: values, Rule: rule}
	if err := r.watch(list); err != nil {
		return nil, err
	}
	fits, group, err := seasoning.Together(values.Series, values.Kind == seasoning.Weight)
	if err != nil {
		return nil, at(name, err)
	}
	for i, f := range fits {
		d := rule.Decide(f, group.Amplitude, r.watched)
		r.Verdicts = append(r.Verdicts, d)
		r.Pieces = append(r.Pieces, pieceOf(d, values, list, i))
	}
	if !r.One {
		r.group(group)
	}
	if values.Kind == seasoning.Weight && len(r.watched) == 0 {
		r.Warnings = append(r.Warnings, "no sentinel's shape stands in this list: it goes by weight alone")
	}
	if q.Thickness != nil {
		if err := r.scale(list.Thickness, *q.Thickness, group); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// watch fits the sentinels of a list that has weights too.
func (r *Leaving) watch(list *seasoning.List) error {
	var shapes seasoning.Values
	if len(list.Values) > 1 {
		shapes = list.Values[1]
	}
	fits, _, err := seasoning.Together(shapes.Series, false)
	if err != nil {
		return at(r.File, err)
	}
	for _, f := range fits {
		s := seasoning.Watch(f, r.Rule.Day, shapes.MostPerWeek())
		r.watched = append(r.watched, s)
		r.Sentinels = append(r.Sentinels, sentinelOf(s, shapes.Unit))
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
