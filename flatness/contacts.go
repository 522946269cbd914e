package flatness

import "slices"

// side is the contacts of one plane, as the points were given, not centred.
type side struct {
	at     []vector
	weight []float64
}

// sides parts the contacts.
func (s *sample) sides(b slab) (upper, lower side) {
	for _, c := range b.on {
		k := &lower
		if c.upper {
			k = &upper
		}
		k.at = append(k.at, s.of.at(s.index[c.i]))
		k.weight = append(k.weight, c.weight)
	}
	return upper, lower
}

// place fills in normal, kind and contacts.
func (z *Zone) place(s *sample, b slab) {
	n, turned := b.f.n.upward()
	z.Normal = n
	if z.Kind == "flat" {
		return
	}
	on := s.complete(b)
	for k := range on {
		on[k].upper = on[k].upper != turned
	}
	slices.SortFunc(on, func(a, b contact) int {
		switch {
		case a.upper && !b.upper:
			return -1
		case b.upper && !a.upper:
			return 1
		}
		return s.index[a.i] - s.index[b.i]
	})
	above := 0
	for _, c := range on {
		z.Contacts = append(z.Contacts, s.index[c.i])
		z.ContactUpper = append(z.ContactUpper, c.upper)
		if c.upper {
			above++
		}
	}
	z.Kind = kind(above, len(on)-above)
}

// kind says how many points hold each plane, the more first. A minimum of the zone is held by four (ISO 12781-1's contact
// criterion), and four were found in every set tried. Should rounding hide one of them, what is left is two lines of which one
// or both have shrunk to a point: 2-2.
func kind(above, below int) string {
	if max(above, below) == 3 {
		return "3-1"
	}
	return "2-2"
}

// complete returns the contacts, four if there are. The proof can rest on fewer (two points on one side and one between
// them on the other, say); then points that touch a plane as well are added, so that no side holds all.
func (s *sample) complete(b slab) []contact {
	on := slices.Clone(b.on)
	for len(on) < 4 {
		c, ok := s.nearest(b, on)
		if !ok {
			break
		}
		on = append(on, c)
	}
	return on
}

// nearest is the point that touches a plane best, other than those of on; a plane takes three.
func (s *sample) nearest(b slab, on []contact) (best contact, ok bool) {
	above := 0
	for _, c := range on {
		if c.upper {
			above++
		}
	}
	gap := s.rounding()
	for i, a := range s.at {
		if slices.ContainsFunc(on, func(c contact) bool { return s.index[c.i] == s.index[i] }) {
			continue
		}
		w := a.dot(b.f.n)
		if above < 3 && b.high-w < gap {
			best, gap, ok = contact{i: i, upper: true}, b.high-w, true
		}
		if len(on)-above < 3 && w-b.low < gap {
			best, gap, ok = contact{i: i}, w-b.low, true
		}
	}
	return best, ok
}
