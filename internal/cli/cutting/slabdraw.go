package cutting

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"slatewright/cutting/slab/answers"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/internal/picture/cutplan"
	"slatewright/internal/tongue"
	"slatewright/measure"
	"slatewright/trouble"
)

// drawable tells before the search whether files can be written.
func drawable(files []string, orders bool) error {
	for _, f := range files {
		switch strings.ToLower(filepath.Ext(f)) {
		case ".svg", ".pdf", ".dxf", ".csv":
		default:
			return trouble.Usage("bad-ending", "--out", fmt.Sprintf("%q ends in no kind of file that is known", f), "end it in .svg, .pdf, .dxf or .csv")
		}
	}
	if orders && len(files) > 0 {
		return trouble.Usage("several-plans", "--out", "several slabs have several plans", "plan one slab with the pieces of its order to draw it")
	}
	return nil
}

// draw writes a plan into files.
func draw(p *answers.Plan, files []string) error {
	var out []verb.NewFile
	title := p.Slab
	if title == "" {
		title = strings.TrimSuffix(filepath.Base(p.File), filepath.Ext(p.File))
	}
	for _, f := range files {
		var text bytes.Buffer
		var err error
		switch strings.ToLower(filepath.Ext(f)) {
		case ".svg":
			err = cutplan.SVG(&text, p.Asked, p.Found, title)
		case ".pdf":
			err = cutplan.PDF(&text, p.Asked, p.Found, cutplan.English(title, sheetLines(p), sheetCautions(caution.Machines, caution.Dust, caution.Lifting)))
		case ".dxf":
			err = cutplan.DXF(&text, p.Asked, p.Found)
		case ".csv":
			err = cutplan.CSV(&text, p.Found)
		}
		if err != nil {
			return err
		}
		out = append(out, verb.NewFile{Path: f, Text: text.Bytes(), Mode: 0o644})
	}
	return verb.WriteNew(out...)
}

// sheetLines are what the sheet says above the picture.
func sheetLines(p *answers.Plan) []string {
	lines := []string{worth(p.State, p.Value, p.Bound, p.Gap) + ".",
		fmt.Sprintf("Start angle %g°, kerf %g mm. A setting is the middle of the kerf, from the lower or left end of the slab as it lies in the frame.", p.Angle, p.Kerf)}
	for _, c := range p.Types {
		if c.Count > 0 {
			lines = append(lines, fmt.Sprintf("%d × %s (%s)", c.Count, c.Type, measure.Decimal(c.Value, 2)))
		}
	}
	return append(lines, p.Warnings...)
}

func sheetCautions(topics ...caution.Topic) (texts []string) {
	for _, c := range caution.OnPaper(tongue.In(tongue.English, tongue.Metric), topics) {
		texts = append(texts, c.Word+": "+c.Text)
	}
	return texts
}
