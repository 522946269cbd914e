package answers

import (
	"slatewright/measure"
	"slatewright/surfacing/disc"
	"slatewright/trouble"
)

// Vectors are the unbalance before and after.
func (b *Balance) Vectors() (before, after disc.Vector) { return b.started, b.left }

// warn says what stands beside the numbers: heights first.
func (b *Balance) warn(r *disc.Ring) {
	if n := len(b.Heights.Proud); n > 0 {
		var names []string
		most := 0.0
		for _, o := range b.Heights.Proud {
			names, most = append(names, o.Position), max(most, o.By)
		}
		b.warnf("%s proud of the ring's face by up to %s mm and would score the stone: %s", trouble.Count(n, "bit stands", "bits stand"), measure.Decimal(most, 2), named(names))
	}
	if n := len(b.Heights.Low); n > 0 {
		var names []string
		for _, o := range b.Heights.Low {
			names = append(names, o.Position)
		}
		b.warnf("%s below the ring's face until the others have worn down: %s", trouble.Count(n, "bit lies", "bits lie"), named(names))
	}
	if !b.Heights.Given {
		b.Warnings = append(b.Warnings, "the run-out of the seats is not given: a bit's own height is taken for how far it stands out")
	}
	var empty []string
	for p, bit := range r.Bits {
		if bit.Mass == 0 && !r.Places[p].Spare {
			empty = append(empty, r.Places[p].Name)
		}
	}
	if len(empty) > 0 {
		b.warnf("%s no bit: %s", trouble.Count(len(empty), "place holds", "places hold"), named(empty))
	}
	if r.Body == (disc.Vector{}) {
		b.Warnings = append(b.Warnings, "the bare disc is taken for balanced: where its own unbalance is known, write it as '# body: 120 g mm at 45 deg'")
	}
	if b.Couple.Matters {
		b.Warnings = append(b.Warnings, "each bearing feels more of the couple than a tenth of its share: one plane may not be enough here; have the disc balanced in two planes on a machine")
	}
	if b.Guard >= b.Permissible {
		b.Warnings = append(b.Warnings, "the errors of scale and places alone may be larger than what is permissible: weigh on a finer scale, or have the disc balanced on a machine")
	}
	if share := r.Uneven(); share > 0.01 {
		b.warnf("the places are not spread evenly: a scale that reads every bit too heavy by 1 g shifts the result by %s g mm", measure.Decimal(share*r.Reach(), 0))
	}
}

// next is what to do, in one sentence.
func (b *Balance) next() string {
	switch {
	case !b.Heights.Finishing && b.State == string(disc.Meets):
		return "Before a finishing pass dress the bits in to one height, or change the ring: balance does not help a face that is scored"
	case b.State == string(disc.Meets) && len(b.Swaps) == 0:
		return "Nothing has to change places"
	case b.State == string(disc.Meets) && b.Arranged:
		return "Put the bits in as the list says, run the disc behind its guard, and read the heights once more"
	case b.State == string(disc.Meets):
		return "Change the bits as the list says, run the disc behind its guard, and read the heights once more"
	case b.State == string(disc.CannotTell) && b.Guard >= b.Permissible:
		return "Weigh on a finer scale, or have the disc balanced on a machine"
	case b.State == string(disc.CannotTell):
		return "The result lies nearer to the limit than scale and places can tell: weigh more finely, or find bits that leave less"
	case b.Dressed != nil:
		return "Dress the bits in to one height and change them then, or change the ring: among bits of one height no exchange brings it back"
	}
	return "Change the ring, or find other bits: no exchange of these brings it back"
}
