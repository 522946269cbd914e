package browser_test

import (
	"context"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// withoutScripts turns scripts off.
func (b *tablet) withoutScripts() {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
}

// Without scripts every page can be read, plain forms hand acts in, and a decision that cannot be taken back wants code and tick.
func TestWithoutScripts(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.withoutScripts()
	b.signIn("lead")
	before := len(m.book(""))
	for _, path := range []string{"/", "/station/surfacing", "/piece/" + piece, "/set/" + sets[0], "/find?q=" + piece, "/bench", "/bench/" + piece, "/conflicts", "/instruments", "/people", "/mill", "/me"} {
		b.opens(path)
		b.waits(`document.querySelector("main h1") && document.querySelector("main").innerText.length > 40`)
		if ask[bool](b, `document.documentElement.hasAttribute("data-scripted")`) {
			t.Fatal("scripts run")
		}
	}
	b.opens("/piece/" + piece)
	b.waits(`[...document.querySelectorAll("main img, main svg")].some(e => e.getBoundingClientRect().height > 100)`)

	b.opens("/do/enter-room?piece=" + piece)
	b.fills("room", "QH-R1")
	b.leaves(func() { b.clicks("main form.act button.do") })
	b.waits(`location.search.includes("did=enter-room") && document.querySelector("main [role=status]")`)
	b.opens("/do/enter-room?piece=" + piece) // it is there already
	b.fills("room", "QH-R1")
	b.leaves(func() { b.clicks("main form.act button.do") })
	b.waits(`document.querySelector("main [role=alert]") && document.querySelector("[name=piece]").value === "` + piece + `"`)

	b.opens("/do/reject?thing=piece:" + other)
	b.fills("cause", "chip")
	b.types("[data-held-code]", other)
	b.clicks("[data-held-button]")
	if len(m.book("")) != before+1 {
		t.Error("without the tick it was decided")
	}
	b.clicks("main [name=held]")
	b.leaves(func() { b.clicks("[data-held-button]") })
	if came := m.book("")[before:]; len(came) != 2 || came[0].Act != "enter-room" || came[1].Act != "reject" {
		t.Fatalf("in the book came %v", came)
	}
	if wrong := b.complaints("status of 4"); len(wrong) > 0 {
		t.Errorf("the console says %q", wrong)
	}
}

// The keyboard alone is enough: signing in, the first question, its act; and at each step one sees where one is.
func TestTheKeyboardAlone(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(1440, 900)
	b.opens("/sign-in")
	b.tabs(`document.activeElement.matches("#person")`)
	b.keys("lead")
	b.tabs(`document.activeElement.matches("#passphrase")`)
	b.keys(passphrase)
	b.tabs(`document.activeElement.matches("form.act button")`)
	b.leaves(func() { b.keys(kb.Enter) })
	b.waits(`location.pathname === "/" && document.body.dataset.person === "lead" && document.querySelector(".slip")`)

	b.tabs(`document.activeElement.matches(".skip")`)
	b.keys(kb.Enter) // over the way of the stone
	b.tabs(`document.activeElement.closest(".slip")`)
	first := `document.querySelector(".slip:has(.doing a) .doing a")`
	act := ask[string](b, first+`.getAttribute("href")`)
	b.tabs(`document.activeElement === ` + first)
	b.leaves(func() { b.keys(kb.Enter) })
	if at := ask[string](b, `location.pathname + location.search`); at != act {
		t.Errorf("the act is at %s, and Enter opened %s", act, at)
	}
	b.tabs(`document.activeElement.matches("main form *")`)
}

// tabs presses Tab until something is true, and wants to see each time where the focus is.
func (b *tablet) tabs(until string) {
	b.t.Helper()
	for range 80 {
		b.keys(kb.Tab)
		where := ask[[]string](b, `(e => { const s = getComputedStyle(e), r = e.getBoundingClientRect();
			const seen = s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2 || s.boxShadow !== "none";
			return [e.outerHTML.slice(0, 160), seen ? "" : "no outline", r.bottom > 0 && r.top < innerHeight ? "" : "out of view"] })(document.activeElement)`)
		if !strings.HasPrefix(where[0], "<body") && where[1]+where[2] != "" {
			b.t.Errorf("on %s the focus is not seen (%s%s): %s", ask[string](b, `location.pathname`), where[1], where[2], where[0])
		}
		if ask[bool](b, `!!(`+until+`)`) {
			return
		}
	}
	b.t.Fatalf("%s cannot be reached by Tab\non the page: %s", until, b.words())
}
