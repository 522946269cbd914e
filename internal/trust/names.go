package trust

import (
	"net"
	"net/netip"
	"os"
	"regexp"
	"slices"
	"strings"
)

// Names are what a certificate answers to: names of hosts in lower case without a dot at the end, and addresses without a zone.
type Names struct {
	Hosts     []string
	Addresses []netip.Addr
}

// private are the addresses that mean a machine in the same house: RFC 1918, RFC 3927, RFC 6598, RFC 4193, RFC 4291 and loopback.
var private = prefixes("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8", "100.64.0.0/10", "fc00::/7", "fe80::/10", "::1/128")

// local are the names that nobody outside can own: RFC 6761, RFC 6762, RFC 8375, and those that networks of houses use.
var local = []string{"localhost", "local", "lan", "internal", "home.arpa"}

func prefixes(words ...string) (list []netip.Prefix) {
	for _, w := range words {
		list = append(list, netip.MustParsePrefix(w))
	}
	return list
}

// Own are the machine's names and addresses as they are now, and those that a person says: hosts or addresses by which others reach
// it. Names that no certificate can hold are left out.
func Own(said ...string) Names {
	n := Names{Hosts: []string{"localhost"}, Addresses: []netip.Addr{netip.MustParseAddr("127.0.0.1"), netip.MustParseAddr("::1")}}
	if host, err := os.Hostname(); err == nil {
		short, _, _ := strings.Cut(host, ".")
		n.add(host)
		n.add(short)
		n.add(short + ".local")
	}
	list, err := net.InterfaceAddrs()
	if err != nil {
		list = nil // the names are enough to begin with
	}
	for _, a := range list {
		if p, err := netip.ParsePrefix(a.String()); err == nil {
			n.add(p.Addr().String())
		}
	}
	for _, s := range said {
		n.add(s)
	}
	return n
}

// hostForm is a name as certificates hold it: letters, digits and hyphens between dots.
var hostForm = regexp.MustCompile(`^([a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*$`)

// IsName tells whether a certificate can hold a host: a name, or an address.
func IsName(host string) bool {
	if _, err := netip.ParseAddr(host); err == nil {
		return true
	}
	return len(host) <= 253 && hostForm.MatchString(strings.ToLower(host))
}

func (n *Names) add(host string) {
	host = strings.TrimSuffix(strings.ToLower(host), ".")
	if a, err := netip.ParseAddr(host); err == nil {
		if a = a.Unmap().WithZone(""); !slices.Contains(n.Addresses, a) {
			n.Addresses = append(n.Addresses, a)
		}
		return
	}
	if IsName(host) && !slices.Contains(n.Hosts, host) {
		n.Hosts = append(n.Hosts, host)
	}
}

// within tells whether a name is another's or lies below it.
func within(host, above string) bool { return host == above || strings.HasSuffix(host, "."+above) }

// holds tells whether every name of another is there.
func (n Names) holds(o Names) bool {
	return !slices.ContainsFunc(o.Hosts, func(h string) bool { return !slices.Contains(n.Hosts, h) }) &&
		!slices.ContainsFunc(o.Addresses, func(a netip.Addr) bool { return !slices.Contains(n.Addresses, a) })
}

// words are all of them as people write them.
func (n Names) words() []string {
	list := slices.Clone(n.Hosts)
	for _, a := range n.Addresses {
		list = append(list, a.String())
	}
	return list
}
