package judge

import (
	"fmt"
	"math"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/seating"
	"slatewright/trouble"
)

// Reseater seats the same three pieces anew after dz was added to the readings of each face (faces in the order of the
// question, readings in that of their files). It returns what the bed measures by those readings, and what the first readings
// measure on a bed that is laid by the moves so found. A *seating.Resampler is one.
type Reseater interface {
	Resample(dz [3][]float64) (read, laidSo seating.Figures, err error)
}

// Draws is how often a bed is seated anew where nothing else is asked: enough that the uncertainties are known to 4 % of
// themselves (one part in √(2·Draws)). FewestDraws is the least that is accepted, 10 %.
const (
	Draws       = 400
	FewestDraws = 50
)

// Doubt is what re-seating a bed with other readings found. It depends on the readings, the specification, the seed and the
// number of draws, and on nothing else.
type Doubt struct {
	Seed     uint64
	Draws    int
	ReadingU [3]float64 // standard uncertainty of one reading of each face, in the order of the question
	BenchU   float64

	Zone       Spread
	Lengthwise Spread
	Across     Spread
	Steps      [2]Spread // head to centre, centre to foot
}

// Spread is what happens to one figure when the readings are disturbed once more. It is wrong by what the disturbed readings give
// less what the undisturbed ones measure on the bed that is laid as the disturbed ones say.
type Spread struct {
	Shift float64 // mean of that error
	SD    float64 // its standard deviation
	Rise  float64 // mean of what the disturbed readings give less what the undisturbed ones give
}

// Simulate disturbs the readings as their errors did, once more, and seats the bed anew each time: the readings stand for the
// true faces, the disturbed ones for what was read of them, and the moves that these lead to for the bed as it is then laid.
// So a step that the seating lets grow to its limit, and that reads the limit every time, is as uncertain as the bed that comes
// of it.
//
// Each reading gets an independent normal error of the standard uncertainty that its file states ("# u:"), else the
// specification. Each face gets a smooth error of its bench or reference on top: bow along, bow across and twist,
// independent and of equal weight, with a root mean square over the face of the specification's bench uncertainty. Whether
// the three pieces lay on the same bench is not on record, so half the variance of the bench error is common to the three
// faces (a bow common to all shows in the zone) and half is each face's own (it shows in the steps).
//
// The streams are Split("readings") and Split("bench") of the seed; each draw takes, face by face, one normal number a
// reading from the first, and from the second three common ones and then three for each face.
func Simulate(q seating.Question, s Reseater, seed uint64, draws int) (Doubt, error) {
	if draws < FewestDraws {
		return Doubt{}, trouble.Usage("few-draws", "simulation", trouble.Count(draws, "draw is", "draws are")+" too few to tell an uncertainty by",
			fmt.Sprintf("ask for at least %d; %d is usual", FewestDraws, Draws))
	}
	disturb, err := newDisturbance(q, seed)
	if err != nil {
		return Doubt{}, err
	}
	base, _, err := s.Resample(disturb.none())
	if err != nil {
		return Doubt{}, err
	}
	var wrong, rise [5]moments
	for range draws {
		read, laidSo, err := s.Resample(disturb.draw())
		if err != nil {
			return Doubt{}, err
		}
		for i, d := range figures(read) {
			wrong[i].add(d - figures(laidSo)[i])
			rise[i].add(d - figures(base)[i])
		}
	}
	d := Doubt{Seed: seed, Draws: draws, ReadingU: disturb.reading, BenchU: disturb.bench}
	for i, to := range [5]*Spread{&d.Lengthwise, &d.Across, &d.Zone, &d.Steps[0], &d.Steps[1]} {
		*to = Spread{Shift: sealed(wrong[i].mean), SD: sealed(wrong[i].deviation()), Rise: sealed(rise[i].mean)}
	}
	return d, nil
}

// figures lists the figures of a bed in the order of the characteristics.
func figures(f seating.Figures) [5]float64 {
	return [5]float64{f.Lengthwise, f.Across, f.Zone, f.Steps[0], f.Steps[1]}
}

