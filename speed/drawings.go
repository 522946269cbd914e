package main

import (
	"fmt"
	"io"
	"time"

	"slatewright/bed/drawing"
	"slatewright/bed/pattern"
	"slatewright/bed/pattern/patternfile"
	"slatewright/internal/picture/beddrawing"
)

// drawingBench promises all drawings of a bed within 0.25 s, a nine-foot one on A3 and one of five pieces on A4: every sheet as SVG and DXF, all of them as one PDF, and
// the list of holes. Beside it stands the proof of their layout: every word of every sheet held against every other word and every line.
func drawingBench(_, _ string) ([]goal, error) {
	var goals []goal
	for _, c := range []struct {
		file  string
		paper beddrawing.Paper
	}{{"nine-foot", beddrawing.A3}, {"snooker-twelve-foot", beddrawing.A4}} {
		p, err := patternfile.ReadFile("docs/examples/bed/" + c.file + ".yaml")
		if err != nil {
			return nil, err
		}
		o := beddrawing.Options{Paper: c.paper}
		goals = append(goals, goal{what: "all drawings, " + c.file, repeats: 5, keeps: within(250 * time.Millisecond),
			ours: side{name: "package beddrawing", do: func() error { return everyDrawing(p, o) }},
			against: side{name: "words against lines", do: func() error {
				sheets, err := beddrawing.Sheets(p, o, beddrawing.Views(p, drawing.Whole), true)
				if err != nil {
					return err
				}
				for _, d := range sheets {
					if list := d.Clashes(); len(list) > 0 {
						return fmt.Errorf("%s: %v", d.Name, list)
					}
				}
				return nil
			}}})
	}
	return goals, nil
}

// everyDrawing draws and writes all of a bed.
func everyDrawing(p pattern.Pattern, o beddrawing.Options) error {
	sheets, err := beddrawing.Sheets(p, o, beddrawing.Views(p, drawing.Whole), true)
	if err != nil {
		return err
	}
	for _, d := range sheets {
		if err := d.SVG(io.Discard); err != nil {
			return err
		}
		if err := d.DXF(io.Discard); err != nil {
			return err
		}
	}
	if err := beddrawing.PDF(io.Discard, p.Name, beddrawing.Options{}, sheets); err != nil {
		return err
	}
	return drawing.CSV(io.Discard, p, drawing.Whole)
}
