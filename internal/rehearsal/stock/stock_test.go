package stock

import (
	"bytes"
	"fmt"
	"math"
	"testing"
)

// A stock is what its seed and number say: the same again, the beginning of a larger one, and another for another seed.
func TestTheSameSeedIsTheSameStock(t *testing.T) {
	told := func(list []Piece) (lines []string) {
		for _, p := range list {
			var text bytes.Buffer
			if err := p.Face.WriteCSV(&text); err != nil {
				t.Fatal(err)
			}
			lines = append(lines, fmt.Sprint(p.ID, p.Place, p.Thickness, p.Layer, p.Batch, p.Lab, text.String()))
		}
		return lines
	}
	large, small, other := told(New(3, 20)), told(New(3, 12)), told(New(4, 20))
	if len(large) != 20 || len(small) != 12 {
		t.Fatalf("%d and %d pieces", len(large), len(small))
	}
	for i, line := range small {
		if line != large[i] {
			t.Errorf("piece %d of 12 is not piece %d of 20:\n%s\n%s", i, i, line, large[i])
		}
		if line == other[i] {
			t.Errorf("piece %d is the same for two seeds", i)
		}
	}
}

// What is drawn has the spreads that were meant: the thickness that of the stone and of the board together (0.10 mm each, so 0.141 mm, of which
// the readings' mean takes little away), all layers, and shapes of both signs within what is not ground again.
func TestPiecesAreSpreadAsMeant(t *testing.T) {
	list := Cut(1, 600)
	layers, places, ids := map[string]int{}, map[string]int{}, map[string]bool{}
	sum, squares, light := 0.0, 0.0, 0.0
	for _, p := range list {
		layers[p.Layer]++
		places[p.Place]++
		ids[p.ID] = true
		sum += p.Thickness
		squares += p.Thickness * p.Thickness
		light += p.Lab[0]
		if p.Face.Len() != 54+18 || len(p.Face.Row) != 72 {
			t.Fatalf("%s has %d readings", p.ID, p.Face.Len())
		}
	}
	n := float64(len(list))
	mean := sum / n
	sd := math.Sqrt((squares - n*mean*mean) / (n - 1))
	if math.Abs(mean-44.95) > 0.03 || math.Abs(sd-0.1414) > 4*0.1414/math.Sqrt(2*n)+0.005 {
		t.Errorf("thickness %.3f with a deviation of %.4f mm", mean, sd)
	}
	if len(layers) != 3 || len(places) != 3 || places["head"] != 200 || places["centre"] != 200 || places["foot"] != 200 || len(ids) != len(list) {
		t.Errorf("layers %v, places %v, %d numbers", layers, places, len(ids))
	}
	for name, count := range layers {
		if math.Abs(float64(count)-n/3) > 4*math.Sqrt(n*2/9) {
			t.Errorf("%d pieces of layer %s", count, name)
		}
	}
	if light/n < 36 || light/n > 39 {
		t.Errorf("L* is %.2f in the mean", light/n)
	}
}

// Of pieces with pockets the stone is that of those without.
func TestPocketsChangeThePlaceAlone(t *testing.T) {
	whole, cut := New(9, 7), Cut(9, 7)
	for i, want := range []string{"head", "centre", "foot", "head", "centre", "foot", "head"} {
		a, b := whole[i], cut[i]
		if a.Place != "any" || b.Place != want || a.ID != b.ID || a.Thickness != b.Thickness || a.Lab != b.Lab || a.Face.Z[40] != b.Face.Z[40] {
			t.Errorf("piece %d: %s %s, %s %s", i, a.ID, a.Place, b.ID, b.Place)
		}
	}
}

func TestTooManyPiecesPanic(t *testing.T) {
	for _, n := range []int{-1, Most + 1} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%d pieces are a stock", n)
				}
			}()
			New(1, n)
		}()
	}
}
