package office

import (
	"fmt"
	"testing"
)

func TestProxies(t *testing.T) {
	got, err := proxiesOf([]string{"10.0.0.1", "10.1.2.3/8", "::ffff:192.0.2.1", "2001:db8::1", "fe80::1%eth0"})
	if want := "[10.0.0.1/32 10.0.0.0/8 192.0.2.1/32 2001:db8::1/128 fe80::1/128]"; err != nil || fmt.Sprint(got) != want {
		t.Errorf("%v, %v", got, err)
	}
	for _, word := range []string{"", "proxy.mill", "10.0.0.1:80", "10.0.0.0/33", "0.0.0.0/0", "::/0", "10.0.0.0/8,10.0.0.1"} {
		if got, err := proxiesOf([]string{"10.0.0.1", word}); err == nil {
			t.Errorf("%q is taken for %v", word, got)
		}
	}
}
