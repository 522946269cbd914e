package cli_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/internal/cli"
	"slatewright/internal/truth"
)

// Through the command line the minimum zone of each NIST plane set must come out within one part in 10⁷ of the exact one, and
// the contact points must be points of the set. (Sets and their source: truth.NISTPlanes.)
func TestNISTPlanesThroughTheCommandLine(t *testing.T) {
	sets := truth.NISTPlanes()
	if len(sets) == 0 {
		t.Fatal("no sets")
	}
	for _, set := range sets {
		var text, out, errs bytes.Buffer
		if err := (&face.Face{X: set.X, Y: set.Y, Z: set.Z}).WriteCSV(&text); err != nil {
			t.Fatal(err)
		}
		if code := cli.Run([]string{"flatness", "-", "--json"}, &text, &out, &errs); code != 0 {
			t.Errorf("%s: exit status %d: %s", set.Name, code, strings.TrimSpace(errs.String()))
			continue
		}
		var got struct {
			Points   int
			Zone     float64 `json:"zone_mm"`
			Low      float64 `json:"zone_low_mm"`
			High     float64 `json:"zone_high_mm"`
			Kind     string
			Contacts [][3]float64
		}
		if err := json.Unmarshal(out.Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		if got.Points != len(set.X) || math.Abs(got.Zone-set.Zone) > 1e-7*set.Zone || got.Kind != set.Contact || got.Low > got.Zone || got.High < got.Zone {
			t.Errorf("%s: got %+v, want zone %g of %s", set.Name, got, set.Zone, set.Contact)
		}
		if len(got.Contacts) != 4 {
			t.Errorf("%s: %d contacts", set.Name, len(got.Contacts))
		}
		for _, c := range got.Contacts {
			if !contains(set, c) {
				t.Errorf("%s: the contact %v is no point of the set", set.Name, c)
			}
		}
	}
}

func contains(set truth.PlaneSet, c [3]float64) bool {
	for i := range set.X {
		if set.X[i] == c[0] && set.Y[i] == c[1] && set.Z[i] == c[2] {
			return true
		}
	}
	return false
}
