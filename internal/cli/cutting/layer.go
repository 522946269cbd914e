package cutting

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"slatewright/cutting/layer/answers"
	"slatewright/cutting/layer/mapfile"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/internal/picture/layermap"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Layer asks how the saw's grid is laid over a quarry layer.
type Layer struct {
	File   string        `arg:"" help:"The survey of the layer: a list (CSV), GeoJSON, or a drawing (DXF in ASCII); - is standard input."`
	Blocks string        `placeholder:"FILE" help:"The wanted blocks as a list, where the survey has none: name,length,width,value,most,turn; its header lines say of layer and saw what the survey does not. CSV."`
	Time   time.Duration `default:"30s" help:"How long it may look; the best so far is answered then."`
	Out    []string      `placeholder:"FILE" help:"Write the plan as well: a picture (.svg), sheets for the quarry (.pdf), a drawing (.dxf), or its blocks and cuts in their order (.csv). May be given several times; no file is written over."`
}

// About is the help of the verb.
func (Layer) About() verb.About {
	return verb.About{
		Text: `Lays the saw's grid over a quarry layer: runs straight through the layer, cross cuts within each run, where they give the most of the wanted
			blocks between joints, veins, stains and the edges of good ground. It chooses the direction among those that grain and saw lines allow,
			which way the runs go, and every offset; and it says what a blind grid gives, and what no plan of runs can pass.

			A cheap survey is enough to begin: for each crack two tape points from a painted base line, and steep or leaning. A joint may have a chance to
			be there and an error of its place: then the value is a mean over draws, with its spread, and the list says which joint is most worth a
			second look.

			Exit status 1: no block fits.`,
		Examples: []verb.Example{
			{"slatewright layer survey.csv --out plan.svg --out plan.dxf", "the plan, with a picture and a drawing"},
			{"slatewright layer survey.geojson --time 10s --json", "what is found in ten seconds, for programs"},
			{"slatewright layer survey.dxf --blocks blocks.csv --out plan.pdf", "a drawing says where, the list what; sheets for the quarry"},
		},
	}
}

// Run reads the survey, plans and answers.
func (v Layer) Run(s *verb.Session) (verb.Report, error) {
	if v.Time <= 0 {
		return nil, trouble.Usage("bad-time", "slatewright layer", "--time is not above 0", "write it like 30s")
	}
	for _, f := range v.Out {
		if !slices.Contains([]string{".svg", ".pdf", ".dxf", ".csv"}, strings.ToLower(filepath.Ext(f))) {
			return nil, trouble.Usage("bad-ending", "--out", fmt.Sprintf("%q ends in no kind of file that is known", f), "end it in .svg, .pdf, .dxf or .csv")
		}
	}
	var blocks *sheet.Sheet
	var err error
	if v.Blocks != "" {
		if blocks, err = verb.Read(s, v.Blocks, sheet.Read); err != nil {
			return nil, err
		}
	}
	m, err := verb.Read(s, v.File, func(name string, in io.Reader) (*mapfile.Map, error) { return mapfile.Read(name, in, blocks) })
	if err != nil {
		return nil, err
	}
	bar := verb.NewProgress(s, 100, "laying the grid")
	end := s.Clock().Add(v.Time)
	m.Stop = func() bool { return s.Context.Err() != nil || s.Clock().After(end) }
	m.Moved = func(done, total int) { bar.Set(int64(done), int64(total)) }
	got, err := answers.Of(m)
	bar.Close()
	if err != nil {
		return nil, err
	}
	if s.Context.Err() != nil {
		return nil, s.Context.Err()
	}
	return layerReport{got}, layerReport{got}.write(v.Out)
}

// layerReport prints the answer.
type layerReport struct{ *answers.Answer }

// Outcome is Refused where no block fits.
func (r layerReport) Outcome() verb.Outcome {
	if len(r.Blocks) == 0 {
		return verb.Refused
	}
	return verb.Done
}

// most is how many joints and directions are printed; --json has all.
const most = 8

