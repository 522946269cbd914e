package study

// Estimates are the variances of a study as sums of mean squares, none set to 0 and nothing pooled; and the interaction where every reading
// counts alike.
func (s *Study) Estimates() (variances map[string]float64, exact *Source) {
	list, exact := s.sources()
	variances = map[string]float64{}
	for _, f := range forms(ordered(list, nil)) {
		variances[f.name] = estimate(f.terms)
	}
	return variances, exact
}
