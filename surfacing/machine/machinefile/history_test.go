package machinefile_test

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"slatewright/surfacing/machine"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/trouble"
)

var jobs = []machine.Observation{
	{Of: machine.GRatio, In: "rough", First: machine.Known{Value: 1000, U: 300, Seen: 6}},
	{Of: machine.GRatio, In: "rough", Date: "2026-11-20", Job: `QH-0412 "top", {first} # one`, Seen: machine.Known{Value: 0.001, U: 0.00012}},
	{Of: machine.Stiffness, In: "spindle", Date: "2026-11-20", Job: "QH-0412 top", Seen: machine.Known{Value: -3e-6, U: 9e-6}},
	{Of: machine.Energy, In: "fine", Date: "2026-11-21", Job: "QH-0413 top", Seen: machine.Known{Value: 14.2, U: 0.7}, Aside: "far from what was believed"},
}

// What is added is read again, behind what stood there, and nothing else changes.
func TestHistoryIsAddedAndReadAgain(t *testing.T) {
	text := whole(t)
	once, err := machinefile.Add("m.yaml", []byte(text), jobs[:2]...)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(once), text) {
		t.Error("what stood there has changed")
	}
	with := append(once, "# a last remark\n"...)
	twice, err := machinefile.Add("m.yaml", with, jobs[2:]...)
	if err != nil {
		t.Fatal(err)
	}
	m, err := machinefile.Read("m.yaml", bytes.NewReader(twice))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(m.History, jobs) {
		t.Errorf("got %+v", m.History)
	}
	if !strings.HasSuffix(string(twice), "believed\"}\n# a last remark\n") {
		t.Errorf("%s", twice[len(once)-200:])
	}
	if same, err := machinefile.Add("m.yaml", []byte(text)); err != nil || string(same) != text {
		t.Errorf("nothing was added: %v", err)
	}
	bare, err := machinefile.Add("m.yaml", []byte(strings.TrimRight(text, "\n")), jobs[0])
	if err != nil || !strings.Contains(string(bare), "hour\nhistory:") {
		t.Errorf("a file without its last line end: %v\n%s", err, bare[len(bare)-300:])
	}
}

func TestHistoryThatCannotBe(t *testing.T) {
	for _, c := range []struct{ line, what string }{
		{"- {seen: 1 ± 0.1 mm3/cm3, of: g_ratio, in: rough}", "before it is said of what"},
		{"- {of: luck, in: rough, seen: 1 ± 0.1}", "before it is said of what"},
		{"- {of: luck, in: rough}", "is not learnt"},
		{"- {of: g_ratio, in: smooth, seen: 1 ± 0.1 mm3/cm3}", "no \"smooth\""},
		{"- {of: stiffness, in: rough, seen: 1 ± 0.1 um/kN}", "no \"rough\""},
		{"- {of: g_ratio, in: rough}", "neither"},
		{"- {of: g_ratio, in: rough, seen: 1 mm3/cm3}", "no uncertainty"},
		{"- {of: g_ratio, in: rough, seen: 1 ± 0.1 um/kN}", "known here"},
		{"- {of: g_ratio, in: rough, first: 300 ± 400}", "as large as the value"},
		{"- {of: g_ratio, in: rough, when: now}", "no key"},
	} {
		_, err := machinefile.Read("m.yaml", strings.NewReader(whole(t)+"history:\n  "+c.line+"\n"))
		if at := new(trouble.Trouble); !errors.As(err, &at) || !strings.Contains(at.What, c.what) || at.Next == "" || !strings.HasPrefix(at.Where, "m.yaml:") {
			t.Errorf("%s: %v", c.line, err)
		}
	}
	if _, err := machinefile.Add("m.yaml", []byte(whole(t)+"history: [{of: g_ratio, in: rough, seen: 1 ± 0.1 mm3/cm3}]\n"), jobs[1]); err == nil {
		t.Error("a history between brackets was added to")
	}
	if _, err := machinefile.Add("m.yaml", []byte(whole(t)), machine.Observation{Of: "luck"}); err == nil {
		t.Error("luck was learnt")
	}
}
