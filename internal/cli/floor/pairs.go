package floor

import (
	"encoding/json"
	"fmt"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/book/blank"
	"slatewright/trouble"
)

// bodyOf makes the JSON of an act from FIELD=VALUE pairs.
func bodyOf(a book.Act, pairs []string) (json.RawMessage, error) {
	var filled []blank.Pair
	for _, pair := range pairs {
		name, value, ok := strings.Cut(pair, "=")
		if !ok || name == "" {
			return nil, trouble.Usage("bad-field", "slatewright record", fmt.Sprintf("%q is not FIELD=VALUE", pair),
				"write fields such as piece=QH-0101, or name one file that holds the act as JSON")
		}
		filled = append(filled, blank.Pair{Name: name, Value: value})
	}
	return blank.Body(a, filled)
}
