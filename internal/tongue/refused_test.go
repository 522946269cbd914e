package tongue

import (
	"strings"
	"testing"

	"slatewright/internal/web/problem"
)

// otherRefusals are the codes that no act and no store makes and that a person can meet on a page all the same.
const otherRefusals = `bad-time bad-value bad-entry-id nothing-described not-signed-in wrong-passphrase wrong-pin weak-passphrase bad-pin bad-role
	name-taken too-many cross-origin not-held no-such-path no-such-job too-slow busy own-fault bad-kind`

func TestEveryRefusalHasItsHead(t *testing.T) {
	c, known := all(t)[English], map[string]bool{}
	codes := append(append(problem.OfActs(), problem.OfStore(true)...), strings.Fields(otherRefusals)...)
	if len(codes) < 100 {
		t.Fatalf("only %d codes", len(codes))
	}
	for _, code := range codes {
		known["refused."+code] = true
		if _, there := c["refused."+code]; !there {
			t.Errorf("refused.%s is missing", code)
		}
	}
	for key := range c {
		if group(key) == "refused" && !known[key] {
			t.Errorf("nothing is refused with %s", key)
		}
	}
}
