package paper

import (
	"errors"
	"io"
	"strings"
	"testing"

	"slatewright/judge"
	"slatewright/trouble"
)

func TestCertificatesThatMayNotBeWritten(t *testing.T) {
	for name, c := range map[string]struct {
		code  string
		spoil func(*Certificate)
	}{
		"a verdict of not":     {"not-a-certificate", func(c *Certificate) { c.Verdict = judge.DoesNotConform }},
		"no verdict":           {"not-a-certificate", func(c *Certificate) { c.Verdict = 0 }},
		"half a digest":        {"bad-digest", func(c *Certificate) { c.Digest = digest[:32] }},
		"a digest in capitals": {"bad-digest", func(c *Certificate) { c.Digest = strings.ToUpper(digest) }},
		"half marked":          {"half-marked", func(c *Certificate) { c.Mark = "" }},
		"no results":           {"no-results", func(c *Certificate) { c.Results = nil }},
		"a strange verdict":    {"bad-verdict", func(c *Certificate) { c.Results[1].Verdict = judge.DoesNotConform + 1 }},
		"a bad date":           {"bad-date", func(c *Certificate) { c.Issued = "25.11.2026" }},
		"a bad map":            {"bad-map", func(c *Certificate) { c.Map.SizeY = -1 }},
		"a level too few":      {"bad-levels", func(c *Certificate) { c.Levels.Divisions = c.Levels.Divisions[:1] }},
		"too many marks":       {"crowded", func(c *Certificate) { c.Levels.Marks = make([]LevelMark, mostMarks+1) }},
		"a set number too long for the code": {"qr", func(c *Certificate) {
			c.Set = strings.Repeat("QH-", 700)
		}},
	} {
		cert := specimenCertificate()
		c.spoil(&cert)
		err := cert.PDF(io.Discard, Form{})
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code || tr.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestRefusalsThatMayNotBeWritten(t *testing.T) {
	for name, c := range map[string]struct {
		code  string
		spoil func(*Refusal)
	}{
		"conforms":     {"not-a-refusal", func(r *Refusal) { r.Verdict = judge.Conforms }},
		"no verdict":   {"bad-verdict", func(r *Refusal) { r.Verdict = 0 }},
		"no next step": {"no-next-step", func(r *Refusal) { r.NextStep = "" }},
		"half marked":  {"half-marked", func(r *Refusal) { r.Map.Mark = "" }},
		"no results":   {"no-results", func(r *Refusal) { r.Results = nil }},
		"a bad date":   {"bad-date", func(r *Refusal) { r.Issued = "25.11.2026" }},
		"a bad map":    {"too-few-points", func(r *Refusal) { r.Map.Pieces[0].X, r.Map.Pieces[0].Y, r.Map.Pieces[0].Z = nil, nil, nil }},
	} {
		refusal := specimenRefusal()
		c.spoil(&refusal)
		err := refusal.PDF(io.Discard, Form{})
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code || tr.Next == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestQRTextNamesSetAndDigest(t *testing.T) {
	c := specimenCertificate()
	if got, want := c.QRText(), "set: QH-0007\nsha256: "+digest+"\n"+banner; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	c.Mark = ""
	if got, want := c.QRText(), "set: QH-0007\nsha256: "+digest; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// What is given is not changed: the caller's certificate is the caller's.
func TestPrintingChangesNothing(t *testing.T) {
	c := withLayUp(specimenCertificate())
	before := c.Map.Joints[0].Steps[0]
	n := len(c.Map.Joints[0].Steps)
	if err := c.PDF(io.Discard, Form{}); err != nil {
		t.Fatal(err)
	}
	if c.Map.Joints[0].Steps[0] != before || len(c.Map.Joints[0].Steps) != n || c.Map.Joints[0].Predicted != nil {
		t.Error("the certificate's own joints were replaced")
	}
}

func TestSizes(t *testing.T) {
	if A4.String() != "A4" || Letter.String() != "Letter" {
		t.Error("names of sizes")
	}
	if w, h := Letter.mm(); w != 8.5*25.4 || h != 11*25.4 {
		t.Errorf("Letter is %g by %g mm", w, h)
	}
}
