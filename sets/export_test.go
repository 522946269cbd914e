package sets

// Priced is how many threes these racks have truly priced so far.
func (r *Racks) Priced() (n int) {
	for _, g := range r.groups {
		n += len(g.priced)
	}
	return n
}

// MostVariants is mostVariants.
const MostVariants = mostVariants
