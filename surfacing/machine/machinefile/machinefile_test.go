package machinefile_test

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"slatewright/surfacing/machine"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/trouble"
)

const example = "../../../docs/examples/surfacing/machine.yaml"

func whole(t testing.TB) string {
	text, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*math.Max(1, math.Abs(want)) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func TestExampleIsReadInTheUnitsOfTheProgram(t *testing.T) {
	m, err := machinefile.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	if !m.Invented || m.Name != "bridge one" || len(m.Stages) != 3 || m.Line() || !m.Priced() || !m.Table.Rezero {
		t.Errorf("%+v", m)
	}
	h, s := m.Heads[0], m.Stages[0]
	near(t, "stiffness", h.Stiffness.Value, 30000)
	near(t, "its doubt", h.Stiffness.U, 6000)
	near(t, "tilt", h.TiltAlong.Value, 25e-6)
	near(t, "feed", s.FeedMin, 10)
	near(t, "rim", s.RimMax, 35000)
	near(t, "area", s.Disc.Area(), 4800)
	near(t, "step", s.Step, 0.05)
	near(t, "vacuum", m.Hold.Pressure, 0.05)
	near(t, "turn", m.Times.Turn, 4)
	near(t, "price", *s.Disc.Price, 2.4)
	if h.Stiffness.Seen != 3 || s.G != (machine.Known{Value: 1000, U: 300, Seen: 6}) {
		t.Errorf("%+v %+v", h.Stiffness, s.G)
	}
}

func TestRefusals(t *testing.T) {
	text := whole(t)
	line := func(part string) string {
		at := strings.Index(text, part)
		if at < 0 {
			t.Fatalf("the example has no %q", part)
		}
		return "m.yaml:" + itoa(1+strings.Count(text[:at], "\n"))
	}
	for _, c := range []struct{ old, new, what string }{
		{"    power: 15 kW", "    pwr: 15 kW", `no key "pwr"`},
		{"    power: 15 kW", "    power: 15", "has no unit"},
		{"    power: 15 kW", "    power: 15 stone", "known here"},
		{"    power: 15 kW", "    power: 0 kW", "not above zero"},
		{"    power: 15 kW", "    power:", "no value"},
		{"    power: 15 kW", "    power: !!int 15 kW", "a value with a tag"},
		{"    power: 15 kW", "    power: [15 kW]", "one value is wanted"},
		{"    power: 15 kW", "    name: again", "given twice"},
		{"    stiffness: 30 ± 6 N/µm, 3 seen", "    stiffness: 30 ± 60 N/µm", "as large as the value"},
		{"    stiffness: 30 ± 6 N/µm, 3 seen", "    stiffness: 30 ± 6 N/µm, few seen", "number of observations"},
		{"    depth: 0.1 to 0.5 mm", "    depth: 0.5 to 0.1 mm", "no range"},
		{"    speed: 1300 rpm", "    speed: 130 rpm", "rim"},
		{"    grit: 80/100", "    head: other", `no head is called "other"`},
		{"  rezero: yes", "  rezero: maybe", "neither yes nor no"},
		{"  hour: 68", "  hour: dear", "hour"},
		{"invented: yes", "stones: 3", `no key "stones"`},
	} {
		_, err := machinefile.Read("m.yaml", strings.NewReader(strings.Replace(text, c.old, c.new, 1)))
		at := new(trouble.Trouble)
		if !errors.As(err, &at) || at.Code != "bad-machine" || at.Next == "" || !strings.Contains(at.What, c.what) || at.Where != line(c.old) {
			t.Errorf("%q: %v, want %s", c.new, err, line(c.old))
		}
	}
	for text, what := range map[string]string{"": "empty", "a: [": "not YAML", "name: x\n---\nname: y\n": "more follows", "- a": "does not hold keys", "name: x": "no head",
		"heads: 3": "not a list", "name: " + strings.Repeat("x", 1<<20): "longer"} {
		_, err := machinefile.Read("m.yaml", strings.NewReader(text))
		at := new(trouble.Trouble)
		if !errors.As(err, &at) || !strings.Contains(at.What, what) || !strings.HasPrefix(at.Where, "m.yaml") {
			t.Errorf("%.40q: %v", text, err)
		}
	}
	if _, err := machinefile.ReadFile("nowhere.yaml"); err == nil {
		t.Error("a file that is not there")
	}
}

func itoa(n int) string {
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + string(rune('0'+n%10))
}

func TestWhatIsLearntIsPutInAndNothingElse(t *testing.T) {
	text := whole(t)
	got, err := machinefile.Put("m.yaml", []byte(text), machinefile.Learnt{Path: "stages[2].g_ratio", Value: machine.Known{Value: 1312.4, U: 118.3, Seen: 9}},
		machinefile.Learnt{Path: "heads[1].stiffness", Value: machine.Known{Value: 27460, U: 2210, Seen: 4}},
		machinefile.Learnt{Path: "heads[1].tilt_across", Value: machine.Known{Value: -12.34e-6, U: 1.5e-6}})
	if err != nil {
		t.Fatal(err)
	}
	want := strings.NewReplacer("1500 ± 450, 4 seen", "1312 ± 118, 9 seen", "30 ± 6 N/µm, 3 seen", "27.5 ± 2.2 N/µm, 4 seen", "10 ± 8 µm/m", "-12.3 ± 1.5 µm/m").Replace(text)
	if string(got) != want {
		t.Errorf("got\n%s", got)
	}
	flow := strings.Replace(text, "hold:\n  pressure: 50 kPa             # vacuum\n  free: 0.02 ± 0.01 mm ", "hold: {pressure: 50 kPa, free: 0.02 ± 0.01 mm} #", 1)
	if flow == text {
		t.Fatal("the example has changed")
	}
	got, err = machinefile.Put("m.yaml", []byte(flow), machinefile.Learnt{Path: "hold.free", Value: machine.Known{Value: 0.03, U: 0.004, Seen: 2}})
	if err != nil || !strings.Contains(string(got), `free: "0.03 ± 0.004 mm, 2 seen"}`) {
		t.Errorf("%v\n%s", err, got)
	}
	for _, path := range []string{"stages[4].g_ratio", "name", "stages[1].bits", ""} {
		if _, err := machinefile.Put("m.yaml", []byte(text), machinefile.Learnt{Path: path}); err == nil {
			t.Errorf("%q took a value", path)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(whole(f)))
	f.Add([]byte("a: &a [*a]\n"))
	f.Add([]byte("heads: [{name: x, power: 1 kW, stiffness: \"30 ± 8 N/um, 3 seen\"}]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := machinefile.Read("fuzz", bytes.NewReader(text))
		if at := new(trouble.Trouble); err != nil && (!errors.As(err, &at) || !strings.HasPrefix(at.Where, "fuzz") || at.What == "" || at.Next == "") {
			t.Fatalf("%#v", err)
		}
		if err == nil && m.Check() != nil {
			t.Fatal("a machine was let through that does not hold together")
		}
		for _, path := range []string{"heads[1].stiffness", "stages[1].g_ratio"} { // no panic, and what is written is read
			_, _ = machinefile.Put("fuzz", text, machinefile.Learnt{Path: path, Value: machine.Known{Value: 25000, U: 1000, Seen: 2}})
		}
	})
}
