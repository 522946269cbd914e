package guillotine_test

import (
	"testing"

	"slatewright/cutting/guillotine"
	"slatewright/internal/truth"
)

func published(c truth.CuttingInstance) guillotine.Problem {
	p := guillotine.Problem{Length: c.Length, Width: c.Width}
	for _, it := range c.Items {
		p.Items = append(p.Items, guillotine.Item{Length: it.Length, Width: it.Width, Most: it.Most, Value: int64(it.Value)})
	}
	return p
}

// Every published optimum is reached and proven, with a plan that holds.
func TestPublishedOptima(t *testing.T) {
	list := truth.CuttingInstances()
	if len(list) != 14 {
		t.Fatalf("%d instances", len(list))
	}
	for _, c := range list {
		p := published(c)
		got, err := guillotine.Solve(p, guillotine.Limits{})
		if err != nil || got.Value != int64(c.Optimum) || !got.Proven || got.Bound != got.Value {
			t.Errorf("%s: %d of at most %d, proven %v, %v; published %d", c.Name, got.Value, got.Bound, got.Proven, err, c.Optimum)
		}
		if fault := holds(p, got); fault != "" {
			t.Errorf("%s: %s", c.Name, fault)
		}
		t.Logf("%s: %d, work %d", c.Name, got.Value, got.Work)
	}
}
