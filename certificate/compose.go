package certificate

import (
	"slices"
	"strconv"

	"slatewright/judge"
	"slatewright/seating"
	"slatewright/trouble"
)

// Compose makes the body of a certificate: it rounds what was given to what is sealed, seats the pieces, simulates the
// doubt, judges, and writes all of it down. [Recompute] goes the same way.
func Compose(in Input) (Body, error) {
	b, err := in.body()
	if err != nil {
		return b, err
	}
	return Recompute(b)
}

// MostDraws is the most draws of a simulation that are computed: more would keep whoever checks a certificate waiting.
const MostDraws = 20000

// Recompute finds everything anew from what was given, and keeps nothing of what was found before.
func Recompute(b Body) (Body, error) {
	if n := b.Given.Simulation.Draws; n > MostDraws {
		return b, trouble.Data("many-draws", "given.simulation.draws", strconv.Itoa(n)+" draws are more than "+strconv.Itoa(MostDraws), "ask for fewer")
	}
	b.Given.Readings = slices.Clone(b.Given.Readings)
	for i, r := range b.Given.Readings {
		b.Given.Readings[i].Digest = digestOf(r.text())
	}
	a, err := b.answer()
	if err != nil {
		return b, err
	}
	b.Found, err = find(b.Given, a)
	return b, err
}

// answer asks the other packages.
func (b Body) answer() (a answer, err error) {
	if a.question, err = b.Given.Seating(); err != nil {
		return a, err
	}
	if a.seated, err = seating.Seat(a.question); err != nil {
		return a, err
	}
	again, err := seating.NewResampler(a.question, a.seated)
	if err != nil {
		return a, err
	}
	sim := b.Given.Simulation
	if a.doubt, err = judge.Simulate(a.question, again, sim.Seed, sim.Draws); err != nil {
		return a, err
	}
	a.verdict, err = judge.Set(judge.Input{Question: a.question, Result: a.seated, Doubt: a.doubt, Reseater: again, Issued: b.Issued})
	return a, err
}
