package matching

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"slatewright/internal/measured"
	"slatewright/internal/waiting"
	"slatewright/internal/web/pagetest"
	"slatewright/sets"
)

// noting is a reckoner that does not look at everything.
type noting struct{ reckoner }

func (n noting) Free(p sets.Plan, f sets.Freeing) ([]sets.Freed, error) {
	f.Note("what one more would free is looked at for the first 160 of 243 changes that could be made")
	return n.reckoner.Free(p, f)
}

// smaller is the queue of a mill that makes another size of bed.
type smaller struct{ Queue }

func (s smaller) Racks(now time.Time) []waiting.Rack {
	list := s.Queue.Racks(now)
	for i := range list {
		list[i].Size = "8 ft"
	}
	return list
}

// What is not looked at is said beside what would free sets; and a bed whose limits the book does not keep says whose were used.
func TestWhatTheRacksDoNotKnowIsSaid(t *testing.T) {
	frame, err := own.Frame()
	if err != nil {
		t.Fatal(err)
	}
	if err := frame.Pages("matching", pages, "pages"); err != nil {
		t.Fatal(err)
	}
	other := http.NewServeMux()
	lay := func(q sets.Question) (reckoner, error) {
		r, err := lay(q)
		return noting{r}, err
	}
	newRoom(measured.New(own.Files, measured.Options{}), smaller{queue}, lay).add(frame, other)
	text := pagetest.Text(settled(t, own.SignIn(t, other, "visitor-1"), at+"?free=yes"))
	for _, must := range []string{"the first 160 of 243 changes", "no limits of its own for this size of bed (8 ft)"} {
		if !strings.Contains(text, must) {
			t.Errorf("the page does not say %q: %.3000s", must, text)
		}
	}
	usual := pagetest.Text(settled(t, own.SignIn(t, mux, "visitor-1"), at+"?free=yes"))
	for _, never := range []string{"160 of 243", "no limits of its own"} {
		if strings.Contains(usual, never) {
			t.Errorf("the usual page says %q", never)
		}
	}
}

// What is done several times one after another stands once.
func TestInTurn(t *testing.T) {
	if said := inTurn([]string{"grind A", "one more", "one more", "cut B"}); said != "grind A · 2 × one more · cut B" {
		t.Error(said)
	}
	if said := inTurn(nil); said != "" {
		t.Error(said)
	}
}
