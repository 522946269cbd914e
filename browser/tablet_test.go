package browser_test

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// passphrase is everybody's in the invented mill.
const passphrase = "quern hollow is invented"

// tablet is a browser of its own: its own cookies and store.
type tablet struct {
	t     *testing.T
	ctx   context.Context
	mill  *mill
	mu    sync.Mutex
	wrong []string // what the console complained of
}

// newTablet opens a browser on the mill, of a size in pixels.
func (m *mill) newTablet(width, height int64) *tablet {
	m.t.Helper()
	return m.tabletIn(chromium, width, height)
}

// tabletIn is a tablet of a browser that is not the one of all tests.
func (m *mill) tabletIn(browser context.Context, width, height int64) *tablet {
	m.t.Helper()
	ctx, quit := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	m.t.Cleanup(quit)
	b := &tablet{t: m.t, ctx: ctx, mill: m}
	messages := chromedp.Console(ctx)
	go func() {
		for msg, err := range messages {
			if err != nil {
				return
			}
			if msg.Type == "error" || msg.Type == "warning" || msg.IsException() {
				b.mu.Lock()
				b.wrong = append(b.wrong, msg.String())
				b.mu.Unlock()
			}
		}
	}()
	b.do(chromedp.EmulateViewport(width, height))
	return b
}

// do does steps within the patience of a test.
func (b *tablet) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatalf("%v\non the page: %s", err, b.words())
	}
}

// words are what the page says, for telling what was there instead.
func (b *tablet) words() string {
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`location.pathname + location.search + "\n" + (document.querySelector("main") ?? document.body).innerText.slice(0, 1500)`))
	if err != nil {
		return err.Error()
	}
	return text
}

// ask evaluates an expression on the page. A page that is just looking again by itself may get in between: then it is asked once more.
func ask[T any](b *tablet, expression string, how ...chromedp.EvaluateOption) T {
	b.t.Helper()
	for tries := 0; ; tries++ {
		ctx, cancel := context.WithTimeout(b.ctx, patience)
		v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, how...))
		cancel()
		if err == nil {
			return v
		}
		if tries == 3 {
			b.t.Fatalf("%s: %v\non the page: %s", expression, err, b.words())
		}
		b.waits(`true`)
	}
}

// waits waits until an expression is true on the page. It outlives a page that goes.
func (b *tablet) waits(expression string) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	for ctx.Err() == nil {
		if v, err := chromedp.Run(ctx, chromedp.Evaluate[bool](fmt.Sprintf("document.readyState === 'complete' && !!(%s)", expression))); err == nil && v {
			return
		}
		if err := chromedp.Do(ctx, chromedp.Sleep(20e6)); err != nil {
			break
		}
	}
	b.t.Fatalf("%s never became true\non the page: %s", expression, b.words())
}

// opens goes to a page of the mill.
func (b *tablet) opens(path string) {
	b.t.Helper()
	if _, err := goes(b, chromedp.Navigate(b.mill.at+path)); err != nil {
		b.t.Fatalf("%s: %v\non the page: %s", path, err, b.words())
	}
}

// goes goes to another page. A page that is just looking again by itself may get in between: then it is gone to once more.
func goes[T any](b *tablet, to chromedp.Action[T]) (got T, err error) {
	for range 4 {
		ctx, cancel := context.WithTimeout(b.ctx, patience)
		got, err = chromedp.Run(ctx, to)
		cancel()
		if err == nil || !strings.Contains(err.Error(), "ERR_ABORTED") {
			break
		}
	}
	return got, err
}

// signIn signs a person in with the passphrase.
func (b *tablet) signIn(person string) {
	b.t.Helper()
	b.opens("/sign-in")
	b.types("#person", person)
	b.types("#passphrase", passphrase)
	b.clicks(`form.act[action="/sign-in"] button`)
	b.waits(`document.body.dataset.person === ` + quoted(person))
}

// types puts text into a field as keys.
func (b *tablet) types(field, text string) {
	b.t.Helper()
	b.do(chromedp.WaitReady(chromedp.CSS(field)))
	if ask[string](b, `document.querySelector(`+quoted(field)+`).value`) != "" {
		b.do(chromedp.Clear(chromedp.CSS(field)))
	}
	b.do(chromedp.SendKeys(chromedp.CSS(field), text))
}

// clicks clicks what a selector finds first.
func (b *tablet) clicks(what string) {
	b.t.Helper()
	b.brings(what)
	b.do(chromedp.Click(chromedp.CSS(what)))
}

// brings brings what a selector finds into view. A page that is just looking again by itself, or a part of it, may take it away in between: then
// it is looked for once more.
func (b *tablet) brings(what string) {
	b.t.Helper()
	for tries := 0; ; tries++ {
		ctx, cancel := context.WithTimeout(b.ctx, patience)
		err := chromedp.Do(ctx, chromedp.ScrollIntoView(chromedp.CSS(what)))
		cancel()
		if err == nil {
			return
		}
		if tries == 3 {
			b.t.Fatalf("%s: %v\non the page: %s", what, err, b.words())
		}
		b.waits(`true`)
	}
}

// keys types on the page itself, as a gauge or a code reader does.
func (b *tablet) keys(text string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(text))
}

// dark tells the pages that the room is dark.
func (b *tablet) dark(yes bool) {
	b.t.Helper()
	value := "light"
	if yes {
		value = "dark"
	}
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}}})
		return err
	}))
}

// carries has every page that is opened from now on run a script first.
func (b *tablet) carries(script string) {
	b.t.Helper()
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

// complaints are what the console complained of since the last time, but for what a test expects.
func (b *tablet) complaints(expected ...string) (list []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
next:
	for _, w := range b.wrong {
		for _, e := range expected {
			if strings.Contains(w, e) {
				continue next
			}
		}
		list = append(list, w)
	}
	b.wrong = nil
	return list
}

// picture keeps a picture of the page, when there is a folder for them.
func (b *tablet) picture(name string) {
	b.t.Helper()
	if *pictures == "" {
		return
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.MkdirAll(*pictures, 0o777)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(*pictures, name+".png"), png, 0o666)
	}
	if err != nil {
		b.t.Error(err)
	}
}

func quoted(s string) string {
	text, err := json.Marshal(s)
	if err != nil {
		panic(err)
	}
	return string(text)
}

// fetches are what addresses answer to this browser, asked at once.
func (b *tablet) fetches(addresses ...string) []string {
	b.t.Helper()
	list, err := json.Marshal(addresses)
	if err != nil {
		b.t.Fatal(err)
	}
	return ask[[]string](b, `Promise.all(`+string(list)+`.map(a => fetch(a).then(r => r.text())))`, chromedp.EvalAwaitPromise)
}
