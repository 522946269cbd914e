// Package stock invents pieces that wait to be matched: each with its face as a hand reads it, thickness of stone and lining,
// layer, batch of the board, colour, and the place that its pockets leave it.
//
// The stone is that of package rehearsal, the mill that does not exist, sorted as a mill does it: a piece far out of true is ground
// again and does not stand in the racks. Colours and batches are invented too, chosen to be plausible for one quarry; no source.
// The same seed and number are the same stock on every machine. It matches nothing and writes no list.
package stock

import (
	"fmt"
	"math"

	"slatewright/chance"
	"slatewright/face"
	"slatewright/internal/rehearsal"
)

// Piece is one piece of the stock.
type Piece struct {
	ID        string
	Place     string // head, centre or foot; any while no pockets are cut
	Face      *face.Face
	Thickness float64 // stone and lining together, mm: the mean of its caliper readings
	Layer     string
	Batch     string     // of the lining's board
	Lab       [3]float64 // L*, a*, b* of the face
}

// Most is how many pieces a stock may have.
const Most = 4000

const (
	perBatch = 12   // pieces that one batch of boards lines
	worst    = 0.42 // mm from highest to lowest of the second-order shape, above which a piece is ground again
)

// New returns n pieces that may take any place, drawn by seed. It panics if n is not 0 to Most.
func New(seed uint64, n int) []Piece {
	return racks(seed, n, func(int) string { return "any" })
}

// Cut returns the pieces of New with their pockets cut: by turns a head, a centre and a foot.
func Cut(seed uint64, n int) []Piece {
	return racks(seed, n, func(i int) string { return [...]string{"head", "centre", "foot"}[i%3] })
}

func racks(seed uint64, n int, place func(i int) string) []Piece {
	if n < 0 || n > Most {
		panic(fmt.Sprintf("stock: %d pieces", n))
	}
	mill, root, layers := rehearsal.Open(seed), chance.NewStream(seed).Split("racks"), rehearsal.Layers()
	list := make([]Piece, 0, n)
	for serial := 1; len(list) < n; serial++ {
		id := fmt.Sprintf("QH-%04d", serial)
		draw := root.Split(id)
		layer := draw.IntN(len(layers))
		p := mill.Take(id, layers[layer])
		if relief(p) > worst {
			continue
		}
		f := mill.Readings(p)
		i := len(list)
		list = append(list, Piece{ID: id, Place: place(i), Face: f, Thickness: lined(f), Layer: p.Layer,
			Batch: fmt.Sprintf("QH-B%03d", 1+i/perBatch), Lab: colour(draw, layer)})
	}
	return list
}

// relief is how far the second-order shape of a piece goes up and down: bow both ways, and half the twist, which is counted over all four corners.
func relief(p *rehearsal.Piece) float64 {
	return math.Abs(p.BowAlong) + math.Abs(p.BowAcross) + math.Abs(p.Twist)/2
}

// lined is the mean thickness of stone and lining.
func lined(f *face.Face) float64 {
	sum := 0.0
	for _, t := range f.Lined {
		sum += t.T
	}
	return math.Round(sum/float64(len(f.Lined))*1000) / 1000
}

// colour draws the colour of a piece of slate: dark grey, each layer a little apart from the next.
func colour(draw *chance.Stream, layer int) [3]float64 {
	around := [3]float64{36 + float64(float64(layer)*1.5), -0.8, -2.5 + float64(float64(layer)*0.4)}
	for i, sigma := range [3]float64{0.9, 0.15, 0.4} {
		around[i] = math.Round((around[i]+float64(sigma*draw.Normal()))*100) / 100
	}
	return around
}
