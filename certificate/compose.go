package certificate

import (
	"slices"
	"strconv"

	"slatewright/judge"
	"slatewright/seating"
	"slatewright/trouble"
)

// Compose makes the body of a certificate: it rounds what was given to what is sealed, seats the pieces, simulates the
// doubt, judges, and writes all of it down. [Recompute] goes the same way. Readings that say of themselves that they are
// [Invented] make a body with that mark, whether the input says so or not.
func Compose(in Input) (Body, error) {
	b, err := in.body()
	if err != nil {
		return b, err
	}
	return Recompute(b)
}

// ComposeBest composes as [Compose] does and follows the one piece of advice that costs nothing: where the same pieces should
// conform when they are seated with smaller steps (judge.Reseat), it composes again with that as the largest step, and returns
// the second body if it conforms, else the first. The limit that was asked for in the end stands in the body.
func ComposeBest(in Input) (Body, error) {
	first, err := Compose(in)
	if err != nil || first.Found.Next.Code != string(judge.Reseat) {
		return first, err
	}
	in.MaxStep = first.Found.Next.Number.Float64()
	again, err := Compose(in)
	if err != nil || again.Found.Verdict != judge.Conforms.String() {
		return first, err
	}
	return again, nil
}

// MostDraws is the most draws of a simulation that are computed. They give an uncertainty to 2 % of itself; more would keep whoever
// checks a certificate waiting.
const MostDraws = 1000

// Recompute finds everything anew from what was given, and keeps nothing of what was found before.
func Recompute(b Body) (Body, error) {
	if n := b.Given.Simulation.Draws; n > MostDraws {
		return b, trouble.Data("many-draws", "given.simulation.draws", strconv.Itoa(n)+" draws are more than "+strconv.Itoa(MostDraws), "ask for fewer")
	}
	if b.Given.invented() {
		b.Mark = Invented
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
	in := judge.Input{Question: a.question, Result: a.seated, Doubt: a.doubt, Reseater: again, Issued: b.Issued}
	if a.verdict, err = judge.Set(in); err == nil && b.Given.LayUp != nil {
		err = a.layUp(*b.Given.LayUp, in)
	}
	return a, err
}
