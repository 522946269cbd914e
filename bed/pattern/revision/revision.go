// Package revision says what changed between two revisions of a bed's pattern: features that are new, gone, moved or made otherwise,
// and what is promised otherwise.
//
// Features are the same where they have the same name; a feature whose name is new and whose place is that of one that is gone was
// renamed. The package does not say whether a change is right, and it does not see comments, names of sums or the order of a file:
// only what is worked out of it.
package revision

import (
	"math"

	"slatewright/bed/pattern"
)

// What happened to a feature.
const (
	Added   = "added"
	Removed = "removed"
	Moved   = "moved"
	Renamed = "renamed"
	Changed = "changed"
)

// Difference is one thing that differs. Lengths in mm, in the bed frame.
type Difference struct {
	What    string  `json:"what"`             // a word above
	Of      string  `json:"of"`               // bed, piece, support, pocket, hole, joint, dowel or strip
	Feature string  `json:"feature"`          // its name
	Key     string  `json:"key,omitempty"`    // of what is changed: the file's key
	Before  string  `json:"before,omitempty"` // the value, or the name where it was renamed
	After   string  `json:"after,omitempty"`
	DX      float64 `json:"dx_mm,omitempty"` // of what was moved
	DY      float64 `json:"dy_mm,omitempty"`
	By      float64 `json:"by_mm,omitempty"` // how far

	Base    string `json:"-"` // what the feature has in common with its likes under the symmetry
	WasBase string `json:"-"` // the same of its former name, where it was renamed
}

// still is how far a feature may seem to move by rounding, mm.
const still = 1e-6

// Compare lists what differs, in the order of a pattern: the bed, its pieces, supports, pockets, holes, joints, dowels and strips.
func Compare(before, after pattern.Pattern) []Difference {
	a, b := features(before), features(after)
	var list []Difference
	gone := map[int]bool{}
	inA := byName(a)
	inB := byName(b)
	for i, f := range a {
		if _, ok := inB[f.key()]; !ok {
			gone[i] = true
		}
	}
	for _, f := range b {
		if i, ok := inA[f.key()]; ok {
			list = append(list, f.since(a[i])...)
			continue
		}
		if i := f.renamedFrom(a, gone); i >= 0 {
			delete(gone, i)
			list = append(list, Difference{What: Renamed, Of: f.of, Feature: f.name, Before: a[i].name, After: f.name, Base: f.base, WasBase: a[i].base})
			list = append(list, f.since(a[i])...)
			continue
		}
		list = append(list, Difference{What: Added, Of: f.of, Feature: f.name, Base: f.base})
	}
	for i, f := range a {
		if gone[i] {
			list = append(list, Difference{What: Removed, Of: f.of, Feature: f.name, Base: f.base})
		}
	}
	return list
}

func byName(list []feature) map[[2]string]int {
	at := make(map[[2]string]int, len(list))
	for i, f := range list {
		at[f.key()] = i
	}
	return at
}

func (f feature) key() [2]string { return [2]string{f.of, f.name} }

// renamedFrom finds what stood in the feature's place and is gone by its name; −1 where nothing did.
func (f feature) renamedFrom(a []feature, gone map[int]bool) int {
	if !f.placed {
		return -1
	}
	for i, o := range a {
		if gone[i] && o.of == f.of && math.Hypot(o.x-f.x, o.y-f.y) <= still {
			return i
		}
	}
	return -1
}

// since is what differs between a feature and what it was.
func (f feature) since(o feature) (list []Difference) {
	if by := math.Hypot(f.x-o.x, f.y-o.y); by > still {
		list = append(list, Difference{What: Moved, Of: f.of, Feature: f.name, DX: f.x - o.x, DY: f.y - o.y, By: by, Base: f.base})
	}
	was := map[string]string{}
	for _, p := range o.says {
		was[p.key] = p.value
	}
	for _, p := range f.says {
		if was[p.key] != p.value {
			list = append(list, Difference{What: Changed, Of: f.of, Feature: f.name, Key: p.key, Before: was[p.key], After: p.value, Base: f.base})
		}
	}
	return list
}
