package waiting

// Lateness is the probability that so many days in so many steps end after so many days.
func Lateness(days float64, steps int, left float64) float64 {
	now := at(0)
	return way{days, steps}.late(now, way{days: left}.end(now))
}

// Standing is what a set that stands loses.
const Standing = standing

// Forgetful is the same house without what the book has answered.
func (h *House) Forgetful() *House {
	again := *h
	again.answers = newMemory()
	return &again
}
