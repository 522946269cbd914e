package certificate

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// tampering is one change to the text of a certificate.
type tampering struct {
	what, from, to string
	named          string // field of a difference that must be reported
}

// inBody are changes of every class of field in the body, each with what the recomputation must name.
var inBody = []tampering{
	{"a reading", `"-430,-700,0.`, `"-430,-700,1.`, "found.results[0].value_mm"},
	{"the digest of the readings", `"csv_sha256":"`, `"csv_sha256":"0`, ""},
	{"a thickness in the readings", `"# thickness: -380 -520 25.75"`, `"# thickness: -380 -520 25.45"`, "found.pieces[0].stone_thickness.least_mm"},
	{"the verdict", `"verdict":"conforms"`, `"verdict":"cannot tell"`, "found.verdict"},
	{"the verdict of one result", `"name":"across",¶"verdict":"conforms"`, `"name":"across",¶"verdict":"cannot tell"`, "found.results[1].verdict"},
	{"a limit of a result", `"limit_mm":0.254000`, `"limit_mm":0.354000`, "found.results[1].limit_mm"},
	{"a limit of the specification", `"across_mm":0.254000`, `"across_mm":0.354000`, "found.results[1].limit_mm"},
	{"a value", `"lines":9,`, `"lines":8,`, "found.seating.lengthwise.lines"},
	{"the decision rule", `"rule":"iso14253-1",¶"consumer_risk":0.050000`, `"rule":"simple",¶"consumer_risk":0.500000`, "found.doubt.guard_factor"},
	{"the state", `"state":"laid",¶"decision"`, `"state":"free",¶"decision"`, "found.support.state"},
	{"a turn", `"turned":false`, `"turned":true`, "found.pieces[1].turned"},
	{"the seed", `"seed":"42"`, `"seed":"43"`, "found.doubt.spreads[0].shift_mm"},
	{"a shim", `"pack_mm":[0.050000]`, `"pack_mm":[0.100000]`, "found.shim_card.shims[1].pack_mm[0]"},
	{"a step of the lay-up", `[-660.000000,-0.006000]`, `[-660.000000,-0.001000]`, "found.laid_up.stations[0][0].measured_mm"},
	{"the basis", `"basis":"laid up and measured"`, `"basis":"predicted from three pieces"`, "found.basis"},
	{"the day", `"issued":"2026-11-25"`, `"issued":"2026-11-19"`, "found.verdict"}, // before the readings
	{"the method", `"The three rigid pieces`, `"The three rigid pieces, truly`, "found.method[0]"},
	{"a clause", `"subject":"frame"`, `"subject":"Frame"`, "found.not_checked[0].subject"},
}

// alone are changes of fields that nothing else depends on: only digest and signature show them.
var alone = []tampering{
	{what: "the mark", from: `"mark":"` + Invented + `"`, to: `"mark":""`, named: "seal.digest_sha256"},
	{what: "the set number", from: `"set":"QH-S-0042"`, to: `"set":"QH-S-0043"`, named: "seal.digest_sha256"},
	{what: "the date code", from: `"date_code":"26-329"`, to: `"date_code":"26-328"`, named: "seal.digest_sha256"},
	{what: "the mill", from: `"mill":"Quern Hollow"`, to: `"mill":"Quern Hill"`, named: "seal.digest_sha256"},
	{what: "a date of the readings", from: `"# date: 2026-11-20"`, to: `"# date: 2026-11-21"`, named: "given.readings[0].csv_sha256"},
}

// inSeal are changes of the seal.
var inSeal = []tampering{
	{what: "the scheme", from: `"scheme":"slatewright seal 1"`, to: `"scheme":"slatewright seal 2"`, named: "seal.signature"},
	{what: "the kind of key", from: `"key_kind":"demo"`, to: `"key_kind":"mill"`, named: "seal.signature"},
	{what: "the id of the key", from: `"key_id":"demo-`, to: `"key_id":"`, named: "seal.signature"},
}

func goldenLaid(t *testing.T) string {
	t.Helper()
	in := invented()
	in.LayUp = readLayUp(t, inventedLayUp)
	return written(t, sealedBy(t, composed(t, in), testKey(t, true)))
}

// apply changes the first place where from stands; ¶ is a line end with the spaces after it.
func (c tampering) apply(t *testing.T, text string) string {
	t.Helper()
	if strings.HasSuffix(c.to, `sha256":"0`) {
		i := strings.Index(text, c.from) + len(c.from)
		digit := "0"
		if text[i] == '0' {
			digit = "1"
		}
		return text[:i] + digit + text[i+1:]
	}
	from := strings.ReplaceAll(regexp.QuoteMeta(c.from), "¶", `\n( *)`)
	at := regexp.MustCompile(from).FindStringIndex(text)
	if at == nil {
		t.Fatalf("%s: the certificate does not hold %s", c.what, c.from)
	}
	return text[:at[0]] + strings.ReplaceAll(c.to, "¶", "\n") + text[at[1]:]
}

