package book

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Meeting is a thing that touched a stone, and when it first did. As text it is kind:number@milliseconds.
type Meeting struct {
	Ref
	AtMS int64
}

// MarshalText writes kind:number@milliseconds.
func (m Meeting) MarshalText() ([]byte, error) {
	b := make([]byte, 0, 64)
	b = append(append(append(append(b, m.Kind...), ':'), m.ID...), '@')
	return strconv.AppendInt(b, m.AtMS, 10), nil
}

// UnmarshalText reads it.
func (m *Meeting) UnmarshalText(text []byte) (err error) {
	thing, at, _ := strings.Cut(string(text), "@")
	kind, id, ok := strings.Cut(thing, ":")
	m.Ref = Ref{Kind(kind), id}
	if m.AtMS, err = strconv.ParseInt(at, 10, 64); err != nil || !ok {
		return fmt.Errorf("book: %q is no meeting", text)
	}
	return nil
}

// meet adds things to a list of meetings that is sorted by thing.
func meet(met []Meeting, more []Ref, atMS int64) []Meeting {
	for _, r := range more {
		i, found := slices.BinarySearchFunc(met, r, func(m Meeting, r Ref) int { return compareRefs(m.Ref, r) })
		if !found {
			met = slices.Insert(met, i, Meeting{r, atMS})
		}
	}
	return met
}

func compareRefs(a, b Ref) int { return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID)) }
