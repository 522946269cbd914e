package office

import (
	"fmt"
	"net/netip"

	"slatewright/trouble"
)

// proxiesOf reads the addresses of proxies, or of their networks. To trust every address would let anybody say where they come from.
func proxiesOf(words []string) (list []netip.Prefix, err error) {
	for _, word := range words {
		p, err := netip.ParsePrefix(word)
		if a, alone := netip.ParseAddr(word); alone == nil {
			a = a.Unmap().WithZone("")
			p, err = netip.PrefixFrom(a, a.BitLen()), nil
		}
		switch {
		case err != nil:
			return nil, trouble.Usage("bad-address", "--proxy", fmt.Sprintf("%q is no address", word), "give an address such as 10.0.0.1, or a network such as 10.0.0.0/8")
		case p.Bits() == 0:
			return nil, trouble.Usage("bad-address", "--proxy", fmt.Sprintf("%s is every address there is", word), "give that of the proxy")
		}
		list = append(list, p.Masked())
	}
	return list, nil
}
