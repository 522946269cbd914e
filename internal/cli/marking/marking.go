// Package marking has the verbs about the marks of sets: their labels, and whether three codes are one set.
//
// It parses, asks package sets/marks, and shows; the book it only reads.
package marking

import (
	"context"

	"slatewright/internal/book"
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper"
	"slatewright/internal/picture/ink"
	"slatewright/internal/tongue"
)

// Marks holds the verbs about marks.
type Marks struct {
	Labels Labels `cmd:"" help:"What is printed for the marks of a set?"`
	Check  Check  `cmd:"" help:"Do the pieces with these codes pack?"`
}

// speaking says in which language a verb answers or prints.
type speaking struct {
	Language string `enum:"en,pt,it,es,zh" default:"en" help:"Language of the words: en, pt (Brazil), it, es or zh."`
}

func (v speaking) words() tongue.Words {
	return tongue.In(tongue.Language(v.Language), tongue.Metric)
}

// form is how papers are printed, with a font for what the program's own do not have.
func (v speaking) form(s *verb.Session, size paper.Size, font string) (form paper.Form, err error) {
	form.Size, form.Words = size, v.words()
	if font == "" {
		return form, form.Check()
	}
	data, err := s.Text(font, ink.LargestFont)
	if err == nil {
		form.Font, err = ink.ReadFont(font, data)
	}
	return form, err
}

// millOf is the mill of a book; the zero one where it has none.
func millOf(ctx context.Context, l book.Keeper) (m book.MillState, err error) {
	t, err := l.Thing(ctx, book.Ref{Kind: book.KindMill, ID: l.Site()})
	if err != nil {
		return m, err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return m, err
	}
	return *state.(*book.MillState), nil
}
