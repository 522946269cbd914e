// Package truth holds published values with their sources: figures to which the tests hold the computing.
//
// Each file names the publication its figures come from, and how sure they are: read in a stored text, or from memory and
// worked out again. The package does no computing and is imported by tests only; it carries no text of its sources.
package truth
