package browser_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// page opens one more page of the same tablet.
func (b *tablet) another(path string) *tablet {
	b.t.Helper()
	ctx, quit := chromedp.NewContext(b.ctx)
	b.t.Cleanup(quit)
	if err := chromedp.Do(ctx); err != nil { // with this context, for the page lasts as long as it
		b.t.Fatal(err)
	}
	p := &tablet{t: b.t, ctx: ctx, mill: b.mill}
	p.do(chromedp.EmulateViewport(800, 1280))
	p.opens(path)
	return p
}

// lifts fills in and hands in the quarry's form, which stays open.
func (b *tablet) lifts(block string) {
	b.t.Helper()
	b.fillsAll([]string{"block", block, "layer", "QH-L1", "stone.length_mm", "3000", "stone.width_mm", "1600", "stone.thickness_mm", "400"})
	b.clicks("main form.act button.do")
	b.waits(`document.querySelector("[data-queue-answer]").dataset.tone === "kept" && document.querySelector("[name=block]").value === ""`)
}

// unsent waits until a tablet shows that so many acts are not yet sent.
func (b *tablet) unsent(count int) {
	b.t.Helper()
	if count == 0 {
		b.waits(`document.querySelector("[data-queue-count]").hidden`)
		return
	}
	b.waits(`(e => !e.hidden && e.textContent.includes("` + strconv.Itoa(count) + `"))(document.querySelector("[data-queue-count]"))`)
}

// A tablet whose wire is cut in the middle of readings and of a quarry form: what is done is kept, shown as not yet sent, and sent in
// order, each exactly once, when the wire is mended; also when the mill had it and only the answer was lost.
func TestATabletWithoutNetwork(t *testing.T) {
	m := newMill(t)
	w := newWire(t, m)
	far := *m
	far.at = w.at
	before := len(m.book(""))
	bench := far.newTablet(800, 1280)
	bench.signIn("inspector-1")
	numbers := readings(bench.sitsDown(piece), 3)
	quarry := bench.another("/do/lift")
	list := bench.another("/unsent")
	bench.gauge(numbers[:25])
	quarry.fills("block", "B-801")

	w.set(cut)
	quarry.waits(`document.documentElement.hasAttribute("data-stale")`)
	quarry.lifts("B-801")
	quarry.unsent(1)
	bench.gauge(numbers[25:])
	bench.ends()
	bench.unsent(2)
	quarry.lifts("B-802")
	quarry.unsent(3)
	list.waits(`document.querySelectorAll("[data-queue-list] li").length === 3`)
	if len(m.book("")) != before {
		t.Error("the wire is not cut")
	}

	w.set(deaf)
	quarry.fills("block", "B-803") // a form that is being filled in stays as it is
	came := func() []entry { return m.book("")[before:] }
	for began := time.Now(); len(came()) < 3; list.do(chromedp.Sleep(100 * time.Millisecond)) {
		if time.Since(began) > patience {
			t.Fatalf("in the book came %v", came())
		}
	}
	quarry.unsent(3) // it does not know yet
	w.set(cut)
	w.set(whole)
	bench.waits(`location.pathname === "/piece/` + piece + `"`) // whichever page sent it
	quarry.unsent(0)
	list.waits(`document.querySelectorAll("[data-queue-list] li").length === 0`)

	var acts, blocks []string
	for _, e := range came() {
		acts = append(acts, e.Act)
		if at := strings.Index(string(e.Body), `"B-80`); at >= 0 {
			blocks = append(blocks, string(e.Body)[at+1:at+6])
		}
	}
	if !slices.Equal(acts, []string{"lift", "read", "lift"}) || !slices.Equal(blocks, []string{"B-801", "B-802"}) {
		t.Fatalf("in the book came %v with %v", acts, blocks)
	}
	m.holdsNumbers(came()[1], numbers)
	if got := ask[string](quarry, `document.querySelector("[name=block]").value`); got != "B-803" {
		t.Errorf("in the form that is being filled in stands %q", got)
	}
}
