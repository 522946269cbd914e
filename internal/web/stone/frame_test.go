package stone_test

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
)

// The bed on its frame: packs in the order of work, the same numbers as JSON, and what cannot be read stays in its field.
func TestABedOnItsFrame(t *testing.T) {
	page := text(own.page(t, "/set/QH-S105/frame", "en", "mm"))
	at := 0
	for _, want := range []string{"How is set QH-S105 laid on its frame?", "1. Lay the centre piece", "2. Lay the head piece", "3. Lay the foot piece", "Ask again", "Stone can break or tip under a test load"} {
		i := strings.Index(page[at:], want)
		if i < 0 {
			t.Fatalf("%q is not there, or not in this order: %s", want, page)
		}
		at += i
	}
	whole := own.page(t, "/set/QH-S105/frame", "en", "mm")
	if _, plan, ok := strings.Cut(whole, `<svg class="bedplan"`); !ok || strings.Count(plan, "<circle") != 18 || !strings.Contains(plan, "height in mm") {
		t.Errorf("the packs' places are not drawn: %t, %d", ok, strings.Count(plan, "<circle"))
	}
	if inch := own.page(t, "/set/QH-S105/frame", "en", "inch"); !strings.Contains(inch, "height in thou") {
		t.Error("who reads thousandths reads the packs in mm")
	}
	w := own.get(t, "visitor-1", "/set/QH-S105/frame?as=json")
	var got struct {
		Share float64          `json:"share"`
		Shims []map[string]any `json:"shims"`
	}
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || got.Share <= 0 || len(got.Shims) != 18 {
		t.Errorf("%d shims, share %v, %v: %.300s", len(got.Shims), got.Share, err, w.Body)
	}
	wrong := own.get(t, "visitor-1", "/set/QH-S105/frame?modulus=52+parrots&screws=300N")
	if wrong.Code != http.StatusUnprocessableEntity && wrong.Code != http.StatusBadRequest || !strings.Contains(wrong.Body.String(), `value="52 parrots"`) || !strings.Contains(wrong.Body.String(), `value="300N"`) {
		t.Errorf("%d: what was typed is gone: %s", wrong.Code, text(wrong.Body.String()))
	}
	if w := own.get(t, "visitor-1", "/set/QH-S105/frame?frame=oak"); w.Code < 400 {
		t.Errorf("a frame that is not known: %d", w.Code)
	}
}
