package certificate

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sample has every shape that a body has.
type sample struct {
	Name  string          `json:"name"`
	Zone  Length          `json:"zone_mm"`
	Maybe *Amount         `json:"maybe_c"`
	Pairs [2]Position     `json:"pairs"`
	Words List[string]    `json:"words"`
	Inner List[innermost] `json:"inner"`
	Yes   bool            `json:"yes"`
	Seed  uint64          `json:"seed,string"`
}

type innermost struct {
	N    int            `json:"n"`
	List List[Position] `json:"list"`
}

func TestCanonicalForm(t *testing.T) {
	warm := Amount(20100)
	v := sample{Name: "Schräg <& \u2212 \"so\" \\", Zone: 127000, Maybe: &warm, Pairs: [2]Position{{1, -2}, {}}, Words: List[string]{"a", ""},
		Inner: List[innermost]{{N: 3}, {List: List[Position]{{5, 6}}}}, Seed: 1<<64 - 1}
	got, err := canonical(v)
	want := `{"name":"Schräg <& − \"so\" \\","zone_mm":0.127000,"maybe_c":20.100,"pairs":[[0.000001,-0.000002],[0.000000,0.000000]],` +
		`"words":["a",""],"inner":[{"n":3,"list":[]},{"n":0,"list":[[0.000005,0.000006]]}],"yes":false,"seed":"18446744073709551615"}`
	if err != nil || string(got) != want {
		t.Errorf("got  %s (%v)\nwant %s", got, err, want)
	}
}

