package sheet

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
)

// Layout is the columns of a list that is written from JSON objects, in the order in which their fields first came up.
type Layout struct {
	names []string
	place map[string]int
}

// NewLayout returns a layout without columns.
func NewLayout() *Layout { return &Layout{place: map[string]int{}} }

// Learn takes up the fields of one row.
func (l *Layout) Learn(object []byte) error {
	return flat(object, func(name, _ string) {
		if _, known := l.place[name]; !known {
			l.place[name] = len(l.names)
			l.names = append(l.names, name)
		}
	})
}

// Titles names the columns.
func (l *Layout) Titles() []string {
	titles := make([]string, len(l.names))
	for i, name := range l.names {
		titles[i] = Guard(name)
	}
	return titles
}

// Cells lays out one row. A field that was not learned has no column, and is left out.
func (l *Layout) Cells(object []byte) ([]string, error) {
	cells := make([]string, len(l.names))
	err := flat(object, func(name, text string) {
		if i, known := l.place[name]; known {
			cells[i] = text
		}
	})
	return cells, err
}

// flat gives every value in a JSON object with its name: fields of objects inside are joined by points, lists are left as JSON.
// Text comes guarded, so that no spreadsheet takes it for a formula; a number is none, whatever its sign.
func flat(object []byte, each func(name, text string)) error {
	dec := json.NewDecoder(bytes.NewReader(object))
	if err := flatObject(dec, "", 0, each); err != nil {
		return fmt.Errorf("a state or body that is no JSON object: %w", err)
	}
	return nil
}

// maxDepth is how deep objects may stand in one another; those of the book stand three deep.
const maxDepth = 20

func flatObject(dec *json.Decoder, before string, depth int, each func(name, text string)) error {
	if t, err := dec.Token(); err != nil || t != json.Delim('{') || depth > maxDepth {
		return errors.Join(err, errors.New("an object is missing"))
	}
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return err
		}
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return err
		}
		name := before + key.(string) // a key of an object is text
		if value[0] == '{' {
			if err := flatObject(json.NewDecoder(bytes.NewReader(value)), name+".", depth+1, each); err != nil {
				return err
			}
			continue
		}
		text, err := cellText(value)
		if err != nil {
			return err
		}
		each(name, text)
	}
	_, err := dec.Token()
	return err
}

// cellText is one value as it stands in a cell.
func cellText(value json.RawMessage) (string, error) {
	switch value[0] {
	case '"':
		var text string
		err := json.Unmarshal(value, &text)
		return Guard(text), err
	case 'n':
		return "", nil
	}
	return string(value), nil
}
