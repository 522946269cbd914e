package api

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"

	"slatewright/internal/web/problem"
)

// envelope is what stands around an act when it is handed in.
type envelope struct {
	ID, Station, Person, Act, Passphrase string // the passphrase is never kept, never logged
	At                                   *time.Time
	Body                                 json.RawMessage
}

// openEnvelope reads an envelope by the exact names of its fields: a name in other letters is another field, and there is none. It was
// held to its schema already, which takes them for the same.
func openEnvelope(text []byte, at string) (e envelope, err error) {
	var fields map[string]json.RawMessage
	if err := read(text, &fields); err != nil {
		return e, notValid(strings.TrimSuffix(at, "."), err.Error())
	}
	into := map[string]any{"id": &e.ID, "at": &e.At, "station": &e.Station, "person": &e.Person, "act": &e.Act, "body": &e.Body, "passphrase": &e.Passphrase}
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		place, known := into[name]
		if !known {
			return e, notValid(at+name, "there is no such field")
		}
		if err := read(fields[name], place); err != nil && name == "at" {
			return e, notValid(at+name, problem.ATime)
		} else if err != nil {
			return e, notValid(at+name, err.Error())
		}
	}
	return e, nil
}
