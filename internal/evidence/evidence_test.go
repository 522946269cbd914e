package evidence_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/book"
)

func celsius(x float64) *float64 { return &x }

func TestReadings(t *testing.T) {
	thing := book.Ref{Kind: book.KindPiece, ID: "QH-0401"}
	usual := func() *face.Face { return aFace("QH-0401", 30, 40, 1) }
	header := func(change func(h *face.Header)) *face.Face {
		f := usual()
		change(&f.Header)
		return f
	}
	lines := header(func(h *face.Header) {
		h.Support = face.Support{Kind: face.SupportLines, Text: "lines y -412.4; y 412.4", Lines: []face.Line{{Axis: 'y', At: -412.4}, {Axis: 'y', At: 412.4}}}
	})
	points := header(func(h *face.Header) {
		h.Support = face.Support{Kind: face.SupportPoints, Text: "points -274 -354; 274 -354; 0 471", Points: [][2]float64{{-274, -354}, {274, -354}, {0, 471}}}
	})
	fraction := header(func(h *face.Header) {
		h.Support = face.Support{Kind: face.SupportLines, Text: "lines 0.22", Fraction: 0.22, Lines: []face.Line{{Axis: 'y', At: -412.44}, {Axis: 'y', At: 412.44}}}
	})
	unsized := header(func(h *face.Header) {
		h.SizeX, h.SizeY, h.Support = 0, 0, face.Support{Kind: face.SupportLines, Text: "lines 0.22", Fraction: 0.22}
	})
	unsized.Row = nil
	at := [4][2]float64{{-400, 0}, {0, 0.4}, {400, 0}, {0, 300}}
	few := func(which ...int) *face.Face {
		f := header(func(h *face.Header) { h.Side = face.SideUnknown })
		f.X, f.Y, f.Z, f.Row = nil, nil, nil, nil
		for _, k := range which {
			f.X, f.Y, f.Z = append(f.X, at[k][0]), append(f.Y, at[k][1]), append(f.Z, 0.01)
		}
		return f
	}
	for _, c := range []struct {
		name  string
		file  *face.Face
		act   book.Read
		code  string
		where string
	}{
		{"as it is", usual(), book.Read{What: "top", Support: "bench", TopC: celsius(20.1), BottomC: celsius(20.2)}, "", ""},
		{"the act says no more", usual(), book.Read{What: "top"}, "", ""},
		{"thickness", usual(), book.Read{What: "thickness"}, "", ""},
		{"with its place", header(func(h *face.Header) { h.Piece = "QH-0401 head" }), book.Read{What: "top"}, "", ""},
		{"the file says no piece and no face", header(func(h *face.Header) { h.Piece, h.Side = "", face.SideUnknown }), book.Read{What: "bottom"}, "", ""},
		{"another piece", header(func(h *face.Header) { h.Piece = "QH-0402" }), book.Read{What: "top"}, "two-pieces", "thing"},
		{"a mark that goes on", header(func(h *face.Header) { h.Piece = "QH-0401 or QH-0402" }), book.Read{What: "top"}, "two-pieces", "thing"},
		{"one reading", few(0), book.Read{What: "top"}, "too-few-points", "blob"},
		{"two readings", few(0, 1), book.Read{What: "top"}, "too-few-points", "blob"},
		{"three on a line", few(0, 1, 2), book.Read{What: "bottom"}, "too-few-points", "blob"},
		{"three that are not", few(0, 1, 3), book.Read{What: "top"}, "", ""},
		{"one reading of the thickness", few(0), book.Read{What: "thickness"}, "", ""},
		{"another face", usual(), book.Read{What: "bottom"}, "two-faces", "what"},
		{"the bottom", header(func(h *face.Header) { h.Side = face.Bottom }), book.Read{What: "bottom"}, "", ""},
		{"another support", usual(), book.Read{What: "top", Support: "lines 0.22"}, "two-supports", "support"},
		{"a support in capitals", usual(), book.Read{What: "top", Support: " Bench "}, "", ""},
		{"words that say nothing", usual(), book.Read{What: "top", Support: "on the granite"}, "", ""},
		{"a support that cannot be", usual(), book.Read{What: "top", Support: "lines 0.7"}, "two-supports", "support"},
		{"the file says no support", header(func(h *face.Header) { h.Support = face.Support{} }), book.Read{What: "top", Support: "lines 0.22"}, "", ""},
		{"lines in another unit", lines, book.Read{What: "top", Support: "lines y 412.4 mm;  y -41.24 cm"}, "", ""},
		{"lines in another order", lines, book.Read{What: "top", Support: "lines y 412.4; y -412.4"}, "", ""},
		{"lines rounded", lines, book.Read{What: "top", Support: "lines y 412.42; y -412.38"}, "", ""},
		{"other lines", lines, book.Read{What: "top", Support: "lines y 412.4; y -400"}, "two-supports", "support"},
		{"lines along the other way", lines, book.Read{What: "top", Support: "lines x 412.4; x -412.4"}, "two-supports", "support"},
		{"points in another order", points, book.Read{What: "top", Support: "points 0 471; -274 -354; 274 -354"}, "", ""},
		{"other points", points, book.Read{What: "top", Support: "points 0 470; -274 -354; 274 -354"}, "two-supports", "support"},
		{"lines, not points", points, book.Read{What: "top", Support: "lines y -412.4; y 412.4"}, "two-supports", "support"},
		{"a fourth point", points, book.Read{What: "top", Support: "points -274 -354; 274 -354; 0 471; 0 0"}, "two-supports", "support"},
		{"a fraction as lines", fraction, book.Read{What: "top", Support: "lines y -412.44; y 412.44"}, "", ""},
		{"another fraction", fraction, book.Read{What: "top", Support: "lines 0.25"}, "two-supports", "support"},
		{"another fraction of what is not said", unsized, book.Read{What: "top", Support: "lines 0.25"}, "two-supports", "support"},
		{"the same fraction of what is not said", unsized, book.Read{What: "top", Support: "lines 0.220"}, "", ""},
		{"a warmer top", usual(), book.Read{What: "top", TopC: celsius(21.1)}, "two-temperatures", "top_c"},
		{"a warmer bottom", usual(), book.Read{What: "top", BottomC: celsius(21.2)}, "two-temperatures", "top_c"},
		{"a rounded top", usual(), book.Read{What: "top", TopC: celsius(20.14)}, "", ""},
		{"the file says no temperature", header(func(h *face.Header) { h.TempTop, h.TempBottom = nil, nil }), book.Read{What: "top", TopC: celsius(21.1)}, "", ""},
	} {
		b := newBench(t)
		c.act.Thing, c.act.Blob = thing, b.keep(csv(t, c.file))
		refused(t, c.name, b.check(&c.act), c.code, c.where)
	}
}

