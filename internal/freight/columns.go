package freight

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	"slatewright/internal/freight/sheet"
)

// columnSet is the columns of a list, in the order in which the fields of its rows first came up.
type columnSet struct {
	names []string
	place map[string]int
}

func newColumns() *columnSet { return &columnSet{place: map[string]int{}} }

// learn takes up the fields of one row.
func (c *columnSet) learn(object []byte) error {
	return flat(object, func(name, _ string) {
		if _, known := c.place[name]; !known {
			c.place[name] = len(c.names)
			c.names = append(c.names, name)
		}
	})
}

func (c *columnSet) titles() []string {
	titles := make([]string, len(c.names))
	for i, name := range c.names {
		titles[i] = sheet.Guard(name)
	}
	return titles
}

// cells lays out one row. A field that came up after the columns were learned is not among them, and nor is its cell: the thing
// was changed while it was exported, and the journal has it.
func (c *columnSet) cells(object []byte) ([]string, error) {
	cells := make([]string, len(c.names))
	err := flat(object, func(name, text string) {
		if i, known := c.place[name]; known {
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
		return sheet.Guard(text), err
	case 'n':
		return "", nil
	}
	return string(value), nil
}
