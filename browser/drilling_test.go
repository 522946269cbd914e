package browser_test

import (
	"fmt"
	"testing"
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
