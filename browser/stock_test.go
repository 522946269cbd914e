package browser_test

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
)

// Things of the invented mill that the tests do something with: two whole pieces in no set, surfaced and measured, which stand where they
// can be read again; and its sets.
var (
	piece, other string
	sets         []string
)

// thing is a thing of the mill as the command line tells it.
type thing struct {
	Thing   string `json:"thing"`
	Station string `json:"station"`
	State   struct {
		Set      string            `json:"set"`
		LengthMM float64           `json:"length_mm"`
		WidthMM  float64           `json:"width_mm"`
		Readings []json.RawMessage `json:"readings"`
		Faced    int64             `json:"faced_ms"`
	} `json:"state"`
}

// choose picks them out of the mill's book.
func choose() error {
	pieces, err := find("piece")
	if err != nil {
		return err
	}
	var loose []string
	for _, p := range pieces {
		if s := p.State; p.Station == "surfacing" && s.Set == "" && s.LengthMM == 1473 && s.WidthMM == 914 && s.Faced > 0 && len(s.Readings) > 1 {
			loose = append(loose, strings.TrimPrefix(p.Thing, "piece:"))
		}
	}
	matched, err := find("set")
	if err != nil {
		return err
	}
	for _, s := range matched {
		sets = append(sets, strings.TrimPrefix(s.Thing, "set:"))
	}
	if len(loose) < 2 || len(sets) == 0 {
		return fmt.Errorf("the invented mill has %d loose pieces that were measured, and %d sets", len(loose), len(sets))
	}
	piece, other = loose[0], loose[1]
	return nil
}

// find are all things of a kind.
func find(kind string) ([]thing, error) {
	out, err := exec.Command(program, "book", "find", "--kind", kind, "--limit", "100000", "--book", filepath.Join(demo, "mill"), "--json").Output()
	var found struct{ Things []thing }
	if err == nil {
		err = json.Unmarshal(out, &found)
	}
	if err != nil {
		return nil, fmt.Errorf("the things of kind %s: %w: %.300s", kind, err, out)
	}
	return found.Things, nil
}
