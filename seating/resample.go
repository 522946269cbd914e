package seating

import (
	"math"

	"slatewright/trouble"
)

// Resampler seats the same three pieces again and again with other readings, in the places and turns of one result: for
// the simulation of doubt. It goes through the same wishes and leaves out the proof, the shims and the levels.
type Resampler struct {
	q      Question
	b      *bench
	a      arrangement
	joints [2][]station
	first  *laid // with the readings as they are
}

// NewResampler prepares re-seating for the places and turns of r, which must be an answer to q.
func NewResampler(q Question, r Result) (*Resampler, error) {
	b, err := newBench(q)
	if err != nil {
		return nil, err
	}
	s := &Resampler{q: q, b: b}
	s.a, _ = r.arrangement()
	for j := range 2 {
		if s.joints[j], _, err = stationsOf(&b.pieces, s.a, j); err != nil {
			return nil, err
		}
	}
	var readings [3][]float64
	for k, p := range b.pieces {
		readings[k] = p.face.Z
	}
	_, s.first = s.with(readings)
	return s, nil
}

// Readings returns how many readings each face has, in the order of Question.Faces.
func (s *Resampler) Readings() (n [3]int) {
	for k, p := range s.b.pieces {
		n[k] = len(p.face.Z)
	}
	return n
}

// Resample adds dz[k][i] to reading i of face k (in the order of Question.Faces and of their files, joint rows included),
// seats the pieces anew and returns what the bed measures by those readings, and what the bed of the first readings measures
// when it is laid by the moves that those readings led to. The difference is what errors of reading do to a bed that is laid as
// computed: where a limit was used up the first stands at the limit, and only the second tells. It does not change the faces.
// Not for concurrent use.
func (s *Resampler) Resample(dz [3][]float64) (read, laidSo Figures, err error) {
	var readings [3][]float64
	for k, p := range s.b.pieces {
		if len(dz[k]) != len(p.face.Z) {
			return read, laidSo, trouble.Own("resample-length", "seating", "the changes of the readings are not as many as the readings", "report this")
		}
		z := make([]float64, len(p.face.Z))
		for i, d := range dz[k] {
			z[i] = p.face.Z[i] + d
		}
		readings[k] = z
	}
	b, l := s.with(readings)
	won, err := run([]*laid{l}, s.q)
	if err != nil {
		return read, laidSo, err
	}
	if read, err = b.measured(won, won.moves); err != nil {
		return read, laidSo, err
	}
	laidSo, err = s.b.measured(s.first, won.moves)
	return read, laidSo, err
}

// with sets up the bed for the given readings of each face.
func (s *Resampler) with(readings [3][]float64) (*bench, *laid) {
	b := &bench{spec: s.b.spec}
	for k, p := range s.b.pieces {
		b.pieces[k] = p.read(readings[k])
	}
	sys := &system{half: math.Inf(1)}
	for place := range 3 {
		sys.pieces[place] = b.pieces[s.a.index[place]]
	}
	for j, list := range s.joints {
		for _, st := range list {
			sys.steps[j] = append(sys.steps[j], stepAt(st, j, readings[s.a.index[j]], readings[s.a.index[j+1]]))
		}
	}
	return b, &laid{arrangement: s.a, wished: wished{system: sys}}
}

// read is the piece with other readings. Where to start from and the surface stay those of the first readings: the one is a
// guess, and the other is not looked at here.
func (p *piece) read(z []float64) *piece {
	c := *p
	c.z = make([]float64, len(p.at))
	for k, i := range p.at {
		c.z[k] = z[i]
	}
	return &c
}

// measured returns the figures of an arrangement after the given moves.
func (b *bench) measured(l *laid, moves []float64) (Figures, error) {
	var r Result
	if err := b.figures(&r, l.arrangement, moves); err != nil {
		return Figures{}, err
	}
	f := Figures{Zone: r.Zone, Lengthwise: r.Lengthwise.Value, Across: r.Across.Value}
	for j, steps := range l.system.steps {
		for _, st := range steps {
			f.Steps[j] = max(f.Steps[j], math.Abs(st.at(moves)))
		}
	}
	return f, nil
}
