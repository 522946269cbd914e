package cutting

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab/answers"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper"
	"slatewright/internal/picture/cutplan"
	"slatewright/internal/tongue"
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
			err = sawSheet(&text, p, title)
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

// sawSheet prints the order at the saw.
func sawSheet(w io.Writer, p *answers.Plan, title string) error {
	order, err := sawing.Of(p.Asked, p.Found)
	if err != nil {
		return err
	}
	sheet := sawing.Sheet{Name: title, Worth: worth(p.State, p.Value, p.Bound, p.Gap) + ".", Slab: p.Asked, Plan: p.Found, Order: order, Warnings: p.Warnings}
	if _, err := sheet.Weigh(0, sawing.UsualDensity, nil); err != nil {
		return err
	}
	return paper.SawingOrder{Sheet: sheet, Program: "slatewright"}.PDF(w, paper.Form{Size: paper.A4})
}

func sheetCautions(topics ...caution.Topic) (texts []string) {
	for _, c := range caution.OnPaper(tongue.In(tongue.English, tongue.Metric), topics) {
		texts = append(texts, c.Word+": "+c.Text)
	}
	return texts
}
