package shell

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"slatewright/internal/tongue"
	"slatewright/internal/web/signin"
)

// reader is how somebody wants to read: which language, which units, by day or by night. It is kept on the tablet, for each
// person who uses it: a shared tablet speaks to each in their own way.
type reader struct {
	language tongue.Language
	units    tongue.Units
	light    string
}

const (
	readerCookie = "slatewright_reader"
	readerKept   = 365 * 24 * time.Hour
	mostReaders  = 12 // people whose choices a tablet remembers; the one who chose longest ago is forgotten first
)

// readReader finds the choices of whoever sends the request. The name stands before the sign-in is checked only to choose words.
func (v *Visit) readReader() {
	wish := choices(v.R)[v.personOf()]
	v.reader = reader{tongue.Choose(wish.language, v.R.Header.Get("Accept-Language")), tongue.Units(wish.units), wish.light}
	if v.reader.units != tongue.Inch {
		v.reader.units = tongue.Metric
	}
	v.Words = tongue.In(v.reader.language, v.reader.units)
}

// personOf is whose choices hold: the person signed in, or whoever stands before the tablet.
func (v *Visit) personOf() string {
	if s, err := signin.Who(v.R, v.Gate, v.Ledger); err == nil {
		v.Sender = s
		return s.Person
	}
	return ""
}

// choice is one person's line in the cookie: person.language.units.light, joined by +.
type choice struct{ language, units, light string }

func choices(q *http.Request) map[string]choice {
	all := map[string]choice{}
	for person, c := range orderedChoices(q) {
		all[person] = c
	}
	return all
}

// orderedChoices yields what the cookie says, the latest choice last.
func orderedChoices(q *http.Request) func(func(string, choice) bool) {
	return func(yield func(string, choice) bool) {
		c, err := q.Cookie(readerCookie)
		if err != nil {
			return
		}
		for line := range strings.SplitSeq(c.Value, "+") {
			if parts := strings.Split(line, "~"); len(parts) == 4 && !yield(parts[0], choice{parts[1], parts[2], parts[3]}) {
				return
			}
		}
	}
}

// chooseReader keeps what the form at the foot of each page says.
func chooseReader(v *Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	mine := choice{form.Get("language"), form.Get("units"), form.Get("light")}
	if !slices.Contains(tongue.Languages(), tongue.Language(mine.language)) {
		mine.language = ""
	}
	if mine.units != string(tongue.Inch) {
		mine.units = string(tongue.Metric)
	}
	if mine.light != "light" && mine.light != "dark" {
		mine.light = ""
	}
	var lines []string
	for person, c := range orderedChoices(v.R) {
		if person != v.Sender.Person {
			lines = append(lines, strings.Join([]string{person, c.language, c.units, c.light}, "~"))
		}
	}
	lines = append(lines, strings.Join([]string{v.Sender.Person, mine.language, mine.units, mine.light}, "~"))
	lines = lines[max(0, len(lines)-mostReaders):]
	http.SetCookie(v.W, &http.Cookie{Name: readerCookie, Value: strings.Join(lines, "+"), Path: "/", MaxAge: int(readerKept.Seconds()), HttpOnly: true,
		Secure: signin.Secure(v.R), SameSite: http.SameSiteLaxMode})
	return v.Redirect(Within(form.Get("back")))
}
