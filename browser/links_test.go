package browser_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// shape makes one word of all numbers of things, so that of pages that differ only by them one is opened.
var shape = regexp.MustCompile(`\b[A-Z]+[0-9]*-[A-Za-z0-9-]+|\b[0-9A-Z]{26}\b|[0-9]+|=[^&]*`)

// likeOf is what alike links have in common: the path, and the names of what is asked, each once. What was tapped at the racks adds up in the
// address without end: of those with three kinds of wish and more none is opened, each kind is among the others.
func likeOf(link string) string {
	path, query, _ := strings.Cut(shape.ReplaceAllString(link, "*"), "?")
	names := strings.Split(query, "&")
	slices.Sort(names)
	names = slices.Compact(names)
	if path == "/racks" && len(names) > 2 {
		return path
	}
	return path + "?" + strings.Join(names, "&")
}

// mostLinks bounds the walk; there are fewer.
const mostLinks = 400

// From the first page every page can be opened that a link leads to, and on none does the browser complain; each answer has the headers
// that keep a page to itself.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	m := newMill(t)
	b := m.newTablet(1440, 900)
	b.signIn("lead")
	todo, from, seen := []string{"/"}, map[string]string{}, map[string]bool{"/racks": true}
	count := 0
	for len(todo) > 0 && count < mostLinks {
		path := todo[0]
		todo = todo[1:]
		count++
		got, err := goes(b, chromedp.NavigateResponse(m.at+path))
		if err != nil {
			t.Errorf("%s, linked from %s: %v", path, from[path], err)
			continue
		}
		if got.Status != 200 {
			t.Errorf("%s, linked from %s, answers %d", path, from[path], got.Status)
		}
		for name, want := range map[string]string{"content-security-policy": "frame-ancestors 'none'", "x-content-type-options": "nosniff", "referrer-policy": ""} {
			value := ""
			for k, v := range got.Headers {
				if strings.EqualFold(k, name) {
					value, _ = v.(string)
				}
			}
			if value == "" || !strings.Contains(value, want) || strings.Contains(value, "unsafe") {
				t.Errorf("%s has the header %s: %q", path, name, value)
			}
		}
		b.waits(`true`)
		if wrong := b.complaints("GPU stall"); len(wrong) > 0 {
			t.Errorf("%s: the console says %q", path, wrong)
		}
		for _, link := range ask[[]string](b, `[...document.querySelectorAll("a[href^='/']")].filter(a => !a.hasAttribute("download")).map(a => a.getAttribute("href").replace(/#.*/, ""))`) {
			if like := likeOf(link); link != "" && !seen[like] && !leadsToFile.MatchString(link) {
				seen[like] = true
				from[link] = path
				todo = append(todo, link)
			}
		}
	}
	if count < 30 || len(todo) > 0 {
		t.Errorf("%d pages were opened, and %d wait", count, len(todo))
	}
}

// leadsToFile are links to what is no page.
var leadsToFile = regexp.MustCompile(`\.(svg|csv|json|pdf|yaml|pub)(\?|$)|/blobs/|/openapi|/(json|pdf|svg)$`)
