package machinefile_test

import (
	"errors"
	"os"
	"strings"
	"testing"

	"slatewright/bed/program/machine"
	"slatewright/bed/program/machinefile"
	"slatewright/trouble"
)

func whole(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("../../../docs/examples/program/machine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestTheHandbooksMachineIsRead(t *testing.T) {
	m, err := machinefile.Read("machine.yaml", strings.NewReader(whole(t)))
	if err != nil {
		t.Fatal(err)
	}
	if !m.Invented || m.Control.Canned || m.Control.Places != 3 || m.Rapid != (machine.Axes{XY: 20000, Z: 8000}) || m.Accelerate.Z != 400 || m.Z != (machine.Span{Low: -300, High: 200}) ||
		m.Break.Share != 0.4 || !m.Break.Pause || m.Ramp != 0.1 || m.WorkZ != -150 || m.Flow != 12 || len(m.Tools) != 12 {
		t.Errorf("%+v", m)
	}
	want := machine.Tool{Number: 5, Name: "sink 90", Kind: machine.Sink, Diameter: 30, Angle: 90, Tip: 2, Reach: 14, Speed: 2500, Plunge: 40}
	if m.Tools[4] != want || m.Tool(5) != &m.Tools[4] || m.Tool(99) != nil {
		t.Errorf("%+v", m.Tools[4])
	}
	if r := want.At(3); r < 3.9999 || r > 4.0001 { // 1 + 3 tan 45°
		t.Errorf("3 above its tip the sink is %g", r)
	}
}

// Each line that cannot be is refused with its line.
func TestRefusedWithItsLine(t *testing.T) {
	text := whole(t)
	for _, c := range []struct{ from, to, what string }{
		{"name: bridge at Quern Hollow", "nom: bridge", "no key"},
		{"name: bridge at Quern Hollow", "name: brücke", "may not take"},
		{"invented: yes", "invented: perhaps", "neither yes nor no"},
		{"holes: plain ", "holes: round ", "neither plain nor canned"},
		{"G21, G40", "G20, G21, G40", "G20 is not followed"},
		{"[G0, G1,", "[G0, 1,", "no G or M word"},
		{"[G0, G1,", "[G0,", "G1 is missing"},
		{"decimals: 3", "decimals: 0", "not between 2 and 6"},
		{"numbers: 10", "numbers: -1", "not a whole number"},
		{"change: T{tool} M6", "change: M6", "do not say which"},
		{"water_on: M8", "water_on: M7", "does not know \"M7\""},
		{"G17 G21 G40", "G17 G40", "millimetres and absolute"},
		{"G17 G21 G40", "G17 G21 G41", "does not know \"G41\""},
		{"footer: [\"M30\", ", "footer: [", "does not end"},
		{"length: G43", "length: G44", "does not know \"G44\""},
		{"travel: {x: 0 to 2200 mm", "travel: {x: 2200 to 0 mm", "ends before it begins"},
		{"travel: {x: 0 to 2200 mm", "travel: {x: 2200 mm", "no range"},
		{"word: G54", "word: G59", "does not know \"G59\""},
		{"xy: middle", "xy: left", "no zero"},
		{"z: stone", "z: table", "no zero"},
		{"clear: 60 mm", "clear: 2 mm", "not above the one"},
		{"near: 3 mm", "near: 3", "no unit"},
		{"ramp: 10 %", "ramp: 10 mm", "unit known here"},
		{"over: 40 %", "over: 80 %", "above 0.5"},
		{"rapid: {xy: 20 m/min", "rapid: {xy: 0 m/min", "not above zero"},
		{"xy: 600 mm/s2, ", "", "one axis is missing"},
		{"  way: board\n", "  way: luck\n", "no way"},
		{"into: 4 mm", "into: 40 mm", "into the table"},
		{"last: 4 mm ", "last: 0 mm ", "not above zero"},
		{"kind: drill, diameter: 6 mm", "kind: saw, diameter: 6 mm", "no kind of tool"},
		{"{number: 6,", "{number: 1,", "have the number 1"},
		{"wall: 2 mm, reach: 60 mm, speed: 4500", "reach: 60 mm, speed: 4500", "missing"},
		{"tip: 2 mm", "tip: 40 mm", "as wide as the tool"},
		{"feed: 300 mm/min, ", "", "missing"},
		{"water: 12 l/min", "water: 12 l/min\nwater: 13 l/min", "given twice"},
	} {
		wrong := strings.Replace(text, c.from, c.to, 1)
		if wrong == text {
			t.Errorf("%q is not in the file", c.from)
			continue
		}
		_, err := machinefile.Parse("m.yaml", []byte(wrong))
		if at := new(trouble.Trouble); !errors.As(err, &at) || at.Code != "bad-machine" || !strings.Contains(at.What, c.what) || at.Next == "" || !strings.HasPrefix(at.Where, "m.yaml:") {
			t.Errorf("%q: %v", c.to, err)
		}
	}
	for _, empty := range []string{"", "# nothing", "- a list", "a: 1\n---\nb: 2\n", "a: [", strings.Repeat("#", 1<<20+1)} {
		if _, err := machinefile.Parse("m.yaml", []byte(empty)); err == nil {
			t.Errorf("%.20q is read", empty)
		}
	}
}

// No file makes the reader fall over.
func FuzzMachine(f *testing.F) {
	f.Add([]byte(whole(f)))
	f.Add([]byte("tools: [{number: 1}]"))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, err := machinefile.Parse("m.yaml", text)
		if at := new(trouble.Trouble); err != nil && !errors.As(err, &at) {
			t.Fatalf("%v is no trouble", err)
		}
	})
}
