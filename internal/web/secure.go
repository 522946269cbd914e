package web

import (
	"net"
	"net/http"
	"strings"

	"slatewright/internal/web/office"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/signin"
)

// Trust is how this program is reached over a network.
type Trust = office.Trust

// The ways in which connections are protected.
const (
	Plain    = office.Plain
	SelfMade = office.SelfMade
	Given    = office.Given
)

// remembered is for how long browsers are told to ask by TLS only: each visit begins it anew, and who goes back to plain HTTP waits
// no longer than that. Only a certificate that browsers know is told so: one made here can be lost with its folder.
const remembered = "max-age=2592000" // 30 days

// protect keeps a program that speaks TLS from answering in the clear: a plain connection on the same port gets what helps a tablet to
// trust the mill, and is sent to TLS for all else. What would have written something is refused: it has crossed the network readable.
func protect(h http.Handler, t Trust, demo bool) http.Handler {
	if t.How != SelfMade && t.How != Given {
		return h
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case signin.Secure(r):
			if t.How == Given && !demo && r.TLS != nil {
				w.Header().Set("Strict-Transport-Security", remembered)
			}
			h.ServeHTTP(w, r)
		case plainly(r):
			h.ServeHTTP(w, r)
		case r.Method == http.MethodGet || r.Method == http.MethodHead:
			http.Redirect(w, r, secureAddress(r), http.StatusTemporaryRedirect)
		default:
			problem.New("not-protected", "", "this was sent over plain HTTP, and whoever listens on the network has read it", "send it to "+secureAddress(r)+", and change what was secret in it").Write(w)
		}
	})
}

// plainly tells whether a request may be answered in the clear: the page about trust with what it is made of, and the reader's language.
func plainly(r *http.Request) bool {
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		return r.URL.Path == "/trust" || r.URL.Path == "/trust/root.crt" || r.URL.Path == "/manifest.webmanifest" || strings.HasPrefix(r.URL.Path, "/static/")
	case http.MethodPost:
		return r.URL.Path == "/reader"
	}
	return false
}

// secureAddress is where the same is by TLS: on the same port.
func secureAddress(r *http.Request) string {
	host := r.Host
	if at, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); host == "" && ok {
		host = at.String()
	}
	return "https://" + host + r.URL.RequestURI()
}
