package browser_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// onPhoto is where a place of the slab, mm, is on the photo of the test, pixels: a camera that looks level away over the near edge.
func onPhoto(x, y float64) (u, v float64) {
	return 800 + 900*(x-1000)/(y+1500), 100 + 900*1000/(y+1500)
}

// taps taps places of the slab on the photo.
func (b *tablet) taps(places ...[2]float64) {
	b.t.Helper()
	for _, p := range places {
		u, v := onPhoto(p[0], p[1])
		ask[bool](b, fmt.Sprintf(`(() => { const o = document.querySelector(".mark-over"), r = o.getBoundingClientRect(), s = r.width / 1600;
			return o.dispatchEvent(new MouseEvent("click", {bubbles: true, clientX: r.left + %g * s, clientY: r.top + %g * s})) })()`, u, v))
	}
}

// takes takes the tool of marking out that has a name.
func (b *tablet) takes(tool string) {
	b.t.Helper()
	if !ask[bool](b, fmt.Sprintf(`(() => { const t = [...document.querySelectorAll(".mark-tools button")].find(e => e.textContent === %q); t?.click(); return !!t })()`, tool)) {
		b.t.Fatalf("there is no tool %q", tool)
	}
}

// A slab is drawn over a photo, by taps and by keys; the list says where, the answer comes without the photo going anywhere, and every step can be taken back.
func TestASlabIsDrawnOverAPhoto(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("saw-1")
	before := len(m.book(""))
	b.opens("/cutting/marking-out")
	b.waits(`document.querySelector("#mark-photo")`)
	if !ask[bool](b, `(() => { const i = document.querySelector("#mark-photo"); return i.form === null && i.name === "" })()`) {
		t.Error("the photo would be sent")
	}
	ask[bool](b, `(() => { const c = document.createElement("canvas"); c.width = 1600; c.height = 1200; c.getContext("2d").fillRect(200, 400, 1200, 300);
		c.toBlob(p => { const i = document.querySelector("#mark-photo"), d = new DataTransfer(); d.items.add(new File([p], "slab.png", {type: "image/png"})); i.files = d.files; i.dispatchEvent(new Event("change")) }); return true })()`)
	b.waits(`document.querySelector(".mark-under:not([hidden])")?.width > 100`)

	known := [][2]float64{{0, 0}, {2000, 0}, {2000, 1400}, {0, 1400}, {700, 600}}
	for i, p := range known {
		for k, axis := range []string{"x", "y"} {
			ask[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector('[aria-label="%c %s, mm"]'); f.value = "%g"; return f.dispatchEvent(new Event("input", {bubbles: true})) })()`, 'A'+i, axis, p[k]))
		}
	}
	b.taps(known...)
	b.waits(`/E|0\.0 mm|fifth/.test(document.querySelector(".mark-trust").textContent)`)

	outline := [][2]float64{{0, 0}, {2000, 20}, {1990, 1390}, {10, 1400}}
	b.takes("Outline")
	b.taps(outline...)
	b.taps(outline[0]) // closes it
	b.takes("Crack")
	b.taps([2]float64{900, 1390}, [2]float64{930, 1100})
	b.takes("Finish this shape")
	// A tap falls on a whole pixel of the screen, which is a few mm here.
	drawn := ask[[][]float64](b, `document.querySelector("[name=slab]").value.trim().split("\n").slice(1).map(l => l.split(",").slice(2, 4).map(Number))`)
	want := append(append([][2]float64{}, outline...), [2]float64{900, 1390}, [2]float64{930, 1100})
	if len(drawn) != len(want) {
		t.Fatalf("the list has %d points, not %d: %v", len(drawn), len(want), drawn)
	}
	for i, p := range want {
		if off := math.Hypot(drawn[i][0]-p[0], drawn[i][1]-p[1]); !(off < 25) {
			t.Errorf("point %d is drawn at %v, %g mm from %v", i, drawn[i], off, p)
		}
	}

	b.takes("Vein")
	ask[bool](b, `(() => { document.querySelector(".mark-over").focus(); return true })()`)
	for range 3 {
		b.keys(kb.ArrowRight)
	}
	b.keys(kb.Enter)
	b.keys(kb.Escape)
	b.waits(`/vein,Vein 1,/.test(document.querySelector("[name=slab]").value)`)
	b.takes("Undo")
	b.takes("Undo")
	b.waits(`!/vein/.test(document.querySelector("[name=slab]").value)`)

	b.fills("kerf", "5 mm")
	b.fills("time", "5")
	b.clicks("form.lists .doing button.do")
	b.waits(`document.querySelector("#answer[data-tone] .told.answer") && !document.querySelector("[aria-busy]")`)
	b.waits(`document.querySelector(".mark-under:not([hidden])")?.width > 100 && document.querySelector("[name=work]")`)
	worst := ask[float64](b, `Math.max(...document.querySelector("[name=photo]").value.trim().split("\n").slice(1).map(l => { const [, u, v, x, y] = l.split(",").map(Number); return Math.hypot(800 + 900 * (x - 1000) / (y + 1500) - u, 100 + 900000 / (y + 1500) - v) }))`)
	if math.IsNaN(worst) || worst > 4 {
		t.Errorf("the known points are off by %g pixels", worst)
	}
	if n := len(m.book("")); n != before {
		t.Errorf("%d entries came into the book", n-before)
	}
	if wrong := b.complaints(); len(wrong) > 0 {
		t.Errorf("the console says %q", wrong)
	}
}
