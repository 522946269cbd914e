package cli_test

import (
	"bytes"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestFlagsOfTLS(t *testing.T) {
	dir := newMill(t, "mill")
	for _, c := range []struct {
		code string
		args []string
	}{
		{"half-a-pair", []string{"--tls-certificate", "a.crt"}}, {"half-a-pair", []string{"--tls-key", "a.key"}},
		{"two-certificates", []string{"--tls", "--tls-certificate", "a.crt", "--tls-key", "a.key"}}, {"no-tls", []string{"--trust", "kept"}},
		{"bad-address", []string{"--address", "mill.lan"}}, {"bad-address", []string{"--address", "https://mill.lan/pages"}}, {"bad-address", []string{"--address", "https://me@mill.lan"}},
		{"bad-address", []string{"--address", "ftp://mill.lan"}}, {"bad-address", []string{"--address", "https://mill_lan"}}, {"bad-address", []string{"--address", "https://mill.lan?x=1"}},
	} {
		code, out, errs := program(t, dir, append([]string{"serve", "mill", "--json"}, c.args...)...)
		if code != 64 || out != "" || !strings.Contains(errs, `"code":"`+c.code+`"`) {
			t.Errorf("%v: exit status %d, %s%s", c.args, code, out, errs)
		}
	}
	if code, _, errs := program(t, dir, "serve", "--database", "postgres://nobody@127.0.0.1:1/none", "--tls", "--json"); code != 64 || !strings.Contains(errs, "no-trust-folder") {
		t.Errorf("%d %s", code, errs)
	}
	if code, _, errs := program(t, dir, "serve", "mill", "--tls-certificate", "a.crt", "--tls-key", "a.key", "--json"); code != 74 || !strings.Contains(errs, `"where":"a.crt"`) {
		t.Errorf("%d %s", code, errs)
	}
}

// tablet is a client that trusts what a test tells it to.
func tablet(root *x509.Certificate) *http.Client {
	pool := x509.NewCertPool()
	pool.AddCert(root)
	return &http.Client{Transport: &http.Transport{ForceAttemptHTTP2: true, TLSClientConfig: &tls.Config{RootCAs: pool}},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

// fetched asks for an address.
func fetched(t *testing.T, c *http.Client, address string) (*http.Response, []byte) {
	t.Helper()
	r, err := c.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r, text
}

// The root that a tablet fetches in the clear is the one whose fingerprint was printed; with it the tablet trusts the mill, also after the
// program was started again.
func TestATabletIsToldToTrustTheMill(t *testing.T) {
	dir := newMill(t, "mill")
	s := serve(t, dir, "mill", "--tls")
	at, ok := strings.CutPrefix(s.Address, "https://")
	if !ok || s.Trust != "http://"+at+"/trust" {
		t.Fatalf("%q, trusted at %q", s.Address, s.Trust)
	}
	_, der := fetched(t, http.DefaultClient, s.Trust+"/root.crt")
	sum := sha256.Sum256(der)
	if want := strings.NewReplacer(":", "", " ", "").Replace(s.Root); !strings.EqualFold(want, hex.EncodeToString(sum[:])) {
		t.Fatalf("the fingerprint printed is %s, and that of the file %x", want, sum)
	}
	root, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	c := tablet(root)
	if r, text := fetched(t, c, s.Address+"/api/v1/health"); r.StatusCode != http.StatusOK || r.ProtoMajor != 2 || r.Header.Get("Strict-Transport-Security") != "" {
		t.Errorf("%s %s %s", r.Proto, r.Status, text)
	}
	if r, _ := fetched(t, c, "http://"+at+"/sign-in"); r.StatusCode != http.StatusTemporaryRedirect || r.Header.Get("Location") != s.Address+"/sign-in" {
		t.Errorf("in the clear: %s to %s", r.Status, r.Header.Get("Location"))
	}
	if r, text := fetched(t, c, s.Address+"/trust"); r.StatusCode != http.StatusOK || !bytes.Contains(text, []byte(strings.Fields(s.Root)[0])) {
		t.Errorf("the page about trust: %s", r.Status)
	}
	c.CloseIdleConnections()
	s.stop(t, syscall.SIGTERM)
	again := serve(t, dir, "mill", "--tls", "--address", "https://mill.lan")
	if again.Root != s.Root || again.Address != "https://mill.lan" || len(again.Others) != 1 {
		t.Errorf("%+v, and before %+v", again, s)
	}
	fetched(t, c, again.Others[0]+"/api/v1/health")
	c.CloseIdleConnections()
	again.stop(t, syscall.SIGTERM)
}

// A certificate from elsewhere is used as it is, and browsers are told to remember it.
func TestAGivenCertificate(t *testing.T) {
	dir := newMill(t, "mill")
	serve(t, dir, "mill", "--tls", "--trust", "other").stop(t, syscall.SIGTERM) // its server's certificate serves as one from elsewhere
	text, err := os.ReadFile(filepath.Join(dir, "other", "server.pem"))
	if err != nil {
		t.Fatal(err)
	}
	certificate, rest := pem.Decode(text)
	for name, part := range map[string][]byte{"a.crt": pem.EncodeToMemory(certificate), "a.key": rest} {
		if err := os.WriteFile(filepath.Join(dir, name), part, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	text, err = os.ReadFile(filepath.Join(dir, "other", "root.pem"))
	if err != nil {
		t.Fatal(err)
	}
	block, _ := pem.Decode(text)
	root, err := x509.ParseCertificate(block.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	s := serve(t, dir, "mill", "--tls-certificate", "a.crt", "--tls-key", "a.key")
	c := tablet(root)
	if r, _ := fetched(t, c, s.Address+"/sign-in"); r.StatusCode != http.StatusOK || r.Header.Get("Strict-Transport-Security") == "" || s.Root != "" {
		t.Errorf("%s %v", r.Status, r.Header)
	}
	c.CloseIdleConnections()
	s.stop(t, syscall.SIGTERM)
	if code, _, errs := program(t, dir, "serve", "mill", "--tls-certificate", "a.crt", "--tls-key", "a.key", "--address", "https://elsewhere.example", "--json"); code != 65 || !strings.Contains(errs, "other-name") {
		t.Errorf("for another name: %d %s", code, errs)
	}
}

// Who listens on the network without TLS is warned once; on the machine itself, behind a named proxy, and with TLS nobody is.
func TestPlainOnTheNetworkIsWarned(t *testing.T) {
	dir := newMill(t, "mill")
	for _, c := range []struct {
		args   []string
		warned int
	}{{[]string{"--listen", ":0"}, 1}, {nil, 0}, {[]string{"--listen", ":0", "--proxy", "10.0.0.1"}, 0}, {[]string{"--listen", ":0", "--tls"}, 0}} {
		s := serve(t, dir, append([]string{"mill"}, c.args...)...)
		s.stop(t, syscall.SIGTERM)
		if got := strings.Count(s.log.String(), "passphrases cross the network"); got != c.warned {
			t.Errorf("%v: warned %d times: %s", c.args, got, s.log)
		}
	}
}
