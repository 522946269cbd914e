package halfyear

import (
	"slices"
	"time"
)

// The hours of the mill: a shift before and one after dinner.
var shifts = [...]struct{ from, to time.Duration }{
	{7 * time.Hour, 12 * time.Hour},
	{12*time.Hour + 45*time.Minute, 16*time.Hour + 15*time.Minute},
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// closed tells whether the mill rests on that day: at weekends, in the fortnight from the first Monday of August, from Christmas Eve
// to New Year's Day, on the first of May and on All Saints.
func closed(day time.Time) bool {
	_, month, d := day.Date()
	switch {
	case day.Weekday() == time.Saturday || day.Weekday() == time.Sunday:
		return true
	case month == time.December && d >= 24, month == time.January && d == 1, month == time.May && d == 1, month == time.November && d == 1:
		return true
	case month == time.August:
		monday := d - (int(day.Weekday())+6)%7 // of this week
		return monday >= 1 && monday <= 14
	}
	return false
}

// firstDay is the first working day of the half year that ends at a moment.
func firstDay(until time.Time) time.Time {
	day := midnight(until).AddDate(0, -6, 0)
	for closed(day) {
		day = day.AddDate(0, 0, 1)
	}
	return day
}

// span is a stretch of time.
type span struct{ from, to time.Time }

// diary is what a person's hours are taken for: stretches in order, none over another.
type diary struct{ taken []span }

// take finds the first free stretch of that length on or after from, within one shift, takes it, and returns its end.
func (d *diary) take(from time.Time, length time.Duration) time.Time {
	for day := midnight(from); ; day = day.AddDate(0, 0, 1) {
		if closed(day) {
			continue
		}
		for _, s := range shifts {
			shift := span{day.Add(s.from), day.Add(s.to)}
			if from.After(shift.from) {
				shift.from = from
			}
			if start, ok := d.free(shift, length); ok {
				return start.Add(length)
			}
		}
	}
}

// free takes the first stretch of that length within a shift.
func (d *diary) free(shift span, length time.Duration) (time.Time, bool) {
	i, _ := slices.BinarySearchFunc(d.taken, shift.from, func(s span, t time.Time) int {
		if s.to.After(t) {
			return 1
		}
		return -1
	})
	start := shift.from
	for ; i < len(d.taken) && d.taken[i].from.Before(start.Add(length)); i++ {
		start = d.taken[i].to
	}
	if start.Add(length).After(shift.to) {
		return time.Time{}, false
	}
	d.taken = slices.Insert(d.taken, i, span{start, start.Add(length)})
	return start, true
}
