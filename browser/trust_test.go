package browser_test

import (
	"context"
	"crypto/sha256"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// trusting is a browser that trusts the mill's own certificate, as a tablet does that was told to: it knows the certificate's key.
func trusting(t *testing.T, m *mill) context.Context {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(m.folder, "trust", "server.pem"))
	if err != nil {
		t.Fatal(err)
	}
	block, _ := pem.Decode(text)
	c, err := x509.ParseCertificate(block.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(c.RawSubjectPublicKeyInfo)
	allocated, stop := chromedp.NewExecAllocator(context.Background(), append(slices.Clone(options()), chromedp.Flag("ignore-certificate-errors-spki-list", base64.StdEncoding.EncodeToString(sum[:])))...)
	t.Cleanup(stop)
	ctx, quit := chromedp.NewContext(allocated)
	t.Cleanup(quit)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// A tablet that trusts the mill signs in by TLS: the cookies go no other way, the pages count as protected, and a worker keeps them.
func TestATabletThatTrustsTheMill(t *testing.T) {
	m := newMill(t, "--tls")
	if !strings.HasPrefix(m.at, "https://") {
		t.Fatalf("it serves at %s", m.at)
	}
	b := m.tabletIn(trusting(t, m), 800, 1280)
	b.opens("/trust")
	b.waits(`document.querySelector("[data-secure=yes]").checkVisibility() && !document.querySelector("[data-secure=unsaid]").checkVisibility()`)
	b.signIn("lead")
	if !ask[bool](b, `isSecureContext`) {
		t.Error("the pages do not count as protected")
	}
	seen := 0
	b.do(chromedp.Func(func(ctx context.Context, tab *chromedp.Target) error {
		got, err := cdp.Call(ctx, tab, network.GetCookies, network.GetCookiesParams{})
		if err != nil {
			return err
		}
		for _, c := range got.Cookies {
			if seen++; !c.Secure || !c.HTTPOnly {
				t.Errorf("the cookie %s is secure %v, only for the program %v", c.Name, c.Secure, c.HTTPOnly)
			}
		}
		return nil
	}))
	if seen < 2 {
		t.Errorf("%d cookies", seen)
	}
	b.waits(`navigator.serviceWorker.controller !== null`)
	if wrong := b.complaints(); len(wrong) > 0 {
		t.Errorf("the console says %q", wrong)
	}

	plain := m.newTablet(800, 1280) // has not been told
	plain.do(chromedp.Navigate("http://" + strings.TrimPrefix(m.at, "https://") + "/trust"))
	plain.waits(`document.querySelector(".fingerprint") && document.querySelector("a[href='/trust/root.crt']")`)
}
