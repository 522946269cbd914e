// Package assignment gives the rows of a table columns of their own: [Best] so that the sum of whole worths is the most, with room for several rows in
// a column and rows that may stay without; [Least] so that every row has a column and the sum of costs is the least, with prices that prove it.
//
// It is exact, and meant for tables of a few hundred rows. It knows nothing of what rows and columns stand for; the same table gives the same answer.
package assignment
