package orders_test

import (
	"errors"
	"testing"

	"slatewright/cutting/slab"
	"slatewright/cutting/slab/orders"
	"slatewright/cutting/slab/search"
	"slatewright/trouble"
)

func plain(w, h float64) *slab.Slab {
	return &slab.Slab{Outline: []slab.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}, Angles: []float64{0}}
}

func order(l, w float64, value int64, most, slabs int) orders.Order {
	return orders.Order{Types: []slab.Type{{Length: l, Width: w, Value: value, Most: most, Quarters: [4]bool{true, true, true, true}}}, Slabs: slabs}
}

func unlimited(int, int) search.Limits { return search.Limits{} }

// The small slab goes to the order that only it can serve well, though the large order would pay a little more for it.
func TestWhichSlabForWhichOrder(t *testing.T) {
	slabs := []*slab.Slab{plain(100, 50), plain(60, 50)}
	list := []orders.Order{order(50, 50, 40, -1, 1), order(60, 50, 39, 1, 1)}
	c, err := orders.Choose(slabs, list, unlimited)
	if err != nil || c.Value != 80+39 || c.Bound != c.Value || c.Order[0] != 0 || c.Order[1] != 1 {
		t.Errorf("%+v, %v", c, err)
	}
	list[0].Slabs = 2 // one order may take both
	list[1].Types[0].Value = 30
	if c, err = orders.Choose(slabs, list, unlimited); err != nil || c.Value != 120 || c.Order[1] != 0 {
		t.Errorf("%+v, %v", c, err)
	}
	list[0].Slabs, list[1].Slabs = 1, 0 // nobody takes the other
	if c, err = orders.Choose(slabs, list, unlimited); err != nil || c.Value != 80 || c.Order[1] != -1 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestNoPair(t *testing.T) {
	var told *trouble.Trouble
	if _, err := orders.Choose(nil, nil, unlimited); !errors.As(err, &told) || told.Kind != trouble.KindData {
		t.Error(err)
	}
	bad := plain(100, 50)
	bad.Kerf = -1
	if _, err := orders.Choose([]*slab.Slab{bad}, []orders.Order{order(1, 1, 1, 1, 1)}, unlimited); !errors.As(err, &told) {
		t.Error(err)
	}
}
