package browser_test

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// A code reader opens what it reads from any page, also where a field has the focus; the code does not stay in the field.
func TestACodeIsReadOnAnyPage(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("lead")
	for _, path := range []string{"/", "/station/saw", "/find", "/piece/" + other, "/me", "/bench", "/do/lift", "/conflicts", "/instruments", "/unsent"} {
		b.opens(path)
		b.waits(`document.documentElement.hasAttribute("data-scripted")`)
		b.leaves(func() { b.scans(piece) })
		b.waits(`location.pathname === "/piece/` + piece + `"`)
	}
	for _, at := range []struct{ path, field string }{{"/find", "#q"}, {"/do/lift", `[name="note"]`}} {
		b.opens(at.path)
		b.waits(`document.documentElement.hasAttribute("data-scripted")`)
		b.types("main "+at.field, "old")
		ask[bool](b, `addEventListener("pagehide", () => { sessionStorage.left = document.querySelector(`+quoted("main "+at.field)+`).value }) ?? true`)
		b.leaves(func() { b.scans(piece) })
		b.waits(`location.pathname === "/piece/` + piece + `"`)
		if left := ask[string](b, `sessionStorage.left`); left != "old" {
			t.Errorf("in the field %s of %s stayed %q", at.field, at.path, left)
		}
	}
	b.opens("/find") // a hand that types is no reader
	b.do(chromedp.Focus(chromedp.CSS("main #q")))
	b.leaves(func() { b.strikes(piece+kb.Enter, handApart) })
	b.waits(`location.pathname === "/find" && location.search.includes("q=` + piece + `")`)
	b.opens("/")
	b.leaves(func() { b.scans("NOWHERE-77") })
	b.waits(`location.search.includes("NOWHERE-77") && document.querySelector("main .empty")`)
}

// A tap on the button of a decision that cannot be taken back decides nothing, nor does a finger that slips off, nor holding it with
// another code; holding it does, by finger and by key.
func TestAGhostTapDecidesNothing(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("lead")
	before := len(m.book(""))
	const button = "[data-held-button]"
	rejects := func(piece string) {
		b.opens("/do/reject?thing=piece:" + piece)
		b.fills("cause", "chip")
	}
	rejects(piece)
	x, y := b.place(button)
	b.do(chromedp.MouseClickXY(x, y)) // without the code
	b.waits(`document.activeElement.matches("[data-held-code]")`)
	b.scans(other)
	b.waits(`document.querySelector("[data-held-code]").value === "` + other + `" && document.querySelector("` + button + `").getAttribute("aria-disabled") === "true"`)
	b.do(chromedp.MouseClickXY(x, y))
	b.do(chromedp.Focus(chromedp.CSS("[data-held-code]")))
	b.scans(piece)
	b.waits(`document.querySelector("` + button + `").getAttribute("aria-disabled") === "false"`)
	asked := ask[string](b, `document.querySelector("`+button+` + p").textContent`)
	short := `!document.querySelector("` + button + `").hasAttribute("data-holding") && document.querySelector("` + button + ` + p").textContent !== ` + quoted(asked)
	x, y = b.place(button)
	for _, touch := range []func(){
		func() { b.do(chromedp.MouseClickXY(x, y)) },
		func() { b.do(chromedp.TapXY(x, y)) },
		func() { b.keys(kb.Enter) },
		func() {
			b.mouse(chromedp.MousePressed, x, y)
			b.waits(`document.querySelector("` + button + `").hasAttribute("data-holding")`)
			b.mouse(chromedp.MouseMoved, x, y+400) // it slips off
			b.waits(short)
			b.mouse(chromedp.MouseReleased, x, y+400)
		},
	} {
		ask[bool](b, `(document.querySelector("`+button+` + p").textContent = `+quoted(asked)+`) !== ""`)
		touch()
		b.waits(short)
	}
	if got := len(m.book("")); got != before || !ask[bool](b, `location.pathname === "/do/reject"`) {
		t.Fatalf("a tap decided: %d entries, %d before", got, before)
	}

	b.leaves(func() {
		b.mouse(chromedp.MousePressed, x, y)
		b.waits(`!window.stillHere`)
		b.mouse(chromedp.MouseReleased, x, y)
	})
	rejects(other)
	b.do(chromedp.Focus(chromedp.CSS("[data-held-code]")))
	b.scans(other)
	b.do(chromedp.Focus(chromedp.CSS(button)))
	b.leaves(func() {
		b.key(input.DispatchKeyEventTypeKeyDown)
		b.waits(`!window.stillHere`)
		b.key(input.DispatchKeyEventTypeKeyUp)
	})
	if came := m.book("")[before:]; len(came) != 2 || came[0].Act != "reject" || came[1].Act != "reject" {
		t.Fatalf("in the book came %v", came)
	}
}

// key presses or lets go of the space bar.
func (b *tablet) key(what input.DispatchKeyEventType) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: what, Key: " ", Code: "Space", WindowsVirtualKeyCode: 32})
		return err
	}))
}
