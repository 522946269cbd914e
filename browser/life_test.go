package browser_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A set's life in a new mill, from the layer to the certificate that somebody else verifies.
func TestASetsLife(t *testing.T) {
	m := newPractice(t)
	saw, lead, bench := m.newTablet(800, 1280), m.newTablet(1440, 900), m.newTablet(800, 1280)
	saw.signIn("saw-1")
	lead.signIn("lead")
	bench.signIn("bench-1")
	pieces := []string{"P-1", "P-2", "P-3"}

	saw.does("take-in", "thing", "layer:L-1", "layer.thickness_mm", "420")
	saw.does("lift", "block", "B-1", "layer", "L-1", "stone.length_mm", "3100", "stone.width_mm", "1700", "stone.thickness_mm", "400")
	saw.does("slice", "block", "B-1", "how", "sawn", "slabs.0.id", "S-1", "slabs.0.stone.length_mm", "3000", "slabs.0.stone.width_mm", "1600", "slabs.0.stone.thickness_mm", "31")
	var cut []string
	for i, p := range pieces {
		at := fmt.Sprintf("pieces.%d.", i)
		cut = append(cut, at+"id", p, at+"stone.length_mm", "1473", at+"stone.width_mm", "914", at+"stone.thickness_mm", "31", at+"stone.marked_on", "edge")
	}
	saw.does("cut", append([]string{"slab", "S-1"}, cut...)...)
	lead.asks("/surfacing/cleanup/example", "/surfacing/passes/example", "/surfacing/disc/example", "/surfacing/wear/example")
	for _, p := range pieces {
		saw.does("surface", "piece", p, "machine", "wheel 1", "face", "top", "stage", "fine", "depth_mm", "2")
	}
	lead.asks("/surfacing/worked/example", "/surfacing/toolmarks/example")
	for i, p := range pieces {
		bench.reads(p, float64(i))
	}
	pieces = bench.matches()
	bench.fills("set", "SET-1")
	bench.laysUp()
	lead.asks("/racks/learned")
	for _, p := range pieces {
		saw.does("drill", "piece", p, "pattern", "nine-foot 1", "holes", "8", "pockets", "2")
		bench.does("check", "piece", p, "what", "holes", "instruments", "CALIPER-1", "worst_mm", "0.2", "good", "yes")
		saw.does("enter-room", "piece", p, "room", "ROOM-1")
		saw.refused("leave-room", "piece", p)
		lead.does("leave-room", "piece", p, "released", "it stood dry for a year before it was cut")
		saw.does("glue-lining", "piece", p, "board_batch", "BOARD-1", "glue_batch", "GLUE-1", "layout", "full", "moisture_percent", "7.5")
		saw.does("ream", "piece", p, "holes", "8")
		saw.does("finish", "piece", p, "mark_now", "lining")
	}
	for i, p := range pieces {
		bench.reads(p, float64(i)+0.5)
	}
	bench.opens("/set/SET-1/lay-up")
	bench.laysUp()
	lead.asks("/sag", "/season/example", "/lining/example", "/piece/P-1/judge-face", "/set/SET-1/frame")
	laid := ask[[]string](lead, `[...document.querySelectorAll("#frame h2")].map(e => e.textContent).filter(e => /^\d/.test(e))`)
	if want := fmt.Sprintf("1. Lay the centre piece, %s|2. Lay the head piece, %s|3. Lay the foot piece, %s", pieces[1], pieces[0], pieces[2]); strings.Join(laid, "|") != want {
		t.Errorf("the bed on its frame is laid as %q", laid)
	}
	number := bench.certifies("SET-1")
	saw.packs("SET-1")
	saw.does("ship", "shipment", "SHIP-1", "sets", "SET-1", "to", "the harbour")
	m.holds(number)
	for _, b := range []*tablet{saw, lead, bench} {
		if wrong := b.complaints("status of 4"); len(wrong) > 0 {
			t.Errorf("the console says %q", wrong)
		}
	}
}

// matches proposes the set that the racks show first, and opens its lay-up. It returns the pieces from head to foot.
func (b *tablet) matches() (pieces []string) {
	b.t.Helper()
	b.opens("/racks")
	b.waits(`document.querySelector("#racks .answer strong") && document.querySelector("#racks figure.drawn") && document.querySelector("#racks .bed form[action='/racks'] button") && !document.querySelector("main .computing")`) // which looks again by itself
	b.leaves(func() { b.clicks("#racks .bed form[action='/racks'] button") })
	b.waits(`document.querySelector("#racks .bed a.do[href^='/lay-up']") && !document.querySelector("main .computing")`)
	pieces = ask[[]string](b, `[...document.querySelector("#racks .bed:has(a[href^='/lay-up'])").querySelectorAll(".stone strong")].map(e => e.textContent)`)
	if len(pieces) != 3 {
		b.t.Fatalf("proposed are %q", pieces)
	}
	b.leaves(func() { b.clicks("#racks .bed a.do[href^='/lay-up']") })
	if got := ask[string](b, `document.querySelector("main [name=pieces]").value`); got != strings.Join(pieces, ", ") {
		b.t.Fatalf("laid up are %q, and proposed were %q", got, pieces)
	}
	return pieces
}

