package certificate

import (
	"fmt"
	"slices"

	"slatewright/trouble"
)

// Report is what checking a certificate found. Its JSON is what the command line answers with.
type Report struct {
	Set          string           `json:"set"`           // set number, as sealed
	Verdict      string           `json:"verdict"`       // as sealed
	Demo         bool             `json:"demo"`          // invented data: of no worth for real stone
	SignatureOK  bool             `json:"signature_ok"`  // the key in the seal (and the key asked for) signed this very body
	DigestOK     bool             `json:"digest_ok"`     // the body has the digest that the seal states
	RecomputedOK bool             `json:"recomputed_ok"` // the readings inside lead to the same results, within Slack, and verdict
	KeyID        string           `json:"key_id"`        // who signed, as the seal says
	KeyKnown     bool             `json:"key_known"`     // it is the key that was asked for
	Differences  List[Difference] `json:"differences"`   // why one of the three is false
	Warnings     List[string]     `json:"warnings"`      // of the certificate itself, then of the check
}

// OK tells whether the certificate holds.
func (r Report) OK() bool { return r.SignatureOK && r.DigestOK && r.RecomputedOK }

// Check says how to check a certificate.
type Check struct {
	Program string     // name and version of the program that checks, as in Input
	Key     *PublicKey // who must have signed; nil: whoever the seal names
}

// Verify checks digest and signature of a certificate and computes everything anew from the readings inside. An error
// means that the text is no certificate in canonical form; name is used in messages.
func (ch Check) Verify(name string, text []byte) (Report, error) {
	c, err := Parse(name, text)
	if err != nil {
		return Report{}, err
	}
	digest, err := c.Body.Digest()
	if err != nil {
		return Report{}, err
	}
	r := Report{Set: c.Body.Set, Verdict: c.Body.Found.Verdict, Demo: c.Body.Demo() || c.Body.Given.invented(), Warnings: slices.Clone(c.Body.Found.Warnings)}
	r.digest(c.Seal, digest)
	r.signature(c, digest, ch.Key)
	r.recompute(c.Body, ch.Program)
	return r, nil
}

func (r *Report) differ(field, sealed, recomputed string) {
	r.Differences = append(r.Differences, Difference{Field: field, Sealed: sealed, Recomputed: recomputed})
}

func (r *Report) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}

func (r *Report) digest(s Seal, digest string) {
	r.DigestOK = s.Digest == digest
	if !r.DigestOK {
		r.differ("seal.digest_sha256", s.Digest, digest)
	}
}

// signature checks who signed, and what.
func (r *Report) signature(c Certificate, digest string, want *PublicKey) {
	p, ok := c.Seal.signedBy(digest)
	r.KeyID = c.Seal.KeyID
	r.Demo = r.Demo || c.Seal.KeyKind != kindMill
	r.KeyKnown = want != nil && ok && p == *want
	r.SignatureOK = ok && p.demo == c.Body.Demo() && (want == nil || r.KeyKnown)
	switch _, genuine := c.Seal.signedBy(c.Seal.Digest); {
	case !ok && genuine:
		r.differ("seal.signature", "of a body with the stated digest", "not of this body: it was changed after it was signed")
	case !ok:
		r.differ("seal.signature", "by "+c.Seal.KeyID, "not a signature of this body by the key in the seal")
	case p.demo != c.Body.Demo():
		r.differ("mark", c.Body.Mark, "the key is a "+p.kind()+" key")
	case want != nil && !r.KeyKnown:
		r.differ("seal.key_id", p.ID(), "asked for "+want.ID())
	}
	if r.Demo {
		r.warn("%s", Invented)
	}
	if want == nil {
		r.warn("signed by key %s, which you must know by other means: ask the mill, and check with --key", r.KeyID)
	}
}

// recompute goes the way from the readings to the verdict again.
func (r *Report) recompute(sealed Body, program string) {
	again, err := Recompute(sealed)
	if err != nil {
		r.differ("given", "", err.Error())
		return
	}
	c := compare(sealed, again)
	differences := c.figures
	if sealed.Program == program {
		differences = append(differences, c.prose...)
	} else if len(c.prose) > 0 {
		r.warn("made by %s and checked by %s, which words %s otherwise, the first at %s: %q, now %q", sealed.Program, program,
			trouble.Count(len(c.prose), "sentence", "sentences"), c.prose[0].Field, c.prose[0].Sealed, c.prose[0].Recomputed)
	}
	r.RecomputedOK = len(differences) == 0
	r.Differences = append(r.Differences, differences...)
}
