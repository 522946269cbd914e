package certificate

import (
	"bytes"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"
)

// fill gives every field of a body something at random that can be written.
func fill(v reflect.Value, draw *rand.Rand) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), draw)
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(v.Index(i), draw)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), draw.IntN(4), 4))
		for i := range v.Len() {
			fill(v.Index(i), draw)
		}
	case reflect.Pointer:
		if draw.IntN(3) > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			fill(v.Elem(), draw)
		}
	case reflect.String:
		words := []string{"", "x", `"`, `\`, "−0,5 µm", "<&>", "a b", "中", "{[,:]}", " "}
		v.SetString(words[draw.IntN(len(words))] + words[draw.IntN(len(words))])
	case reflect.Bool:
		v.SetBool(draw.IntN(2) == 1)
	case reflect.Int64:
		v.SetInt(draw.Int64N(2*decimalLimit-1) - decimalLimit + 1)
	case reflect.Uint64:
		v.SetUint(draw.Uint64())
	case reflect.Int: // counts, and places
		v.SetInt(int64(draw.IntN(3)))
	default:
		panic("a body holds a " + v.Kind().String())
	}
}

// What is written reads back and is written again as the same bytes.
func TestWrittenReadWritten(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		var c Certificate
		fill(reflect.ValueOf(&c).Elem(), draw)
		c.Body.Format, c.Body.Version = Format, Version
		if c.Body.Mark != "" {
			c.Body.Mark = Invented
		}
		text := written(t, c)
		again, err := Parse("c.json", []byte(text))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if twice := written(t, again); twice != text {
			t.Fatalf("came back as\n%s\nand was\n%s", twice, text)
		}
		d := compare(c.Body, again.Body)
		if len(d.figures)+len(d.prose) != 0 {
			t.Fatalf("came back otherwise: %+v", d)
		}
	}
}

func TestWhatIsNoCertificateIsNamed(t *testing.T) {
	text, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, want string }{
		{`"version":1`, `"version":2`, "has version 2 of the format"},
		{`"version":1,`, `"version":2,"news":[],`, "has version 2 of the format"},
		{`"format":"slatewright certificate"`, `"format":"recipe"`, "not a certificate"},
		{string(text), `{"a":1}`, "not a certificate"},
		{string(text), `[1]`, "no certificate in canonical JSON"},
		{string(text), ``, "no certificate in canonical JSON"},
		{string(text), `null`, "not a certificate"},
		{string(text), string(text) + string(text), "something follows the end"},
		{`"mark":"invented`, `"mark":"Invented`, "the mark is neither"},
		{`"mark":"invented data, `, `"mark":"`, "the mark is neither"},
	} {
		changed := strings.Replace(string(text), c.from, c.to, 1)
		if changed == string(text) {
			t.Fatalf("%s does not stand in the certificate", c.from)
		}
		if _, err := Parse("c.json", []byte(changed)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error with %q, got %v", c.want, err)
		}
	}
}

// A certificate whose question cannot be answered any more is not an error of the reader: it does not hold, and says why.
func TestNonsenseDoesNotHold(t *testing.T) {
	c := sealedBy(t, composed(t, invented()), testKey(t, true))
	for _, change := range []func(*Given){
		func(g *Given) { g.Readings = nil },
		func(g *Given) { g.Readings = append(g.Readings[:2:2], Reading{}) },
		func(g *Given) { g.Readings = append(g.Readings, g.Readings[0]) },
		func(g *Given) { g.Simulation.Draws = -1 },
		func(g *Given) { g.Simulation.Draws = 1 << 62 },
		func(g *Given) { g.Spec = Spec{} },
		func(g *Given) { g.Spec.Size[0] = -g.Spec.Size[0] },
		func(g *Given) { g.Spec.Shims = List[Length]{0, 0} },
		func(g *Given) { g.Spec.ShimsPerPack = 1 << 40 },
		func(g *Given) { g.Question.MaxStep = -1 },
		func(g *Given) { g.Question.MaxZone = decimalLimit - 1 },
		func(g *Given) { g.LayUp = &LayUp{Support: "x"} },
	} {
		other := c.Body
		change(&other.Given)
		r := check(t, written(t, sealedBy(t, other, testKey(t, true))))
		if r.RecomputedOK || !r.SignatureOK || len(r.Differences) == 0 {
			t.Errorf("%+v", r)
		}
	}
}

// FuzzParse looks for panics, and for text that is accepted and written otherwise. It does not compute anew: that takes too
// long for fuzzing.
func FuzzParse(f *testing.F) {
	text, err := os.ReadFile(golden)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	c, err := Parse(golden, text)
	if err != nil {
		f.Fatal(err)
	}
	short := c // a certificate without bulk, so that what is changed is seldom a reading
	short.Body.Found, short.Body.Given = Found{}, Given{}
	for _, c := range []Certificate{short, {Body: Body{Format: Format, Version: Version}}} {
		out, err := c.Text()
		if err != nil {
			f.Fatal(err)
		}
		f.Add(out)
	}
	f.Add([]byte(`{"body":{"format":"slatewright certificate","version":1}}`))
	f.Add([]byte(`{"body":{"found":{"results":[null]}}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := Parse("c.json", text)
		if err != nil {
			return
		}
		canonicalText, err := canonical(c)
		if err != nil {
			t.Fatal(err)
		}
		if unlaid(layOut(canonicalText)) != string(canonicalText) {
			t.Fatal("laid out, it is another")
		}
		var bare bytes.Buffer
		tokens(text, func(at int, _ bool) bool { bare.WriteByte(text[at]); return true })
		if !bytes.Equal(bare.Bytes(), canonicalText) {
			t.Fatalf("accepted, and written as\n%s", canonicalText)
		}
		if digest, err := c.Body.Digest(); err == nil {
			c.Seal.signedBy(digest)
		}
	})
}
