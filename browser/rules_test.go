package browser_test

import (
	"fmt"
	"os"
	"strings"

	"github.com/chromedp/chromedp"
)

// axeFile is the accessibility checker, fetched with the libraries of the pages.
const axeFile = "../internal/web/script/node_modules/axe-core/axe.min.js"

// finding is one rule that a page breaks.
type finding struct {
	ID    string   `json:"id"`
	Help  string   `json:"help"`
	Nodes []string `json:"nodes"`
}

// Rules that axe is asked for: all of WCAG 2.2 at level A and AA; those about colours, which are what the night changes and what takes
// nine tenths of its time; and the others.
const (
	allRules    = `runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]`
	colourRules = `runOnly: {type: "rule", values: ["color-contrast", "link-in-text-block"]}`
	otherRules  = allRules + `, rules: {"color-contrast": {enabled: false}, "link-in-text-block": {enabled: false}}`
)

// runAxe asks for rules, and keeps of what axe found what is shown.
const runAxe = `axe.run(document, {%s, resultTypes: ["violations"]})
	.then(r => r.violations.map(v => ({id: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + " " + (n.any[0]?.message ?? ""))})))`

// colours are the ways in which text stands on a page: its own colour and size, and all that lies behind it.
const colours = `(() => {
	const known = new Map();
	const behind = e => {
		if (!e) return "";
		if (!known.has(e)) {
			const s = getComputedStyle(e);
			known.set(e, behind(e.parentElement) + [s.backgroundColor === "rgba(0, 0, 0, 0)" ? "" : s.backgroundColor, s.backgroundImage === "none" ? "" : s.backgroundImage,
				s.opacity === "1" ? "" : s.opacity, s.position === "static" ? "" : s.position].filter(Boolean).join(" "));
		}
		return known.get(e);
	};
	const ways = new Set();
	const add = e => {
		if (!e.checkVisibility()) return;
		const s = getComputedStyle(e), link = e.closest("a");
		const aside = e.matches(":disabled, :disabled *, [aria-disabled=true], [aria-disabled=true] *, [aria-hidden=true], [aria-hidden=true] *, .said-only, .said-only *") || e.closest("label")?.control?.disabled;
		ways.add([s.color, s.fill, s.fontSize, s.fontWeight, s.textShadow, aside ? "aside" : "", link ? getComputedStyle(link).textDecorationLine + getComputedStyle(link.parentElement).color : "", behind(e)].join("|"));
	};
	const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	while (texts.nextNode()) if (texts.currentNode.data.trim()) add(texts.currentNode.parentElement);
	document.querySelectorAll("input, select, textarea").forEach(add);
	return [...ways];
})()`

// checker holds pages to the rules of accessibility. Those about colours are asked of a page on which text stands in a way that it stood on
// none before.
type checker struct {
	b    *tablet
	seen map[string]bool // ways in which text stands, by day or night
	runs int             // of the rules about colours
}

// newChecker makes a checker for a tablet, whose pages bring the rules with them from now on.
func newChecker(b *tablet) *checker {
	b.t.Helper()
	axe, err := os.ReadFile(axeFile)
	if err != nil {
		b.t.Fatalf("the accessibility checker is not there (make pages fetches it): %v", err)
	}
	b.carries(string(axe))
	return &checker{b: b, seen: map[string]bool{}}
}

// fresh says whether text stands on the page in a way that is new.
func (c *checker) fresh(night bool) (yes bool) {
	c.b.t.Helper()
	for _, way := range ask[[]string](c.b, colours) {
		if way = fmt.Sprint(night, way); !c.seen[way] {
			c.seen[way], yes = true, true
		}
	}
	if yes {
		c.runs++
	}
	return yes
}

// day checks the page that is open, all of it.
func (c *checker) day(path, how string) {
	c.b.t.Helper()
	rules := otherRules
	if c.fresh(false) {
		rules = allRules
	}
	c.check(path, how, rules)
	c.b.picture(pictureOf(path, how))
}

// night checks what the night changes of the page that is open.
func (c *checker) night(path, how string) {
	c.b.t.Helper()
	c.b.dark(true)
	if c.fresh(true) {
		c.check(path, how, colourRules)
	}
	c.b.picture(pictureOf(path, how))
	c.b.dark(false)
}

func (c *checker) check(path, how, rules string) {
	c.b.t.Helper()
	for _, f := range ask[[]finding](c.b, fmt.Sprintf(runAxe, rules), chromedp.EvalAwaitPromise) {
		c.b.t.Errorf("%s %s: %s: %s\n\t%s", path, how, f.ID, f.Help, strings.Join(f.Nodes, "\n\t"))
	}
}
