package browser_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// laidOut finds what is cut off, too wide, or too small to be touched with a glove.
const laidOut = `(() => {
	const wrong = [];
	if (document.documentElement.scrollWidth > innerWidth + 1) wrong.push("the page is " + document.documentElement.scrollWidth + " wide on a screen of " + innerWidth);
	for (const e of document.querySelectorAll("main h1, main h2, main h3, main p, main a, main button, main label, main dt, main dd, main td, main th, main legend")) {
		const r = e.getBoundingClientRect();
		if (r.width === 0 || e.closest("[hidden], details:not([open]), .said-only, svg")) continue;
		if (e.scrollWidth > e.clientWidth + 2 && getComputedStyle(e).overflowX !== "visible" && e.clientWidth > 0) wrong.push("cut off: " + e.outerHTML.slice(0, 120));
		if (r.right > innerWidth + 1 && !e.closest(".table, .way")) wrong.push("beyond the edge: " + e.outerHTML.slice(0, 120));
	}
	if (document.body.classList.contains("near")) {
		for (const e of document.querySelectorAll("main .do, main input:not([type=hidden]):not([type=checkbox]):not([type=radio]), main select")) {
			const r = e.getBoundingClientRect();
			if (r.height > 0 && r.height < 75 && !e.closest("[hidden], .said-only")) wrong.push("less than 20 mm high: " + e.outerHTML.slice(0, 120));
		}
	}
	return wrong;
})()`

// unsaid finds keys of the catalogue that have no words.
var unsaid = regexp.MustCompile(`[⟨(][a-z]+\.[a-z0-9.-]+[⟩)]`)

// listed are the addresses of every page in every state, as the page of specimens has them.
func listed(b *tablet) []string {
	b.t.Helper()
	b.opens("/specimen")
	list := ask[[]string](b, `[...document.querySelectorAll("main a[href^='/specimen/']")].map(a => a.getAttribute("href"))`)
	if len(list) < 20 {
		b.t.Fatalf("%d pages are listed", len(list))
	}
	return list
}

// looksRight holds the page that is open to what every page must be.
func (b *tablet) looksRight(path string, expected ...string) {
	b.t.Helper()
	seen := ask[struct {
		Wrong []string `json:"wrong"`
		Text  string   `json:"text"`
	}](b, `({wrong: `+laidOut+`, text: document.body.innerText})`)
	if len(seen.Wrong) > 0 {
		b.t.Errorf("%s: %s", path, strings.Join(seen.Wrong, "\n\t"))
	}
	if unsaid.MatchString(seen.Text) {
		b.t.Errorf("%s: %s has no words", path, unsaid.FindString(seen.Text))
	}
	if wrong := b.complaints(append(expected, "status of 4", "status of 5", "GPU stall due to ReadPixels")...); len(wrong) > 0 {
		b.t.Errorf("%s: the console says %q", path, wrong)
	}
}

// pictureOf is the name of a page's picture.
func pictureOf(path, how string) string {
	return strings.Trim(strings.NewReplacer("/", "_", "?", "_", ":", "_").Replace(path), "_") + "-" + strings.ReplaceAll(how, " ", "-")
}

// notLike are what tells a page in one state from one in another that is the same: the address of the specimen, and numbers of entries.
var notLike = regexp.MustCompile(`/specimen/[a-z]+|\b[0-9A-HJKMNP-TV-Z]{26}\b`)

// main is what a page holds, as it is sent; "" where it is still being computed.
func (b *tablet) main(path string) string {
	b.t.Helper()
	page := b.fetches(path)[0]
	body, main, ok := strings.Cut(page, "<main")
	if !ok {
		b.t.Fatalf("%s has no main part: %.300s", path, page)
	}
	if strings.Contains(main, `class="computing"`) {
		return ""
	}
	return fmt.Sprint(strings.Contains(body, `class="near"`), notLike.ReplaceAllString(main, ""))
}

// Every page in every state: nothing cut off, nothing for the console, nothing without words, accessible by day and by night. A page that is
// the same in two states is looked at once; the night changes colours and nothing else, and a desk the room that there is.
func TestEveryPageInEveryState(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("lead")
	rules := newChecker(b)
	seen, count := map[string]bool{}, 0
	for _, path := range listed(b) {
		now := b.main(path)
		if count++; now != "" && seen[now] {
			continue
		}
		seen[now] = true
		b.opens(path)
		b.waits(`true`)
		b.looksRight(path)
		rules.day(path, "on a tablet")
		rules.night(path, "on a tablet at night")
		b.do(chromedp.EmulateViewport(1440, 900))
		if strings.HasPrefix(path, "/specimen/full/") {
			b.opens(path)
			b.waits(`true`)
			rules.day(path, "at a desk")
		}
		b.looksRight(path)
		b.do(chromedp.EmulateViewport(800, 1280))
	}
	t.Logf("of %d pages %d differ; colours were checked %d times, of %d ways in which text stands", count, len(seen), rules.runs, len(rules.seen))
	if len(seen) < count/5 {
		t.Errorf("of %d pages only %d differ", count, len(seen))
	}
	if len(rules.seen) < 50 {
		t.Errorf("text stands in only %d ways", len(rules.seen))
	}
}

// In every language all words are there and nothing is cut off.
func TestEveryLanguage(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(800, 1280)
	b.signIn("lead")
	paths := listed(b)
	for _, language := range []string{"pt", "it", "es", "zh"} {
		b.opens("/me")
		ask[any](b, `(() => { const f = document.querySelector("form[action='/reader']"); f.language.value = `+quoted(language)+`; f.submit(); return 0; })()`)
		b.waits(`document.documentElement.lang.startsWith(` + quoted(language) + `)`)
		for _, path := range paths {
			if !strings.HasPrefix(path, "/specimen/full/") {
				continue
			}
			b.opens(path)
			b.waits(`true`)
			b.looksRight(path + " in " + language)
			b.picture(pictureOf(path, language))
		}
	}
}
