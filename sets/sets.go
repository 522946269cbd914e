// Package sets finds which pieces of a stock belong together: three pieces make a set, no piece is used twice.
//
// A [Question] has the stock, classes, orders and wishes; [Match] answers it with a [Plan]: first as many sets as can be for each order, the most
// important order first, then as many as can be for stock, then the least cost, with a bound on what any plan could cost. [Racks] keep what was
// computed, and answer what an exchange would cost ([Racks.Exchanges], [Racks.Swap]) and what one more piece would free ([Racks.Free]). Pieces of
// different size never mix.
//
// The package does not judge and lays nothing up: what it says of a bed is foretold. It reads no files. What a bed of three pieces is, package
// sets/beds says; which threes to choose, sets/threes.
package sets
