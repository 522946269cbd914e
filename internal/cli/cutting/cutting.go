// Package cutting has the verbs about cutting: a quarry layer into blocks, a block into leaves, and what is lost on the way from rock to stone.
//
// It parses, asks the packages below cutting, and shows; it reckons nothing and reads no book.
package cutting

import "slatewright/measure"

// mm prints a length to a tenth of what a rule shows.
func mm(x float64) string { return measure.Decimal(x, 2) }
