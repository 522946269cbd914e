// Package office holds the verbs around the mill's book: making it, serving it, letting people and machines in, bringing lists in
// and everything out, backing it up, checking it, and the evidence that it gives for a verdict.
//
// A verb opens the book, asks one question of the packages inward and shows the answer. What may be done is decided by package
// book, who somebody is by package gate; nothing here decides either.
package office
