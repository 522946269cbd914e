package chart

import (
	"encoding/xml"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

type plain struct{}

func (plain) Number(x float64, decimals int) string { return fmt.Sprintf("%.*f", decimals, x) }

// everything draws with every stroke of the pen.
func everything(width float64) template.HTML {
	p := Plot{New(width, 200, `of <all> & "more"`), Around(0, 10, 50, width-10), Around(-0.02, 0.03, 160, 20)}
	p.Grid(plain{}, 1, 0.001, "days", "µm")
	p.Curve("trend", [][2]float64{{0, 0}, {5, 0.02}, {10, -0.01}}, false)
	p.Level("limit", 0.01)
	for kind := range 6 {
		p.Mark(kind, p.X.At(float64(kind)), 90, 5)
	}
	p.Hatch("beyond", 60, 20, 30, 40)
	p.Hatch("beyond", 60, 20, -1, 40)
	p.Span("whisker", 60, 90, 50, 4)
	p.Rise("whisker", 60, 90, 50, 4)
	p.Block(60, 90, 5)
	p.Label("name", 60, 90, "a & b", true)
	p.Within("name", 2, 30, "words at the edge")
	p.Disc("spot", math.NaN(), math.Inf(1), 2)
	p.Run("band", nil, true)
	return p.End()
}

func TestAChartIsWellFormed(t *testing.T) {
	wide, narrow := Both(everything)
	for _, svg := range []template.HTML{wide, narrow} {
		for d := xml.NewDecoder(strings.NewReader(string(svg))); ; {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%v in %s", err, svg)
			}
		}
		for _, no := range []string{"NaN", "Inf", "style=", "%!", "<all>"} {
			if strings.Contains(string(svg), no) {
				t.Errorf("%q in %s", no, svg)
			}
		}
		if strings.Count(string(svg), `class="mark`) != 6 || !strings.Contains(string(svg), `<svg class="chart" viewBox="0 0 `) {
			t.Errorf("%s", svg)
		}
	}
}

func TestTicksAreRoundAndFew(t *testing.T) {
	for _, c := range []struct {
		axis     Axis
		unit, n  float64
		want     []float64
		decimals int
	}{
		{Axis{Low: 0, High: 10}, 1, 5, []float64{0, 2, 4, 6, 8, 10}, 0},
		{Axis{Low: -0.0011, High: 0.0032}, 0.001, 5, []float64{-0.001, 0, 0.001, 0.002, 0.003}, 0},
		{Axis{Low: 0.1, High: 0.52}, 1, 5, []float64{0.1, 0.2, 0.3, 0.4, 0.5}, 1},
		{Axis{Low: 1, High: 1}, 1, 5, nil, 0}, {Axis{Low: 1, High: math.Inf(1)}, 1, 5, nil, 0},
	} {
		got, decimals := c.axis.Ticks(c.unit, c.n)
		if decimals != c.decimals || !slices.EqualFunc(got, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-12 }) {
			t.Errorf("%+v: %v with %d decimals, want %v with %d", c.axis, got, decimals, c.want, c.decimals)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		a := Axis{Low: low, High: low + rapid.Float64Range(1e-3, 1e6).Draw(t, "span")}
		n := rapid.Float64Range(2, 12).Draw(t, "n")
		list, _ := a.Ticks(1, n)
		if float64(len(list)) > n+1 || len(list) < int(n/5) {
			t.Fatalf("%d ticks where %g were asked for", len(list), n)
		}
		for _, v := range list {
			if v < a.Low || v > a.High {
				t.Fatalf("%g is not within %+v", v, a)
			}
		}
	})
}

func TestAnAxisMapsItsEnds(t *testing.T) {
	a := Axis{Low: 2, High: 4, From: 100, To: 20}
	if a.At(2) != 100 || a.At(4) != 20 || a.At(3) != 60 || a.Clip(9) != 20 || a.Clip(-9) != 100 {
		t.Errorf("%+v", a)
	}
	if b := Around(5, 5, 0, 10); !(b.High > b.Low) {
		t.Errorf("%+v", b)
	}
}

// Labels never cover each other, as long as there is a place; with must they stay within the width.
func TestLabelsKeepClear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := New(Narrow, 200, "labels")
		for range rapid.IntRange(1, 12).Draw(t, "labels") {
			before := len(p.taken)
			x, y := rapid.Float64Range(0, Narrow).Draw(t, "x"), rapid.Float64Range(0, 200).Draw(t, "y")
			if !p.Label("name", x, y, "B 10?", false) {
				continue
			}
			b := p.taken[before]
			if b.X0 < 0 || b.X1 > Narrow || b.Y0 < 0 || b.Y1 > 200 || slices.ContainsFunc(p.taken[:before], b.Meets) {
				t.Fatalf("%+v is in the way of %+v", b, p.taken[:before])
			}
		}
	})
	p := New(Narrow, 200, "labels")
	p.Block(Narrow/2, 100, 400)
	if p.Label("name", Narrow/2, 100, "no room", false) || !p.Label("name", Narrow-5, 100, "no room", true) || p.taken[1].X1 > Narrow {
		t.Errorf("%+v", p.taken)
	}
	if Short("Quern Hollow", 6) != "Quern…" || Short("Quern", 6) != "Quern" {
		t.Error("names are not cut")
	}
}
