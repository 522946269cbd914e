// Package desk writes the papers of a judged set: it puts what the body of a certificate holds into the structs from which
// package paper and package page print.
//
// Nothing is judged here, and nothing computed but where the readings lie in the bed. What the papers say in sentences about a
// verdict is said here once, for paper, page and terminal alike. The package writes no file and holds no key: it seals
// with the one it is given.
package desk

import (
	"bytes"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/paper"
	"slatewright/internal/paper/page"
	"slatewright/internal/tongue"
	"slatewright/judge"
)

// Set is a composed certificate on its way to paper. It speaks English until it is told otherwise.
type Set struct {
	Body  certificate.Body
	words tongue.Words
	page  string        // address of the certificate's public page
	faces [3]*face.Face // centred, in the order given
}

// New takes up a composed body. Its readings are read again from what would be sealed.
func New(b certificate.Body) (*Set, error) {
	q, err := b.Given.Seating()
	if err != nil {
		return nil, err
	}
	s := &Set{Body: b}
	for k, f := range q.Faces {
		if s.faces[k], err = f.Centred(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// In returns the set as it speaks with other words.
func (s *Set) In(w tongue.Words) *Set {
	other := *s
	other.words = w
	return &other
}

// At returns the set with the address of its certificate's public page, which goes into the code on the paper.
func (s *Set) At(page string) *Set {
	other := *s
	other.page = page
	return &other
}

// Verdict is the verdict on the set.
func (s *Set) Verdict() judge.Verdict { return verdictOf(s.Body.Found.Verdict) }

// verdictOf is a certificate's verdict, or 0 for words that are none: no paper is printed with that.
func verdictOf(words string) judge.Verdict {
	v, ok := judge.VerdictOf(words)
	if !ok {
		return 0
	}
	return v
}

// Paper is one paper with the name of its file.
type Paper struct {
	Name string
	Text []byte
}

// Papers makes the papers of the set: the sealed certificate (SET.json) and its print (SET.pdf), or the refusal
// (SET-refusal.pdf). Without a key nothing is made of a set that conforms.
func (s *Set) Papers(key *certificate.Key, form paper.Form) ([]Paper, error) {
	set, print := s.Body.Set, s.In(form.Words)
	var b bytes.Buffer
	if s.Verdict() != judge.Conforms {
		err := print.refusal().PDF(&b, form)
		return []Paper{{set + "-refusal.pdf", b.Bytes()}}, err
	}
	if key == nil {
		return nil, nil
	}
	sealed, err := certificate.SealBody(s.Body, *key)
	if err != nil {
		return nil, err
	}
	text, err := sealed.Text()
	if err != nil {
		return nil, err
	}
	err = print.certificate(sealed.Seal).PDF(&b, form)
	return []Paper{{set + ".json", text}, {set + ".pdf", b.Bytes()}}, err
}

// Print is the print of a certificate that is sealed already; page is the address of its public page, or empty.
func Print(c certificate.Certificate, page string, form paper.Form) ([]byte, error) {
	s, err := New(c.Body)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = s.In(form.Words).At(page).certificate(c.Seal).PDF(&b, form)
	return b.Bytes(), err
}

// pattern is the table pattern with its revision.
func (s *Set) pattern() string {
	spec := s.Body.Given.Spec
	return s.words.Say("paper.pattern", "pattern", spec.Pattern, "revision", spec.Revision)
}

// certificate is the paper of a set that conforms.
func (s *Set) certificate(seal certificate.Seal) paper.Certificate {
	b := s.Body
	c := paper.Certificate{
		Mark: b.Mark, Mill: b.Mill, Set: b.Set, DateCode: b.DateCode, Issued: b.Issued, Pattern: s.pattern(),
		Verdict: s.Verdict(), Basis: s.basis(), Reason: s.Reason(), Map: s.Map(), Results: s.Results(), Pieces: s.pieces(),
		Method: s.method(), Shims: s.shims(), Levels: s.levels(), LayUp: s.layUp(), Warnings: s.all(b.Found.Warnings),
		Page: s.page, Digest: seal.Digest, KeyID: seal.KeyID, Program: b.Program,
	}
	for _, n := range b.Found.NotChecked {
		c.NotChecked = append(c.NotChecked, s.told(n.Subject+": "+n.Demand))
	}
	return c
}

// refusal is the paper of a set that gets no certificate.
func (s *Set) refusal() paper.Refusal {
	b := s.Body
	r := paper.Refusal{
		Mark: b.Mark, Mill: b.Mill, Set: b.Set, Issued: b.Issued, Pattern: s.pattern(), Verdict: s.Verdict(), Basis: s.basis(), Reason: s.Margin(),
		Results: s.Results(), Map: s.Map(), Pieces: s.pieces(), Method: s.method(), LayUp: s.layUp(),
		Warnings: s.all(b.Found.Warnings), Program: b.Program,
	}
	r.NextStep, r.NextWhy = s.next()
	for _, h := range b.Found.Hindrances {
		r.Reasons = append(r.Reasons, s.words.Say("paper.unchecked", "subject", s.of(h.Of), "demand", s.told(h.Reason)))
	}
	return r
}

// Entry is the set's part of the page that shows a folder, with links to its files.
func (s *Set) Entry(links []page.Link) page.Entry {
	b := s.Body
	return page.Entry{Set: b.Set, Verdict: s.Verdict(), Reason: asSentence(b.Found.Basis) + " " + s.Reason(), NextStep: b.Found.Next.Text,
		Results: s.Compared(), Coverage: s.words.Say("paper.coverage"), Map: s.Map(), Links: links, Warnings: b.Found.Warnings}
}

// basis is what the verdict rests on.
func (s *Set) basis() string {
	switch b := s.Body.Found.Basis; b {
	case certificate.BasisPredicted:
		return s.words.Say("paper.predicted")
	case certificate.BasisLaidUp:
		return s.words.Say("paper.laid-up-and-measured")
	default:
		return b
	}
}

// all says sealed sentences.
func (s *Set) all(sealed []string) (list []string) {
	for _, text := range sealed {
		list = append(list, s.told(text))
	}
	return list
}
