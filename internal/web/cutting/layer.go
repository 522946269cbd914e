package cutting

import (
	"bytes"
	"cmp"
	"fmt"
	"html/template"
	"io"
	"time"

	"slatewright/cutting/layer/answers"
	"slatewright/cutting/layer/mapfile"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/picture/layermap"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/sheet"
)

const onLayer = at + "/layer"

// A page looks so long for a better plan: a layer of a few hundred square metres is done long before, one of an acre with hundreds of cracks needs the longer time.
const (
	soon     = 8 * time.Second
	patient  = 30 * time.Second
	atLength = "long"
)

// layered asks how the saw's grid is laid over a quarry layer.
func layered() shell.Question {
	return shell.Question{Path: onLayer, File: "layer", Longest: patient + 15*time.Second,
		Care: layerCare(),
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("layer.asks"), About: v.Say("layer.about"),
				Form: shell.ListForm{
					Fields: []shell.ListField{{Name: "survey", Label: v.Say("layer.survey"), Hint: v.Say("layer.survey-hint")}, {Name: "blocks", Label: v.Say("layer.blocks"), Hint: v.Say("layer.blocks-hint")}},
					More: []shell.ListChoice{{Name: "time", Label: v.Say("layer.time"), Hint: v.Say("layer.time-hint"), Value: "soon",
						Choices: []shell.ListChoice{{Value: "soon", Label: v.Say("layer.soon", "n", int(soon.Seconds()))}, {Value: atLength, Label: v.Say("layer.long", "n", int(patient.Seconds()))}}}}},
				Links: []shell.Anchor{{Path: onLayer + "/drawing", Says: v.Say("layer.drawing-example")}}}
		},
		Examples: []shell.Example{{Files: map[string]string{"survey": "survey.csv"}}, {Path: onLayer + "/drawing", Files: map[string]string{"survey": "survey.dxf", "blocks": "blocks.csv"}}},
		Answer:   answerLayer}
}

func answerLayer(a shell.Asked) (shell.Reply, error) {
	list, err := a.List("survey")
	if err != nil {
		return shell.Reply{}, err
	}
	var blocks *sheet.Sheet
	if !a.Lists.Lists["blocks"].Empty() {
		if blocks, err = a.Sheet("blocks"); err != nil {
			return shell.Reply{}, err
		}
	}
	m, err := mapfile.Read(list.Name, list.Reader(), blocks)
	if err != nil {
		return shell.Reply{}, err
	}
	looks := soon
	if a.Typed("time") == atLength {
		looks = patient
	}
	got, err := shell.Once(a, "layer", func(stop func() bool) (*answers.Answer, error) {
		begun := time.Now()
		m.Stop = func() bool { return stop() || time.Since(begun) > looks }
		return answers.Of(m)
	})
	if err != nil {
		return shell.Reply{}, err
	}
	l := laid{a.Words, got}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says, out.Next = l.tone(), l.says(), l.next(looks)
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return l.draw(width) })
	out.Caption, out.Behind = l.caption(), l.behind()
	out.Figures, out.Tables, out.Notes = l.figures(), l.tables(), got.Warnings
	if got.BlockKg != nil {
		out.Loads = []caution.Load{{Name: a.Say("layer.heaviest"), Kg: *got.BlockKg}}
	}
	return out, l.files(&out, a.Plain.Get("as"))
}

// laid is an answered layer on its way to a page.
type laid struct {
	tongue.Words
	*answers.Answer
}

func (l laid) tone() string {
	switch {
	case len(l.Blocks) == 0:
		return "bad"
	case l.Stopped:
		return "doubt"
	}
	return "good"
}

func (l laid) says() string {
	if len(l.Blocks) == 0 {
		return l.Say("layer.none")
	}
	if l.Draws > 1 {
		return l.Say("layer.plan-average", "n", len(l.Blocks), "value", l.Number(l.Value, 0), "low", l.Number(l.Low, 0), "high", l.Number(l.High, 0))
	}
	return l.Say("layer.plan", "n", len(l.Blocks), "value", l.Number(l.Value, 0))
}

// next is what to do: look longer, or look at the crack that is worth most.
func (l laid) next(looked time.Duration) string {
	switch {
	case l.Stopped && looked < patient:
		return l.Say("layer.look-longer", "n", int(looked.Seconds()))
	case l.Stopped:
		return l.Say("layer.look-by-command", "n", int(looked.Seconds()))
	case len(l.Survey) > 0 && l.Survey[0].Value > 0:
		return l.Say("layer.second-look", "name", l.Survey[0].Name, "value", l.Number(l.Survey[0].Value, 0))
	}
	return ""
}

func (l laid) caption() string {
	text := l.Say("layer.caption")
	if l.Draws > 1 {
		text += " " + l.Say("layer.caption-doubt")
	}
	return text
}

// behind is the plan run by run.
func (l laid) behind() shell.Table {
	t := shell.Table{Heads: shell.Heads(l.Say("layer.run"), l.Say("layer.blocks-in-it"), l.Say("layer.whole"))}
	var number, whole []float64
	for _, b := range l.Blocks {
		for len(number) < b.Run {
			number, whole = append(number, 0), append(whole, 0)
		}
		number[b.Run-1]++
		whole[b.Run-1] += b.Chance
	}
	for i := range number {
		t.Rows = append(t.Rows, shell.RowOf(fmt.Sprint(i+1), l.Number(number[i], 0), l.Number(whole[i], 1)))
	}
	return t
}

