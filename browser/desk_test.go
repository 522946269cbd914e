package browser_test

import (
	"os"
	"strings"
	"testing"
)

// A mill whose program is killed in the middle of measuring: nothing is lost that was told as kept, and nothing comes twice.
func TestTheProgramIsKilledWhileSomebodyMeasures(t *testing.T) {
	m := newMill(t)
	before := m.book("read")
	b := m.newTablet(800, 1280)
	b.signIn("inspector-1")
	b.reads(other, 1)

	points := b.sitsDown(piece)
	numbers := readings(points, 2)
	b.gauge(numbers[:20])
	m.stop(os.Kill)
	b.gauge(numbers[20:40]) // nobody at the bench has to wait for the program
	m.start(strings.TrimPrefix(m.at, "http://"))
	b.opens("/bench/" + piece) // a tablet that was switched off in the meantime
	b.sitsDown(piece)
	if got := b.read(); got != 40 {
		t.Errorf("%d of 40 numbers are there after the program and the page were gone", got)
	}
	m.stop(os.Kill)
	b.gauge(numbers[40:])
	b.ends()
	b.waits(`document.querySelector("[data-queue-count]").hidden === false && document.querySelector("[data-bench-part=problem]").textContent !== ""`)
	m.start(strings.TrimPrefix(m.at, "http://"))
	b.waits(`location.pathname === "/piece/` + piece + `" && document.querySelector("[data-queue-count]").hidden`)

	after := m.book("read")[len(before):]
	if len(after) != 2 || len(named(after, `"piece:`+other+`"`)) != 1 || len(named(after, `"piece:`+piece+`"`)) != 1 {
		t.Fatalf("%d readings came in: %v", len(after), after)
	}
	m.holdsNumbers(after[1], numbers)
}

// ends ends a reading, with the temperatures of both faces.
func (b *tablet) ends() {
	b.t.Helper()
	b.types("#top_c", "20.1")
	b.types("#bottom_c", "20.0")
	b.clicks("[data-bench-part=finish]")
}

// holdsNumbers wants the file of a reading to hold what the gauge said, in order.
func (m *mill) holdsNumbers(e entry, numbers []string) {
	m.t.Helper()
	text := m.caller("lead").file(digests(m, []entry{e})[0])
	var got []float64
	for line := range strings.Lines(text[strings.Index(text, "x,y,z"):]) {
		if part := strings.Split(strings.TrimSpace(line), ","); len(part) > 2 && part[0] != "x" {
			got = append(got, 1000*number(m.t, part[2]))
		}
	}
	if len(got) != len(numbers) {
		m.t.Fatalf("the file holds %d of %d numbers", len(got), len(numbers))
	}
	for i, x := range numbers {
		if d := got[i] - number(m.t, x); d > 1e-6 || d < -1e-6 {
			m.t.Errorf("number %d is %g in the file, and the gauge said %s", i+1, got[i], x)
		}
	}
}

// Two inspectors read one piece at the same time: both readings are kept, each once and under its own name, and each sees the other's.
// Of two who send it to the room the second is told that it is there already.
func TestTwoInspectorsHaveOnePiece(t *testing.T) {
	m := newMill(t)
	before := m.book("")
	one, two := m.newTablet(800, 1280), m.newTablet(800, 1280)
	one.signIn("inspector-1")
	two.signIn("inspector-2")
	points := one.sitsDown(piece)
	two.sitsDown(piece)
	first, second := readings(points, 1), readings(points, 2)
	half := len(points) / 2
	one.gauge(first[:half])
	two.gauge(second[:half])
	one.gauge(first[half:])
	two.gauge(second[half:])
	one.handsIn(piece)
	two.handsIn(piece)
	after := m.book("")[len(before):]
	if len(after) != 2 || after[0].Person != "inspector-1" || after[1].Person != "inspector-2" {
		t.Fatalf("the book has %v", after)
	}
	m.holdsNumbers(after[0], first)
	m.holdsNumbers(after[1], second)

	for _, b := range []*tablet{one, two} {
		b.opens("/do/enter-room?piece=" + piece)
		b.fills("room", "QH-R1")
	}
	one.clicks("main form.act button.do")
	one.waits(`document.querySelector("[data-queue-answer]")?.dataset.tone === "good" || location.pathname !== "/do/enter-room"`)
	two.clicks("main form.act button.do")
	two.waits(`document.querySelector("[data-queue-answer]")?.dataset.tone === "bad" && document.querySelector("[data-queue-count]").hidden`)
	told := ask[string](two, `document.querySelector("[data-queue-answer]").textContent`)
	if !strings.Contains(told, piece) || !ask[bool](two, `document.querySelector("[name=piece]").value === "`+piece+`"`) {
		t.Errorf("the second is told %q", told)
	}
	if rooms := named(m.book("enter-room"), piece); len(rooms) != 1 {
		t.Errorf("the piece entered the room %d times", len(rooms))
	}
	two.opens("/conflicts")
	if ask[bool](two, `[...document.querySelectorAll("main section.told")].some(s => s.textContent.includes("`+piece+`"))`) {
		t.Errorf("what was refused at once became a conflict: %s", two.words())
	}
}

// What one tablet does shows on another that is looking, without a touch.
func TestWhatOneDoesTheOtherSees(t *testing.T) {
	m := newMill(t)
	here, there := m.newTablet(800, 1280), m.newTablet(1440, 900)
	here.signIn("surfacing-1")
	there.signIn("lead")
	there.opens("/station/room")
	there.waits(`!document.documentElement.hasAttribute("data-stale") && document.querySelector("#stand") && !document.querySelector("#stand").textContent.includes("` + piece + `")`)
	here.does("enter-room", "piece", piece, "room", "QH-R1")
	there.waits(`document.querySelector("#stand").textContent.includes("` + piece + `")`)
}
