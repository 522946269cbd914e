package web

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"

	"slatewright/internal/web/signin"
)

// behind gives a request that came through a trusted proxy the address of its sender, by which tries are counted. Each proxy adds to
// X-Forwarded-For where it was asked from, so the list is read from its end, as far as trusted proxies wrote it; what stands before
// that anybody can have made up, and so can the whole list when no trusted proxy hands it on. The same
// holds for X-Forwarded-Proto: what the last proxy says of how it was asked counts, and of nobody else.
func behind(proxies []netip.Prefix, h http.Handler) http.Handler {
	if len(proxies) == 0 {
		return h
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if at, err := netip.ParseAddrPort(r.RemoteAddr); err == nil && trusted(proxies, at.Addr()) {
			r = r.WithContext(r.Context()) // a copy
			if strings.EqualFold(last(r.Header.Values("X-Forwarded-Proto")), "https") {
				r = signin.Secured(r)
			}
			r.RemoteAddr = net.JoinHostPort(sender(proxies, at.Addr(), r.Header.Values("X-Forwarded-For")).String(), "0")
		}
		h.ServeHTTP(w, r)
	})
}

// last is the last word of a list in a header.
func last(list []string) string {
	words := strings.Split(strings.Join(list, ","), ",")
	return strings.TrimSpace(words[len(words)-1])
}

// sender is the last address of a list that is none of a trusted proxy. What is no address ends the list.
func sender(proxies []netip.Prefix, nearest netip.Addr, list []string) netip.Addr {
	for _, said := range slices.Backward(strings.Split(strings.Join(list, ","), ",")) {
		a, err := netip.ParseAddr(strings.TrimSpace(said))
		if at, noPort := netip.ParseAddrPort(strings.TrimSpace(said)); err != nil && noPort == nil {
			a, err = at.Addr(), nil
		}
		if err != nil {
			break
		}
		if nearest = a; !trusted(proxies, a) {
			break
		}
	}
	return nearest
}

func trusted(proxies []netip.Prefix, a netip.Addr) bool {
	a = a.Unmap().WithZone("")
	return slices.ContainsFunc(proxies, func(p netip.Prefix) bool { return p.Contains(a) })
}
