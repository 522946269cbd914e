// Package surfacing has the verbs about the surfacing machine: how much must come off a slab, in which passes, how its disc is balanced, and what the
// tracks on a face tell of it.
//
// It parses, asks the packages under surfacing, and shows; it computes nothing and reads no book.
package surfacing