func TestTextsWithoutCanonicalFormAreRefused(t *testing.T) {
	for _, text := range []string{"a\nb", "tab\t", "\x00", "\x7f", "\u0085", "\u2028", "\u2029", "not UTF-8 \xff", "\\\\n\r"} {
		if out, err := canonical(sample{Name: text}); err == nil {
			t.Errorf("%q was written as %s", text, out)
		}
	}
	for _, text := range []string{"", `\n`, `\u0000`, "\ufffd", "中文", "😀", `"`, `\"\\`} {
		if _, err := canonical(sample{Name: text}); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

const plain = `{"name":"n","zone_mm":0.127000,"maybe_c":null,"pairs":[[0.000001,0.000002],[0.000000,0.000000]],"words":["a"],"inner":[{"n":3,"list":[]}],"yes":true,"seed":"7"}`

func TestStrictReading(t *testing.T) {
	var v sample
	for _, space := range []string{plain, " " + plain + "\r\n\t ", strings.NewReplacer(":", " : ", ",", "\n,\n").Replace(plain)} {
		if err := parse("c.json", []byte(space), &v); err != nil {
			t.Errorf("%v\n%s", err, space)
		}
	}
	for _, c := range [][2]string{
		{`"n","zone`, `"n","name":"n","zone`},                     // doubled field
		{`"yes":true`, `"yes":true,"no":false`},                   // unknown field
		{`"yes":true`, `"Yes":true`},                              // another spelling
		{`"yes":true,`, ``},                                       // missing field
		{`"n","zone_mm":0.127000`, `"n","zone_mm":0.127`},         // a decimal short
		{`0.127000`, `0.1270000`},                                 // and too many
		{`0.127000`, `1.27000e-1`},                                // an exponent
		{`0.127000`, `"0.127000"`},                                // text for a number
		{`"seed":"7"`, `"seed":7`},                                // a number for text
		{`"seed":"7"`, `"seed":"07"`},                             //
		{`"n":3`, `"n":3.0`},                                      //
		{`"n":3`, `"n":-0`},                                       //
		{`"list":[]`, `"list":null`},                              // null for an empty list
		{`"words":["a"]`, `"words":["\u0061"]`},                   // a needless escape
		{`"words":["a"]`, `"words":["a\/"]`},                      //
		{`"words":["a"]`, `"words":["a\u000a"]`},                  // a control character
		{`"words":["a"]`, `"words":["a\n"]`},                      //
		{`"words":["a"]`, "\"words\":[\"a\xff\"]"},                // no UTF-8
		{`"words":["a"]`, "\"words\":[\"a\u2028\"]"},              // a line separator
		{`"words":["a"]`, "\"words\":[\"a\x7f\"]"},                //
		{`"words":["a"]`, "\"words\":[\"a\u0085\"]"},              //
		{`[0.000000,0.000000]]`, `[0.000000,0.000000,0.000000]]`}, // too many in a pair
		{`[0.000000,0.000000]]`, `[0.000000]]`},                   // too few
		{`"yes":true,"seed":"7"`, `"seed":"7","yes":true`},        // another order
		{`"seed":"7"}`, `"seed":"7"}{}`},                          // something behind
		{`"seed":"7"}`, `"seed":"7"}x`},                           //
		{`"seed":"7"}`, `"seed":"7"`},                             // cut
		{`"seed":"7"}`, `"seed":"7",}`},                           //
		{`"yes":true`, `"yes":null`},                              //
		{`"name":"n"`, `"name":null`},                             //
		{`{"name"`, "\ufeff{\"name\""},                            // a byte order mark
		{`{"name"`, "\u00a0{\"name\""},                            // a space that is none
		{`"maybe_c":null`, `"maybe_c":99999999999999999999.000`},  // too large
		{`"maybe_c":null`, `"maybe_c":-0.000`},                    // a sign on nothing
	} {
		changed := strings.Replace(plain, c[0], c[1], 1)
		if changed == plain {
			t.Fatalf("%s does not stand in the sample", c[0])
		}
		if err := parse("c.json", []byte(changed), &sample{}); err == nil {
			t.Errorf("read, though %s stands for %s", c[1], c[0])
		}
	}
}

func TestStrictReadingNamesTheLine(t *testing.T) {
	laid := string(layOut([]byte(plain)))
	for _, c := range []struct{ from, to, where string }{
		{`"zone_mm":0.127000`, `"zone_mm":0.127000,"zone_mm":0.127000`, "c.json:3:"},
		{`"words":[`, `"Words":[`, "c.json:9:"},
		{`"yes":true`, `"yes":tru`, "c.json:18:"},
		{"\n}\n", "\n}\n\n1\n", "c.json:22:"},
	} {
		changed := strings.Replace(laid, c.from, c.to, 1)
		if err := parse("c.json", []byte(changed), &sample{}); err == nil || !strings.HasPrefix(err.Error(), c.where) {
			t.Errorf("%s: want an error at %s, got %v\n%s", c.to, c.where, err, changed)
		}
	}
}

// unlaid takes line breaks and the spaces after them away, which is all that laying out adds.
func unlaid(text []byte) string {
	var b strings.Builder
	for line := range strings.SplitSeq(string(text), "\n") {
		b.WriteString(strings.TrimLeft(line, " "))
	}
	return b.String()
}

func TestLaidOutForm(t *testing.T) {
	want := `{
 "name":"n",
 "zone_mm":0.127000,
 "maybe_c":null,
 "pairs":[
  [0.000001,0.000002],
  [0.000000,0.000000]
 ],
 "words":[
  "a"
 ],
 "inner":[
  {
   "n":3,
   "list":[]
  }
 ],
 "yes":true,
 "seed":"7"
}
`
	if got := string(layOut([]byte(plain))); got != want {
		t.Errorf("got\n%s", got)
	}
	if got := unlaid([]byte(want)); got != plain {
		t.Errorf("taken back it is\n%s", got)
	}
}

func TestLayingOutCanBeTakenBack(t *testing.T) {
	text := rapid.StringMatching(`[ -~äλ−{}\[\],:"\\]{0,30}`)
	rapid.Check(t, func(t *rapid.T) {
		v := sample{
			Name:  text.Draw(t, "name"),
			Zone:  Length(rapid.Int64Range(1-decimalLimit, decimalLimit-1).Draw(t, "zone")),
			Words: rapid.SliceOfN(text, 0, 4).Draw(t, "words"),
		}
		for range rapid.IntRange(0, 3).Draw(t, "inner") {
			in := innermost{N: rapid.Int().Draw(t, "n")}
			for range rapid.IntRange(0, 9).Draw(t, "pairs") {
				in.List = append(in.List, Position{Length(rapid.Int32().Draw(t, "a")), Length(rapid.Int32().Draw(t, "b"))})
			}
			v.Inner = append(v.Inner, in)
		}
		bytesOf, err := canonical(v)
		if err != nil {
			t.Fatal(err)
		}
		laid := layOut(bytesOf)
		if unlaid(laid) != string(bytesOf) {
			t.Fatalf("taken back it is another:\n%s\n%s", bytesOf, laid)
		}
		if !json.Valid(laid) {
			t.Fatalf("not valid:\n%s", laid)
		}
		var again sample
		if err := parse("c.json", laid, &again); err != nil {
			t.Fatal(err)
		}
		if twice, err := canonical(again); err != nil || !bytes.Equal(twice, bytesOf) {
			t.Fatalf("came back as %s, %v", twice, err)
		}
	})
}