// spreads lists the spreads in the same order.
func (d Doubt) spreads() [5]Spread {
	return [5]Spread{d.Lengthwise, d.Across, d.Zone, d.Steps[0], d.Steps[1]}
}

// moments gathers draws: their number, mean and sum of squared deviations (Welford, "Note on a method for calculating
// corrected sums of squares and products", Technometrics 4(3), 1962).
type moments struct {
	n         float64
	mean, sum float64
}

func (m *moments) add(v float64) {
	m.n++
	d := v - m.mean
	m.mean += d / m.n
	m.sum += float64(d * (v - m.mean))
}

func (m *moments) deviation() float64 { return math.Sqrt(m.sum / (m.n - 1)) }

// disturbance draws what may be wrong with the readings of three faces.
type disturbance struct {
	reading       [3]float64
	bench         float64
	at            [3][]terms
	noise, shapes *chance.Stream
}

// terms are the three smooth shapes at one place of a face. Over a face they are independent and each has a mean square of
// 1/3, so their sum, each times a standard normal number, has a root mean square of 1.
type terms [3]float64

func smooth(u, v float64) terms { // u, v: −1 … 1 over the face
	const bow, twist = 1.2909944487358056, 1.7320508075688772 // √(5/3), √3
	return terms{bow * (float64(1.5*u*u) - 0.5), bow * (float64(1.5*v*v) - 0.5), twist * u * v}
}

func (t terms) times(a terms) float64 {
	return float64(t[0]*a[0]) + float64(t[1]*a[1]) + float64(t[2]*a[2])
}

func newDisturbance(q seating.Question, seed uint64) (*disturbance, error) {
	root := chance.NewStream(seed)
	d := &disturbance{bench: q.Spec.Uncertainty.Bench, noise: root.Split("readings"), shapes: root.Split("bench")}
	for k, f := range q.Faces {
		c, err := centred(f)
		if err != nil {
			return nil, err
		}
		d.reading[k] = readingU(f, q.Spec)
		for i := range c.Z {
			d.at[k] = append(d.at[k], smooth(c.X[i]/(c.SizeX/2), c.Y[i]/(c.SizeY/2)))
		}
	}
	return d, nil
}

// readingU is the standard uncertainty of one reading of the face.
func readingU(f *face.Face, spec bed.Spec) float64 {
	if f.U > 0 {
		return f.U
	}
	return spec.Uncertainty.Reading
}

// FirstDoubt is a first estimate of the standard uncertainty of a zone, a straightness or a step, mm, for choosing among sets
// before any is simulated: one reading, the bench, and what lies between the readings, as the root of the sum of their squares.
func FirstDoubt(spec bed.Spec) float64 {
	u := spec.Uncertainty
	return math.Sqrt(float64(u.Reading*u.Reading) + float64(u.Bench*u.Bench) + float64(u.BetweenPoints*u.BetweenPoints))
}

// centred is the face in the frame of its piece, whose size must be known.
func centred(f *face.Face) (*face.Face, error) {
	if f == nil {
		return nil, trouble.Usage("no-file", "judge", "three faces are needed", "name the head, centre and foot files")
	}
	if f.SizeX == 0 || f.SizeY == 0 {
		return nil, trouble.Data("no-size", f.Name, "the size of the piece is not given", "add a line such as '# size: 914 x 1473 mm' (x by y)")
	}
	return f.Centred()
}

func (d *disturbance) none() (dz [3][]float64) {
	for k := range dz {
		dz[k] = make([]float64, len(d.at[k]))
	}
	return dz
}

func (d *disturbance) draw() [3][]float64 {
	const half = 0.7071067811865476 // √½
	dz := d.none()
	common := d.three()
	for k := range dz {
		own := d.three()
		for j := range own {
			own[j] = half * d.bench * (own[j] + common[j])
		}
		for i, t := range d.at[k] {
			dz[k][i] = float64(d.reading[k]*d.noise.Normal()) + t.times(own)
		}
	}
	return dz
}

func (d *disturbance) three() (a terms) {
	for j := range a {
		a[j] = d.shapes.Normal()
	}
	return a
}
