package paper

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/search"
	"slatewright/cutting/slab/slabfile"
	"slatewright/internal/picture/cutplan"
	"slatewright/internal/tongue"
)

// specimenOrder is the handbook's slab, planned in so many steps that every machine plans it alike.
func specimenOrder(t *testing.T) SawingOrder {
	t.Helper()
	text, err := os.Open("../../docs/examples/slab/slab.json")
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	q, err := slabfile.Read("slab.json", text, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := q.Slabs[0]
	p, err := search.Solve(s, search.Limits{Work: 2_000_000})
	if err != nil {
		t.Fatal(err)
	}
	order, err := sawing.Of(s, p)
	if err != nil || len(order.Rows) < 5 {
		t.Fatalf("%d cuts, %v", len(order.Rows), err)
	}
	o := SawingOrder{Mark: "invented data", Mill: "Quern Hollow", Program: "slatewright", Sheet: sawing.Sheet{Name: s.Name, Day: "2026-11-26", Worth: "3 pieces, worth 460; no other way of sawing is worth more than 500.",
		Slab: s, Plan: p, Order: order, SlabKg: 580, Warnings: []string{"the kerf of 4.5 mm is planned as 5 mm: places stand on a grid of 1 mm"}}}
	for range p.Pieces {
		o.PieceKg = append(o.PieceKg, 145)
	}
	return o
}

// The sheet has every piece, and every cut with what its row says; the masses are those that were given.
func TestTheSheetAtTheSaw(t *testing.T) {
	o := specimenOrder(t)
	for _, w := range []tongue.Words{tongue.In(tongue.English, tongue.Metric), tongue.In(tongue.Italian, tongue.Inch)} {
		text := raw(t, printIn(t, o, Form{Words: w}))
		want := []string{"invented data", "Quern Hollow", o.Name, o.Worth, w.Mass(580), w.Say("sawing.note", "unit", map[tongue.Units]string{tongue.Metric: "mm", tongue.Inch: "in"}[w.Units()]), o.Warnings[0]}
		for _, l := range cutplan.Lines(w, o.Slab, o.Plan, o.Order) {
			want = append(want, l.Way, l.Fence, l.From, l.Setting, l.In, l.Out, l.Falls[0], l.Falls[1])
		}
		for _, q := range o.Plan.Pieces {
			want = append(want, cutplan.Sides(w, q.Along, q.Across))
		}
		if m := lacks(text, want...); len(m) > 0 {
			t.Errorf("in %s the sheet lacks %q in\n%s", w.Language(), m, text)
		}
	}
	a, b := printOut(t, o, A4), printOut(t, o, A4)
	if !bytes.Equal(a.data, b.data) {
		t.Error("the sheet differs from itself")
	}
}

// Many cuts go on over pages, each with its heads.
func TestALongOrder(t *testing.T) {
	o := specimenOrder(t)
	rows, cuts := o.Order.Rows, o.Plan.Cuts
	for range 8 {
		o.Order.Rows, o.Plan.Cuts = append(o.Order.Rows, rows...), append(o.Plan.Cuts, cuts...)
	}
	p := printOut(t, o, A4)
	if len(p.pages) < 3 {
		t.Fatalf("%d pages", len(p.pages))
	}
	for i, page := range p.pages[1 : len(p.pages)-1] {
		if !strings.Contains(page, "what falls") {
			t.Errorf("page %d has no heads", i+2)
		}
	}
}

func TestNoOrder(t *testing.T) {
	o := specimenOrder(t)
	none := o
	none.Plan, none.Order, none.PieceKg, none.Worth = &slab.Plan{}, &sawing.Order{}, nil, "Nothing fits."
	if text := raw(t, printOut(t, none, A4)); len(lacks(text, "Nothing fits.", "B7-2")) > 0 || strings.Contains(text, "what falls") {
		t.Errorf("a slab of which nothing is cut: %s", text)
	}
	for name, spoil := range map[string]func(*SawingOrder){
		"no plan":         func(o *SawingOrder) { o.Plan = nil },
		"another's plan":  func(o *SawingOrder) { o.Plan = &slab.Plan{} },
		"another's order": func(o *SawingOrder) { o.Order = &sawing.Order{} },
		"masses missing":  func(o *SawingOrder) { o.PieceKg = o.PieceKg[:1] },
		"no such day":     func(o *SawingOrder) { o.Day = "yesterday" },
	} {
		bad := o
		spoil(&bad)
		if err := bad.PDF(&bytes.Buffer{}, Form{}); err == nil {
			t.Errorf("%s: printed", name)
		}
	}
}
