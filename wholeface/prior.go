package wholeface

import "math"

// Prior is what is known of a face before it is read: which parameters of the model are how likely, and how far a true zone lies
// from what the model says. Package wholeface/learn makes one from the mill's own scans; Unlearned is the one without any.
type Prior struct {
	Format     string    `json:"format"`    // PriorFormat
	Family     string    `json:"family"`    // the mill's own name for the machine or the way of making
	Scans      int       `json:"scans"`     // how many scans it was learned from; 0: none
	Digest     string    `json:"digest"`    // SHA-256 over the digests of the scans, in hexadecimal
	SizeX      float64   `json:"size_x_mm"` // of the pieces scanned
	SizeY      float64   `json:"size_y_mm"`
	CutoffMM   float64   `json:"cutoff_mm"`
	BandMM     float64   `json:"band_mm"`
	ReadingsU  []float64 `json:"readings_u_mm"` // uncertainties of readings that were rehearsed
	Trend      [3]Belief `json:"trend"`         // bow along, bow across, T (a quarter of the twist)
	Lengths    []float64 `json:"lengths_mm"`    // correlation lengths of the residual
	Sigmas     []float64 `json:"sigmas_mm"`     // its standard deviations
	Taus       []float64 `json:"short_mm"`      // standard deviations of what is shorter than the nodes lie apart
	Weights    []float64 `json:"weights"`       // of (length, sigma, short), the last running fastest; they sum to 1
	Correction []Look    `json:"corrections"`   // by number of readings, rising
	Warnings   []string  `json:"warnings"`
}

// PriorFormat names the form of the file and its version.
const PriorFormat = "slatewright whole-face prior 1"

// Belief is a normal distribution, mm.
type Belief struct {
	Mean float64 `json:"mean_mm"`
	SD   float64 `json:"sd_mm"`
}

// The parameters a prior may choose from. Standard deviations in steps of √3 from 1.5 µm to 0.12 mm, lengths from what a
// 54-point grid just cannot see to what looks like bow.
var (
	lengths = []float64{60, 100, 160, 260, 420}
	sigmas  = []float64{0.0015, 0.0026, 0.0045, 0.0078, 0.0135, 0.0234, 0.0405, 0.0702, 0.1215}
	taus    = []float64{0, 0.002, 0.004, 0.008, 0.016, 0.032}
)

// Blank returns a prior in which every setting of the parameters weighs alike: where learning begins.
func Blank() *Prior {
	p := &Prior{Format: PriorFormat, Lengths: lengths, Sigmas: sigmas, Taus: taus, Warnings: []string{}}
	p.Trend = [3]Belief{{SD: 0.15}, {SD: 0.15}, {SD: 0.08}}
	n := len(lengths) * len(sigmas) * len(taus)
	p.Weights = make([]float64, n)
	for i := range p.Weights {
		p.Weights[i] = 1 / float64(n)
	}
	return p
}

// Unlearned returns the prior without scans: shapes of some tenths of a millimetre, every length and size of residual alike,
// and nothing short, because readings cannot tell it from their own noise.
func Unlearned() *Prior {
	p := Blank()
	p.Taus = []float64{0}
	n := len(p.Lengths) * len(p.Sigmas)
	p.Weights = make([]float64, n)
	for i := range p.Weights {
		p.Weights[i] = 1 / float64(n)
	}
	return p
}

// setting is one choice of the parameters.
type setting struct {
	length, sigma, tau float64
	weight             float64
}

// settings lists those that weigh anything, in order.
func (p *Prior) settings() []setting {
	var list []setting
	for k, w := range p.Weights {
		if w <= 0 {
			continue
		}
		t := k % len(p.Taus)
		s := k / len(p.Taus) % len(p.Sigmas)
		l := k / len(p.Taus) / len(p.Sigmas)
		list = append(list, setting{p.Lengths[l], p.Sigmas[s], p.Taus[t], w})
	}
	return list
}

// variances are those of the six terms of the trend; height and tilt are free within a metre's millimetre.
func (p *Prior) variances() (mean, variance [terms]float64) {
	variance = [terms]float64{1, 1, 1}
	for i, b := range p.Trend {
		mean[3+i], variance[3+i] = b.Mean, b.SD*b.SD
	}
	return mean, variance
}

// bench are the variances that a bench adds to the terms of the trend in what is read.
func (b Bench) variances() [terms]float64 {
	return [terms]float64{3: b.Bow * b.Bow, 4: b.Bow * b.Bow, 5: b.Twist * b.Twist / 16}
}

// noise is the standard deviation of what is a reading's own.
func (q Question) noise() float64 { return math.Hypot(q.U, q.Bench.Map) }
