package judge_test

import (
	"math"
	"strconv"
	"testing"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/seating"
)

// The pieces of these tests: a third of a nine-foot bed, 914 x 1473 mm.
const pieceX, pieceY = 914.0, 1473.0

// shape is an invented true face: heights at x, y in mm from the middle.
type shape func(x, y float64) float64

func flat(x, y float64) float64 { return 0 }

// second is crown along and across and twist, as the house writes them, mm.
func second(along, across, twist float64) shape {
	return func(x, y float64) float64 {
		u, v := 2*x/pieceX, 2*y/pieceY
		return along*(1-u*u) + across*(1-v*v) + twist/4*u*v
	}
}

// plus adds shapes.
func plus(list ...shape) shape {
	return func(x, y float64) float64 {
		z := 0.0
		for _, s := range list {
			z += s(x, y)
		}
		return z
	}
}

// third is a face with terms of third order.
func third(a, b float64) shape {
	return func(x, y float64) float64 {
		u, v := 2*x/pieceX, 2*y/pieceY
		return a*u*(1-v*v) + b*v*(1-u*u)
	}
}

// ripple is a grinding ripple across the feed, peak to valley 2·a.
func ripple(a, pitch, phase float64) shape {
	return func(x, _ float64) float64 { return a * math.Sin(2*math.Pi*x/pitch+phase) }
}

// waves is a slow undulation: a few sines of random direction with wavelengths of 250 to 600 mm and a standard deviation of about a.
func waves(draw *chance.Stream, a float64) shape {
	var list []shape
	const n = 6
	for range n {
		length, turn, phase := 250+350*draw.Float64(), 2*math.Pi*draw.Float64(), 2*math.Pi*draw.Float64()
		list = append(list, func(x, y float64) float64 {
			return a * math.Sqrt(2.0/n) * math.Sin(2*math.Pi*(x*math.Cos(turn)+y*math.Sin(turn))/length+phase)
		})
	}
	return plus(list...)
}

// stations are n places from −reach to +reach.
func stations(n int, reach float64) []float64 {
	at := make([]float64, n)
	for i := range at {
		at[i] = reach * (2*float64(i)/float64(n-1) - 1)
	}
	return at
}

// read reads a face on nx by ny places out to the edge band of 20 mm and along both joints, 10 mm from the arris. The header
// is that of a piece that may be judged.
func read(s shape, nx, ny int) *face.Face {
	top, bottom := 20.1, 20.3
	f := &face.Face{Header: face.Header{
		Name: "piece.csv", Piece: "P-1", SizeX: pieceX, SizeY: pieceY, Side: face.Top, TurnFixed: true,
		Support: face.Support{Kind: face.SupportBench, Text: "bench"}, Instrument: "dial D2 over bench B1", U: 0.010,
		TempTop: &top, TempBottom: &bottom, DrySince: "2026-10-20", Date: "2026-11-20",
	}}
	take := func(x, y float64, row face.Row) {
		f.X, f.Y, f.Z, f.Row = append(f.X, x), append(f.Y, y), append(f.Z, s(x, y)), append(f.Row, row)
	}
	for _, x := range stations(nx, pieceX/2-20) {
		for _, y := range stations(ny, pieceY/2-20) {
			take(x, y, face.NoRow)
		}
	}
	for _, y := range stations(ny, pieceY/2-20) {
		take(-(pieceX/2 - 10), y, face.JointMinus)
		take(pieceX/2-10, y, face.JointPlus)
	}
	for _, x := range stations(2, pieceX/2-80) {
		for _, y := range stations(4, pieceY/2-80) {
			f.Thickness = append(f.Thickness, face.Thickness{X: x, Y: y, T: 25.9})
		}
	}
	return f
}

// grid reads a face with nine by six places.
func grid(s shape) *face.Face { return read(s, 6, 9) }

// disturb adds noise to every reading.
func disturb(f *face.Face, draw *chance.Stream, u float64) *face.Face {
	for i := range f.Z {
		f.Z[i] += u * draw.Normal()
	}
	f.U = u
	return f
}

// question asks for the flattest bed of three faces under the specification.
func question(spec bed.Spec, faces ...*face.Face) seating.Question {
	q := seating.Question{Spec: spec, MaxStep: spec.Limits.Step}
	for k, f := range faces {
		g := *f
		g.Piece = "P-" + strconv.Itoa(k+1)
		q.Faces[k] = &g
	}
	return q
}

// input seats a question and simulates its doubt.
func input(t *testing.T, q seating.Question, draws int) judge.Input {
	t.Helper()
	r, err := seating.Seat(q)
	if err != nil {
		t.Fatal(err)
	}
	s, err := seating.NewResampler(q, r)
	if err != nil {
		t.Fatal(err)
	}
	d, err := judge.Simulate(q, s, 1, draws)
	if err != nil {
		t.Fatal(err)
	}
	return judge.Input{Question: q, Result: r, Doubt: d, Reseater: s, Issued: "2026-11-25"}
}

// set judges.
func set(t *testing.T, in judge.Input) judge.Judgement {
	t.Helper()
	j, err := judge.Set(in)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// judged seats, simulates and judges.
func judged(t *testing.T, q seating.Question) judge.Judgement {
	t.Helper()
	return set(t, input(t, q, judge.FewestDraws))
}
