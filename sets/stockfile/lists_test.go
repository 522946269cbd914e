package stockfile_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/sets"
	"slatewright/sets/stockfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

// wide is a specification's limits.
var wide = bed.Limits{Lengthwise: 0.5, Across: 0.25, Zone: 0.5, Step: 0.12}

func orders(text string) (stockfile.Orders, error) {
	list, err := sheet.Read("orders.csv", strings.NewReader(text))
	if err != nil {
		return stockfile.Orders{}, err
	}
	return stockfile.ReadOrders(list, wide)
}

func TestOrders(t *testing.T) {
	o, err := orders("id,size,class,sets,due,zone_mm,step_um\nO1,9 ft,match,2,2026-12-01,0.3,80\nO2,9 ft,,3,,,\nO3,9 ft,match,1,2026-11-30,,\n")
	if err != nil {
		t.Fatal(err)
	}
	want := []sets.Order{{ID: "O1", Size: "9 ft", Class: "match", Sets: 2, Due: "2026-12-01"}, {ID: "O2", Size: "9 ft", Class: "standard", Sets: 3}, {ID: "O3", Size: "9 ft", Class: "match", Sets: 1, Due: "2026-11-30"}}
	if !slices.Equal(o.Orders, want) {
		t.Errorf("%+v", o.Orders)
	}
	tight := wide
	tight.Zone, tight.Step = 0.3, 0.08
	if !slices.Equal(o.Classes, []sets.Class{{Name: "match", Limits: tight}, {Name: "standard", Limits: wide}}) {
		t.Errorf("%+v", o.Classes)
	}
	o, err = orders("id,sets,class,zone_mm,across_mm\nO1,1,loose,0.9,0.4\n")
	if err != nil || len(o.Classes) != 2 || o.Classes[1].Name != "loose" {
		t.Errorf("the looser class is last: %+v, %v", o.Classes, err)
	}
}

// A class may be tighter in one thing and looser in another: those with tighter steps stand first, whatever their zones.
func TestClassesThatCross(t *testing.T) {
	o, err := orders("id,sets,class,zone,step\nO1,1,even,0.2,0.3\nO2,1,smooth,0.9,0.1\n")
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, c := range o.Classes {
		names = append(names, c.Name)
	}
	if !slices.Equal(names, []string{"smooth", "standard", "even"}) {
		t.Errorf("%+v", o.Classes)
	}
}

func TestRefusedOrders(t *testing.T) {
	for text, want := range map[string][2]string{
		"id,sets\n":                                            {"no-rows", "orders.csv"},
		"id,size\nO,9\n":                                       {"columns", "orders.csv:1"},
		"id,sets\n,1\n":                                        {"no-id", "orders.csv:2"},
		"id,sets\nO,0\n":                                       {"bad-number", "orders.csv:2"},
		"id,sets\nO,2.5\n":                                     {"bad-number", "orders.csv:2"},
		"id,sets\nO,-1\n":                                      {"bad-number", "orders.csv:2"},
		"id,sets\nO,1\nO,2\n":                                  {"twice", "orders.csv:3"},
		"id,sets,due\nO,1,tomorrow\n":                          {"bad-date", "orders.csv:2"},
		"id,sets,class\nO,1,\nP,1,best\n":                      {"no-limits", "orders.csv:3"},
		"id,sets,class,zone\nO,1,best,0\n":                     {"bad-number", "orders.csv:2"},
		"id,sets,class,zone\nO,1,best,no\n":                    {"bad-number", "orders.csv:2"},
		"id,sets,class,zone\nO,1,best,0.2\nP,1,best,0.3\n":     {"two-limits", "orders.csv:3"},
		"id,sets,class,zone\nO,1,standard,0.2\n":               {"two-limits", "orders.csv:2"},
		"id,sets\n" + rows(40, "O%d,1"):                        {"too-many-orders", "orders.csv:33"},
		"id,sets,class,zone\nO,1,a,0.2\nP,1,b,\nQ,1,standard,": {"no-limits", "orders.csv:3"},
	} {
		_, err := orders(text)
		refused(t, fmt.Sprintf("%.60q", text), err, want[0], want[1])
	}
}

func TestHand(t *testing.T) {
	list, err := sheet.Read("keep.csv", strings.NewReader("keep,first,second,third\ntogether,P1,P2,\nApart,P3,P1\ntogether,P4,P5,P6\n"))
	if err != nil {
		t.Fatal(err)
	}
	h, err := stockfile.ReadHand(list)
	if err != nil {
		t.Fatal(err)
	}
	index := map[string]int{"P1": 10, "P2": 20, "P3": 30, "P4": 40, "P5": 50, "P6": 60}
	together, apart, err := h.Find(index)
	if err != nil || fmt.Sprint(together, apart) != "[[10 20] [40 50 60]] [[30 10]]" {
		t.Errorf("%v %v %v", together, apart, err)
	}
	delete(index, "P5")
	_, _, err = h.Find(index)
	refused(t, "a piece that is not there", err, "no-piece", "keep.csv:4")
	for text, code := range map[string]string{"beside,P1,P2,": "bad-word", "together,P1,,": "bad-group", "apart,P1,P2,P3": "bad-group", "apart,P1,P1,": "twice", "apart,,,": "bad-group"} {
		list, err := sheet.Read("keep.csv", strings.NewReader("keep,first,second,third\n"+text+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		_, err = stockfile.ReadHand(list)
		refused(t, text, err, code, "keep.csv:2")
	}
}

func TestBefore(t *testing.T) {
	got, err := stockfile.ReadBefore("plan.json", strings.NewReader(`{"file":"x","sets":[{"head":"P1","centre":"P2","foot":"P3","cost":1}]}`))
	if err != nil || !slices.Equal(got, [][3]string{{"P1", "P2", "P3"}}) {
		t.Errorf("%v, %v", got, err)
	}
	for text, where := range map[string]string{
		"": "plan.json:1", "[]": "plan.json:1", "{\n\"sets\": 3}": "plan.json:2", `{"sets":null}`: "plan.json:1", "{\n\n\"sets\": [}": "plan.json:3",
		`{"sets":[{"head":"A","centre":"B"}]}`:                                                 "plan.json:1",
		`{"sets":[{"head":"A","centre":"B","foot":"C"},{"head":"D","centre":"E","foot":"A"}]}`: "plan.json:1",
	} {
		_, err := stockfile.ReadBefore("plan.json", strings.NewReader(text))
		refused(t, text, err, "bad-plan", where)
	}
}

func FuzzLists(f *testing.F) {
	f.Add("id,size,class,sets,due,zone_mm\nO1,9 ft,match,2,2026-12-01,0.3\n")
	f.Add("keep,first,second,third\ntogether,P1,P2,\n")
	f.Add(`{"sets":[{"head":"P1","centre":"P2","foot":"P3"}]}`)
	f.Fuzz(func(t *testing.T, text string) {
		check := func(err error) {
			var told *trouble.Trouble
			if err != nil && (!errors.As(err, &told) || told.Code == "" || told.What == "" || told.Next == "") {
				t.Fatalf("no trouble: %v", err)
			}
		}
		o, err := orders(text)
		check(err)
		if err == nil && (len(o.Orders) == 0 || len(o.Classes) == 0) {
			t.Fatalf("%+v", o)
		}
		_, err = stockfile.ReadBefore("plan.json", strings.NewReader(text))
		check(err)
		if list, err := sheet.Read("keep.csv", strings.NewReader(text)); err == nil {
			_, err = stockfile.ReadHand(list)
			check(err)
		}
	})
}
