package bed

// The decision rules.
const (
	// RuleSimple accepts what measures within the limit. A bed that measures just at it is as likely bad as good.
	RuleSimple = "simple"
	// RuleISO14253 takes from the limit what a supplier has to prove: ISO 14253-1:2017, 95 % probability, one-sided.
	RuleISO14253 = "iso14253-1"
	// RuleGuardBand takes from the limit what a stated risk asks for: JCGM 106:2012.
	RuleGuardBand = "guard-band"
)

const (
	// ISO14253Risk is the probability, at the acceptance limit, that the default rule of ISO 14253-1:2017 accepts what
	// does not conform.
	ISO14253Risk = 0.05
	// ISO14253Factor times the standard uncertainty is the guard band of that rule: the standard prints 1.65, the normal
	// distribution's 95 % point is 1.644854, and this program computes with the latter.
	ISO14253Factor = 1.644854
	// SimpleRisk is the same probability under simple acceptance.
	SimpleRisk = 0.5
)

// Decision says how measured values become a verdict.
type Decision struct {
	Rule string // RuleSimple, RuleISO14253 or RuleGuardBand
	// Risk is the consumer's risk: the probability that a bed which measures exactly at the acceptance limit does not
	// conform (the specific risk of JCGM 106, normal distribution). SimpleRisk and ISO14253Risk are fixed by their rules; a
	// guard band states its own, below one half. The guard band is the normal quantile of 1 − Risk times the standard
	// uncertainty.
	Risk float64
}
