package marks

import "slatewright/bed"

// lies names pieces whose mark was seen at another corner than its own.
func (c *checking) lies() {
	var wrong []int
	kinds := map[FaultKind]int{}
	for p, i := range c.seats {
		if i < 0 || c.reads[i].Seen == NotSeen {
			continue
		}
		kind := c.reads[i].lies(bed.Place(p))
		if kind == "" {
			continue
		}
		wrong = append(wrong, i)
		if kind == SwappedEnds {
			kinds[MirroredEnd]++
		} else {
			kinds[kind]++
		}
	}
	for kind, as := range map[FaultKind]FaultKind{Turned: AllTurned, MirroredSide: AllMirrored, MirroredEnd: AllMirrored} {
		if kinds[kind] == three {
			for _, i := range wrong {
				c.reads[i].Wrong = true
			}
			c.found = append(c.found, Fault{Kind: as, Set: c.set, Place: NoPlace})
			return
		}
	}
	for _, i := range wrong {
		c.fault(i, Fault{Kind: c.reads[i].lies(c.reads[i].Place), Set: c.set})
	}
}

// lies says how a piece lies by the corner at which its mark was seen; "" right.
func (r Reading) lies(at bed.Place) FaultKind {
	var own Corner
	switch {
	case r.Kind == IsMark:
		own = r.Mark.Corner()
	case at == bed.Head:
		own = NearLeft
	case at == bed.Foot:
		own = FarLeft
	case r.Seen == FarLeft || r.Seen == NearLeft:
		return "" // either of the centre's marks
	default:
		return CornerNeedsCode
	}
	switch kind := Between(own, r.Seen); {
	case kind == MirroredEnd && at == bed.Centre:
		return SwappedEnds
	default:
		return kind
	}
}

// Between is what makes of one corner another: nothing (""), half a turn, or one of the two mirrors.
func Between(own, seen Corner) FaultKind {
	ownFar, ownLeft := own.at()
	far, left := seen.at()
	switch {
	case ownFar == far && ownLeft == left:
		return ""
	case ownFar == far:
		return MirroredSide
	case ownLeft == left:
		return MirroredEnd
	}
	return Turned
}

func (c Corner) at() (far, left bool) {
	return c == FarLeft || c == FarRight, c == FarLeft || c == NearLeft
}