func (l laid) figures() []shell.Figure {
	bound := l.Say("layer.bound-runs", "gap", l.Percent(100*l.Gap))
	if !l.Proven {
		bound = l.Say("layer.bound-area", "gap", l.Percent(100*l.Gap))
	}
	way := l.Say("layer.way-along")
	if l.Runs == "across" {
		way = l.Say("layer.way-across")
	}
	list := []shell.Figure{
		{Name: l.Say("layer.value"), Value: l.Number(l.Value, 0)},
		{Name: l.Say("layer.bound"), Value: l.Number(l.Bound, 0), Small: bound},
		{Name: l.Say("layer.blind"), Value: l.Number(l.Blind.Mean, 0), Small: l.Say("layer.blind-small", "low", l.Number(l.Blind.Low, 0), "high", l.Number(l.Blind.High, 0))},
		{Name: l.Say("layer.used"), Value: l.Percent(100 * l.Used)},
		{Name: l.Say("layer.direction"), Value: l.Number(l.Degrees, 2) + "°", Small: way},
		{Name: l.Say("layer.sawing"), Value: l.Number(l.Metres, 0) + unbroken + "m", Small: l.Say("layer.cuts", "n", len(l.Cuts))},
	}
	if l.Draws > 1 {
		list[0].Small = l.Say("layer.in-draws", "low", l.Number(l.Low, 0), "high", l.Number(l.High, 0))
	}
	if l.BlockKg != nil {
		list = append(list, shell.Figure{Name: l.Say("layer.heaviest"), Value: l.Mass(*l.BlockKg), Small: l.Say("layer.heaviest-small")})
	}
	return list
}

// mostJoints is how many cracks are listed; the JSON has all.
const mostJoints = 12

func (l laid) tables() []shell.Table {
	types := shell.Table{Title: l.Say("layer.types"), Heads: shell.Heads(l.Say("layer.block"), l.Say("layer.sawn"), l.Say("layer.whole"))}
	for _, c := range l.Counts {
		types.Rows = append(types.Rows, shell.RowOf(c.Type, fmt.Sprint(c.Blocks), l.Number(c.Whole, 1)))
	}
	if len(l.Survey) == 0 {
		return []shell.Table{types}
	}
	looks := shell.Table{Title: l.Say("layer.looks"), Caption: l.Say("layer.looks-about"), Heads: shell.Heads(l.Say("layer.crack"), l.Say("layer.photo"), l.Say("layer.worth"), l.Say("layer.share"))}
	looks.Heads[1].Figure = false
	for _, j := range l.Survey[:min(mostJoints, len(l.Survey))] {
		row := shell.RowOf(j.Name, cmp.Or(j.Photo, "–"), l.Number(j.Value, 1), l.Percent(100*j.Share))
		row.Cells[1].Figure = false
		looks.Rows = append(looks.Rows, row)
	}
	return []shell.Table{types, looks}
}

// files are what can be taken away beside the JSON: blocks and cuts as a list, the drawing, and sheets of paper. Each is made when it is asked for.
func (l laid) files(out *shell.Reply, as string) error {
	for _, f := range []struct {
		as, label, kind string
		make            func(io.Writer) error
	}{{"csv", "", "", func(w io.Writer) error { return layermap.CSV(w, l.Answer) }},
		{"dxf", "layer.as-drawing", "image/vnd.dxf", layermap.Of(l.Answer, l.File, "").DXF},
		{"pdf", "layer.as-sheets", "application/pdf", l.sheets}} {
		var text bytes.Buffer
		if as == f.as {
			if err := f.make(&text); err != nil {
				return err
			}
		}
		if f.as == "csv" {
			out.CSV = text.Bytes()
			continue
		}
		out.Files = append(out.Files, shell.ReplyFile{ListFile: shell.ListFile{As: f.as, Label: l.Say(f.label)}, Name: "layer." + f.as, Kind: f.kind, Content: text.Bytes()})
	}
	return nil
}

// sheets prints the map with the list of cuts. The fonts of this program have no Chinese characters: for those who read Chinese it is in English.
func (l laid) sheets(w io.Writer) error {
	if l.Language() == tongue.Chinese {
		l.Words = tongue.In(tongue.English, l.Units())
	}
	list := layermap.List{Language: string(l.Language()), Lines: []string{l.Say("layer.paper-lines", "kerf_mm", l.Map.Saw.Kerf, "degrees", l.Number(l.Degrees, 2))},
		Heads: []string{l.Say("layer.cut-number"), l.Say("layer.cut-kind"), l.Say("layer.run"), l.Say("layer.cut-from"), l.Say("layer.cut-to"), l.Say("layer.cut-done")},
		Cuts:  layermap.Cuts(l.Answer, l.Say("layer.kind-run"), l.Say("layer.kind-cross"))}
	if l.BlockKg != nil {
		list.Lines = append(list.Lines, l.Say("layer.heaviest")+": "+l.Mass(*l.BlockKg)+" ("+l.Say("layer.heaviest-small")+").")
	}
	for _, text := range l.Warnings {
		list.Lines = append(list.Lines, l.InWords(text))
	}
	for _, c := range caution.OnPaper(l.Words, layerCare()) {
		list.Cautions = append(list.Cautions, c.Word+": "+c.Text)
	}
	return layermap.Of(l.Answer, l.Say("layer.paper-title", "file", l.File), l.says()).PDF(w, list, nil)
}

// layerCare is what can hurt in a quarry.
func layerCare() []caution.Topic {
	return []caution.Topic{caution.Faces, caution.Lifting, caution.Dust, caution.Machines, caution.Wet}
}

// unbroken is a blank that holds a number and its unit on one line.
const unbroken = "\u00a0"
