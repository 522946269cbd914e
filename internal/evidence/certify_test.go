package evidence_test

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/trouble"
)

func codeOf(err error) string {
	var said *trouble.Trouble
	if errors.As(err, &said) {
		return said.Code
	}
	return ""
}

// tampered changes the text of the certificate in the act's blob.
func (b *bench) tampered(t *testing.T, a *book.Certify, old, new string) {
	t.Helper()
	text := b.kept[a.Blob]
	changed := bytes.Replace(text, []byte(old), []byte(new), 1)
	if bytes.Equal(text, changed) {
		t.Fatalf("%q does not stand in the certificate", old)
	}
	a.Blob = b.keep(changed)
}

func (b *bench) piece(id string) book.PieceState {
	return b.things[book.Ref{Kind: book.KindPiece, ID: id}].(book.PieceState)
}

// reading puts a reading after the others of a piece.
func (b *bench) reading(id string, r book.Reading) {
	p := b.piece(id)
	p.Readings = append(slices.Clone(p.Readings), r)
	b.things[book.Ref{Kind: book.KindPiece, ID: id}] = p
}

// A certificate is taken when it says what the act says, seals what the book has, and holds.
func TestCertificates(t *testing.T) {
	for _, c := range []struct {
		name        string
		change      func(t *testing.T, b *bench, a *book.Certify)
		code, where string
	}{
		{"as it is", func(*testing.T, *bench, *book.Certify) {}, "", ""},
		{"of another set", func(_ *testing.T, _ *bench, a *book.Certify) { a.Set = "QH-S-0043" }, "two-sets", "set"},
		{"another digest", func(_ *testing.T, _ *bench, a *book.Certify) { a.Digest = strings.Repeat("a", 64) }, "two-digests", "digest"},
		{"another key is named", func(t *testing.T, _ *bench, a *book.Certify) { a.Key = key(t, 2, true).Public().ID() }, "two-keys", "key"},
		{"no file", func(_ *testing.T, _ *bench, a *book.Certify) { a.Blob = strings.Repeat("a", 64) }, "no-such-blob", ""},
		{"a judgement", func(t *testing.T, b *bench, a *book.Certify) { a.Blob = b.keep([]byte(layUp)) }, "not-canonical", "blob:1"},
		{"a mill that is real", func(_ *testing.T, b *bench, _ *book.Certify) { b.demo = false }, "demo-key", "key"},
		{"the signature of another body", func(t *testing.T, b *bench, a *book.Certify) {
			b.tampered(t, a, `"date_code":"26-329"`, `"date_code":"26-330"`)
		}, "bad-seal", "blob"},
		{"the set is not in the book", func(_ *testing.T, b *bench, _ *book.Certify) {
			delete(b.things, book.Ref{Kind: book.KindSet, ID: "QH-S-0042"})
		}, "no-such-thing", "set:QH-S-0042"},
		{"the pieces lie otherwise", func(_ *testing.T, b *bench, _ *book.Certify) {
			b.things[book.Ref{Kind: book.KindSet, ID: "QH-S-0042"}] = book.SetState{Pieces: []string{pieces[0], pieces[2], pieces[1]}}
		}, "two-pieces", "blob"},
		{"a set of two", func(_ *testing.T, b *bench, _ *book.Certify) {
			b.things[book.Ref{Kind: book.KindSet, ID: "QH-S-0042"}] = book.SetState{Pieces: pieces[:2]}
		}, "two-pieces", "blob"},
		{"read again since", func(t *testing.T, b *bench, _ *book.Certify) {
			b.reading(pieces[1], book.Reading{Entry: "E3", What: "top", AtMS: 5000, Blob: b.keep(csv(t, aFace(pieces[1], 80, 40, 2)))})
		}, "other-readings", "blob"},
		{"an older reading that comes late", func(t *testing.T, b *bench, _ *book.Certify) {
			b.reading(pieces[1], book.Reading{Entry: "E3", What: "top", AtMS: 1500, Blob: b.keep(csv(t, aFace(pieces[1], 80, 40, 2)))})
		}, "", ""},
		{"the same readings in another file", func(t *testing.T, b *bench, _ *book.Certify) {
			text := strings.Replace(string(csv(t, aFace(pieces[1], 22, 51, 2))), "\n", "\r\n", -1)
			b.reading(pieces[1], book.Reading{Entry: "E3", What: "top", AtMS: 5000, Blob: b.keep([]byte(text))})
		}, "", ""},
		{"expired", func(_ *testing.T, b *bench, _ *book.Certify) {
			p := b.piece(pieces[2])
			p.Readings[1].ExpiredBy, p.Readings[1].ExpiredAct = "E7", "drill"
		}, "reading-expired", "piece:QH-0403"},
		{"without a file", func(_ *testing.T, b *bench, _ *book.Certify) { b.piece(pieces[0]).Readings[1].Blob = "" }, "no-reading", "piece:QH-0401"},
		{"never read", func(_ *testing.T, b *bench, _ *book.Certify) {
			b.things[book.Ref{Kind: book.KindPiece, ID: pieces[0]}] = book.PieceState{}
		}, "no-reading", "piece:QH-0401"},
		{"the book's file is gone", func(_ *testing.T, b *bench, _ *book.Certify) {
			delete(b.kept, b.piece(pieces[0]).Readings[1].Blob)
		}, "no-such-blob", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			a := b.certified(t, composed(t, nil), key(t, 1, true))
			c.change(t, b, a)
			refused(t, c.name, b.check(a), c.code, c.where)
		})
	}
}

