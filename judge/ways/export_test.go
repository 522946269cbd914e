package ways

// LinearWorth is the expected worth of one reading with standard uncertainty u when one of two acts costs slope·θ and the other
// slope·even, by integration over readings or by drawn ones.
func LinearWorth(draws []float64, slope, even, u float64, drawn bool) float64 {
	c := &Case{Known: Posterior{Names: []string{"x"}}}
	for _, v := range draws {
		c.Known.Draws = append(c.Known.Draws, []float64{v})
	}
	k := &maker{c: c, features: make([][]float64, len(draws)), weight: c.Known.weights()}
	k.add(func(_, _ []float64) float64 { return 1 })
	x := k.add(func(v, _ []float64) float64 { return v[0] })
	act := func(f form) end { return end{tariff: func(*Case) tariff { return tariff{cost: f} }} }
	m := &model{c: c, weight: k.weight, features: k.features, now: k.now(), ends: []end{act(form{{x, slope}}), act(form{{one, slope * even}})}}
	l := look{ask: Remeasure{Reads: []Reading{{Of: "x", U: u}}}}
	if drawn {
		l.fill(m, l.draw(m))
	} else {
		l.fill(m, l.integrate(m, l.ask.Reads[0]))
	}
	o := m.offer(c)
	after, _ := m.lookCost(&l, o, m.policy(&l, o, ByCost))
	return o.at[m.pick(m.now, o, ByCost)].cost.of(m.now) - after
}

// AdviseUnruled is Advise for a mill without a decision rule.
func AdviseUnruled(c Case) (cost float64, worth []float64) {
	m := newModel(&c)
	for i := range m.ends {
		m.ends[i].asks = nil
	}
	o := m.offer(&c)
	r := m.rivals(o)
	best, _ := r.cheapest()
	now := o.at[m.pick(m.now, o, ByCost)].cost.of(m.now)
	for i := range m.looks {
		price, _ := m.looks[i].readingCost(&c)
		worth = append(worth, now+price-r.cost[len(m.ends)+i])
	}
	return r.cost[best], worth
}
