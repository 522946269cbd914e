package opened

import (
	"errors"
	"testing"

	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

func TestWhichBookIsMeant(t *testing.T) {
	set := map[string]string{}
	s := &verb.Session{Setting: func(name string) string { return set[name] }}
	if got := (Place{}).Where(s); got != "mill" {
		t.Errorf("without anything said: %s", got)
	}
	set["BOOK"] = "/srv/mill"
	if got := (Place{}).Where(s); got != "/srv/mill" {
		t.Errorf("by the setting: %s", got)
	}
	if got := (Place{Book: "here"}).Where(s); got != "here" {
		t.Errorf("by the flag: %s", got)
	}
	cases := []struct{ folder, database, want, code string }{
		{"", "", "/srv/mill", ""},
		{"here", "", "here", ""},
		{"", "postgres://mill@db/mill", "postgres://mill@db/mill", ""},
		{"here", "postgres://mill@db/mill", "", "two-books"},
		{"", "mysql://db/mill", "", "bad-address"},
	}
	for _, c := range cases {
		got, err := ServerPlace(s, c.folder, c.database)
		var told *trouble.Trouble
		if errors.As(err, &told); got != c.want || (c.code == "") != (err == nil) || told != nil && told.Code != c.code {
			t.Errorf("%+v: %s, %v", c, got, err)
		}
	}
}

func TestPasswordIsNotShown(t *testing.T) {
	for where, want := range map[string]string{
		"postgres://mill:secret@db/mill": "postgres://mill:xxxxx@db/mill", "postgres://db/mill": "postgres://db/mill", "a:b@c": "a:b@c", "mill": "mill",
	} {
		if got := Shown(where); got != want {
			t.Errorf("%s is shown as %s", where, got)
		}
	}
}
