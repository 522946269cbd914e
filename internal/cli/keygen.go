package cli

import (
	"crypto/rand"
	"fmt"
	"io"

	"slatewright/certificate"
	"slatewright/internal/cli/verb"
)

// keygenVerb makes the key that signs certificates.
type keygenVerb struct {
	File string `arg:"" help:"Where the secret key goes; the public key goes to the same name with .pub."`
	Demo bool   `help:"Make a key for trials: everything it signs says so."`
}

func (keygenVerb) About() verb.About {
	return verb.About{
		Text: `Makes a new pair of keys (Ed25519). The first file is the secret one: it is written so that only you can read it, it is never
			overwritten, and whoever has it can sign in the mill's name. Keep a copy under lock. The second file, with the ending .pub, is for
			everyone who wants to verify the mill's certificates: give it to customers by a way that they trust.`,
		Examples: []verb.Example{
			{"slatewright keygen mill.key", "writes mill.key and mill.key.pub"},
			{"slatewright keygen trial.key --demo", "a key that a mill's certificates never carry"},
		},
	}
}

type keygenReport struct {
	KeyID  string `json:"key_id"`
	Demo   bool   `json:"demo"`
	Secret string `json:"secret_file"`
	Public string `json:"public_file"`
}

// Run makes the keys.
func (v keygenVerb) Run(*verb.Session) (verb.Report, error) {
	key, err := certificate.NewKey(rand.Reader, v.Demo)
	if err != nil {
		return nil, err
	}
	public := v.File + ".pub"
	if err := verb.WriteNew(verb.NewFile{Path: v.File, Text: key.Text(), Mode: 0o600}, verb.NewFile{Path: public, Text: key.Public().Text(), Mode: 0o644}); err != nil {
		return nil, err
	}
	return &keygenReport{KeyID: key.Public().ID(), Demo: v.Demo, Secret: v.File, Public: public}, nil
}

func (r *keygenReport) Print(w io.Writer) {
	kind := "Key"
	if r.Demo {
		kind = "Trial key"
	}
	fmt.Fprintf(w, "%s %s\n  secret  %s   (keep it under lock; whoever has it signs in the mill's name)\n  public  %s   (give it to whoever verifies)\n",
		kind, r.KeyID, r.Secret, r.Public)
}

func (r *keygenReport) Outcome() verb.Outcome { return verb.Done }
