package sets_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/sets"
	"slatewright/trouble"
)

// TestQuestionsThatAreRefused: each as data that are wrong, with the piece, class or order that is meant.
func TestQuestionsThatAreRefused(t *testing.T) {
	many := func(q *sets.Question, orders int) {
		tight := q.Classes[0]
		tight.Name, tight.Limits.Step = "tight", 0.01
		q.Classes = []sets.Class{tight, {Name: "all", Limits: q.Classes[0].Limits}}
		for i := range orders {
			q.Orders = append(q.Orders, sets.Order{ID: fmt.Sprint("O", i), Sets: 1, Class: q.Classes[i%2].Name, Due: fmt.Sprintf("2026-%02d-%02d", 1+i/28, 1+i%28)})
		}
	}
	seen := 0
	for name, c := range map[string]struct {
		do    func(q *sets.Question)
		where string // "": it is taken
	}{
		"as it is":             {func(q *sets.Question) {}, ""},
		"thickness not known":  {func(q *sets.Question) { q.Pieces[1].Thickness = math.NaN() }, ""},
		"endless thickness":    {func(q *sets.Question) { q.Pieces[1].Thickness = math.Inf(-1) }, "centre 0"},
		"age no number":        {func(q *sets.Question) { q.Pieces[2].AgeDays = math.NaN() }, "foot 0"},
		"endless age":          {func(q *sets.Question) { q.Pieces[2].AgeDays = math.Inf(1) }, "foot 0"},
		"age below 0":          {func(q *sets.Question) { q.Pieces[2].AgeDays = -1 }, "foot 0"},
		"colour":               {func(q *sets.Question) { q.Pieces[0].Lab = &[3]float64{40, 1, -2} }, ""},
		"colour no number":     {func(q *sets.Question) { q.Pieces[0].Lab = &[3]float64{40, 1, math.NaN()} }, "head 0"},
		"endless colour":       {func(q *sets.Question) { q.Pieces[0].Lab = &[3]float64{math.Inf(1), 0, 0} }, "head 0"},
		"32 classes":           {func(q *sets.Question) { q.Classes = make32(q.Classes[0], 32) }, ""},
		"33 classes":           {func(q *sets.Question) { q.Classes = make32(q.Classes[0], 33) }, "classes"},
		"31 changes of class":  {func(q *sets.Question) { many(q, 32) }, ""},
		"32 changes, by stock": {func(q *sets.Question) { many(q, 33) }, "O32"},
		"39 changes":           {func(q *sets.Question) { many(q, 40) }, "O32"},
	} {
		q := counted(1, 1, 1)
		c.do(&q)
		p, err := sets.Match(q)
		if c.where == "" {
			if err != nil || len(p.Sets) != 1 {
				t.Errorf("%s: %v, %d sets", name, err, len(p.Sets))
			}
			continue
		}
		seen++
		if tr, ok := err.(*trouble.Trouble); !ok || tr.Kind != trouble.KindData || !strings.Contains(err.Error(), c.where) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if seen != 9 {
		t.Errorf("%d questions are refused", seen)
	}
}

// make32 are so many classes alike.
func make32(c sets.Class, n int) (list []sets.Class) {
	for i := range n {
		c.Name = fmt.Sprint("class ", i)
		list = append(list, c)
	}
	return list
}

// TestFreeLooksAtSoMany: what is not looked at is told, and nothing is made ready once it is to stop.
func TestFreeLooksAtSoMany(t *testing.T) {
	q := counted(200, 20, 40)
	racks, p := matched(t, q)
	told, tried := []string{}, 0
	f := sets.Freeing{Most: 3, Chain: 1, Note: func(warning string) { told = append(told, warning) }, Tell: func(done, of int) { tried = max(tried, of) }}
	n := 0
	f.Stop = func() bool { n++; return n > 3 }
	if _, err := racks.Free(p, f); err != nil || tried != sets.MostVariants {
		t.Errorf("%d changes are tried, %v", tried, err)
	}
	// four kinds of one more; each of 180 heads and 20 feet that are left over cut for two other places
	if want := fmt.Sprintf("first %d of %d changes", sets.MostVariants, 4+200*2); len(told) != 1 || !strings.Contains(told[0], want) {
		t.Errorf("%q, want %s", told, want)
	}
	f.Stop, f.Tell, told = func() bool { return true }, nil, nil
	if found, err := racks.Free(p, f); err != nil || len(found) != 0 || len(told) != 1 {
		t.Errorf("%v, %v, %q", found, err, told)
	}
	f.Note = nil
	if _, err := racks.Free(p, f); err != nil {
		t.Error(err)
	}
	small, plan := matched(t, counted(5, 3, 5))
	f = sets.Freeing{Most: 3, Chain: 1, Note: func(warning string) { t.Error(warning) }}
	if found, err := small.Free(plan, f); err != nil || len(found) == 0 {
		t.Errorf("%v, %v", found, err)
	}
}
