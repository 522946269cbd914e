package checked

import (
	"strconv"
	"sync"
	"testing"
)

// Many ask at once for few certificates: each is checked once and says the same to all. What is forgotten is checked anew.
func TestEachIsCheckedOnce(t *testing.T) {
	const files, visitors = 3, 8
	var c Certificates
	var asked [files][visitors]*Check
	var all sync.WaitGroup
	for f := range files {
		for v := range visitors {
			all.Go(func() {
				asked[f][v] = c.Of(strconv.Itoa(f), []byte(`{"no":"certificate"}`))
				if _, err := asked[f][v].Report(); err == nil {
					t.Error("what is no certificate holds")
				}
			})
		}
	}
	all.Wait()
	for f := range files {
		for v := range visitors {
			if asked[f][v] != asked[f][0] {
				t.Errorf("file %d is checked twice", f)
			}
		}
		select {
		case <-asked[f][0].Done():
		default:
			t.Error("a check that has ended is not done")
		}
	}
	if len(c.found) != files {
		t.Errorf("%d are remembered", len(c.found))
	}
	for i := range Most {
		c.Of("more "+strconv.Itoa(i), nil)
	}
	if len(c.found) > Most || c.Of("0", nil) == asked[0][0] {
		t.Errorf("%d are remembered, the first among them", len(c.found))
	}
}
