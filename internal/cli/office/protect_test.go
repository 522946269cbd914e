package office

import (
	"net"
	"net/url"
	"slices"
	"strings"
	"testing"
)

func TestPagesOfCertificates(t *testing.T) {
	for _, c := range []struct{ address, number, want string }{
		{"https://mill.lan:8273", "QH-S0107", "https://mill.lan:8273/certificate/QH-S0107"}, {"https://Mill.lan/", "QH-S0107-B", "https://mill.lan/certificate/QH-S0107-B"},
		{"http://192.168.7.2:8273", "QH/7 a", "http://192.168.7.2:8273/certificate/QH%2F7%20a"}, {"https://[fd00::2]:8273", "7", "https://[fd00::2]:8273/certificate/7"}, {"", "7", ""},
	} {
		if got, err := CertificatePage(c.address, c.number); err != nil || got != c.want {
			t.Errorf("%+v: %q, %v", c, got, err)
		}
	}
	for _, bad := range []string{"mill.lan", "https://", "https://mill.lan/x", "https://mill.lan#x", "https://a b", "javascript:alert(1)", "https://mill.lan:port"} {
		if _, err := PagesAddress(bad); err == nil {
			t.Errorf("%q is taken", bad)
		}
	}
}

func TestAddressesToType(t *testing.T) {
	at := func(text string) net.Addr {
		a, err := net.ResolveTCPAddr("tcp", text)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	if got := (protected{}).reached(at("127.0.0.1:8273"), nil); !slices.Equal(got, []string{"http://127.0.0.1:8273"}) {
		t.Errorf("%q", got)
	}
	given := &url.URL{Scheme: "https", Host: "mill.lan"}
	if got := (protected{}).reached(at("192.168.7.2:8273"), given); !slices.Equal(got, []string{"https://mill.lan", "http://192.168.7.2:8273"}) {
		t.Errorf("%q", got)
	}
	every := (protected{}).reached(at("[::]:8273"), nil)
	if len(every) == 0 {
		t.Fatal("no address")
	}
	for _, a := range every {
		if u, err := url.Parse(a); err != nil || u.Port() != "8273" || strings.Contains(a, "::]") {
			t.Errorf("%q cannot be typed: %v", a, err)
		}
	}
	if onNetwork(at("127.0.0.1:1")) || onNetwork(at("[::1]:1")) || !onNetwork(at("0.0.0.0:1")) || !onNetwork(at("192.168.7.2:1")) {
		t.Error("what is on the network")
	}
}
