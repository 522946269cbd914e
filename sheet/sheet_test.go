package sheet_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"slatewright/sheet"
	"slatewright/trouble"
)

func read(t *testing.T, text string) *sheet.Sheet {
	t.Helper()
	s, err := sheet.Read("list.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestListsAsPeopleWriteThem(t *testing.T) {
	for name, text := range map[string]string{
		"plain":       "# limit: 0.25 mm\n# Title: dial 7\n\npart,value_um\nA,125\nB,-3\n",
		"semicolons":  "\xef\xbb\xbf# limit: 10thou\r\npart;value [µm]\r\nA;125,0\r\n;\r\nB;-3,0\r\n",
		"spreadsheet": "\"# limit: 0.25 mm\",\npart,value (mm),\n\"A\", 0.125,\nB,-0.003\n",
		"own unit":    "# LIMIT: 250 um\npart\tvalue\nA\t125 um\nB\t-0,003\n",
	} {
		s := read(t, text)
		columns, err := s.Columns([]string{"part", "value"}, "trial")
		if err != nil || len(s.Rows) != 2 {
			t.Fatalf("%s: %v, %d rows", name, err, len(s.Rows))
		}
		for i, want := range []float64{0.125, -0.003} {
			v, err := s.Length(s.Rows[i], columns["value"])
			if err != nil || math.Abs(v-want) > 1e-15 || s.Rows[i].Text(columns["part"]) != "AB"[i:i+1] {
				t.Errorf("%s: row %d: %g, %v", name, i, v, err)
			}
		}
		limit, ok, err := s.TakeLength("limit")
		if _, trial := columns["trial"]; err != nil || !ok || math.Abs(limit-0.25) > 0.005 || trial || len(s.Rest()) != 0 {
			t.Errorf("%s: limit %g, %v", name, limit, err)
		}
	}
}

func TestHeaderLines(t *testing.T) {
	s := read(t, "# pieces a year: 3000\n# colour: grey\n# true: 0.1\n# True: 0.2\n# empty:\n# a remark\na\n1e3\n")
	n, ok, err := s.TakeNumber("pieces a year")
	c, has := s.Has("a")
	if err != nil {
		t.Fatal(err)
	}
	if v, err := s.Number(s.Rows[0], c); n != 3000 || !ok || err != nil || !has || v != 1000 {
		t.Errorf("%g %v %v %g", n, ok, err, v)
	}
	if _, ok, err = s.TakeNumber("nothing"); ok || err != nil {
		t.Error(err)
	}
	if all := s.TakeAll("true"); len(all) != 2 || all[1].Value != "0.2" || all[1].Line != 4 {
		t.Errorf("%+v", all)
	}
	if w := s.Rest(); len(w) != 1 || w[0] != `list.csv:2: the key "colour" means nothing here` {
		t.Errorf("%q", w)
	}
	if _, has := s.Has("b"); has {
		t.Error("a column b")
	}
}

func refused(t *testing.T, err error, code, where string) {
	t.Helper()
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Code != code || !strings.HasSuffix(told.Where, where) || told.Next == "" {
		t.Errorf("want %s at %s, got %v", code, where, err)
	}
}

func TestRefusals(t *testing.T) {
	for text, want := range map[string][2]string{
		"":                                      {"no-rows", "list.csv"},
		"# only: this\n":                        {"no-rows", "list.csv"},
		"a,b\n":                                 {"no-rows", "list.csv"},
		"a,b\n1,2,3\n":                          {"columns", ":2"},
		"# x: y\na,b\n1,2\n# late: 1\n":         {"late-header", ":4"},
		"a\n\xff\n":                             {"encoding", "list.csv"},
		"a\n\x01\n":                             {"bad-row", ":2"},
		"# a: \x01b\na\n1\n":                    {"bad-header", ":1"},
		"a\n" + strings.Repeat("1\n", 50001):    {"too-many-rows", ":50002"},
		"a\n" + strings.Repeat("11111\n", 1e6):  {"too-large", "list.csv"},
		"a\n1\n\"2\n" + strings.Repeat("3", 10): {"bad-row", ":3"}, // a quote that is not closed
	} {
		_, err := sheet.Read("list.csv", strings.NewReader(text))
		refused(t, err, want[0], want[1])
	}
	_, err := sheet.Read("list.csv", iotest.ErrReader(errors.New("the disk")))
	refused(t, err, "unreadable", "list.csv")

	s := read(t, "# n: -1\n# l: 3\n# d: 1\n# d: 2\na,b_mm,a\nx,y,1\n")
	_, err = s.Columns([]string{"a", "b"})
	refused(t, err, "bad-title", ":5")
	_, _, err = s.TakeNumber("n")
	refused(t, err, "bad-header", ":1")
	_, _, err = s.TakeLength("l")
	refused(t, err, "bad-header", ":2")
	_, _, err = s.Take("d")
	refused(t, err, "bad-header", ":4")
	a, _ := s.Has("a")
	_, err = s.Number(s.Rows[0], a)
	refused(t, err, "bad-number", ":6")
	b, _ := s.Has("b")
	_, err = s.Length(s.Rows[0], b)
	refused(t, err, "bad-number", ":6")
	s = read(t, "a,c\n1,2\n")
	_, err = s.Columns([]string{"a", "b"}, "c")
	refused(t, err, "columns", ":1")
	_, err = s.Columns([]string{"a"})
	refused(t, err, "bad-title", ":1")
}

func FuzzRead(f *testing.F) {
	f.Add("# limit: 0.25 mm\npart,value_um\nA,125\n")
	f.Add("a;b\n\"1\"\";2\n")
	f.Add("\xef\xbb\xbf\"# k: v\",\n\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("f", strings.NewReader(text))
		if err != nil {
			var told *trouble.Trouble
			if !errors.As(err, &told) || told.Code == "" || told.What == "" {
				t.Fatalf("no trouble: %v", err)
			}
			return
		}
		if len(s.Rows) == 0 {
			t.Fatal("a list without rows")
		}
		for _, r := range s.Rows {
			if c, ok := s.Has("a"); ok {
				if v, err := s.Number(r, c); err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
					t.Fatalf("%q is %g", r.Text(c), v)
				}
				if v, err := s.Length(r, c); err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
					t.Fatalf("%q is %g", r.Text(c), v)
				}
			}
		}
		s.Rest()
	})
}
