package matching

import (
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"slatewright/internal/web/shell"
	"slatewright/measure"
	"slatewright/sets"
)

// wish is what was tapped: it stands in the page's address, so that every page of the racks can be opened again, and works without scripts.
type wish struct {
	Size  string     // of bed; "": the first that there is
	Keep  [][]string // two or three pieces each that stay together
	Apart [][]string // two pieces each that never lie in one bed
	Piece string     // that was tapped; "": none
	With  string     // the piece that may take its place; "": the best few are looked for
	Long  bool       // look longer
	Free  bool       // say what one more would free
	All   bool       // show every set, also those that nobody waits for
	Costs sets.Weights
}

const (
	mostWishes = 40 // groups that are kept together, and pairs that are kept apart
	mostWeight = 1000.0
)

// wishOf reads an address. What makes no sense in it is left out.
func wishOf(q url.Values) wish {
	w := wish{Size: q.Get("size"), Piece: strings.TrimSpace(q.Get("piece")), With: strings.TrimSpace(q.Get("with")), Long: q.Get("long") != "", Free: q.Get("free") != "",
		All: q.Get("all") != "", Costs: sets.DefaultWeights()}
	for _, list := range q["keep"] {
		if ids := shell.Chosen(list); (len(ids) == 2 || len(ids) == 3) && len(w.Keep) < mostWishes && distinct(ids) {
			w = w.keeping(ids)
		}
	}
	for _, list := range q["apart"] {
		if ids := shell.Chosen(list); len(ids) == 2 && len(w.Apart) < mostWishes && distinct(ids) {
			w.Apart = append(w.Apart, ids)
		}
	}
	for name, to := range w.weights() {
		if x, err := measure.ParseNumber(q.Get(name)); err == nil && x >= 0 && x <= mostWeight {
			*to = x
		}
	}
	return w
}

// distinct tells whether no piece stands in a list twice.
func distinct(ids []string) bool {
	for i, id := range ids {
		if slices.Contains(ids[:i], id) {
			return false
		}
	}
	return true
}

// weights are the names under which what counts stands in an address.
func (w *wish) weights() map[string]*float64 {
	return map[string]*float64{"w-step": &w.Costs.Step, "w-zone": &w.Costs.Zone, "w-spread": &w.Costs.Spread, "w-layer": &w.Costs.Layer, "w-age": &w.Costs.Age, "w-change": &w.Costs.Change}
}

// path is the address of a wish.
func (w wish) path() string {
	q := url.Values{}
	set := func(name, value string) {
		if value != "" {
			q.Set(name, value)
		}
	}
	set("size", w.Size)
	set("piece", w.Piece)
	set("with", w.With)
	for _, ids := range w.Keep {
		q.Add("keep", strings.Join(ids, ","))
	}
	for _, ids := range w.Apart {
		q.Add("apart", strings.Join(ids, ","))
	}
	for name, on := range map[string]bool{"long": w.Long, "free": w.Free, "all": w.All} {
		if on {
			q.Set(name, "yes")
		}
	}
	usual := wish{Costs: sets.DefaultWeights()}
	before := usual.weights()
	for name, x := range w.weights() {
		if *x != *before[name] {
			q.Set(name, strconv.FormatFloat(*x, 'g', -1, 64))
		}
	}
	if len(q) == 0 {
		return at
	}
	return at + "?" + q.Encode()
}

// keeping is the wish with a group kept together: other groups with one of its pieces are let go.
func (w wish) keeping(ids []string) wish {
	w.Keep = append(slices.DeleteFunc(slices.Clone(w.Keep), func(o []string) bool { return share(o, ids) > 0 }), slices.Clone(ids))
	w.Apart = slices.DeleteFunc(slices.Clone(w.Apart), func(o []string) bool { return share(o, ids) == 2 })
	return w
}

// parting is the wish with two pieces kept apart: a group that holds both is let go.
func (w wish) parting(a, b string) wish {
	pair := []string{a, b}
	w.Keep = slices.DeleteFunc(slices.Clone(w.Keep), func(o []string) bool { return share(o, pair) == 2 })
	w.Apart = append(slices.DeleteFunc(slices.Clone(w.Apart), func(o []string) bool { return share(o, pair) == 2 }), pair)
	return w
}

// letting is the wish without a group that is kept together, or a pair that is kept apart.
func (w wish) letting(ids []string) wish {
	same := func(o []string) bool { return len(o) == len(ids) && share(o, ids) == len(ids) }
	w.Keep = slices.DeleteFunc(slices.Clone(w.Keep), same)
	w.Apart = slices.DeleteFunc(slices.Clone(w.Apart), same)
	return w
}

// tapping is the wish with a piece tapped; "" is none.
func (w wish) tapping(id string) wish {
	w.Piece, w.With = id, ""
	return w
}

// kept tells whether a group is kept together as it is.
func (w wish) kept(ids []string) bool {
	return slices.ContainsFunc(w.Keep, func(o []string) bool { return len(o) == len(ids) && share(o, ids) == len(ids) })
}

// share is how many pieces stand in both lists.
func share(a, b []string) (n int) {
	for _, id := range a {
		if slices.Contains(b, id) {
			n++
		}
	}
	return n
}

// fields are the hidden fields of a form that leads to a wish.
func (w wish) fields() (list []field) {
	u, err := url.Parse(w.path())
	if err != nil {
		return nil
	}
	q := u.Query()
	for _, name := range slices.Sorted(maps.Keys(q)) {
		for _, value := range q[name] {
			list = append(list, field{name, value})
		}
	}
	return list
}
