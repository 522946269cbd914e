package halfyear

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestClosed(t *testing.T) {
	for day, want := range map[string]bool{
		"2026-11-25": false, "2026-11-28": true, "2026-11-29": true, "2026-12-23": false, "2026-12-24": true, "2026-12-31": true, "2027-01-01": true,
		"2026-05-01": true, "2027-11-01": true, "2026-11-02": false,
		"2026-07-31": false, "2026-08-03": true, "2026-08-14": true, "2026-08-17": false, // the first Monday is the 3rd
		"2027-08-02": true, "2027-08-13": true, "2027-08-16": false, // the 2nd
		"2028-08-01": false, "2028-08-07": true, "2028-08-18": true, "2028-08-21": false, // the 7th: the fortnight ends on the 20th
	} {
		at, err := time.Parse(time.DateOnly, day)
		if err != nil {
			t.Fatal(err)
		}
		if closed(at) != want {
			t.Errorf("%s %v: closed is %v", at.Weekday(), day, !want)
		}
	}
}

// What a person does lies within a shift, not before it may begin, and never over anything else that the person does.
func TestHoursAreTakenOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var d diary
		start := time.Date(2026, time.July, 20, 0, 0, 0, 0, time.UTC)
		for range rapid.IntRange(1, 60).Draw(t, "acts") {
			from := start.Add(time.Duration(rapid.IntRange(0, 40*24*60).Draw(t, "from")) * time.Minute)
			length := time.Duration(rapid.IntRange(1, 200).Draw(t, "minutes")) * time.Minute
			done := d.take(from, length)
			if done.Add(-length).Before(from) {
				t.Fatalf("begun at %v, not before %v was asked", done.Add(-length), from)
			}
			if closed(done) || !withinShift(done) || !withinShift(done.Add(-length+time.Millisecond)) {
				t.Fatalf("done at %v, %v long: outside the hours", done, length)
			}
		}
		for i, s := range d.taken {
			if i > 0 && s.from.Before(d.taken[i-1].to) {
				t.Fatalf("%v lies over %v", s, d.taken[i-1])
			}
		}
	})
}
