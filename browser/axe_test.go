package browser_test

import (
	"context"

	"github.com/chromedp/chromedp"
)

// askAxe runs the checker, as told, on the page that is open.
func askAxe(b *tablet, run string) []finding {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	found, err := chromedp.Run(ctx, chromedp.Evaluate[[]finding](run, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatal(err)
	}
	return found
}