// packs scans the marks of a set, in an order of its own, and packs it.
func (b *tablet) packs(set string) {
	b.t.Helper()
	codes := slices.Compact(markCode.FindAllString(b.fetches("/set/" + set + "/labels")[0], -1))
	if len(codes) != 4 {
		b.t.Fatalf("the labels of %s have the codes %q", set, codes)
	}
	b.opens("/packing")
	for n, code := range []string{codes[3], codes[1], codes[0]} {
		b.waits(`document.activeElement.id === "piece-code"`)
		b.leaves(func() { b.scans(code) })
		b.waits(fmt.Sprintf(`document.querySelectorAll("main tbody tr").length === %d`, n+1))
	}
	b.waits(`document.querySelector(".packing .conforms")`)
	b.leaves(func() { b.clicks(`main a[href^="/do/pack"]`) })
	b.waits(`location.pathname === "/do/pack"`)
	b.leaves(func() { b.clicks("main form.act button.do") })
	b.waits(`location.pathname === "/packing" && document.querySelectorAll("main tbody tr").length === 0`) // for the next set
}

// asks opens pages that answer a question, and waits for the answer of each with its picture or figures.
func (b *tablet) asks(pages ...string) {
	b.t.Helper()
	for _, page := range pages {
		b.opens(page)
		b.waits(`document.querySelector("main .answer strong") && document.querySelector("main figure.drawn")`)
	}
}

// refused hands in an act that the mill must not take, and wants to be told why.
func (b *tablet) refused(act string, pairs ...string) {
	b.t.Helper()
	b.opens("/do/" + act)
	b.fillsAll(pairs)
	b.clicks("main form.act button.do")
	b.waits(`document.querySelector("[data-queue-answer]").dataset.tone === "bad" && document.querySelector("[data-queue-answer]").textContent.length > 40`)
}

// laysUp fills in the steps along both joints of the lay-up that is open, and hands them in.
func (b *tablet) laysUp() {
	b.t.Helper()
	names := ask[[]string](b, `[...document.querySelectorAll("main input[name^='step.']")].map(e => e.name)`)
	if len(names) < 10 {
		b.t.Fatalf("%d steps are asked for", len(names))
	}
	for i, name := range names {
		b.fills(name, fmt.Sprintf("%.3f", 0.004*float64(i%4-2)))
	}
	b.fillsAll([]string{"instrument", "DIAL-1", "u", "0.005", "bench", "BENCH-1", "support", "bench"})
	b.leaves(func() { b.clicks("main form.act button.do") })
	if !ask[bool](b, `location.search.includes("did=lay-up")`) {
		b.t.Fatalf("the lay-up is refused: %s", b.words())
	}
}

// certifies has a set judged and certified: the verdict is written down, then sealed with passphrase, code and held button.
func (b *tablet) certifies(set string) (certificate string) {
	b.t.Helper()
	b.opens("/set/" + set + "/judge")
	b.waits(`document.querySelector("main form[action$='/judge'] button")`)
	b.leaves(func() { b.clicks("main form[action$='/judge'] button") })
	if !ask[bool](b, `location.search.includes("did=judge")`) {
		b.t.Fatalf("the verdict is refused: %s", b.words())
	}
	b.opens("/set/" + set + "/certify")
	b.waits(`document.querySelector("main form[action$='/certify'] [data-held-button]")`)
	certificate = ask[string](b, `document.querySelector("#number").value`)
	b.types("#pass", passphrase)
	b.confirms(set)
	if !ask[bool](b, `location.search.includes("did=certify")`) {
		b.t.Fatalf("the certificate is refused: %s", b.words())
	}
	return certificate
}

// holds opens a certificate as its customer does, who is not signed in, and verifies what can be downloaded with the command line.
func (m *mill) holds(number string) {
	m.t.Helper()
	b := m.newTablet(800, 1280)
	b.opens("/certificate/" + number)
	b.waits(`document.querySelector("main .verdict")`)
	b.waits(`document.querySelector("main a[href$='.json'], main a[href$='/json']")`)
	if !ask[bool](b, `document.body.dataset.person === "" && document.body.innerText.includes("invented")`) {
		m.t.Errorf("the public certificate: %s", b.words())
	}
	text := ask[string](b, `document.querySelector("main a[href$='.json'], main a[href$='/json']").href`)
	if !strings.HasPrefix(text, m.at) {
		m.t.Fatalf("the download is at %s", text)
	}
	file := filepath.Join(m.t.TempDir(), number+".json")
	if err := os.WriteFile(file, []byte(b.fetches(text)[0]), 0o600); err != nil {
		m.t.Fatal(err)
	}
	var found map[string]any
	if err := json.Unmarshal([]byte(m.says("verify", file, "--key", m.args[1]+".pub", "--json")), &found); err != nil {
		m.t.Fatal(err)
	}
	if wrong := b.complaints(); len(wrong) > 0 {
		m.t.Errorf("the console says %q", wrong)
	}
}
