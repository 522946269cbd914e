package cli

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"slatewright/certificate"
	"slatewright/internal/cli/verb"
	"slatewright/judge"
)

// verifyVerb checks a certificate.
type verifyVerb struct {
	File string `arg:"" help:"The certificate (JSON); - is standard input."`
	Key  string `placeholder:"FILE" help:"The mill's public key: the certificate must be signed by it."`
}

func (verifyVerb) About() verb.About {
	return verb.About{
		Text: `Checks three things. The signature: the key in the certificate signed exactly this text. The digest: nothing in it was changed.
			The computation: the readings inside lead to the same results and the same verdict, worked out anew on this machine (to within
			two units of the last digit).

			Without --key the signature shows only that one key signed everything; whose key it is you must know by other means. With
			--key it must be that one.

			Exit status 0: all three hold, and the verdict is that the set conforms. 1: something does not hold; each difference is named.`,
		Examples: []verb.Example{
			{"slatewright verify QH-0001.json", "does it hold together, and does it compute?"},
			{"slatewright verify QH-0001.json --key mill.key.pub --json", "and is it from this mill? As one JSON object"},
		},
	}
}

type verifyReport struct {
	certificate.Report
	required bool
}

// Run checks the certificate.
func (v verifyVerb) Run(s *verb.Session) (verb.Report, error) {
	text, err := readText(s, v.File)
	if err != nil {
		return nil, err
	}
	check, err := v.check(s)
	if err != nil {
		return nil, err
	}
	found, err := check.Verify(v.File, text)
	return &verifyReport{found, v.Key != ""}, err
}

func (v verifyVerb) check(s *verb.Session) (certificate.Check, error) {
	if v.Key == "" {
		return certificate.Check{Program: program}, nil
	}
	text, err := readText(s, v.Key)
	if err != nil {
		return certificate.Check{}, err
	}
	key, err := certificate.ParsePublicKey(v.Key, text)
	return certificate.Check{Program: program, Key: &key}, err
}

func (r *verifyReport) Print(w io.Writer) {
	if r.Demo {
		fmt.Fprintf(w, "%s\n\n", certificate.Invented)
	}
	if r.OK() {
		fmt.Fprintf(w, "The certificate holds. Set %s: %s\n\n", r.Set, r.Verdict)
	} else {
		fmt.Fprintf(w, "The certificate does NOT hold. It says of set %s: %s\n\n", r.Set, r.Verdict)
	}
	fmt.Fprintf(w, "  signature    %-8s  %s\n", holds(r.SignatureOK), r.signer())
	fmt.Fprintf(w, "  digest       %-8s  of everything in it\n", holds(r.DigestOK))
	fmt.Fprintf(w, "  computation  %-8s  the readings inside, worked out anew\n", holds(r.RecomputedOK))
	for _, d := range r.Differences {
		fmt.Fprintf(w, "\n%s", verb.Wrap(difference(d), "Differs: ", "         ", verb.Width))
	}
	verb.PrintWarnings(w, slices.DeleteFunc(slices.Clone(r.Warnings), func(text string) bool { return text == certificate.Invented })) // stands at the top
}

// difference says what is sealed and what stands against it: worked out anew, or asked for.
func difference(d certificate.Difference) string {
	if strings.HasPrefix(d.Recomputed, "asked for ") {
		return fmt.Sprintf("%s: sealed %s, %s", d.Field, d.Sealed, d.Recomputed)
	}
	return fmt.Sprintf("%s: sealed %s, worked out %s", d.Field, d.Sealed, d.Recomputed)
}

func holds(ok bool) string {
	if ok {
		return "holds"
	}
	return "FAILS"
}

func (r *verifyReport) signer() string {
	if r.KeyKnown {
		return "by key " + r.KeyID + ", the one asked for"
	}
	return "by key " + r.KeyID
}

func (r *verifyReport) Outcome() verb.Outcome {
	if r.OK() && r.Verdict == judge.Conforms.String() {
		return verb.Done
	}
	return verb.Refused
}