// Print writes the answer for people.
func (r layerReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s, value %s", r.File, trouble.Count(len(r.Blocks), "block", "blocks"), measure.Decimal(r.Value, 0))
	if r.Draws > 1 {
		fmt.Fprintf(w, " on average (%s to %s in 90 of 100 draws)", measure.Decimal(r.Low, 0), measure.Decimal(r.High, 0))
	}
	fmt.Fprintf(w, "\n\n")
	kind := "no plan of such runs is worth more"
	if !r.Proven {
		kind = "by the area alone"
	}
	rows := [][2]string{
		{"grid", fmt.Sprintf("%s° from the base line, runs %s it", measure.Decimal(r.Degrees, 2), r.Runs)},
		{"bound", fmt.Sprintf("%s: %s; the plan is %s %% below", measure.Decimal(r.Bound, 0), kind, measure.Decimal(100*r.Gap, 1))},
		{"blind cutting", fmt.Sprintf("%s (%s to %s, by where the grid begins)", measure.Decimal(r.Blind.Mean, 0), measure.Decimal(r.Blind.Low, 0), measure.Decimal(r.Blind.High, 0))},
		{"ground used", measure.Decimal(100*r.Used, 1) + " %"},
		{"sawing", fmt.Sprintf("%s m in %s, lifts: %d", measure.Decimal(r.Metres, 0), trouble.Count(len(r.Cuts), "cut", "cuts"), r.Lifts)},
	}
	if r.BlockKg != nil {
		rows = append(rows, [2]string{"heaviest block", measure.Decimal(*r.BlockKg, 0) + " kg, wet and as deep as the layer"})
	}
	verb.Columns(w, rows)
	fmt.Fprintln(w)
	table := [][]string{{"block", "sawn", "whole on average"}}
	for _, c := range r.Counts {
		table = append(table, []string{c.Type, fmt.Sprint(c.Blocks), measure.Decimal(c.Whole, 1)})
	}
	verb.Table(w, 1, table...)
	if len(r.Survey) > 0 {
		verb.Section(w, "Worth a second look")
		table = [][]string{{"crack", "photo", "worth", "% of the plan", "runs"}}
		for _, j := range r.Survey[:min(most, len(r.Survey))] {
			table = append(table, []string{j.Name, j.Photo, measure.Decimal(j.Value, 1), measure.Decimal(100*j.Share, 2), fmt.Sprint(j.Runs)})
		}
		verb.Table(w, 2, table...)
	}
	verb.PrintWarnings(w, r.Warnings)
	var loads []caution.Load
	if r.BlockKg != nil {
		loads = append(loads, caution.Load{Name: "heaviest block", Kg: *r.BlockKg})
	}
	verb.Care(w, []caution.Topic{caution.Faces, caution.Lifting, caution.Machines, caution.Dust}, loads...)
}

// write makes the files that were asked for.
func (r layerReport) write(paths []string) error {
	var files []verb.NewFile
	about := fmt.Sprintf("%s, value %s; at most %s", trouble.Count(len(r.Blocks), "block", "blocks"), measure.Decimal(r.Value, 0), measure.Decimal(r.Bound, 0))
	drawn := layermap.Of(r.Answer, r.File, about)
	for _, path := range paths {
		var out bytes.Buffer
		var err error
		switch strings.ToLower(filepath.Ext(path)) {
		case ".svg":
			err = drawn.SVG(&out, pictureWidth)
		case ".pdf":
			err = drawn.PDF(&out, r.paper(), nil)
		case ".dxf":
			err = drawn.DXF(&out)
		default:
			err = layermap.CSV(&out, r.Answer)
		}
		if err != nil {
			return err
		}
		files = append(files, verb.NewFile{Path: path, Text: out.Bytes(), Mode: 0o644})
	}
	return verb.WriteNew(files...)
}

// pictureWidth is the width of a picture, mm of paper.
const pictureWidth = 260

// paper is what stands below the map on paper.
func (r layerReport) paper() layermap.List {
	l := layermap.List{Lines: []string{fmt.Sprintf("The runs go %s° from the base line, %s it. First the runs, each through the whole layer, then the cross cuts of each run. A line is the middle of the kerf of %s mm; places are m along the base line, m to its left.",
		measure.Decimal(r.Degrees, 2), r.Runs, mm(r.Map.Saw.Kerf))},
		Heads: []string{"cut", "kind", "run", "from m", "to m", "done"}, Cuts: layermap.Cuts(r.Answer, "run", "cross cut"), Cautions: sheetCautions(caution.Faces, caution.Machines, caution.Dust, caution.Lifting)}
	if r.BlockKg != nil {
		l.Lines = append(l.Lines, fmt.Sprintf("The heaviest block weighs %s kg, wet and as deep as the layer.", measure.Decimal(*r.BlockKg, 0)))
	}
	l.Lines = append(l.Lines, r.Warnings...)
	return l
}
