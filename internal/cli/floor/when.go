package floor

import (
	"fmt"
	"time"

	"slatewright/trouble"
)

// ahead is how far a clock may be before this machine's.
const ahead = 5 * time.Minute

// forms are how a time may be written. What names no zone is in the mill's.
var forms = []string{"2006-01-02T15:04:05Z07:00", "2006-01-02 15:04:05Z07:00", "2006-01-02T15:04Z07:00", "2006-01-02 15:04Z07:00",
	"2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02 15:04"}

// doneAt reads when an act was done; without words it is now. A day alone is its noon, and today, whose noon may be to come, is now.
func doneAt(words string, now time.Time) (at time.Time, note string, err error) {
	if words == "" {
		return now.UTC(), "", nil
	}
	at, note, err = written(words, now)
	if err == nil && at.After(now.Add(ahead)) {
		err = trouble.Data("clock-ahead", "slatewright record", "the time "+shown(at, now)+" lies in the future", "give the time when it was done, and look at this machine's clock")
	}
	return at.UTC(), note, err
}

func written(words string, now time.Time) (at time.Time, note string, err error) {
	zone := now.Location()
	if day, err := time.ParseInLocation(time.DateOnly, words, zone); err == nil {
		if words == now.Format(time.DateOnly) {
			return now, "a day alone was given, and it is today: taken as now, " + shown(now, now), nil
		}
		noon := time.Date(day.Year(), day.Month(), day.Day(), 12, 0, 0, 0, zone)
		return noon, "a day alone was given: taken as its noon, " + shown(noon, now), nil
	}
	for _, form := range forms {
		if at, err := time.ParseInLocation(form, words, zone); err == nil {
			return at, "", nil
		}
	}
	return at, "", trouble.Usage("bad-time", "slatewright record", fmt.Sprintf("--at %q is no time", words),
		"write 2026-11-24 for noon of a day, '2026-11-24 14:30' by the mill's clock, or 2026-11-24T14:30:00Z")
}

// shown is a time by the mill's clock.
func shown(at, now time.Time) string { return at.In(now.Location()).Format("2006-01-02 15:04 -07:00") }

// sameDay tells whether two times are of one day by the mill's clock.
func sameDay(a, b time.Time, zone *time.Location) bool {
	return a.In(zone).Format(time.DateOnly) == b.In(zone).Format(time.DateOnly)
}
