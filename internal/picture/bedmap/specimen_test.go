package bedmap

import (
	"encoding/json"
	"os"
	"strings"
)

const banner = "invented data, not a real certificate"

// specimenMap reads the map of an invented set.
func specimenMap() Map {
	text, err := os.ReadFile("../../paper/testdata/bed.json")
	if err != nil {
		panic(err)
	}
	var m Map
	if err := json.Unmarshal(text, &m); err != nil {
		panic(err)
	}
	return m
}

// lacks lists which of the wanted words a text does not have, whatever its line breaks.
func lacks(text string, want ...string) (missing []string) {
	squash := func(s string) string { return strings.Join(strings.Fields(s), "") }
	for _, w := range want {
		if !strings.Contains(squash(text), squash(w)) {
			missing = append(missing, w)
		}
	}
	return missing
}
