package proof

import (
	"errors"
	"time"

	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/lowlp"
	"slatewright/trouble"
)

// The addresses of the questions that take a list; those of the verbs that answer the same.
const (
	levelsPath  = "/levels"
	feelersPath = "/feelers"
	tablePath   = feelersPath + "/table"
)

// longest is how long a list may be computed with, waiting for its turn included. Sheets of a bench take well under a second; a sheet of
// feelers with many lines can take minutes.
const longest = 10 * time.Second

func askLevels() shell.Question {
	return shell.Question{Path: levelsPath, File: "levels", Longest: longest, Examples: from("level-slip.csv"), Answer: answerLevels,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("proof.levels"), About: v.Say("proof.levels-about"), Form: form(v, v.Say("proof.levels-list"), v.Say("proof.levels-columns"))}
		}}
}

func askFeelers() shell.Question {
	return shell.Question{Path: feelersPath, File: "feelers", Longest: longest, Examples: from("straightedge.csv"), Answer: answerFeelers,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("proof.feelers"), About: v.Say("proof.feelers-about"), Form: form(v, v.Say("proof.feelers-list"), v.Say("proof.feelers-columns")),
				Links: []shell.Anchor{{Path: tablePath, Says: v.Say("proof.to-table")}}}
		}}
}

func from(file string) []shell.Example {
	return []shell.Example{{Files: map[string]string{"list": file}, Plain: map[string]string{"limit": "0.2 mm"}}}
}

func form(v *shell.Visit, label, columns string) shell.ListForm {
	return shell.ListForm{Fields: []shell.ListField{{Name: "list", Label: label, Hint: columns}},
		More: []shell.ListChoice{{Name: "limit", Label: v.Say("proof.limit"), Hint: v.Say("proof.limit-hint")}}}
}

// limitOf reads the limit that was typed, mm; nil: none was.
func limitOf(a shell.Asked) (*float64, error) {
	mm, given, err := a.LengthIn("limit")
	if !given || err != nil {
		return nil, err
	}
	return &mm, nil
}

// tooLong says that a list takes longer than a page may, where that is what went wrong.
func tooLong(a shell.Asked, list shell.List, err error) error {
	var told *trouble.Trouble
	if errors.As(err, &told) && told.Code == lowlp.Stopped {
		return problem.New("too-large", list.Name, a.Say("proof.too-long", "many", int(longest.Seconds())), a.Say("proof.too-long-next", "command", "slatewright feelers FILE"))
	}
	return err
}
