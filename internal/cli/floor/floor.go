// Package floor holds the verbs for the mill's daily use of its book: writing down what was done, and asking what stands where, where
// it came from, where it went, and which piece it may be.
//
// A verb asks one question of the book and shows the answer. What may follow what is decided by package book.
// It decides nothing and keeps nothing.
package floor
