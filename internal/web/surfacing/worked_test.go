package surfacing

import (
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"testing"

	"slatewright/surfacing/machine/machinefile"
)

// workedLists are the texts of the worked example by field.
func workedLists(t *testing.T) map[string]string {
	t.Helper()
	lists := map[string]string{}
	for field, name := range workedOff().Examples[0].Files {
		text, err := os.ReadFile("examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		lists[field] = string(text)
	}
	return lists
}

func asPairs(lists map[string]string, more ...string) (pairs []string) {
	for field, text := range lists {
		pairs = append(pairs, field, text)
	}
	return append(pairs, more...)
}

// The page says what the verb says, and gives the machine file that has learnt.
func TestWorkedTeachesTheMachineFile(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	lists := workedLists(t)
	code, text, page := b.Ask(t, onWorked, asPairs(lists)...)
	if code != http.StatusOK {
		t.Fatalf("%d %.300s", code, text)
	}
	for _, edge := range []string{">head<", ">foot<", ">left<", ">right<"} {
		if !strings.Contains(page, edge) {
			t.Errorf("the map of what came off names no edge %s", edge)
		}
	}
	for _, want := range []string{"came off on average", "has learnt", "G ratio of rough", "at least", "Take the new machine file"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	_, _, file := b.Ask(t, onWorked, asPairs(lists, "as", "machine")...)
	m, err := machinefile.Parse("new.yaml", []byte(file))
	if err != nil || len(m.History) != 14 {
		t.Errorf("%v, %d lines of history: %.200s", err, len(m.History), file)
	}
	lists["machine"] = file
	if _, text, _ = b.Ask(t, onWorked, asPairs(lists)...); !strings.Contains(text, "second time") || strings.Contains(text, "Take the new machine file") {
		t.Errorf("the same job teaches again: %.300s", text)
	}
}

// What is far is set aside and said; a reason takes it in. Without calipers nothing but the shape is told.
func TestWorkedSaysWhatItCannotTell(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	lists := workedLists(t)
	lists["job"] = strings.Replace(lists["job"], "# bits after: rough 7.50 7.52 7.53 7.54 7.50 7.55 7.47 7.54 7.49 7.48 7.53 7.48", "# bits after: rough 5.00 5.02 5.03 5.04 5.00 5.05 4.97 5.04 4.99 4.98 5.03 4.98", 1)
	if _, text, _ := b.Ask(t, onWorked, asPairs(lists)...); !strings.Contains(text, "was set aside") {
		t.Errorf("nothing was set aside: %.300s", text)
	}
	if _, text, _ := b.Ask(t, onWorked, asPairs(lists, "accept", "softer bits")...); strings.Contains(text, "was set aside") || !strings.Contains(text, "softer bits") {
		t.Errorf("it was not accepted: %.300s", text)
	}
	lists = workedLists(t)
	lists["job"] += "rough,0.5,1.5,\nrough,0.5,1.5,\n"
	if _, text, _ := b.Ask(t, onWorked, asPairs(lists)...); !strings.Contains(text, "hardly be those between") {
		t.Errorf("foreign passes: %.300s", text)
	}
	lists = workedLists(t)
	delete(lists, "job")
	delete(lists, "machine")
	for _, field := range []string{"before", "after"} {
		var kept []string
		for _, line := range strings.Split(lists[field], "\n") {
			if !strings.HasPrefix(line, "# thickness") {
				kept = append(kept, line)
			}
		}
		lists[field] = strings.Join(kept, "\n")
	}
	code, text, _ := b.Ask(t, onWorked, asPairs(lists)...)
	if code != http.StatusOK || !strings.Contains(text, "only its shape") {
		t.Errorf("%d %.300s", code, text)
	}
	_, _, answer := b.Ask(t, onWorked, asPairs(lists, "as", "json")...)
	var got struct {
		Removal struct {
			Mean *float64 `json:"mean_mm"`
		} `json:"removal"`
	}
	if err := json.Unmarshal([]byte(answer), &got); err != nil || got.Removal.Mean != nil {
		t.Errorf("%v %.200s", err, answer)
	}
}

func TestWorkedRefuses(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for what, change := range map[string]func(map[string]string){
		"no map after":      func(l map[string]string) { delete(l, "after") },
		"no machine":        func(l map[string]string) { delete(l, "machine") },
		"no passes":         func(l map[string]string) { delete(l, "job") },
		"exchanged":         func(l map[string]string) { l["before"], l["after"] = l["after"], l["before"] },
		"no map":            func(l map[string]string) { l["before"] = "stones" },
		"no machine file":   func(l map[string]string) { l["machine"] = "a: [" },
		"no list of passes": func(l map[string]string) { l["job"] = "day,value\n1,2\n" },
		"too many readings": func(l map[string]string) {
			l["after"] = "# size: 914 x 1473 mm\nx,y,z\n" + strings.Repeat("1,1,0\n2,2,0\n", mostWorked/2+1)
		},
	} {
		lists := workedLists(t)
		change(lists)
		if code, text, _ := b.Ask(t, onWorked, asPairs(lists)...); code/100 != 4 {
			t.Errorf("%s: %d %.200s", what, code, text)
		}
	}
}