func TestFilesThatAreNoReadings(t *testing.T) {
	b := newBench(t)
	thing := book.Ref{Kind: book.KindPiece, ID: "QH-0401"}
	photo := b.keep([]byte("\xff\xd8\xff\xe0 a photograph"))
	missing := strings.Repeat("a", 64)
	large := b.keep(make([]byte, 64<<20+1))
	for what, code := range map[string][3]string{ // of a photograph, of no file, of a large one
		"top": {"not-text", "no-such-blob", "too-large"}, "bottom": {"not-text", "no-such-blob", "too-large"}, "thickness": {"not-text", "no-such-blob", "too-large"},
		"level": {"", "no-such-blob", ""}, "other": {"", "no-such-blob", ""}, "climate": {"", "no-such-blob", ""},
	} {
		for i, blob := range []string{photo, missing, large} {
			err := b.check(&book.Read{Thing: thing, What: what, Blob: blob})
			if got := codeOf(err); got != code[i] && !(i == 0 && code[0] != "" && got != "") {
				t.Errorf("%s, file %d: %v, want %q", what, i, err, code[i])
			}
		}
		refused(t, what+" without a file", b.check(&book.Read{Thing: thing, What: what}), "", "")
	}
	for name, act := range map[string]func(blob string) book.Act{
		"survey":    func(blob string) book.Act { return &book.Survey{Blob: blob} },
		"calibrate": func(blob string) book.Act { return &book.Calibrate{Blob: blob} },
	} {
		refused(t, name, b.check(act(photo)), "", "")
		refused(t, name+" without a file", b.check(act("")), "", "")
		refused(t, name+" of a file that is not there", b.check(act(missing)), "no-such-blob", "")
	}
	refused(t, "an act without files", b.check(&book.Finish{Piece: "QH-0401"}), "", "")
}

