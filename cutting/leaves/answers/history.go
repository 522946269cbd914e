package answers

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"slatewright/sheet"
	"slatewright/trouble"
)

// mostHistory is how large a history may be, bytes.
const mostHistory = 16 << 20

// History is what clean-up needed of pieces of one layer, mm over both faces together.
type History struct {
	Needs    []float64
	Warnings []string
}

// ReadHistory reads what clean-up needed of each piece: a list with a column need (beside it piece, layer and date), or what `slatewright cleanup --json` answered, one
// answer after the other or in an array, each of a slab or of a set. With a layer only its pieces count; answers name it by a member "layer" that somebody added.
// Errors are *trouble.Trouble.
func ReadHistory(name string, r io.Reader, layer string) (*History, error) {
	text, err := io.ReadAll(io.LimitReader(r, mostHistory+1))
	if err != nil {
		return nil, trouble.IO("unreadable", name, "the file cannot be read: "+err.Error(), "check the file and its medium").Because(err)
	}
	if len(text) > mostHistory {
		return nil, trouble.Data("too-large", name, "the file is larger than 16 MB", "give the pieces of one layer only")
	}
	h := &History{}
	if begin := bytes.TrimSpace(bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))); len(begin) > 0 && (begin[0] == '{' || begin[0] == '[') {
		err = h.answers(name, begin, layer)
	} else {
		err = h.list(name, text, layer)
	}
	if err == nil && h.Needs == nil {
		err = trouble.Data("no-rows", name, "there is no piece of this layer in the history", "name the layer as in its rows, or leave it out")
	}
	return h, err
}

// list reads a list with a row a piece.
func (h *History) list(name string, text []byte, layer string) error {
	s, err := sheet.Read(name, bytes.NewReader(text))
	if err != nil {
		return err
	}
	columns, err := s.Columns([]string{"need"}, "piece", "layer", "date")
	if err != nil {
		return err
	}
	for _, row := range s.Rows {
		if layer != "" && !strings.EqualFold(row.Text(columns["layer"]), layer) {
			continue
		}
		mm, err := s.Length(row, columns["need"])
		if err != nil {
			return err
		}
		if mm < 0 {
			return s.Bad(row.Line, "bad-number", "clean-up cannot need less than nothing", "give the stone that was taken off both faces together")
		}
		h.Needs = append(h.Needs, mm)
	}
	h.Warnings = s.Rest()
	return nil
}

// cleaned is what counts here of an answer about a clean-up: of a slab, or of a set with its pieces.
type cleaned struct {
	Name      string     `json:"slab"`
	Layer     string     `json:"layer"`
	Available *float64   `json:"available_mm"`
	CutTo     *float64   `json:"cut_to_mm"`
	Top       *mean      `json:"off_top_mm"`
	Bottom    *mean      `json:"off_bottom_mm"`
	Less      *damage    `json:"allowances"`
	Pieces    []*cleaned `json:"pieces"`
}

type mean struct {
	Mean float64 `json:"mean"`
}

type damage struct {
	Top    float64 `json:"damage_top_mm"`
	Bottom float64 `json:"damage_bottom_mm"`
}

// answers reads answers about clean-ups.
func (h *History) answers(name string, text []byte, layer string) error {
	seen, hurt, d := map[string]bool{}, 0, json.NewDecoder(bytes.NewReader(text))
	for at := 1; ; at++ {
		where := fmt.Sprintf("%s: answer %d", name, at)
		var raw json.RawMessage
		if err := d.Decode(&raw); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return noAnswer(where).Because(err)
		}
		list, err := together(raw)
		if err != nil {
			return noAnswer(where).Because(err)
		}
		for _, c := range list {
			if c == nil || c.Available == nil || c.CutTo == nil || c.Top == nil || c.Bottom == nil {
				return noAnswer(where)
			}
			if layer != "" && !strings.EqualFold(c.Layer, layer) {
				continue
			}
			if c.Name != "" && seen[c.Name] {
				return trouble.Data("twice", where, fmt.Sprintf("the slab %q stands twice", c.Name), "give each slab once, as it came from the saw")
			}
			seen[c.Name] = true
			if c.Less == nil || c.Less.Top+c.Less.Bottom == 0 {
				hurt++
			}
			// What comes off both faces on average and what stays are the slab's mean thickness, whatever was asked for.
			h.Needs = append(h.Needs, max(0, *c.CutTo+c.Top.Mean+c.Bottom.Mean-*c.Available))
		}
	}
	h.Warnings = append(h.Warnings, "the need of a slab is its mean thickness as it was read less what can be left of it: where the saw cut thinner than it was set, the need is greater by that")
	if hurt > 0 {
		h.Warnings = append(h.Warnings, fmt.Sprintf("%d clean-ups were asked without a damage depth: what they needed is told too small", hurt))
	}
	return nil
}

// together is the slabs of an answer, or of an array of answers.
func together(raw json.RawMessage) (list []*cleaned, err error) {
	var all []*cleaned
	if raw[0] == '[' {
		err = json.Unmarshal(raw, &all)
	} else {
		all = make([]*cleaned, 1)
		err = json.Unmarshal(raw, &all[0])
	}
	for _, c := range all {
		if c == nil || len(c.Pieces) == 0 {
			list = append(list, c)
			continue
		}
		for _, p := range c.Pieces {
			if p != nil && p.Layer == "" {
				p.Layer = c.Layer
			}
			list = append(list, p)
		}
	}
	return list, err
}

func noAnswer(where string) *trouble.Trouble {
	return trouble.Data("bad-json", where, "this is no answer about the clean-up of a slab or a set", "give what slatewright cleanup --json writes of slabs that were read, or a list with a column need")
}
