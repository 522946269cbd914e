// Package office holds the verbs of the mill's book: making and serving it, recording acts, asking where stone came from and
// where it went, taking it in and out as files, and checking it.
//
// A verb opens the book, asks one question of the packages inward and shows the answer. What may be done, by whom and when is
// decided by package book, who somebody is by package gate; nothing here decides either.
package office
