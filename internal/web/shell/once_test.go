package shell

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"testing"
	"testing/synctest"
	"time"

	"slatewright/internal/tongue"
	"slatewright/trouble"
)

// What was worked out is worked out once: in whatever language it is told and whatever is taken away from it, until something else is given.
func TestWhatIsGivenIsWorkedOutOnce(t *testing.T) {
	s := &Shell{Config: Config{Answers: NewAnswers()}}
	defer s.Answers.Close()
	ask := func(l tongue.Language, u tongue.Units, list List, plain url.Values) Asked {
		return Asked{Visit: &Visit{Shell: s, Words: tongue.In(l, u), R: httptest.NewRequest(http.MethodGet, "/", nil)},
			Lists: Lists{Lists: map[string]List{"list": list}, Plain: plain}, ctx: t.Context()}
	}
	list := List{Name: "a.csv", Text: "1,2"}
	times := 0
	for _, c := range []struct {
		what string
		a    Asked
		name string
		want int
	}{
		{"asked", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"3"}}), "q", 1},
		{"in another language", ask(tongue.Chinese, tongue.Metric, list, url.Values{"limit": {"3"}}), "q", 1},
		{"taken away", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"3"}, "as": {"json"}}), "q", 1},
		{"taken away with its steps", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"3"}, "as": {"json"}, "work": {"7"}}), "q", 1},
		{"another question", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"3"}}), "r", 2},
		{"3 thou", ask(tongue.English, tongue.Inch, list, url.Values{"limit": {"3"}}), "q", 3},
		{"another limit", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"4"}}), "q", 4},
		{"another file", ask(tongue.English, tongue.Metric, List{"b.csv", list.Text}, url.Values{"limit": {"3"}}), "q", 5},
		{"another list", ask(tongue.English, tongue.Metric, List{"a.csv", "1,3"}, url.Values{"limit": {"3"}}), "q", 6},
		{"asked again", ask(tongue.Italian, tongue.Metric, list, url.Values{"limit": {"3"}}), "q", 6},
		{"by steps first", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"5"}, "as": {"json"}, "work": {"7"}}), "q", 7},
		{"and then in full", ask(tongue.English, tongue.Metric, list, url.Values{"limit": {"5"}}), "q", 8},
	} {
		if _, err := Once(c.a, c.name, func(func() bool) (int, error) { times++; return times, nil }); err != nil || times != c.want {
			t.Errorf("%s: worked out %d times, want %d (%v)", c.what, times, c.want, err)
		}
	}
}

// What time cut short is answered and not kept, and neither is that it could not be answered in time.
func TestWhatIsCutShortIsNotKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &Shell{Config: Config{Answers: NewAnswers()}}
		defer s.Answers.Close()
		times := 0
		ask := func(within time.Duration, err error) (int, error) {
			ctx, end := context.WithTimeout(t.Context(), within)
			defer end()
			a := Asked{Visit: &Visit{Shell: s, R: httptest.NewRequest(http.MethodGet, "/", nil)}, ctx: ctx}
			return Once(a, "q", func(stop func() bool) (int, error) {
				times++
				for began := time.Now(); !stop() && time.Since(began) < time.Minute; {
					time.Sleep(time.Second)
				}
				return times, err
			})
		}
		late := trouble.Data("late", "", "it took too long", "give it more time")
		if _, err := ask(2*time.Second, late); !errors.Is(err, late) {
			t.Errorf("%v", err)
		}
		for n, c := range []struct {
			within time.Duration
			want   int
		}{{time.Second, 2}, {2 * time.Minute, 3}, {2 * time.Minute, 3}, {time.Second, 3}} {
			if got, err := ask(c.within, nil); got != c.want || err != nil {
				t.Errorf("%d: %d, %v", n, got, err)
			}
		}
	})
}
