package stockfile

import (
	"fmt"
	"strings"

	"slatewright/sheet"
	"slatewright/trouble"
)

// Group is pieces that a person keeps together or apart.
type Group struct {
	IDs   []string
	Where string // of whoever said so: file:line, or a flag
}

// Hand is what a person has decided.
type Hand struct {
	Together []Group // two or three pieces
	Apart    []Group // two pieces
}

// ReadHand reads a list of what is kept together or apart: keep, first, second, third. Errors are *trouble.Trouble with file and line.
func ReadHand(list *sheet.Sheet) (h Hand, err error) {
	columns, err := list.Columns([]string{"keep", "first", "second"}, "third")
	if err != nil {
		return h, err
	}
	for _, row := range list.Rows {
		var ids []string
		for _, name := range [3]string{"first", "second", "third"} {
			if id := row.Text(columns[name]); id != "" {
				ids = append(ids, id)
			}
		}
		if err := h.Keep(strings.ToLower(row.Text(columns["keep"])), ids, fmt.Sprintf("%s:%d", list.Name, row.Line)); err != nil {
			return h, err
		}
	}
	return h, nil
}

// Keep adds a group; how is together or apart.
func (h *Hand) Keep(how string, ids []string, where string) error {
	seen := map[string]bool{}
	for _, id := range ids {
		if seen[id] {
			return trouble.Data("twice", where, fmt.Sprintf("the piece %s is named twice", id), "name different pieces")
		}
		seen[id] = true
	}
	g := Group{ids, where}
	switch {
	case how == "together" && (len(ids) == 2 || len(ids) == 3):
		h.Together = append(h.Together, g)
	case how == "apart" && len(ids) == 2:
		h.Apart = append(h.Apart, g)
	case how == "together":
		return trouble.Data("bad-group", where, trouble.Count(len(ids), "piece", "pieces")+" to keep together", "name two or three to keep together, two to keep apart")
	case how == "apart":
		return trouble.Data("bad-group", where, trouble.Count(len(ids), "piece", "pieces")+" to keep apart", "name two or three to keep together, two to keep apart")
	default:
		return trouble.Data("bad-word", where, fmt.Sprintf("keep = %q is not known", how), "write together or apart")
	}
	return nil
}

// Find gives the groups by the places of their pieces in the stock.
func (h Hand) Find(index map[string]int) (together [][]int, apart [][2]int, err error) {
	find := func(g Group) (at []int, err error) {
		for _, id := range g.IDs {
			i, ok := index[id]
			if !ok {
				return nil, trouble.Data("no-piece", g.Where, fmt.Sprintf("there is no piece %q in the stock", id), "write the id as the list of the stock has it")
			}
			at = append(at, i)
		}
		return at, nil
	}
	for _, g := range h.Together {
		at, err := find(g)
		if err != nil {
			return nil, nil, err
		}
		together = append(together, at)
	}
	for _, g := range h.Apart {
		at, err := find(g)
		if err != nil {
			return nil, nil, err
		}
		apart = append(apart, [2]int(at))
	}
	return together, apart, nil
}
