package browser_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// The picture of a pattern file follows the typing, what cannot be read is said beside the last picture, and what was typed stays.
func TestAPatternIsDrawnWhileItIsTyped(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("lead")
	b.opens("/drilling/pattern/example")
	types := func(from, to string) {
		t.Helper()
		if !ask[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector("#l-spec"), was = f.value; f.focus(); f.value = was.replace(%q, %q);
			return f.value !== was && f.dispatchEvent(new Event("input", {bubbles: true})) })()`, from, to)) {
			t.Fatalf("%q does not stand in the pattern file", from)
		}
	}
	types("\n  edge: 30 mm", "\n  edge: 60 mm")
	b.waits(`document.querySelector("#answer .told.bad") && document.querySelector("#answer td")`)
	b.waits(`document.querySelector("#answer .on-wide svg .due") && document.activeElement.id === "l-spec"`)
	types("\n  edge: 60 mm", "\n  edge: 30 mm")
	b.waits(`document.querySelector("#answer .told.answer.good")`)
	ask[bool](b, `(() => { const f = document.querySelector("#l-face"); f.value = "bottom"; return f.dispatchEvent(new Event("input", {bubbles: true})) })()`)
	b.waits(`[...document.querySelectorAll("#answer .on-wide svg text")].some(e => /mirrored/.test(e.textContent))`)
	if wrong := b.complaints(); len(wrong) > 0 {
		t.Errorf("the console says %q", wrong)
	}
	types("\npieces: 3", "\npieces: x")
	b.waits(`document.querySelector("#wrong .told.bad") && document.querySelector("#answer .on-wide svg")`)
	if !ask[bool](b, `document.querySelector("#l-spec").value.includes("pieces: x")`) {
		t.Error("what was typed is lost")
	}
}

// At the drill numbers come one at a time, by a gauge and by touch: each stands in the list at once, the answer follows without leaving the page, and a list that is pasted is taken up.
func TestNumbersComeAtTheDrill(t *testing.T) {
	spec, err := os.ReadFile("../docs/examples/bed/nine-foot.yaml")
	if err != nil {
		t.Fatal(err)
	}
	m := newMill(t)
	b := m.newTablet(360, 780)
	b.signIn("lead")
	b.opens("/drilling/holes")
	puts := func(field, text string) {
		t.Helper()
		ask[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector(%q); f.value = %q; f.dispatchEvent(new Event("input", {bubbles: true})); document.activeElement.blur(); return true })()`, "#l-"+field, text))
	}
	presses := func(label string) {
		t.Helper()
		if !ask[bool](b, fmt.Sprintf(`(() => { const e = [...document.querySelectorAll("[data-drill] button")].find(e => e.textContent === %q); e?.click(); return !!e })()`, label)) {
			t.Fatalf("there is no button %q", label)
		}
	}
	list := func() string { return ask[string](b, `document.querySelector("#l-measured").value`) }
	at := func(feature, step string) {
		t.Helper()
		b.waits(fmt.Sprintf(`document.querySelector("[data-drill] h2").textContent === %q && document.querySelector(".drill-asks").textContent.startsWith(%q)`, feature, step))
	}
	puts("spec", string(spec))
	b.waits(`!document.querySelector("[data-drill]").hidden && document.querySelector(".drill-here")`)
	at("side-rail-1fr", "x")
	if text := list(); text != "" {
		t.Errorf("nothing was measured, and the list says %q", text)
	}
	ask[bool](b, `(window.stayed = true)`)
	b.strikes("195.27"+kb.Enter, readerApart) // quicker than a hand, as a code reader too: it is a number here
	at("side-rail-1fr", "y")
	if text := list(); !strings.Contains(text, "side-rail-1fr,195.27,,\n") {
		t.Errorf("x alone: %.120s", text)
	}
	b.strikes("698,78"+kb.Enter, readerApart)
	at("side-rail-1fr", "Diameter")
	for _, key := range []string{"1", "2", ".", "7", "Take"} {
		presses(key)
	}
	at("side-rail-1hr", "x")
	b.waits(`/Cannot tell/.test(document.querySelector("#answer .told.answer")?.textContent)`)
	presses("Pin does not go")
	at("side-rail-1hr", "Diameter of the gauge")
	b.strikes("11"+kb.Enter, readerApart)
	at("side-rail-1hl", "x")
	presses("Skip")
	at("side-rail-1hl", "Diameter")
	presses("Back")
	presses("Back")
	at("side-rail-1hl", "x")
	presses("Next feature")
	at("side-rail-1fl", "x")
	text := list()
	for _, want := range []string{"# pin: 11 mm\n", "side-rail-1fr,195.27,698.78,12.7", "side-rail-1hr,,,,no-go", "side-rail-1hl,,,"} {
		if !strings.Contains(text, want) {
			t.Errorf("the list lacks %q: %.200s", want, text)
		}
	}
	b.waits(`/side-rail-1hr/.test(document.querySelector("#answer").textContent)`)
	if wrong := b.complaints(); len(wrong) > 0 {
		t.Errorf("the console says %q", wrong)
	}
	puts("measured", "# method: arm\nfeature;x;y\nside-rail-1fr;195,2;698,7\nside-rail-1hr;-194,6;698,5\n")
	at("side-rail-1hl", "x")
	for range 2 { // a list that is wrong leaves the last answer
		presses("Back")
	}
	at("side-rail-1hr", "x")
	puts("limit", "wide")
	b.strikes("-194.7"+kb.Enter+kb.Enter, readerApart)
	b.waits(`/no new answer/.test(document.querySelector(".drill-wrong").textContent) && document.querySelector("#answer .told.answer")`)
	if text := list(); !strings.Contains(text, "side-rail-1hr;-194.7;698,5\n") {
		t.Errorf("the place that was mended: %.200s", text)
	}
	if !ask[bool](b, `window.stayed && document.documentElement.scrollWidth <= 360`) {
		t.Error("the page was left, or is wider than the screen")
	}
}