func TestLayUps(t *testing.T) {
	for _, c := range []struct {
		name        string
		old, new    string
		act         book.LayUp
		code, where string
	}{
		{"as it is", "", "", book.LayUp{Pieces: pieces, StepsMM: []float64{0.006, 0.007}}, "", ""},
		{"with signs, rounded", "", "", book.LayUp{Pieces: pieces, StepsMM: []float64{-0.0062, 0.0068}}, "", ""},
		{"without pieces", "# pieces: QH-0401, QH-0402, QH-0403\n", "", book.LayUp{Pieces: pieces, StepsMM: []float64{0.006, 0.007}}, "", ""},
		{"in another order", "", "", book.LayUp{Pieces: []string{"QH-0401", "QH-0403", "QH-0402"}, StepsMM: []float64{0.006, 0.007}}, "two-pieces", "pieces[1]"},
		{"another head", "", "", book.LayUp{Pieces: []string{"QH-0400", "QH-0402", "QH-0403"}, StepsMM: []float64{0.006, 0.007}}, "two-pieces", "pieces[0]"},
		{"of two pieces", "", "", book.LayUp{Pieces: pieces[:2], StepsMM: []float64{0.006}}, "two-pieces", "pieces"},
		{"a smaller step", "", "", book.LayUp{Pieces: pieces, StepsMM: []float64{0.005, 0.007}}, "two-steps", "steps_mm[0]"},
		{"a larger step", "", "", book.LayUp{Pieces: pieces, StepsMM: []float64{0.006, 0.008}}, "two-steps", "steps_mm[1]"},
		{"a step too few", "", "", book.LayUp{Pieces: pieces, StepsMM: []float64{0.006}}, "two-steps", "steps_mm[1]"},
		{"no support", "# support: bench, shimmed as on the card\n", "", book.LayUp{Pieces: pieces, StepsMM: []float64{0.006, 0.007}}, "no-support", "blob"},
		{"a word for a step", "-0.006", "small", book.LayUp{Pieces: pieces, StepsMM: []float64{0.006, 0.007}}, "bad-number", "blob:8"},
	} {
		b := newBench(t)
		text := strings.Replace(layUp, c.old, c.new, 1)
		if c.old != "" && text == layUp {
			t.Fatalf("%s: nothing is changed", c.name)
		}
		c.act.Set, c.act.Blob = "QH-S-0042", b.keep([]byte(text))
		err := b.check(&c.act)
		if c.name == "no support" || c.name == "a word for a step" {
			if codeOf(err) == "" || !strings.Contains(err.Error(), "blob") {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		refused(t, c.name, err, c.code, c.where)
	}
	refused(t, "without a file", newBench(t).check(&book.LayUp{Pieces: pieces[:2]}), "", "")
}

func TestJudgements(t *testing.T) {
	b := newBench(t)
	body := composed(t, nil)
	text, err := body.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	sealed := b.certified(t, body, key(t, 1, true)).Blob
	good := book.Judge{Set: "QH-S-0042", Verdict: body.Found.Verdict}
	for _, c := range []struct {
		name, blob  string
		change      func(*book.Judge)
		code, where string
	}{
		{"the body", b.keep(text), nil, "", ""},
		{"the certificate", sealed, nil, "", ""},
		{"nothing", "", nil, "", ""},
		{"of another set", b.keep(text), func(a *book.Judge) { a.Set = "QH-S-0043" }, "two-sets", "set"},
		{"another verdict", b.keep(text), func(a *book.Judge) { a.Verdict = "cannot tell" }, "two-verdicts", "verdict"},
		{"laid out otherwise", b.keep(append(text, '\n')), nil, "no-judgement", "blob"},
		{"two of them", b.keep(append(bytes.Clone(text), text...)), nil, "no-judgement", "blob"},
		{"another field", b.keep(bytes.Replace(text, []byte(`{"format"`), []byte(`{"extra":1,"format"`), 1)), nil, "no-judgement", "blob"},
		{"no JSON", b.keep([]byte(layUp)), nil, "no-judgement", "blob"},
		{"null", b.keep([]byte("null")), nil, "no-judgement", "blob"},
		{"not there", strings.Repeat("a", 64), nil, "no-such-blob", ""},
	} {
		act := good
		if act.Blob = c.blob; c.change != nil {
			c.change(&act)
		}
		refused(t, c.name, b.check(&act), c.code, c.where)
	}
}

// A correction is held against its files as the act it puts in the other's place.
func TestCorrections(t *testing.T) {
	b := newBench(t)
	blob := b.keep(csv(t, aFace("QH-0402", 30, 40, 1)))
	for id, code := range map[string]string{"QH-0401": "two-pieces", "QH-0402": ""} {
		act := &book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: id}, What: "top", Instruments: []string{"DIAL-1"}, Blob: blob}
		word, body, err := book.Encode(act)
		if err != nil {
			t.Fatal(err)
		}
		refused(t, id, b.check(&book.Correct{Entry: "E", Why: "typed wrongly", Act: word, Body: body}), code, "thing")
	}
	refused(t, "struck only", b.check(&book.Correct{Entry: "E", Why: "never happened"}), "", "")
	for name, body := range map[string]json.RawMessage{"nonsense": json.RawMessage(`{}`), "no JSON": json.RawMessage(`x`)} {
		if b.check(&book.Correct{Entry: "E", Why: "w", Act: "read", Body: body}) == nil {
			t.Errorf("%s is taken", name)
		}
	}
	_, inner, err := book.Encode(&book.Correct{Entry: "01JDK0000000000000000000ZZ", Why: "w"})
	if err != nil {
		t.Fatal(err)
	}
	refused(t, "a correction in a correction", b.check(&book.Correct{Entry: "E", Why: "w", Act: "correct", Body: inner}), "", "")
}

