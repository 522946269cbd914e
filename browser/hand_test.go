package browser_test

import (
	"context"
	"fmt"
	"math"
	"net/url"
	"strings"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// fills puts a value into a field of a form as a person would: keys into what is typed, a choice into what is chosen, a tap on the rest.
func (b *tablet) fills(name, value string) {
	b.t.Helper()
	field := fmt.Sprintf(`[name=%q]`, name)
	switch kind := ask[string](b, `(e => e === null ? "missing" : e.type)(document.querySelector(`+quoted("main "+field)+`))`); kind {
	case "radio":
		b.clicks(fmt.Sprintf(`main label:has(%s[value=%q])`, field, value))
	case "checkbox":
		b.clicks("main " + field)
	case "select-one", "date", "datetime-local":
		ask[bool](b, `(e => { e.value = `+quoted(value)+`; e.dispatchEvent(new Event("input", {bubbles: true})); e.dispatchEvent(new Event("change", {bubbles: true})); return true })(document.querySelector(`+quoted("main "+field)+`))`)
		if got := ask[string](b, `document.querySelector(`+quoted("main "+field)+`).value`); got != value {
			b.t.Fatalf("%s cannot be chosen for %s\non the page: %s", value, name, b.words())
		}
	case "missing", "hidden":
		b.t.Fatalf("the field %s is %s\non the page: %s", name, kind, b.words())
	default:
		b.types("main "+field, value)
	}
}

// leaves does something that makes the browser go to another page, and waits until that is there.
func (b *tablet) leaves(act func()) {
	b.t.Helper()
	ask[bool](b, `window.stillHere = true`)
	act()
	b.waits(`!window.stillHere`)
}

// does hands in an act by its plain form, and waits until the page says that it is in the book. Pairs are fields and values. A
// weighty one is confirmed: the code is scanned, the button held.
func (b *tablet) does(act string, pairs ...string) {
	b.t.Helper()
	b.opens("/do/" + act)
	b.fillsAll(pairs)
	if ask[bool](b, `document.querySelector("main form.act").hasAttribute("data-held")`) {
		b.confirms(ask[string](b, `(f => ["piece", "slab", "block", "set", "shipment"].map(n => f.elements[n]?.value ?? "").find(v => v !== "") ?? f.elements.thing.value.split(":")[1])(document.querySelector("main form.act"))`))
	} else {
		b.clicks("main form.act button.do")
		b.waits(`window.stillHere === undefined && (location.search.includes("did=` + act + `") || ["good", "bad"].includes(document.querySelector("[data-queue-answer]")?.dataset.tone))`)
	}
	if ask[bool](b, `!!document.querySelector("main .told.bad, main [data-tone=bad]")`) {
		b.t.Fatalf("%s %q is refused: %s", act, pairs, b.words())
	}
}

func (b *tablet) fillsAll(pairs []string) {
	b.t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		b.fills(pairs[i], pairs[i+1])
	}
}

// confirms scans a code into the field of a weighty form and holds its button until the form is sent.
func (b *tablet) confirms(code string) {
	b.t.Helper()
	b.brings("[data-held-code]")
	b.do(chromedp.Focus(chromedp.CSS("[data-held-code]")))
	b.scans(code)
	b.waits(`document.querySelector("[data-held-button]").getAttribute("aria-disabled") === "false"`)
	b.leaves(func() {
		x, y := b.place("[data-held-button]")
		b.mouse(chromedp.MousePressed, x, y)
		b.waits(`!window.stillHere`)
		b.mouse(chromedp.MouseReleased, x, y)
	})
}

// A code reader's keys come closer together than a person's; what it reads begins after a pause.
const (
	readerApart = 8 * time.Millisecond
	handApart   = 120 * time.Millisecond
	pause       = 200 * time.Millisecond
)

// strikes presses keys so far apart. When each was pressed is told with it: the pages tell a reader from a hand by that, and a busy
// machine must not change it. A key and its letter are one event, as those of a keyboard are: who takes the key takes the letter.
func (b *tablet) strikes(text string, apart time.Duration) {
	b.t.Helper()
	at := time.Now().Add(pause)
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		for _, r := range text {
			events := kb.Encode(r)
			down, up := *events[0], *events[len(events)-1]
			down.Type, down.Text = input.DispatchKeyEventTypeKeyDown, string(r)
			for _, e := range []input.DispatchKeyEventParams{down, up} {
				e.Timestamp = input.TimeSinceEpoch(float64(at.UnixMicro()) / 1e6)
				if _, err := cdp.Call(ctx, t, input.DispatchKeyEvent, e); err != nil {
					return err
				}
			}
			at = at.Add(apart)
		}
		return nil
	}))
}

