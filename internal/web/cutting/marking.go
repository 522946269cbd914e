package cutting

import (
	"time"

	"slatewright/cutting/slab/answers"
	"slatewright/cutting/slab/search"
	"slatewright/cutting/slab/slabfile"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

const onMarking = at + "/marking-out"

// sawCare is what can hurt where stone is sawn.
func sawCare() []caution.Topic {
	return []caution.Topic{caution.Lifting, caution.Dust, caution.Machines, caution.Wet}
}

// markingOut asks for a slab's outline and flaws, and places the pieces.
func markingOut() shell.Question {
	return shell.Question{Path: onMarking, File: "marking-out", Care: sawCare(), Longest: 30 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("marking.asks"), About: v.Say("marking.about"),
				Form: shell.ListForm{Fields: []shell.ListField{{Name: "slab", Label: v.Say("marking.slab"), Hint: v.Say("marking.slab-hint")},
					{Name: "pieces", Label: v.Say("marking.pieces"), Hint: v.Say("marking.pieces-hint")}}}}
		},
		Examples: []shell.Example{{Files: map[string]string{"slab": "slab.csv", "pieces": "pieces.csv"}}},
		Answer:   answerMarking}
}

// usualTime is how long a page looks for a better plan.
const usualTime = time.Second

func answerMarking(a shell.Asked) (shell.Reply, error) {
	list, err := a.List("slab")
	if err != nil {
		return shell.Reply{}, err
	}
	table, err := a.Sheet("pieces")
	if err != nil {
		return shell.Reply{}, err
	}
	wanted, err := slabfile.Pieces(table)
	if err != nil {
		return shell.Reply{}, err
	}
	q, err := slabfile.Read(list.Name, list.Reader(), wanted)
	if err != nil {
		return shell.Reply{}, err
	}
	begun := time.Now()
	p, err := answers.Of(list.Name, q.Slabs[0], search.Limits{Stop: func() bool { return a.Stop() || time.Since(begun) > usualTime }})
	if err != nil {
		return shell.Reply{}, err
	}
	m := marked{a.Words, p}
	out := shell.Reply{JSON: p}
	out.Tone, out.Says = m.tone(), m.says()
	out.Wide, out.Narrow = chart.Both(m.draw)
	out.Notes = p.Warnings
	return out, nil
}

// marked is an answered slab on its way to a page.
type marked struct {
	tongue.Words
	*answers.Plan
}

func (m marked) tone() string {
	switch m.State {
	case answers.Nothing:
		return "bad"
	case answers.Bounded:
		return "doubt"
	}
	return "good"
}

func (m marked) says() string {
	switch m.State {
	case answers.Nothing:
		return m.Say("marking.nothing")
	case answers.Proven:
		return m.Say("marking.proven", "value", m.Value, "n", len(m.Pieces))
	}
	return m.Say("marking.bounded", "value", m.Value, "bound", m.Bound, "n", len(m.Pieces))
}
