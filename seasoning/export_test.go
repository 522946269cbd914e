package seasoning

// One fits the plain account of a series, with one term or two, whatever it explains.
func One(s Series, two bool) *Fit {
	f := &Fit{}
	p := s.problem(false, nil, nil)
	a := p.weigh(hypothesis{two: two}, false)
	if !a.ok {
		return nil
	}
	var fit solved
	a.polish(&fit, close)
	f.settle(p, s, a, scale{variance: a.rss / float64(a.freedom)})
	return f
}