// Bodies that are properly sealed and still not to be taken.
func TestSealedWrongly(t *testing.T) {
	for _, c := range []struct {
		name        string
		body        func(*certificate.Body)
		code, where string
	}{
		{"a result of its own", func(b *certificate.Body) { b.Found.Seating.Zone /= 2 }, "not-recomputed", "blob"},
		{"does not conform", func(b *certificate.Body) { b.Found.Verdict = "does not conform" }, "not-conforming", "blob"},
		{"another piece", func(b *certificate.Body) { b.Found.Pieces[0].Piece = "QH-0400" }, "two-pieces", "blob"},
		{"one reading twice", func(b *certificate.Body) { b.Found.Pieces[0].Reading = 1 }, "other-readings", "blob"},
		{"a reading that is not there", func(b *certificate.Body) { b.Found.Pieces[0].Reading = 3 }, "bad-certificate", "blob"},
		{"a reading before the first", func(b *certificate.Body) { b.Found.Pieces[0].Reading = -1 }, "bad-certificate", "blob"},
	} {
		b := newBench(t)
		body := composed(t, nil)
		body.Found.Pieces = slices.Clone(body.Found.Pieces)
		c.body(&body)
		refused(t, c.name, b.check(b.certified(t, body, key(t, 1, true))), c.code, c.where)
	}
}

// A mill's key and real stone: taken by a mill, refused by the demo.
func TestKeysOfMillsAndOfTheDemo(t *testing.T) {
	body := composed(t, func(in *certificate.Input) {
		in.Demo = false
		real := *in.LayUp
		real.Remarks = nil
		in.LayUp = &real
	})
	b := newBench(t)
	for demo, code := range map[bool]string{false: "", true: "mill-key"} {
		b.demo = demo
		refused(t, "a mill's key", b.check(b.certified(t, body, key(t, 1, false))), code, "key")
	}
}

// What is handed in together is seen together: the lay-up and the readings just before the certificate count.
func TestHandedInTogether(t *testing.T) {
	b := newBench(t)
	certify := b.certified(t, composed(t, nil), key(t, 1, true))
	faces := aSet(t).Faces
	delete(b.things, book.Ref{Kind: book.KindSet, ID: "QH-S-0042"})
	for _, id := range pieces {
		b.things[book.Ref{Kind: book.KindPiece, ID: id}] = book.PieceState{}
	}
	lay := &book.LayUp{Set: "QH-S-0042", Pieces: pieces, StepsMM: []float64{0.006, 0.007}, Blob: b.keep([]byte(layUp))}
	read := func(i int, f *face.Face) book.Act {
		return &book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: pieces[i]}, What: "top", Instruments: []string{"DIAL-1"}, Blob: b.keep(csv(t, f))}
	}
	worse := read(1, aFace(pieces[1], 80, 40, 2))
	photograph := &book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: pieces[2]}, What: "other", Instruments: []string{"DIAL-1"}, Blob: b.keep([]byte("a photograph"))}
	all := []book.Act{lay, read(0, faces[0]), worse, read(1, faces[1]), read(2, faces[2]), certify}
	for _, c := range []struct {
		name string
		acts []book.Act
		code string
	}{
		{"all of it", all, ""},
		{"the worse reading last", []book.Act{lay, all[1], all[3], worse, all[4], certify}, "other-readings"},
		{"a photograph after it", []book.Act{lay, all[1], all[3], all[4], photograph, certify}, ""},
		{"a reading missing", []book.Act{lay, all[1], all[3], certify}, "no-reading"},
		{"a reading too late", []book.Act{lay, all[1], all[3], certify, all[4]}, "no-reading"},
		{"the lay-up missing", []book.Act{all[1], all[3], all[4], certify}, "no-such-thing"},
		{"another set laid up", []book.Act{&book.LayUp{Set: "QH-S-0043", Pieces: pieces, StepsMM: []float64{0, 0}}, all[1], all[3], all[4], certify}, "no-such-thing"},
	} {
		w := b.watch()
		_, refusals, err := w.AppendAll(t.Context(), submissions(t, "hand-1", c.acts...), false)
		at := slices.Index(c.acts, book.Act(certify))
		if err != nil || codeOf(refusals[at]) != c.code {
			t.Errorf("%s: %v, %v, want %q", c.name, refusals, err, c.code)
		}
		if took := len(b.taken) > 0; took != (c.code == "") {
			t.Errorf("%s: taken %v", c.name, took)
		}
		b.taken = nil
	}
}
