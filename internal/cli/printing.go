package cli

import (
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper"
	"slatewright/internal/picture/ink"
	"slatewright/internal/tongue"
)

// printing says in which language a verb prints its papers.
type printing struct {
	Language string `enum:"en,pt,it,es,zh" default:"en" help:"Language of the PDF papers: en, pt (Brazil), it, es or zh."`
	Font     string `placeholder:"FILE" help:"TrueType font (.ttf) for characters that the program's own fonts do not have; papers in zh need one."`
}

// form is how papers of a size are printed.
func (v printing) form(s *verb.Session, size paper.Size) (paper.Form, error) {
	form := paper.Form{Size: size, Words: tongue.In(tongue.Language(v.Language), tongue.Metric)}
	if v.Font != "" {
		data, err := s.Text(v.Font, ink.LargestFont)
		if err != nil {
			return form, err
		}
		if form.Font, err = ink.ReadFont(v.Font, data); err != nil {
			return form, err
		}
	}
	return form, form.Check()
}
