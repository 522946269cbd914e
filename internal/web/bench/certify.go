package bench

import (
	"strings"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/shell"
)

func (r room) certify(v *shell.Visit) error {
	s, err := setOf(v)
	if err != nil {
		return err
	}
	p, _, err := r.pageOf(v, s)
	if err != nil {
		return err
	}
	return r.showCertify(v, r.withKey(v, s, p))
}

// withKey adds what is known of the key and the certificate's number.
func (r room) withKey(v *shell.Visit, s theSet, p verdict) verdict {
	p.Number = numberFor(s)
	key, err := r.key()
	if err != nil {
		if p.NoKey = shell.Mendable(err); p.NoKey == nil {
			v.Log.Warn("the mill's key cannot be used", "cause", err)
		}
		if p.NoKey == nil || p.NoKey.Code == "no-key" {
			p.NoKey = noKey(v)
		}
		return p
	}
	p.KeyID, p.TrialKey = key.Public().ID(), s.mill.Demo
	return p
}

// numberFor proposes a number for the certificate: the set's own, or with a letter when it has one already.
func numberFor(s theSet) string {
	if s.state.Certificate == "" {
		return s.ID
	}
	for letter := 'B'; letter <= 'Z'; letter++ {
		if n := s.ID + "-" + string(letter); n != s.state.Certificate {
			return n
		}
	}
	return s.ID
}

func (r room) showCertify(v *shell.Visit, p verdict) error {
	page := shell.Page{Name: "bench/certify", Title: v.Say("bench.certify-set", "set", p.Set), Here: "bench", Near: true, Data: p, Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting})}
	if p.Wrong != nil {
		page.Code = p.Wrong.Status
	}
	return v.Show(page)
}

// takeCertificate seals the verdict, once the set's code was read, the button held, and the inspector's passphrase given again.
func (r room) takeCertificate(v *shell.Visit) error {
	s, err := setOf(v)
	if err != nil {
		return err
	}
	form, err := v.Form()
	if err != nil {
		return err
	}
	p, b, err := r.pageOf(v, s)
	p = r.withKey(v, s, p)
	if err != nil || b == nil || p.NoKey != nil {
		return r.again(v, p, err, r.showCertify)
	}
	if n := strings.TrimSpace(form.Get("number")); n != "" {
		p.Number = n
	}
	if err := v.Confirmed(form, s.ID); err != nil {
		return r.again(v, p, err, r.showCertify)
	}
	if err := v.Reaffirm(form.Get("_passphrase")); err != nil {
		return r.again(v, p, err, r.showCertify)
	}
	if err := r.seal(v, s, b.Body, p.Number, form.Get("_entry")); err != nil {
		return r.again(v, p, err, r.showCertify)
	}
	return v.Redirect(shell.Link(book.Ref{Kind: book.KindCertificate, ID: p.Number}) + "?did=certify")
}

// seal signs the body and writes the certificate into the book.
func (r room) seal(v *shell.Visit, s theSet, body certificate.Body, number, entry string) error {
	key, err := r.key()
	if err != nil {
		return err
	}
	sealed, err := certificate.SealBody(body, key)
	if err != nil {
		return err
	}
	text, err := sealed.Text()
	if err != nil {
		return err
	}
	digest, err := r.keep(v, text)
	if err != nil {
		return err
	}
	_, err = v.HandIn(shell.Act{Entry: entry, Station: book.Bench, Reaffirmed: true, Act: &book.Certify{Set: s.ID, Certificate: number,
		Digest: sealed.Seal.Digest, Blob: digest, Key: sealed.Seal.KeyID, Answers: s.mill.Answers}})
	return err
}
