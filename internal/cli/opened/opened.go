// Package opened is a mill's book as a verb of the command line opens it: which book is meant, to read beside others or to write,
// with its files; who it is that hands something in; and how a thing is found and an entry shown.
//
// It has no verbs, decides nothing, and closes what it opened.
package opened
