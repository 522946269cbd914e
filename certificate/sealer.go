package certificate

// sealer turns numbers into sealed ones and keeps the first fault.
type sealer struct{ err error }

func sealed[P places](s *sealer, x float64) Decimal[P] {
	d, err := decimalOf[P](x)
	if s.err == nil {
		s.err = err
	}
	return d
}

func (s *sealer) mm(x float64) Length          { return sealed[inNanometres](s, x) }
func (s *sealer) slope(x float64) Angle        { return sealed[inNanoradians](s, x) }
func (s *sealer) amount(x float64) Amount      { return sealed[inThousandths](s, x) }
func (s *sealer) share(x float64) Share        { return sealed[inMillionths](s, x) }
func (s *sealer) chance(x float64) Probability { return sealed[inMyriads](s, x) }
func (s *sealer) pair(x, y float64) Position   { return Position{s.mm(x), s.mm(y)} }

func (s *sealer) list(x []float64) List[Length] {
	var out List[Length]
	for _, v := range x {
		out = append(out, s.mm(v))
	}
	return out
}
