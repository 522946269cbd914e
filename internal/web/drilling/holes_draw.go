package drilling

import (
	"html/template"
	"math"

	"slatewright/bed/drawing"
	"slatewright/bed/holes/answers"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/shape"
	"slatewright/internal/picture/chart"
	"slatewright/judge"
)

// magnified is how many times longer than in the stone the deviations are drawn beside it: 1, 2 or 5 and noughts, so that the largest is about as long as an eighth of the bed's
// width. 0: there is nothing to draw.
func (s checked) magnified() float64 {
	largest := 0.0
	for _, f := range s.Features {
		if f.Deviation != nil {
			largest = max(largest, *f.Deviation)
		}
	}
	if largest < 1e-6 {
		return 0
	}
	most := s.p.SizeY / 8 / largest
	step := math.Pow(10, math.Floor(math.Log10(most)))
	for _, k := range []float64{5, 2} {
		if k*step <= most {
			return k * step
		}
	}
	return step
}

// draw shows the bed from above, with a mark at each measured feature by its verdict, and its deviation as an arrow.
func (s checked) draw(width float64) template.HTML {
	signs := []struct {
		mark  int
		words string
		of    judge.Verdict
	}{{0, s.Word("verdict", "conforms"), judge.Conforms}, {1, s.Word("verdict", "does not conform"), judge.DoesNotConform}, {2, s.Word("verdict", "cannot tell"), judge.CannotTell}}
	words := []string{}
	for _, k := range signs {
		words = append(words, k.words)
	}
	open := s.Say("holes.not-measured")
	below := keyHigh(width, append(words, open)...) + 26
	if len(s.Features) == 0 {
		below = 0 // there is nothing to explain
	}
	b := newBedPlan(width, below, s.Say("holes.picture", "n", len(s.Features)), drawing.View{Piece: drawing.Whole}, s.p)
	b.stone(s.p, "stone", "allowed")
	for _, h := range s.p.Holes {
		b.hole(h, "plain")
	}
	b.ends(s.Words, below)
	times := s.magnified()
	of := s.measured()
	for _, f := range s.d.Features { // arrows lie below the marks
		if m := of[f.Name]; m != nil && m.DX != nil {
			x, y := b.on(shape.Point(f.At))
			dx, dy := b.along(*m.DX*times*b.scale, *m.DY*times*b.scale)
			class := "value"
			if m.Verdict == judge.DoesNotConform.String() {
				class = "due"
			}
			b.arrow(class, x, y, dx, dy)
			b.Block(x+dx, y+dy, 3)
		}
	}
	for _, f := range s.d.Features {
		x, y := b.on(shape.Point(f.At))
		b.Block(x, y, 6)
		m := of[f.Name]
		if m == nil {
			if f.Kind == string(pattern.PocketCut) {
				b.Disc("plain", x, y, 2)
			}
			continue
		}
		for _, k := range signs {
			if m.Verdict == k.of.String() {
				b.Mark(k.mark, x, y, 4.5)
			}
		}
	}
	s.labels(b, of)
	b.names(s.Words)
	if len(s.Features) > 0 {
		y := b.bottom(below) + 16
		list := []sign{}
		for _, k := range signs {
			list = append(list, sign{k.words, func(x, y float64) { b.Mark(k.mark, x, y, 4.5) }})
		}
		list = append(list, sign{open, func(x, y float64) { b.Disc("plain", x, y, 3) }})
		y = b.key(y, list)
		s.bar(b, y+2, times)
	}
	return b.End()
}

// measured finds what was measured by the feature's name.
func (s checked) measured() map[string]*answers.Feature {
	of := map[string]*answers.Feature{}
	for i := range s.Features {
		of[s.Features[i].Feature] = &s.Features[i]
	}
	return of
}

// labels name the worst features, as far as there is room.
func (s checked) labels(b *bedPlan, of map[string]*answers.Feature) {
	n := 0
	for _, f := range sorted(s.Features) {
		if f.Verdict == judge.Conforms.String() || n == mostNamed {
			break
		}
		for _, drawn := range s.d.Features {
			if drawn.Name == f.Feature {
				x, y := b.on(shape.Point(drawn.At))
				b.Label("label", x, y, chart.Short(f.Feature, 20), false)
				n++
			}
		}
	}
}

// mostNamed is how many features are named in the picture.
const mostNamed = 12

// bar draws how long a round deviation is as an arrow.
func (s checked) bar(b *bedPlan, y, times float64) {
	if times == 0 {
		return
	}
	px := times * b.scale // of a deviation of 1 mm
	length := math.Pow(10, math.Floor(math.Log10(70/px)))
	for _, k := range []float64{5, 2} {
		if k*length*px <= 70 {
			length *= k
			break
		}
	}
	b.arrow("value", beside, y-4, length*px, 0)
	b.Text("tick", "start", beside+length*px+8, y, s.Say("holes.arrow", "off_mm", length))
}