// scans is a code reader that types like a keyboard.
func (b *tablet) scans(code string) {
	b.t.Helper()
	b.strikes(code+kb.Enter, readerApart)
}

// place is the middle of what a selector finds, in view.
func (b *tablet) place(what string) (x, y float64) {
	b.t.Helper()
	b.brings(what)
	at := ask[[]float64](b, `(r => [r.x + r.width / 2, r.y + r.height / 2])(document.querySelector(`+quoted(what)+`).getBoundingClientRect())`)
	return at[0], at[1]
}

// mouse presses or lets go of the left button.
func (b *tablet) mouse(what input.DispatchMouseEventType, x, y float64) {
	b.t.Helper()
	b.do(chromedp.MouseEvent(what, x, y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
}

// readings are what a gauge would say at the points of a bench's plan: a face that is flat but for a few µm, another one for each piece and turn.
func readings(points []planned, seed float64) (keys []string) {
	for _, p := range points {
		z := 6*math.Sin(p.X/160+seed) + 6*math.Cos(p.Y/210+2*seed) // µm
		keys = append(keys, fmt.Sprintf("%.1f", z))
	}
	return keys
}

// planned is a point of the bench's plan.
type planned struct {
	X float64 `json:"x_mm"`
	Y float64 `json:"y_mm"`
}

// sitsDown opens the bench for a piece and begins, with what is written down before the first number. It returns the points.
func (b *tablet) sitsDown(piece string) []planned {
	b.t.Helper()
	b.opens("/bench/" + url.PathEscape(piece))
	b.fillsAll([]string{"support", "bench"})
	for _, name := range []string{"instrument", "bench"} {
		ask[bool](b, `(e => { e.value = e.options[`+map[string]string{"instrument": "[...e.options].findIndex(o => o.value.startsWith('DIAL-1') || o.value === 'QH-D2')", "bench": "1"}[name]+`].value; return true })(document.querySelector("form[method=get] [name=`+name+`]"))`)
	}
	b.fills("dry_since", "2026-11-01")
	for i := range 8 {
		b.fills(fmt.Sprintf("t.%d", i), fmt.Sprintf("29.%d", i%3))
	}
	b.leaves(func() { b.clicks("form[method=get] button.do") })
	return b.desk()
}

// desk waits until the desk can be used and returns the points of its plan.
func (b *tablet) desk() []planned {
	b.t.Helper()
	b.waits(`document.querySelector("[data-bench-part=desk]")?.hidden === false`)
	points := ask[[]planned](b, `JSON.parse(document.querySelector("[data-bench-plan]").textContent).points`)
	if len(points) < 40 {
		b.t.Fatalf("%d points", len(points))
	}
	return points
}

// gauge sends numbers as a gauge does that types like a keyboard.
func (b *tablet) gauge(numbers []string) {
	b.t.Helper()
	before := b.read()
	b.strikes(strings.Join(numbers, kb.Enter)+kb.Enter, readerApart)
	if after := b.read(); after != before+len(numbers) {
		b.t.Fatalf("%d of %d numbers were taken: %s", after-before, len(numbers), b.words())
	}
}

// read is how many points have been read, as the picture shows them.
func (b *tablet) read() int {
	b.t.Helper()
	return ask[int](b, `document.querySelectorAll("[data-bench-part=picture] .point.read").length`)
}

// reads measures a piece from the first number to the last, and hands the readings in.
func (b *tablet) reads(piece string, seed float64) {
	b.t.Helper()
	points := b.sitsDown(piece)
	b.gauge(readings(points, seed))
	b.handsIn(piece)
}

// handsIn ends a reading and waits until it is in the book.
func (b *tablet) handsIn(piece string) {
	b.t.Helper()
	b.ends()
	b.waits(`location.pathname === ` + quoted("/piece/"+piece))
}
