package surfacing

import (
	"html/template"
	"math"

	"slatewright/internal/picture/chart"
	"slatewright/surfacing/passes/answers"
)

// stageTints are the classes of stages from coarse to fine.
var stageTints = []string{"t6", "t4", "t1", "t0", "t2", "t5"}

// picture is the way down: over the minutes, each pass takes the disc nearer to the wanted plane, 0. One staircase for each laying.
func (s planning) picture(width float64) template.HTML {
	const height = 340.0
	p := s.shown()
	end := math.Max(p.Minutes, 1)
	g := chart.Plot{Pen: chart.New(width, height, s.Say("passes.picture", "n", p.Rounds)),
		X: chart.Axis{Low: 0, High: end, From: 46, To: width - 10}, Y: chart.Axis{Low: 0, High: 1.12 * s.deepest(), From: height - 62, To: 30}}
	g.Grid(s.Words, 1, 1, s.Say("passes.axis-minutes"), "mm")
	g.Level("limit", 0)
	now := 0.0
	for i, u := range p.Setups {
		now = s.staircase(g, i, u, now)
	}
	s.key(g, p, height-10)
	return g.End()
}

// staircase draws one laying: what comes before its first pass is setting up, drawn as a gap.
func (s planning) staircase(g chart.Plot, i int, u answers.Setup, from float64) float64 {
	working := 0.0
	for _, p := range u.Passes {
		working += p.Minutes
	}
	rest := 0.0
	for _, later := range s.shown().Setups[i+1:] {
		if later.Face == u.Face {
			for _, p := range later.Passes {
				rest += p.Depth
			}
		}
	}
	top := rest
	for _, p := range u.Passes {
		top += p.Depth
	}
	begin := from + u.Minutes - working
	g.Rect("pieces", g.X.At(from), g.Y.At(0)-7, g.X.At(begin)-g.X.At(from), 7)
	at, over := begin, top
	for _, p := range u.Passes {
		x0, x1 := g.X.At(at), g.X.At(at+p.Minutes)
		y0, y1 := g.Y.Clip(over), g.Y.Clip(math.Max(over-p.Depth, 0))
		if p.Spark {
			g.Line("due", x0, y1, x1, y1)
		} else {
			g.Rect(s.tint(p.Stage), x0, y0, x1-x0, g.Y.At(0)-y0)
		}
		at, over = at+p.Minutes, over-p.Depth
	}
	end := from + u.Minutes
	g.Text("name", "middle", (g.X.At(from)+g.X.At(end))/2, 20, s.Word("face", u.Face))
	return end
}

// tint is the class of a stage.
func (s planning) tint(stage string) string {
	for i, name := range s.Stages() {
		if name == stage {
			return stageTints[i%len(stageTints)]
		}
	}
	return stageTints[0]
}

// key names the stages' tints.
func (s planning) key(g chart.Plot, p *answers.Plan, y float64) {
	x := g.X.From
	seen := map[string]bool{}
	entry := func(class, words string) {
		g.Rect(class, x, y-9, 10, 10)
		g.Text("tick", "start", x+14, y, words)
		x += 26 + 6.4*float64(len([]rune(words)))
	}
	entry("pieces", s.Say("passes.key-setup"))
	for _, u := range p.Setups {
		for _, q := range u.Passes {
			if !seen[q.Stage] && !q.Spark {
				seen[q.Stage] = true
				entry(s.tint(q.Stage), chart.Short(q.Stage, 12))
			}
		}
	}
}