func names(r Report) (fields []string) {
	for _, d := range r.Differences {
		fields = append(fields, d.Field)
	}
	return fields
}

func check(t *testing.T, text string) Report {
	t.Helper()
	r, err := Check{Program: invented().Program}.Verify("c.json", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Whoever changes the body without the key is caught by digest and signature, and told what does not follow any more.
func TestTamperedBodyIsSeen(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	text := goldenLaid(t)
	if r := check(t, text); !r.OK() {
		t.Fatalf("untouched it does not hold: %+v", r)
	}
	for _, c := range slices.Concat(inBody, alone) {
		r := check(t, c.apply(t, text))
		if r.DigestOK || r.SignatureOK || r.OK() {
			t.Errorf("%s: digest %v, signature %v", c.what, r.DigestOK, r.SignatureOK)
		}
		if c.named != "" && !slices.Contains(names(r), c.named) {
			t.Errorf("%s: want a difference at %s, got %q", c.what, c.named, names(r))
		}
		if !slices.ContainsFunc(r.Differences, func(d Difference) bool { return strings.Contains(d.Recomputed, "changed after it was signed") }) {
			t.Errorf("%s: not told that it was changed after it was signed: %+v", c.what, r.Differences)
		}
	}
}

// Whoever has the key and signs results that do not follow from the readings is caught by the recomputation.
func TestSignedFalsehoodIsSeen(t *testing.T) {
	text := goldenLaid(t)
	for _, c := range inBody {
		falsehood, err := Parse("c.json", []byte(c.apply(t, text)))
		if err != nil {
			t.Fatal(err)
		}
		r := check(t, written(t, sealedBy(t, falsehood.Body, testKey(t, true))))
		if !r.DigestOK || !r.SignatureOK || r.RecomputedOK || r.OK() {
			t.Errorf("%s: digest %v, signature %v, recomputed %v", c.what, r.DigestOK, r.SignatureOK, r.RecomputedOK)
		}
		if c.named != "" && !slices.Contains(names(r), c.named) {
			t.Errorf("%s: want a difference at %s, got %q", c.what, c.named, names(r))
		}
	}
}

func TestTamperedSealIsSeen(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	text := goldenLaid(t)
	for _, c := range inSeal {
		if r := check(t, c.apply(t, text)); r.SignatureOK || !r.DigestOK || !r.RecomputedOK || !slices.Contains(names(r), c.named) {
			t.Errorf("%s: %+v", c.what, r)
		}
	}
	// Every letter of digest, key and signature.
	for _, field := range []string{"digest_sha256", "public_key", "signature"} {
		at := regexp.MustCompile(`"` + field + `":"([^"]*)"`).FindStringSubmatchIndex(text)
		for i := at[2]; i < at[3]; i += 7 {
			other := byte('1')
			if text[i] == other {
				other = '2'
			}
			c, err := Parse("c.json", []byte(text[:i]+string(other)+text[i+1:]))
			if err != nil {
				continue
			}
			digest, err := c.Body.Digest()
			if err != nil {
				t.Fatal(err)
			}
			r := Report{}
			r.digest(c.Seal, digest)
			r.signature(c, digest, nil)
			if r.SignatureOK && r.DigestOK || len(r.Differences) == 0 {
				t.Errorf("%s, letter %d: %+v", field, i-at[2], r)
			}
		}
	}
}

// A demo key's mark cannot be taken off: whoever writes mill in the seal, with the id that fits, has no signature.
func TestDemoMarkIsSigned(t *testing.T) {
	c, err := Parse("c.json", []byte(goldenLaid(t)))
	if err != nil {
		t.Fatal(err)
	}
	mill := testKey(t, true).Public()
	mill.demo = false
	c.Seal.KeyKind, c.Seal.KeyID, c.Body.Mark = mill.kind(), mill.ID(), ""
	if c.Seal.Digest, err = c.Body.Digest(); err != nil {
		t.Fatal(err)
	}
	if r := check(t, written(t, c)); r.SignatureOK || !r.DigestOK {
		t.Errorf("%+v", r)
	}
}

// A demo key under a body that does not say that its data are invented: the signature is good, and does not count.
func TestDemoKeyNeedsTheMark(t *testing.T) {
	b := composed(t, invented())
	b.Mark = ""
	c := forge(t, b, testKey(t, true))
	if r := check(t, written(t, c)); r.SignatureOK || !r.DigestOK || !r.Demo || !slices.Equal(names(r), []string{"mark"}) {
		t.Errorf("%+v", r)
	}
}

// Another version of the program words sentences otherwise, and says so; figures must agree all the same.
func TestOtherVersionsMayChangeWords(t *testing.T) {
	text := goldenLaid(t)
	for _, c := range []struct {
		tampering
		ok bool
	}{
		{tampering{"the method", `"The three rigid pieces`, `"The three pieces`, ""}, true},
		{tampering{"a clause", `"subject":"frame"`, `"subject":"its frame"`, ""}, true},
		{tampering{"a turn", `"turned":false`, `"turned":true`, "found.pieces[1].turned"}, false},
	} {
		changed, err := Parse("c.json", []byte(c.apply(t, text)))
		if err != nil {
			t.Fatal(err)
		}
		changed.Body.Program = "slatewright of another day"
		r := check(t, written(t, sealedBy(t, changed.Body, testKey(t, true))))
		said := strings.Join(r.Warnings, "\n")
		if r.OK() != c.ok || c.ok != strings.Contains(said, "otherwise") || (c.named != "" && !slices.Contains(names(r), c.named)) {
			t.Errorf("%s: %+v", c.what, r)
		}
	}
}

var figure = regexp.MustCompile(`-?\d+\.\d+`)

// Every line of what was found is compared: each figure, word and truth value, one changed at a time.
func TestEveryFieldIsCompared(t *testing.T) {
	text := goldenLaid(t)
	right, err := Parse("c.json", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(text, "\n")
	from, to := slices.Index(lines, `  "found":{`), slices.Index(lines, `  "given":{`)
	changed, stride, least := 0, 1, 500
	if testing.Short() {
		stride, least = 11, 50
	}
	for i := from + 1; i < to; i += stride {
		line := changeLine(lines[i])
		if line == lines[i] {
			continue
		}
		changed++
		other := slices.Clone(lines)
		other[i] = line
		c, err := Parse("c.json", []byte(strings.Join(other, "\n")))
		if err != nil {
			continue // caught in reading
		}
		if d := compare(right.Body, c.Body); len(d.figures)+len(d.prose) == 0 {
			t.Errorf("line %d: not seen: %s for %s", i+1, line, lines[i])
		}
	}
	if from < 0 || changed < least {
		t.Fatalf("%d lines were changed", changed)
	}
}

// changeLine changes the last value in a line.
func changeLine(line string) string {
	key, value, ok := strings.Cut(line, `":`)
	if !ok {
		key, value = "", line
	} else {
		key += `":`
	}
	switch {
	case strings.Contains(value, "true"):
		value = strings.Replace(value, "true", "false", 1)
	case strings.Contains(value, "false"):
		value = strings.Replace(value, "false", "true", 1)
	case strings.Contains(value, `"`):
		value = strings.Replace(value, `"`, `"x`, 1)
	case figure.MatchString(value):
		at := figure.FindAllStringIndex(value, -1)
		i := at[len(at)-1][1] - 1
		value = value[:i] + string('0'+(value[i]-'0'+5)%10) + value[i+1:]
	case strings.ContainsAny(value, "0123456789"):
		i := strings.IndexAny(value, "0123456789")
		value = value[:i] + string('1'+(value[i]-'0'+1)%9) + value[i+1:]
	}
	return key + value
}

// Two units of the last digit are let pass, three are not.
func TestSlack(t *testing.T) {
	a := composed(t, invented())
	for _, c := range []struct {
		by  int64
		out int
	}{{0, 0}, {2, 0}, {-2, 0}, {3, 1}, {-3, 1}} {
		b := a
		b.Found.Seating.Zone += Length(c.by)
		if d := compare(a, b); len(d.figures) != c.out || len(d.prose) != 0 {
			t.Errorf("%d of the last digit: %+v", c.by, d)
		}
	}
	b := a
	b.Found.Results = b.Found.Results[1:]
	if d := compare(a, b); len(d.figures) != 1 || d.figures[0].Field != "found.results" || d.figures[0].Sealed != "6 entries" {
		t.Errorf("a result is missing: %+v", d)
	}
	b = a
	b.Found.LaidUp = &LaidUp{}
	if d := compare(a, b); len(d.figures) != 1 || d.figures[0] != (Difference{"found.laid_up", "none", "given"}) {
		t.Errorf("a lay-up from nowhere: %+v", d)
	}
}
