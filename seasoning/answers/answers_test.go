package answers_test

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"slatewright/seasoning"
	"slatewright/seasoning/answers"
	"slatewright/seasoning/room"
	"slatewright/sheet"
)

func open(t *testing.T, name string) *sheet.Sheet {
	t.Helper()
	f, err := os.Open("../../docs/examples/season/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := sheet.Read(name, f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// keys are the names of an answer, the contract with other programs.
func keys(t *testing.T, answer any, want string) {
	t.Helper()
	text, err := json.Marshal(answer)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	for _, k := range strings.Fields(want) {
		if _, there := got[k]; !there {
			t.Errorf("no %s in %.300s", k, text)
		}
		delete(got, k)
	}
	for k := range got {
		t.Errorf("%s is in no contract", k)
	}
}

func TestTheKeysOfAnswers(t *testing.T) {
	for _, c := range []struct{ file, share, want string }{
		{"piece.csv", "0.03mm", "file state why model tau_days tau_from tau_to tau_fast_days final final_sd change day remaining remaining_95 unit share ready_day ready_day_expected noise readings left_out_days borrows warnings"},
		{"layer.csv", "5%", "file layer unit pieces sentinels together warnings"},
	} {
		list, err := seasoning.Read(open(t, c.file))
		if err != nil {
			t.Fatal(err)
		}
		got, err := answers.Of(c.file, list, answers.Question{Share: c.share, MinDays: 30})
		if err != nil {
			t.Fatal(err)
		}
		keys(t, got, c.want)
		if want := map[string]seasoning.State{"piece.csv": seasoning.May, "layer.csv": seasoning.Stays}[c.file]; got.State() != want {
			t.Errorf("%s: %s", c.file, got.State())
		}
	}
	log, err := room.Read(open(t, "room.csv"))
	if err != nil {
		t.Fatal(err)
	}
	got := answers.OfRoom("room.csv", log)
	keys(t, got, "file in_band sensors apart dew_point_c highest_dew_point_c stone_c dew_risk warnings")
	if got.Good() {
		t.Error("a room out of its band is good")
	}
}

// A share is an amount or a part of the change; a bare number is what the values are of.
func TestReadShare(t *testing.T) {
	weight, shape := seasoning.Values{Kind: seasoning.Weight, Unit: "kg"}, seasoning.Values{Kind: seasoning.Shape, Unit: "mm"}
	for _, c := range []struct {
		typed    string
		of       seasoning.Values
		share    float64
		relative bool
		ok       bool
	}{
		{"0.02", weight, 0.02, true, true}, {"0.02", shape, 0.02, false, true}, {"2%", shape, 0.02, true, true}, {" 2 % ", weight, 0.02, true, true},
		{"5g", weight, 0.005, false, true}, {"20 um", shape, 0.02, false, true}, {"20µm", shape, 0.02, false, true},
		{"5g", shape, 0, false, false}, {"0.02mm", weight, 0, false, false}, {"1", weight, 0, false, false}, {"100%", shape, 0, false, false}, {"-1mm", shape, 0, false, false},
		{"", shape, 0, false, false}, {"much", shape, 0, false, false}, {"5 stone", weight, 0, false, false},
	} {
		share, relative, ok := answers.ReadShare(c.typed, c.of)
		if ok != c.ok || ok && (relative != c.relative || share < c.share*(1-1e-12) || share > c.share*(1+1e-12)) {
			t.Errorf("%q of a %s: %g %v %v", c.typed, c.of.Kind, share, relative, ok)
		}
	}
}
