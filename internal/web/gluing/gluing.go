// Package gluing is where the mill asks whether a batch of lining boards may be glued today, and what its own coupon bends. A list is pasted or
// uploaded; the answer is one sentence, one picture (the bow of every month at the destination, with its limits, against what is allowed) and
// its figures.
//
// It computes nothing, package lining/answers does, and gives the same JSON as the command line. A question writes
// nothing into the book; only a list that somebody keeps with its batch does.
package gluing

import (
	"embed"
	"net/http"

	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/shell"
)

//go:embed examples
var examples embed.FS

// mostAtOnce is how many lists are worked out side by side: the others wait.
const mostAtOnce = 1

const (
	batchPath  = "/lining"
	couponPath = "/lining/coupon"
)

var care = []caution.Topic{caution.Glue, caution.Lifting}

func questions() []shell.Question {
	return []shell.Question{
		{Path: batchPath, File: "lining-batch", Care: care, Examples: from("batch.csv"), Answer: answerBatch, Fetch: fetch, Keep: keeper{},
			Form: func(v *shell.Visit) shell.Asking {
				p := asking(v, "batch")
				p.Links = []shell.Anchor{{Path: couponPath, Says: v.Say("gluing.asks-coupon")}}
				return p
			}},
		{Path: couponPath, File: "lining-coupon", Care: care, Examples: from("coupon.csv"), Answer: answerCoupon,
			Form: func(v *shell.Visit) shell.Asking {
				p := asking(v, "coupon")
				p.Links = []shell.Anchor{{Path: batchPath, Says: v.Say("gluing.asks-batch")}}
				return p
			}},
	}
}

func from(file string) []shell.Example {
	return []shell.Example{{Files: map[string]string{"list": file}}}
}

// asking is the page of a question, by its name in the words.
func asking(v *shell.Visit, name string) shell.Asking {
	return shell.Asking{Asks: v.Say("gluing.asks-" + name), About: v.Say("gluing.about-" + name),
		Form: shell.ListForm{Fields: []shell.ListField{{Name: "list", Label: v.Say("gluing.field-" + name), Hint: v.Say("gluing.hint-" + name)}}}}
}

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux) error {
	s.Ask(mux, shell.Asks{Here: string(book.Lining), Turn: shell.NewTurn(mostAtOnce), Examples: examples, Questions: questions()})
	return nil
}
