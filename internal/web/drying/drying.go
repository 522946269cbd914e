// Package drying is where the mill asks whether a piece, or a layer of them, may leave the seasoning room, and how the room's air was. A list is pasted or
// uploaded; the answer is one sentence, one picture and its figures.
//
// It computes nothing, package seasoning/answers does, and gives the same JSON as the command line. It writes nothing into the book.
package drying

import (
	"embed"
	"net/http"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/seasoning"
	"slatewright/seasoning/answers"
	air "slatewright/seasoning/room"
)

//go:embed examples
var examples embed.FS

// What a page fits; the verb fits more. The time of a fit grows with the square of the readings of one piece: 1600 of them took 16 s.
const (
	mostSeries   = 200
	mostOfOne    = 250
	mostReadings = 2000
)

// mostAtOnce is how many lists are fitted side by side: the others wait.
const mostAtOnce = 1

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	s.Ask(mux, shell.Asks{Here: string(book.Room), Turn: shell.NewTurn(mostAtOnce), Examples: examples, Questions: []shell.Question{{
		Path: "/season", File: "season", Care: []caution.Topic{caution.Lifting}, Form: form, Answer: answer,
		Examples: []shell.Example{{Files: list("piece.csv"), Plain: map[string]string{"share": "0.03 mm"}},
			{Path: layerExample, Files: list("layer.csv"), Plain: map[string]string{"share": "5 %"}}}}}})
	return nil
}

const layerExample = "/season/layer"

func list(file string) map[string]string { return map[string]string{"list": file} }

// form is the page before anything was given.
func form(v *shell.Visit) shell.Asking {
	return shell.Asking{Asks: v.Say("season.asks"), About: v.Say("season.about"), Links: []shell.Anchor{{Path: layerExample, Says: v.Say("season.layer-example")}},
		Form: shell.ListForm{Fields: []shell.ListField{{Name: "list", Label: v.Say("season.list"), Hint: v.Say("season.columns")}},
			More: []shell.ListChoice{{Name: "share", Label: v.Say("season.share"), Hint: v.Say("season.share-hint")},
				{Name: "min-days", Label: v.Say("season.min-days"), Hint: v.Say("season.min-days-hint", "days", seasoning.UsualDays)},
				{Name: "day", Label: v.Say("season.day-asked"), Hint: v.Say("season.day-hint")}}}}
}

// answer answers a list: of a piece, of a layer, or of the room's air.
func answer(a shell.Asked) (shell.Reply, error) {
	q, err := questionOf(a)
	if err != nil {
		return shell.Reply{}, err
	}
	table, err := a.Sheet("list")
	if err != nil {
		return shell.Reply{}, err
	}
	w := say{a.Words}
	if _, logged := table.Has("humidity"); logged {
		log, err := air.Read(table)
		if err != nil {
			return shell.Reply{}, err
		}
		return answerRoom(w, answers.OfRoom(table.Name, log)), nil
	}
	read, err := seasoning.Read(table)
	if err != nil {
		return shell.Reply{}, err
	}
	if err := fits(a.Visit, read, q); err != nil {
		return shell.Reply{}, err
	}
	got, err := answers.Of(table.Name, read, q)
	if err != nil {
		return shell.Reply{}, err
	}
	if len(got.Pieces) == 1 {
		return answerPiece(w, got), nil
	}
	return answerLayer(w, got), nil
}

// questionOf reads the fields beside the list.
func questionOf(a shell.Asked) (answers.Question, error) {
	q := answers.Question{Share: answers.UsualShare, MinDays: seasoning.UsualDays}
	if typed := a.Typed("share"); typed != "" {
		q.Share = typed
	}
	for name, take := range map[string]func(float64){"min-days": func(x float64) { q.MinDays = x }, "day": func(x float64) { q.Day = &x }} {
		typed := a.Typed(name)
		if typed == "" {
			continue
		}
		x, err := strconv.ParseFloat(typed, 64)
		if err == nil {
			take(x)
		}
		if err != nil || !q.DaysInReach() {
			return q, problem.New("bad-value", name, a.Say("season.no-days", "typed", typed), a.Say("season.no-days-next"))
		}
	}
	return q, nil
}

// fits refuses what a page does not fit, and a share that the list's values cannot have.
func fits(v *shell.Visit, list *seasoning.List, q answers.Question) error {
	series, readings, longest := 0, 0, 0
	for _, values := range list.Values {
		series += len(values.Series)
		for _, s := range values.Series {
			readings, longest = readings+len(s.Readings), max(longest, len(s.Readings))
		}
	}
	if series > mostSeries || readings > mostReadings || longest > mostOfOne {
		return problem.New("too-large", "list", v.Say("season.too-many", "series", mostSeries, "readings", mostReadings, "most", mostOfOne), v.Say("season.too-many-next", "command", "slatewright season FILE"))
	}
	if _, _, ok := answers.ReadShare(q.Share, list.Values[0]); !ok {
		return problem.New("bad-value", "share", v.Say("season.no-share", "typed", q.Share, "unit", list.Values[0].Unit), v.Say("season.no-share-next"))
	}
	return nil
}

// say speaks to the reader.
type say struct{ tongue.Words }

// tenth is a number of days, to a tenth.
func tenth(days float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(days, 'f', 1, 64), ".0")
}
