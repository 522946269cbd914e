package answers_test

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/sets"
	"slatewright/sets/stockfile"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Any small list is answered, with every piece once and nothing that JSON cannot say, or refused by name.
func FuzzAnswer(f *testing.F) {
	f.Add("id,place,thickness_mm,layer\nA,any,44,n\nB,head,44.2,s\nC,foot,44.1,n\nD,centre,43,s\n")
	f.Add("id,place,pockets,turn,ready,size\nA,head,cut,,2999-01-01,9\nB,head,cut,fixed,,9\nC,centre,cut,,,9\nD,foot,,,,8\n")
	f.Add("id,place,bow_along_mm,bow_across_mm,twist_mm\nA,any,0.1,0,0\nB,any,-0.1,0.02,0.3\nC,any,50,-50,50\nD,any,0,0,0\n")
	f.Fuzz(func(t *testing.T, text string) {
		list, err := sheet.Read("stock.csv", strings.NewReader(text))
		if err != nil || len(list.Rows) > 7 {
			return
		}
		s, err := stockfile.Read(list, stockfile.Terms{Spec: bed.NineFoot(), Sized: true, Today: "2026-11-25"})
		if err != nil {
			return // its own fuzzing looks at that
		}
		a := ask(s)
		a.Elastic, a.Judged, a.Exchanges, a.Freeing = true, true, 1, sets.Freeing{Zone: 0.1, CleanUp: 0.1, Most: 3, Chain: 1}
		m, err := a.Answer()
		if err != nil {
			var told *trouble.Trouble
			if !errors.As(err, &told) || told.Kind == trouble.KindOwn {
				t.Fatalf("no trouble of the list: %v", err)
			}
			return
		}
		if _, err := json.Marshal(m); err != nil {
			t.Fatal(err)
		}
		seen := slices.Clone(m.Unused)
		for _, set := range m.Sets {
			seen = append(seen, set.Head, set.Centre, set.Foot)
		}
		slices.Sort(seen)
		if len(seen) != len(s.Pieces) || len(slices.Compact(seen)) != len(s.Pieces) || m.Bound > m.Cost+1e-9 {
			t.Fatalf("%d of %d pieces, cost %g, bound %g", len(seen), len(s.Pieces), m.Cost, m.Bound)
		}
	})
}
