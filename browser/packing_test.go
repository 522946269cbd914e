package browser_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

var markCode = regexp.MustCompile(`M1\.[0-9]{2}\.[A-Za-z0-9._/-]+\.(H1|C1|C2|F2)[A-Z]\.[A-Z2-9]{2}`)

// packable is a set that only waits for being packed, with the codes of its marks.
func (b *tablet) packable() (set string, codes []string) {
	b.t.Helper()
	for _, set := range sets {
		codes = slices.Compact(markCode.FindAllString(b.fetches("/set/" + set + "/labels")[0], -1))
		if len(codes) == 4 && strings.Contains(b.fetches("/packing?code=" + codes[0] + "&code=" + codes[1] + "&code=" + codes[3])[0], `href="/do/pack`) {
			return set, codes
		}
	}
	b.t.Fatal("the demo has no set that waits for being packed")
	return "", nil
}

// Three codes are scanned in any order, wherever the focus is, and nothing is touched between them; then the set packs, and the act has its three pieces. The same
// goes without scripts, by the field that has the focus. Anywhere else a mark opens its piece.
func TestThreeCodesPackASet(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("lead")
	set, codes := b.packable()
	b.opens("/set/" + set + "/labels")
	b.looksRight("/set/" + set + "/labels")
	b.opens("/")
	b.waits(`document.documentElement.hasAttribute("data-scripted")`)
	b.leaves(func() { b.scans(codes[3]) })
	b.waits(`location.pathname.startsWith("/piece/")`)

	b.opens("/packing")
	b.waits(`document.documentElement.hasAttribute("data-scripted") && document.activeElement.id === "piece-code"`)
	b.looksRight("/packing")
	b.leaves(func() { b.scans(codes[3]) })
	b.waits(`document.querySelectorAll("main tbody tr").length === 1`)
	ask[bool](b, `document.activeElement.blur() ?? true`)
	b.leaves(func() { b.scans(codes[1]) })
	b.waits(`document.querySelectorAll("main tbody tr").length === 2 && document.querySelector(".packing .cannot-tell")`)
	b.leaves(func() { b.scans("https://mill.example/certificate/QH-C106") })
	b.waits(`document.querySelector(".packing .cannot-tell") && document.querySelectorAll("main tbody tr").length === 3`)
	b.leaves(func() { b.scans(codes[0]) })
	b.waits(`document.querySelector(".packing .conforms") && document.querySelectorAll(".corners").length === 3`)
	b.looksRight("/packing with three codes")
	b.leaves(func() { b.clicks(".corners .do:nth-child(2)") })
	b.waits(`document.querySelector(".packing .does-not-conform")`)
	b.looksRight("/packing with a corner")
	b.leaves(func() { b.clicks(`main p > a[href^="/packing?"]`) })
	b.waits(`document.querySelector(".packing .conforms")`)
	b.leaves(func() { b.clicks(`main a[href^="/do/pack"]`) })
	b.waits(`location.pathname === "/do/pack"`)
	named := ask[string](b, `document.querySelector("[name=codes]").value`)
	for _, c := range codes {
		if piece := strings.Split(c, ".")[2]; !strings.Contains(named, piece) {
			t.Errorf("%s is not among %q", piece, named)
		}
	}

	b.withoutScripts()
	b.opens("/packing")
	for n, c := range []string{codes[2], codes[0], codes[3]} {
		b.waits(`document.activeElement.id === "piece-code"`)
		b.leaves(func() { b.scans(c) })
		if n < 2 {
			b.waits(`document.querySelectorAll("main tbody tr").length === ` + string(rune('1'+n)))
		}
	}
	b.waits(`document.querySelector(".packing .conforms")`)
	if wrong := b.complaints(); len(wrong) > 0 {
		t.Errorf("the console says %q", wrong)
	}
}
