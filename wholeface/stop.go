package wholeface

// Purpose is what an answer is for.
type Purpose int

const (
	Certify Purpose = iota // a promise to a customer
	Process                // a decision inside the mill
)

// Stop rule: reading may stop early for a no, or in process. A certificate is never given short of the agreed grid.
const (
	StopNo  = 0.02 // probability of conformance at or below which reading may stop with a no
	StopYes = 0.98 // in process: at or above which reading may stop with a yes
)

// MayStop tells whether reading may stop, and why or why not. P is the probability of conformance, agreed the number of readings
// on the agreed grid.
func (a Answer) MayStop(p float64, agreed int, purpose Purpose) (stop bool, why string) {
	switch {
	case a.Readings >= agreed:
		return true, "the agreed grid is read"
	case !a.Calibrated:
		return false, "without a correction learned from scans for this number of readings an early stop is not calibrated"
	case p <= StopNo:
		return true, "it is as good as certain that the face does not conform"
	case purpose == Certify:
		return false, "a certificate needs the agreed grid"
	case p >= StopYes:
		return true, "in process: it is as good as certain that the face conforms"
	}
	return false, "both answers are still possible"
}
