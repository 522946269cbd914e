package drying

import (
	"slices"

	"slatewright/internal/web/shell"
	"slatewright/seasoning/answers"
)

// answerRoom says how a room's air was.
func answerRoom(w say, got *answers.Room) shell.Reply {
	out := shell.Reply{JSON: got}
	out.Tone, out.Says = "good", w.Say("season.in-band")
	if !got.InBand {
		out.Tone, out.Says = "bad", w.Say("season.out-of-band")
	}
	one := func(x float64) string { return w.Number(x, 1) }
	switch {
	case got.Dew != nil && *got.Dew:
		out.Tone, out.Next = "bad", w.Say("season.dew", "stone", one(*got.Stone), "dew", one(*got.DewPoint))
	case got.Dew != nil:
		out.Next = w.Say("season.no-dew", "stone", one(*got.Stone), "dew", one(*got.DewPoint))
	case got.DewPoint != nil:
		out.Next = w.Say("season.dew-below", "dew", one(*got.DewPoint))
	}
	span := func(low, high float64) string { return w.Say("season.from-to", "low", one(low), "high", one(high)) }
	t := shell.Table{Title: w.Say("season.sensors"), Heads: shell.Heads(w.Say("season.sensor"), w.Say("season.hours"), w.Say("season.hours-warm"), w.Say("season.hours-humid"), w.Say("season.silent"), "°C", "% RH", w.Say("season.dew-point"))}
	for _, s := range got.Sensors {
		t.Rows = append(t.Rows, shell.RowOf(s.Name, one(s.Hours), one(s.OutC), one(s.OutRH), one(s.Gaps), span(s.MinC, s.MaxC), span(s.MinRH, s.MaxRH), one(s.DewPointC)))
	}
	out.Tables, out.Notes = []shell.Table{t}, slices.Clone(got.Warnings)
	return out
}
