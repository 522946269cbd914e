package answers

import (
	"fmt"
	"strings"

	"slatewright/face"
	"slatewright/sheet"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/toolmarks"
	"slatewright/trouble"
)

// mostMaps is how many maps one question may have.
const mostMaps = 400

// List reads a list of maps with how each lay: the columns file, date, place, start, turned; open reads one of the files.
func List(list *sheet.Sheet, open func(name string) (*face.Face, error)) ([]Source, error) {
	cols, err := list.Columns([]string{"file"}, "date", "place", "start", "turned")
	if err != nil {
		return nil, err
	}
	if len(list.Rows) > mostMaps {
		return nil, list.Bad(list.Rows[mostMaps].Line, "too-many-maps", fmt.Sprintf("more than %d maps", mostMaps), "give those of one machine and one season")
	}
	var sources []Source
	for _, row := range list.Rows {
		cell := func(name string) string {
			if c, ok := cols[name]; ok {
				return row.Text(c)
			}
			return ""
		}
		s := Source{Date: cell("date"), Place: cell("place"), Start: cell("start")}
		switch strings.ToLower(cell("turned")) {
		case "", "no", "0":
		case "yes", "180":
			s.Turned = true
		default:
			return nil, list.Bad(row.Line, "bad-turned", fmt.Sprintf("%q does not say whether the piece lay turned", cell("turned")), "write yes or no")
		}
		if s.Start == "−" || s.Start == "–" {
			s.Start = "-"
		}
		if s.Start != "" && s.Start != "+" && s.Start != "-" {
			return nil, list.Bad(row.Line, "bad-start", fmt.Sprintf("%q is no side at which the first track lay", s.Start), "write + or -, or leave it empty")
		}
		if cell("file") == "" {
			return nil, list.Bad(row.Line, "no-file", "the row names no file", "name the map of a face")
		}
		if s.Face, err = open(cell("file")); err != nil {
			return nil, err
		}
		sources = append(sources, s)
	}
	return sources, nil
}

// OrderOf reads in which way one track follows the other.
func OrderOf(text string) (toolmarks.Order, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "":
		return toolmarks.OrderUnknown, nil
	case "alternate":
		return toolmarks.Alternate, nil
	case "one-way":
		return toolmarks.OneWay, nil
	}
	return 0, trouble.Usage("bad-passes", "--passes", fmt.Sprintf("%q is no way in which tracks follow each other", text), "write alternate or one-way")
}

// FromMachine takes the disc and the pitch from what is known of the machine, where the question does not give them. The stage is the last when it is
// not named.
func (q *Question) FromMachine(m *machine.Machine, stage string) error {
	at := len(m.Stages) - 1
	if stage != "" {
		at = -1
		for i, s := range m.Stages {
			if strings.EqualFold(s.Name, stage) {
				at = i
			}
		}
	}
	if at < 0 {
		return trouble.Usage("no-stage", "--stage", fmt.Sprintf("the machine has no stage %q", stage), "name one that its file has")
	}
	if q.Facts.Diameter == 0 {
		q.Facts.Diameter = m.Stages[at].Disc.Diameter
	}
	if q.Facts.Pitch == 0 && m.Table.Pitch < q.Facts.Diameter {
		q.Facts.Pitch = m.Table.Pitch
	}
	return nil
}

// Headline is the answer in one sentence.
func (r *Report) Headline() string {
	found := 0
	for _, m := range r.Marks {
		if m.Found && m.Above == "yes" {
			found++
		}
	}
	limit := fmt.Sprintf("%g µm", r.LimitUM)
	switch {
	case r.State == NoMarks && len(r.Marks) == 0:
		return "No marks of the machine are found"
	case r.State == NoMarks:
		return "No mark is above " + limit
	case r.State == CannotTell && len(r.Marks) == 0:
		return "It cannot be told: these maps cannot show tracks"
	case r.State == CannotTell:
		return "Whether a mark is above " + limit + " cannot be told"
	}
	return trouble.Count(found, "mark is", "marks are") + " above " + limit + "; look first at: " + r.Marks[0].Says
}
