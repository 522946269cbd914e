// Package answers is what questions about readings along lines are answered with: the level walk, and the straightedge with feeler
// strips. The command line and the pages give the same answer with the same keys.
//
// It computes nothing of its own: the fit and the bounds are those of traverse/levels and traverse/feelers. It reads no file, and prints
// nothing for people.
package answers