func FuzzJudgement(f *testing.F) {
	b := newBench(f)
	empty, err := certificate.Body{Set: "QH-S-0042", Found: certificate.Found{Verdict: "conforms"}}.Canonical() // small, so that much is tried
	if err != nil || b.check(&book.Judge{Set: "QH-S-0042", Verdict: "conforms", Blob: b.keep(empty)}) != nil {
		f.Fatal(err)
	}
	f.Add(empty)
	f.Add([]byte(`{"body":{},"seal":{}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		blob := b.keep(text)
		defer delete(b.kept, blob)
		err := b.check(&book.Judge{Set: "QH-S-0042", Verdict: "conforms", Blob: blob})
		if err != nil && codeOf(err) == "" {
			t.Errorf("no trouble but %v", err)
		}
		var body certificate.Body
		if err == nil && json.Unmarshal(text, &body) != nil {
			t.Error("what is no JSON is a judgement")
		}
	})
}

// FuzzReading gives any bytes as the file of a reading and any words as its support.
func FuzzReading(f *testing.F) {
	b := newBench(f)
	f.Add([]byte("# piece: QH-0401 head\n# face: top\n# support: points 0 0; 9 0; 0 9\n# temperature: 20 C\n0,0,0\n1,0,0\n0,1,0\n"), "points 0 0; 9 0; 0 9")
	f.Add([]byte("# support: lines 0.22\n0,0,0\n1,0,0\n0,1,0\n"), "lines\n0.22\x00")
	f.Fuzz(func(t *testing.T, text []byte, support string) {
		blob := b.keep(text)
		defer delete(b.kept, blob)
		err := b.check(&book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: "QH-0401"}, What: "top", Support: support, Blob: blob})
		if err != nil && codeOf(err) == "" {
			t.Errorf("no trouble but %v", err)
		}
	})
}
