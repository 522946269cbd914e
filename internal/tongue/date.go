package tongue

import (
	"strconv"
	"time"
)

// Day writes the day of a moment, in the zone that the moment has: 25 November 2026, 25 de novembro de 2026, 2026年11月25日.
func (w Words) Day(t time.Time) string {
	return w.Say("date.day", "d", strconv.Itoa(t.Day()), "month", w.Month(t.Month()), "y", strconv.Itoa(t.Year()))
}

// Moment writes the day and the time of the day to the minute, 24 hours, in the zone that the moment has.
func (w Words) Moment(t time.Time) string {
	return w.Say("date.moment", "day", w.Day(t), "time", t.Format("15:04"))
}

// Month writes the name of a month.
func (w Words) Month(m time.Month) string { return w.Say("month." + strconv.Itoa(int(m))) }

// Since writes how long something takes or has taken, in the one unit that says it best, rounded down: 3 days, 5 hours, 12 minutes.
// A negative span is written as nothing yet: clocks differ.
func (w Words) Since(d time.Duration) string {
	switch {
	case d >= 2*day:
		return w.Say("time.days", "n", int(d/day))
	case d >= 2*time.Hour:
		return w.Say("time.hours", "n", int(d/time.Hour))
	case d >= time.Minute:
		return w.Say("time.minutes", "n", int(d/time.Minute))
	}
	return w.Say("time.now")
}

// day is what a mill counts as one.
const day = 24 * time.Hour
