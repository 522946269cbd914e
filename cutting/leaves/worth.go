package leaves

// Worth is what a millimetre less changes.
type Worth struct {
	Leaves int     // more of them
	Value  float64 // more, from one block
}

// Next is the change at which the plan gets better.
type Next struct {
	At     float64 // mm
	Leaves int
	Value  float64 // of the block then
}

// OneMillimetre is what 1 mm less allowance, or 1 mm less kerf, gives from one block. What is thinner than a millimetre already goes to 0.
func OneMillimetre(b Block, wants []Want, allowance float64) (stock, kerf Worth, err error) {
	now, err := Cut(b, wants, allowance)
	if err != nil {
		return stock, kerf, err
	}
	less, err := Cut(b, wants, max(0, allowance-1))
	if err != nil {
		return stock, kerf, err
	}
	b.Kerf = max(0, b.Kerf-1)
	thin, err := Cut(b, wants, allowance)
	if err != nil {
		return stock, kerf, err
	}
	return change(now, less), change(now, thin), nil
}

func change(now, then *Plan) Worth {
	return Worth{len(then.Leaves) - len(now.Leaves), then.Value - now.Value}
}

// NextStep is the largest allowance below the given one from which the block gives more value, to 0.01 mm; nil when not even 0 does. The value
// never falls when the allowance does, so halving finds it.
func NextStep(b Block, wants []Want, allowance float64) (*Next, error) {
	now, err := Cut(b, wants, allowance)
	if err != nil {
		return nil, err
	}
	best, err := Cut(b, wants, 0)
	if err != nil || best.Value <= now.Value {
		return nil, err
	}
	low, high := int64(0), micro(allowance)/10 // hundredths: more value at low; at high not, or high is the answer's next neighbour
	for high-low > 1 {
		mid := (low + high) / 2
		p, err := Cut(b, wants, float64(mid)/100)
		if err != nil {
			return nil, err
		}
		if p.Value > now.Value {
			low, best = mid, p
		} else {
			high = mid
		}
	}
	return &Next{float64(low) / 100, len(best.Leaves), best.Value}, nil
}
