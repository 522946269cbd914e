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
		s := Source{Date: cell("date"), Place: cell("place"), Start: sign(cell("start"))}
		switch strings.ToLower(cell("turned")) {
		case "", "no", "0":
		case "yes", "180":
			s.Turned = true
		default:
			return nil, list.Bad(row.Line, "bad-turned", fmt.Sprintf("%q does not say whether the piece lay turned", cell("turned")), "write yes or no")
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

// InOne takes several maps apart that stand one behind the other: a map begins with its header lines. The name is used in messages.
func InOne(name, text string) (list []Source, err error) {
	var part strings.Builder
	inRows := false
	flush := func() error {
		if strings.TrimSpace(part.String()) == "" {
			return nil
		}
		as := name
		if len(list) > 0 || inRows {
			as = fmt.Sprintf("%s %d", name, len(list)+1)
		}
		f, err := face.ReadCSV(as, strings.NewReader(part.String()))
		if err != nil {
			return err
		}
		if f.Piece != "" {
			f.Name = f.Piece
			if f.Date != "" {
				f.Name += " " + f.Date
			}
		}
		list = append(list, FromFace(f))
		part.Reset()
		return nil
	}
	for line := range strings.Lines(text) {
		header := strings.HasPrefix(strings.TrimLeft(line, "\ufeff\" "), "#")
		if header && inRows {
			if err := flush(); err != nil {
				return nil, err
			}
			inRows = false
		}
		inRows = inRows || !header && strings.TrimSpace(line) != ""
		part.WriteString(line)
		if len(list) > mostMaps {
			return nil, trouble.Data("too-many-maps", name, fmt.Sprintf("more than %d maps", mostMaps), "give those of one machine and one season")
		}
	}
	return list, flush()
}

// FromFace is a map that says in its own header lines how it lay: # start, # place, # turned.
func FromFace(f *face.Face) Source {
	s := Source{Face: f}
	known := map[string]func(string){"start": func(v string) { s.Start = sign(v) }, "place": func(v string) { s.Place = v }, "turned": func(v string) { s.Turned = v == "yes" }}
	var left []string
	for _, kv := range f.Other {
		if set, ok := known[kv.Key]; ok {
			set(kv.Value)
		}
	}
	for _, w := range f.Warnings { // the reader of faces does not know these keys
		mine := false
		for key := range known {
			mine = mine || strings.Contains(w, fmt.Sprintf("the key %q", key))
		}
		if !mine {
			left = append(left, w)
		}
	}
	copied := *f
	copied.Warnings = left
	s.Face = &copied
	return s
}

// sign is a minus or plus as people write it.
func sign(text string) string {
	switch text {
	case "−", "–":
		return "-"
	}
	return text
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
